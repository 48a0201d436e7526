package store_test

import (
	"context"
	"fmt"
	"log"
	"os"
	"path/filepath"
	"time"

	"halfsplit/internal/record"
	"halfsplit/internal/store"
)

// A terminal comes in, a job is opened on it, and what is measured is written
// down in ink. A slip is corrected by a later entry.
func Example() {
	folder, err := os.MkdirTemp("", "records-*")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(folder)
	noon := time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)
	s, err := store.Open(filepath.Join(folder, "records"), store.Options{Now: func() time.Time { return noon }})
	if err != nil {
		log.Fatal(err)
	}
	defer s.Close()
	ctx := context.Background()

	terminal := record.Unit{Maker: "Ostrel", Model: "VT-9", Year: 1981, Standing: record.Kept}
	check(s.SaveUnit(ctx, &terminal))
	job := record.Job{Unit: terminal.ID, Title: "shuts down when warm", Stage: record.Measure}
	check(s.SaveJob(ctx, &job))
	slip := record.Entry{Job: job.ID, At: noon, Verb: "measure", Line: "{measure: TP3, reads: 46.2 V}", Who: "Ines"}
	check(s.AddEntry(ctx, &slip))
	right := record.Entry{Job: job.ID, At: noon, Verb: "measure", Line: "{measure: TP3, reads: 4.62 V}", Who: "Ines", Corrects: slip.ID}
	check(s.AddEntry(ctx, &right))

	book, err := s.Log(ctx, job.ID)
	check(err)
	for _, e := range book {
		fmt.Println(e.Name(), e.Line, "corrected by", e.CorrectedBy)
	}
	found, err := s.Search(ctx, "4.62", nil, 0)
	check(err)
	for _, hit := range found {
		fmt.Println(hit.Title)
	}
	// Output:
	// e1 {measure: TP3, reads: 46.2 V} corrected by 2
	// e2 {measure: TP3, reads: 4.62 V} corrected by 0
	// U-0001 shuts down when warm, e2, measure
}

// Everything goes into one archive, is verified there, and comes back into
// another folder.
func ExampleRestore() {
	folder, err := os.MkdirTemp("", "records-*")
	check(err)
	defer os.RemoveAll(folder)
	ctx := context.Background()
	s, err := store.Open(filepath.Join(folder, "records"), store.Options{})
	check(err)
	check(s.SaveBin(ctx, &record.Bin{Code: "box 7"}))
	backup := filepath.Join(folder, "monday.zip")
	check(s.Backup(ctx, backup))
	check(s.Close())

	wrong, err := store.VerifyBackup(ctx, backup)
	check(err)
	fmt.Println("wrong in the backup:", len(wrong))
	aside, err := store.Restore(ctx, backup, filepath.Join(folder, "records"))
	check(err)
	fmt.Println("set aside:", len(aside) > 0)
	again, err := store.Open(filepath.Join(folder, "records"), store.Options{})
	check(err)
	defer again.Close()
	bins, err := again.Bins(ctx)
	check(err)
	fmt.Println(bins[0].Code)
	// Output:
	// wrong in the backup: 0
	// set aside: true
	// box 7
}

func check(err error) {
	if err != nil {
		log.Fatal(err)
	}
}
