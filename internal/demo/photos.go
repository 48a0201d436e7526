package demo

import (
	"bytes"
	"fmt"
	"image"
	_ "image/png" // the boards are drawn as PNG
	"time"

	"halfsplit/examples"
	"halfsplit/internal/record"
	"halfsplit/sheet"
)

// mostBytes is what a file of the demo may have.
const mostBytes = 4 << 20

// photos puts the boards of each machine's sheet on its unit, with their spots;
// the first stands for the unit in lists.
func (f *filler) photos() error {
	for _, m := range theMachines {
		text, err := examples.Files.ReadFile(m.sheet)
		if err != nil {
			return err
		}
		s, err := sheet.Parse(m.sheet, text)
		if err != nil {
			return err
		}
		last := f.jobs[m.history[len(m.history)-1].example]
		for i, board := range s.Photos {
			if err := f.photo(last, board, i == 0); err != nil {
				return fmt.Errorf("%s: %w", board.File.Text, err)
			}
		}
	}
	return nil
}

// photo keeps the picture of a board and shows it with a job.
func (f *filler) photo(job *record.Job, board sheet.Photo, cover bool) error {
	content, err := examples.Files.ReadFile(board.File.Text)
	if err != nil {
		return err
	}
	size, kind, err := image.DecodeConfig(bytes.NewReader(content))
	if err != nil {
		return err
	}
	kept, err := f.store.PutFile(f.ctx, bytes.NewReader(content), "image/"+kind, mostBytes)
	if err != nil {
		return err
	}
	p := record.Photo{
		Unit: job.Unit, Job: job.ID, File: kept.Hash, Media: kept.Media, Width: size.Width, Height: size.Height,
		Caption: board.What, Taken: f.now.Add(-24 * time.Hour), Cover: cover,
	}
	for _, s := range board.Spots {
		p.Spots = append(p.Spots, record.Spot{Name: s.Name.Text, X: s.X, Y: s.Y})
	}
	return f.store.SavePhoto(f.ctx, &p)
}
