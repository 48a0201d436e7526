package demo

import (
	"bytes"
	"os"
	"path/filepath"
	"time"

	"halfsplit/examples"
	"halfsplit/internal/record"
	"halfsplit/internal/recording"
)

// theTraces are the recordings, by the case that they belong to.
var theTraces = []struct {
	example, file, name, note string
	taken                     time.Time
}{
	{"vt9-shuts-down", "vt9-before.csv", "+5 V and case, three shut-downs", "logger on TP1, thermocouple inside the case", day(2026, time.March, 2)},
	{"p6-hum-and-voice-four", "p6-ripple.csv", "ripple on TP+", "before C1 was changed", day(2026, time.February, 20)},
	{"f220-resets", "f220-raw.csv", "both rails while play is pressed", "before C1 was changed; the solenoid pulls at 0.1 s", day(2026, time.February, 3)},
	{"f220-resets", "f220-raw-after.csv", "the same with the new C1", "", day(2026, time.February, 10)},
	{"t40-rom", "t40-warmup.csv", "reference while warming up", "lid lifted from 60 to 80 min", day(2026, time.January, 30)},
}

// traces keeps the recordings in the program's own form, with what they were read
// from.
func (f *filler) traces() error {
	folder, err := os.MkdirTemp("", "halfsplit-demo-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	for _, t := range theTraces {
		content, err := examples.Files.ReadFile(t.file)
		if err != nil {
			return err
		}
		from, to := filepath.Join(folder, t.file), filepath.Join(folder, t.file+".trace")
		if err := os.WriteFile(from, content, 0o600); err != nil {
			return err
		}
		made, err := recording.Import(f.ctx, from, to, recording.Reading{})
		if err != nil {
			return err
		}
		whole, err := os.ReadFile(to)
		if err != nil {
			return err
		}
		kept, err := f.store.PutFile(f.ctx, bytes.NewReader(whole), "application/vnd.halfsplit.trace", mostBytes)
		if err != nil {
			return err
		}
		source, err := f.store.PutFile(f.ctx, bytes.NewReader(content), "text/csv", mostBytes)
		if err != nil {
			return err
		}
		read, err := recording.Open(f.ctx, to, recording.Reading{})
		if err != nil {
			return err
		}
		seconds := read.End() - read.Begin()
		if err := read.Close(); err != nil {
			return err
		}
		if err := f.store.SaveTrace(f.ctx, &record.Trace{
			Job: f.jobs[t.example].ID, Name: t.name, File: kept.Hash, Source: source.Hash, Channels: made.Channels,
			Rows: made.Rows, Seconds: seconds, Taken: t.taken, Note: t.note,
		}); err != nil {
			return err
		}
	}
	return nil
}
