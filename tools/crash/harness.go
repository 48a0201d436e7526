package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"halfsplit/internal/record"
	"halfsplit/internal/store"
)

// Times of killing.
const (
	openingTime = 25 * time.Millisecond // a start lasts about as long
	writingTime = 30 * time.Millisecond
	// everyOpening is after how many kills one falls into the opening.
	everyOpening = 5
)

// harness kills writers.
type harness struct {
	kills, fresh, every int
	random              *rand.Rand
	progress            io.Writer

	done, opening, verified, damaged, lost int
	entries, revisions, files              int
}

func newRandom(n uint64) *rand.Rand { return rand.New(rand.NewPCG(n, 9)) }

// acknowledged is what writers said was kept.
type acknowledged struct {
	entries map[string]int       // number by key
	units   map[record.ID]string // revision and note
	files   map[record.Hash]bool
	fresh   []string // keys since the last look
}

func newAcknowledged() *acknowledged {
	return &acknowledged{map[string]int{}, map[record.ID]string{}, map[record.Hash]bool{}, nil}
}

func (h *harness) run(ctx context.Context) error {
	program, err := os.Executable()
	if err != nil {
		return err
	}
	folder, err := os.MkdirTemp("", "halfsplit-crash-*")
	if err != nil {
		return err
	}
	for h.done < h.kills && ctx.Err() == nil {
		dir := filepath.Join(folder, fmt.Sprintf("records-%d", h.done))
		before := h.lost + h.damaged
		if err := h.records(ctx, program, dir); err != nil {
			return fmt.Errorf("%s: %w", dir, err)
		}
		if h.lost+h.damaged > before {
			fmt.Fprintln(h.progress, "kept to be looked at:", dir)
			continue
		}
		if err := os.RemoveAll(dir); err != nil {
			return err
		}
		fmt.Fprintf(h.progress, "%d kills, %d entries acknowledged, %d lost, %d damaged\n", h.done, h.entries, h.lost, h.damaged)
	}
	os.Remove(folder) // unless something is kept in it
	return ctx.Err()
}

// records kills writers of one file of records.
func (h *harness) records(ctx context.Context, program, dir string) error {
	told := newAcknowledged()
	for round := 1; round <= h.fresh && h.done < h.kills && ctx.Err() == nil; round++ {
		opening := h.done%everyOpening == 0
		if err := h.kill(program, dir, opening, told); err != nil {
			return err
		}
		h.done++
		if opening {
			h.opening++
		}
		everything := round%h.every == 0 || round == h.fresh || h.done == h.kills
		if err := h.look(ctx, dir, told, everything); err != nil {
			return err
		}
	}
	return nil
}

// kill starts a writer and kills it; what it acknowledged until then is told.
func (h *harness) kill(program, dir string, opening bool, told *acknowledged) error {
	writer := exec.Command(program, "-writer", dir)
	out, err := writer.StdoutPipe()
	if err != nil {
		return err
	}
	var complaints strings.Builder
	writer.Stderr = &complaints
	if err := writer.Start(); err != nil {
		return err
	}
	begun := make(chan struct{})
	read := make(chan error, 1)
	go func() { read <- h.listen(out, told, begun) }()
	if opening {
		time.Sleep(time.Duration(h.random.Int64N(int64(openingTime))))
	} else {
		select {
		case <-begun:
		case <-time.After(time.Minute):
		}
		time.Sleep(time.Duration(h.random.Int64N(int64(writingTime))))
	}
	if err := writer.Process.Kill(); err != nil && !errors.Is(err, os.ErrProcessDone) {
		return err
	}
	if err := <-read; err != nil {
		return err
	}
	writer.Wait() // it was killed
	if complaints.Len() > 0 {
		return fmt.Errorf("the writer complained: %s", complaints.String())
	}
	return nil
}

// listen notes what a writer says, and closes begun at the first line.
func (h *harness) listen(out io.Reader, told *acknowledged, begun chan struct{}) error {
	lines := bufio.NewReader(out)
	for first := true; ; first = false {
		line, err := lines.ReadString('\n')
		if err != nil {
			if first {
				close(begun)
			}
			if errors.Is(err, io.EOF) {
				return nil // an unfinished line was not said
			}
			return err
		}
		if first {
			close(begun)
		}
		words := strings.Fields(line)
		switch words[0] {
		case "entry":
			number := 0
			fmt.Sscan(words[2], &number)
			told.entries[words[1]] = number
			told.fresh = append(told.fresh, words[1])
			h.entries++
		case "unit":
			var id record.ID
			fmt.Sscan(words[1], &id)
			told.units[id] = words[2] + " " + words[3]
			h.revisions++
		case "file":
			told.files[record.Hash(words[1])] = true
			h.files++
		default:
			return fmt.Errorf("the writer said %q", line)
		}
	}
}

// look opens the records and looks for what was acknowledged; everything says
// whether all that was ever acknowledged, and all that stands in the file, is
// looked at.
func (h *harness) look(ctx context.Context, dir string, told *acknowledged, everything bool) error {
	if _, err := os.Stat(filepath.Join(dir, "records.db")); errors.Is(err, os.ErrNotExist) && len(told.entries) == 0 {
		return nil // killed before there was anything
	}
	s, err := store.Open(dir, store.Options{})
	if err != nil {
		h.damaged++
		fmt.Fprintln(h.progress, "cannot be opened:", err)
		return nil
	}
	defer s.Close()
	if everything {
		h.verified++
		list, err := s.Verify(ctx)
		if err != nil {
			return err
		}
		for _, f := range list {
			fmt.Fprintln(h.progress, f)
		}
		if len(list) > 0 {
			h.damaged++
		}
	}
	return h.compare(ctx, s, told, everything)
}

// compare counts what is lost.
func (h *harness) compare(ctx context.Context, s *store.Store, told *acknowledged, everything bool) error {
	lose := func(format string, arguments ...any) {
		h.lost++
		fmt.Fprintf(h.progress, format+"\n", arguments...)
	}
	if everything && len(told.entries) > 0 {
		kept := map[string]int{}
		jobs, err := s.Jobs(ctx, record.JobFilter{})
		if err != nil {
			return err
		}
		for _, j := range jobs.Items {
			log, err := s.Log(ctx, j.ID)
			if err != nil {
				return err
			}
			for _, e := range log {
				kept[e.Key] = e.Number
			}
		}
		for key, number := range told.entries {
			if kept[key] != number {
				lose("entry %s, number %d, is lost", key, number)
			}
		}
	}
	for _, key := range told.fresh {
		e, err := s.EntryByKey(ctx, key)
		if err != nil || e.Number != told.entries[key] {
			lose("entry %s, number %d: %v", key, told.entries[key], err)
		}
	}
	told.fresh = nil
	for id, said := range told.units {
		u, err := s.Unit(ctx, id)
		// A later revision may have been kept without being acknowledged.
		revision := 0
		fmt.Sscan(said, &revision)
		if err != nil || u.Revision < revision || u.Revision == revision && said != fmt.Sprintf("%d %s", u.Revision, u.Note) {
			lose("unit %d is revision %d, acknowledged was %s: %v", id, u.Revision, said, err)
		}
	}
	for hash := range told.files {
		f, _, err := s.OpenFile(ctx, hash)
		if err != nil {
			lose("file %s: %v", hash, err)
			continue
		}
		f.Close()
		if !everything {
			continue
		}
		delete(told.files, hash) // verified whole
	}
	return nil
}
