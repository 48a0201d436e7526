package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"halfsplit/internal/record"
	"halfsplit/internal/store"
)

// write writes into records without end: entries, revisions of units, and files.
// It says what was acknowledged, a line each, once the call has returned.
func write(dir string, out io.Writer) error {
	s, err := store.Open(dir, store.Options{})
	if err != nil {
		return err
	}
	defer s.Close()
	ctx := context.Background()
	say := func(format string, arguments ...any) error {
		_, err := fmt.Fprintf(out, format+"\n", arguments...) // one write each
		return err
	}
	units, job, err := begin(ctx, s)
	if err != nil {
		return err
	}
	failed := make(chan error, 4)
	var wait sync.WaitGroup
	for range 2 {
		wait.Go(func() {
			for {
				e := record.Entry{Job: job, Key: rand.Text(), At: time.Now(), Verb: "measure", Line: "{measure: TP3, reads: 4.62 V}", Who: "Ines"}
				if err := s.AddEntry(ctx, &e); err != nil {
					failed <- err
					return
				}
				if err := say("entry %s %d", e.Key, e.Number); err != nil {
					failed <- err
					return
				}
			}
		})
	}
	wait.Go(func() {
		for i := 0; ; i++ {
			u := &units[i%len(units)]
			u.Note = rand.Text()
			if err := s.SaveUnit(ctx, u); err != nil {
				failed <- err
				return
			}
			if err := say("unit %d %d %s", u.ID, u.Revision, u.Note); err != nil {
				failed <- err
				return
			}
		}
	})
	wait.Go(func() {
		for {
			file, err := s.PutFile(ctx, strings.NewReader(strings.Repeat(rand.Text(), 500)), "text/plain", 1<<20)
			if err == nil {
				err = say("file %s", file.Hash)
			}
			if err != nil {
				failed <- err
				return
			}
		}
	})
	return <-failed
}

// begin finds the units and the job to write on, and makes them in new records.
func begin(ctx context.Context, s *store.Store) ([]record.Unit, record.ID, error) {
	for i := range 3 {
		code := fmt.Sprintf("SSA-%04d", i+1)
		_, err := s.UnitByCode(ctx, code)
		if errors.Is(err, record.ErrNotFound) {
			err = s.SaveUnit(ctx, &record.Unit{Code: code, Maker: "Ostrel", Model: "VT-9", Standing: record.Kept})
		}
		if err != nil {
			return nil, 0, err
		}
	}
	rows, err := s.Units(ctx, record.UnitFilter{})
	if err != nil {
		return nil, 0, err
	}
	var units []record.Unit
	for _, r := range rows.Items {
		units = append(units, r.Unit)
	}
	jobs, err := s.Jobs(ctx, record.JobFilter{})
	if err != nil {
		return nil, 0, err
	}
	if len(jobs.Items) > 0 {
		return units, jobs.Items[0].ID, nil
	}
	j := record.Job{Unit: units[0].ID, Title: "shuts down when warm", Stage: record.Measure}
	err = s.SaveJob(ctx, &j)
	return units, j.ID, err
}
