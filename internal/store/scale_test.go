package store

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"halfsplit/internal/record"
)

var (
	scaleFolder  = flag.String("records", "", "folder of the large records of benchmarks; made when missing, and kept")
	scaleUnits   = flag.Int("units", 20_000, "units in the large records")
	scaleEntries = flag.Int("entries", 1_000_000, "entries in the large records")
	scalePhotos  = flag.Int("photos", 50_000, "photos in the large records")
)

// invent writes large records of an invented collection, three jobs a unit.
func invent(t testing.TB, s *Store, nUnits, nEntries, nPhotos int) {
	t.Helper()
	random := rand.New(rand.NewPCG(40, 1977))
	pick := func(words ...string) string { return words[random.IntN(len(words))] }
	makers := []string{"Ostrel VT-9", "Corvane P6", "Ferrand 220", "Tarn 40", "Ostrel VT-12", "Corvane P8", "Ferrand 330", "Tarn 80"}
	people := []string{"Ines", "Joost", "Maren"}
	inSteps := func(n int, step func(t *transaction, i int) error) {
		const batch = 20_000
		for from := 0; from < n; from += batch {
			ok(t, s.write(context.Background(), func(tx *transaction) error {
				tx.quiet = true
				for i := from; i < min(n, from+batch); i++ {
					if err := step(tx, i); err != nil {
						return err
					}
				}
				return nil
			}))
		}
	}
	sentence := func() string {
		return pick("reservoir capacitor", "bleeder", "start-up network", "crowbar", "voice four", "solenoid driver", "line filter", "regulator", "reset line", "refresh counter") + " " +
			pick("leaks", "is warm", "reads low", "was reseated", "has a cold joint", "is original", "hums at 100 Hz", "passes", "drifts when warm", "was chilled") + " at " +
			fmt.Sprintf("%s%d", pick("C", "R", "Q", "U", "TP"), random.IntN(400)+1)
	}
	content := strings.Repeat("picture ", 4)
	file := need(s.PutFile(context.Background(), strings.NewReader(content), "image/jpeg", 1000))(t)
	nJobs := nUnits * 3
	inSteps(nUnits, func(tx *transaction, i int) error {
		maker, model, _ := strings.Cut(makers[random.IntN(len(makers))], " ")
		u := record.Unit{Revision: 1, Code: fmt.Sprintf("SSA-%05d", i+1), Maker: maker, Model: model, Year: 1972 + random.IntN(20), Standing: record.Kept,
			Serial: fmt.Sprint(random.IntN(1e6)), Place: "shelf " + fmt.Sprint(random.IntN(200)), Source: pick("a harbour office", "a school", "a studio", "an estate"), History: sentence() + "; " + sentence(),
			Created: monday.Add(time.Duration(i) * time.Minute), Changed: monday.Add(time.Duration(random.IntN(1e6)) * time.Second)}
		return units.put(tx, nil, &u)
	})
	inSteps(nJobs, func(tx *transaction, i int) error {
		j := record.Job{Revision: 1, Unit: record.ID(i%nUnits + 1), Title: sentence(), Complaint: sentence(), Stage: record.Stages()[random.IntN(7)], Opened: monday.Add(time.Duration(i) * time.Minute), Changed: monday.Add(time.Duration(random.IntN(1e7)) * time.Second)}
		if i%10 != 0 {
			j.Outcome, j.Closed, j.Lesson = record.Repaired, j.Opened.Add(time.Hour), sentence()
		}
		return jobs.put(tx, nil, &j)
	})
	inSteps(nPhotos, func(tx *transaction, i int) error {
		job := random.IntN(nJobs)
		p := record.Photo{Revision: 1, Unit: record.ID(job%nUnits + 1), Job: record.ID(job + 1), File: file.Hash, Media: file.Media, Width: 1600, Height: 1200, Caption: sentence(), Taken: monday, Cover: i%3 == 0}
		return photos.put(tx, nil, &p)
	})
	inSteps(nEntries, func(tx *transaction, i int) error {
		job := random.IntN(nJobs)
		at := monday.Add(time.Duration(i) * 37 * time.Second)
		e := record.Entry{ID: record.ID(i + 1), Job: record.ID(job + 1), Key: fmt.Sprintf("k%d", i), At: at.Add(-time.Duration(random.IntN(3600)) * time.Second), Kept: at,
			Verb: pick("measure", "measure", "measure", "see", "note", "test"), Who: people[random.IntN(3)], Seconds: float64(random.IntN(900)),
			Line: fmt.Sprintf("{measure: TP%d, reads: %.2f V, note: %s}", random.IntN(99), random.Float64()*15, sentence())}
		if i%20 == 0 {
			e.Verb, e.Swaps = "swap", []record.Swap{{Part: fmt.Sprintf("C%d", random.IntN(99)), Kind: "electrolytic", OutMaker: pick("Hadley", "Nessel"), OutYear: 1981, Condition: record.ConditionWorn, InMaker: "Nessel"}}
		}
		return putEntry(tx, &e, record.ID(job%nUnits+1), seal{})
	})
}

// large opens the large records, and makes them when they are not there.
func large(b *testing.B) *Store {
	b.Helper()
	dir := *scaleFolder
	if dir == "" {
		dir = filepath.Join(b.TempDir(), "records")
	}
	if _, err := os.Stat(filepath.Join(dir, fileName)); err != nil {
		s := need(Open(dir+"-being-made", Options{}))(b)
		start := time.Now()
		invent(b, s, *scaleUnits, *scaleEntries, *scalePhotos)
		ok(b, s.Close())
		ok(b, os.Rename(dir+"-being-made", dir))
		b.Logf("made in %.0f s", time.Since(start).Seconds())
	}
	return freshIn(b, dir, Options{})
}

// BenchmarkScale measures what somebody waits for, with large records:
//
//	go test ./internal/store -run none -bench Scale -benchtime 20x -records FOLDER
func BenchmarkScale(b *testing.B) {
	s := large(b)
	ctx := context.Background()
	yes := true
	middle := monday.Add(time.Duration(*scaleEntries/2) * 37 * time.Second)
	loop := func(name string, call func(i int) error) {
		b.Run(name, func(b *testing.B) {
			times := make([]time.Duration, 0, b.N)
			used := processorTime()
			for i := range b.N {
				start := time.Now()
				if err := call(i); err != nil {
					b.Fatal(err)
				}
				times = append(times, time.Since(start))
			}
			used = processorTime() - used
			slices.Sort(times)
			milliseconds := func(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }
			b.ReportMetric(milliseconds(times[len(times)/2]), "median-ms")
			b.ReportMetric(milliseconds(times[len(times)-1]), "longest-ms")
			b.ReportMetric(milliseconds(used)/float64(b.N), "processor-ms")
			b.ReportMetric(0, "ns/op")
		})
	}
	loop("open", func(int) error {
		other, err := Open(s.dir, Options{})
		if err != nil {
			return err
		}
		return other.Close()
	})
	for name, f := range map[string]record.UnitFilter{
		"units": {}, "units by name": {Order: "name"}, "units by change": {Order: "changed"}, "units of a maker": {Maker: "Tarn"},
		"units with open jobs": {OpenJobs: true}, "units by text": {Text: "harbour tarn"}, "units by common text": {Text: "capacitor"}, "500 units": {Page: record.Page{Limit: 500}},
	} {
		loop(name, func(int) error {
			l, err := s.Units(ctx, f)
			f.After = l.Next
			return err
		})
	}
	for name, f := range map[string]record.JobFilter{
		"jobs": {}, "open jobs": {Open: &yes}, "jobs at a stage": {Stage: record.Repair, Open: &yes}, "jobs of a unit": {Unit: 77}, "jobs by text": {Text: "crowbar leaks"}, "jobs opened": {Order: "opened"},
	} {
		loop(name, func(int) error {
			l, err := s.Jobs(ctx, f)
			f.After = l.Next
			return err
		})
	}
	for name, f := range map[string]record.EntryFilter{
		"log": {Job: 4711}, "entries": {}, "entries of a unit": {Unit: 4711}, "swaps": {Verb: "swap"}, "measurements": {Verb: "measure"}, "entries by a person": {Who: "Ines", Verb: "see"},
		"entries by a word": {Text: "crowbar"}, "entries by words": {Text: "crowbar leaks TP7"}, "entries of a day": {From: middle, To: middle.Add(24 * time.Hour)}, "entries since the middle": {From: middle},
		"500 entries": {Verb: "swap", Page: record.Page{Limit: 500}},
	} {
		loop(name, func(int) error {
			l, err := s.Entries(ctx, f)
			f.After = l.Next
			return err
		})
	}
	loop("photos of a unit", func(i int) error { return second(s.Photos(ctx, record.ID(i+1), 0)) })
	for _, text := range []string{"crowbar", "crowbar leaks", "c", "ca", "capac", "TP77", "ostrel", "warm cold", "SSA-01234", `"cold joint"`} {
		loop("search "+text, func(int) error { return second(s.Search(ctx, text, nil, 50)) })
	}
	stamp := time.Now().UnixNano()
	loop("add entry", func(i int) error {
		return s.AddEntry(ctx, &record.Entry{Job: record.ID(i%50 + 1), Key: fmt.Sprint(stamp, i), At: monday, Verb: "note", Line: "{note: one more}"})
	})
	b.Run("50 writers", func(b *testing.B) {
		var wait sync.WaitGroup
		start := time.Now()
		for w := range 50 {
			wait.Go(func() {
				for i := range b.N {
					if err := s.AddEntry(ctx, &record.Entry{Job: record.ID(w + 1), Key: fmt.Sprint(stamp, "w", w, i), At: monday, Verb: "note", Line: "{note: all at once}"}); err != nil {
						b.Error(err)
					}
				}
			})
		}
		wait.Wait()
		b.ReportMetric(float64(50*b.N)/time.Since(start).Seconds(), "entries/s")
	})
	b.Logf("largest resident memory %d MB", residentPeak()>>20)
}

// residentPeak is the most memory that this process ever had, in bytes; where
// the system does not tell, what the runtime has now.
func residentPeak() int64 {
	status, err := os.ReadFile("/proc/self/status")
	for line := range strings.Lines(string(status)) {
		var kilobytes int64
		if n, _ := fmt.Sscanf(line, "VmHWM: %d kB", &kilobytes); err == nil && n == 1 {
			return kilobytes << 10
		}
	}
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int64(m.Sys)
}
