package main

import (
	"errors"
	"fmt"
	"io"
	"os"

	"halfsplit/internal/dumps"
	"halfsplit/memory"
)

// romCommand looks at dumps of a read-only memory.
type romCommand struct {
	Files    []string `arg:"" help:"Dumps of one memory, in the order in which they were read: bare bytes or Intel HEX."`
	Expect   string   `placeholder:"SUM" help:"The sum or hash that the right image has: CRC-32, MD5, SHA-1 ..., in hexadecimal."`
	Majority string   `placeholder:"FILE" help:"Write the image of the majority."`
	Plot     string   `placeholder:"FILE.svg" help:"Draw where bits are not steady."`
	JSON     bool     `name:"json" help:"Print for a program, as JSON."`
}

// Run reads, compares and prints.
func (c *romCommand) Run(to console) error {
	if err := plotName(c.Plot); err != nil {
		return badInput{err}
	}
	var images []memory.Image
	for _, name := range c.Files {
		text, err := readLimited(name)
		if err != nil {
			return err
		}
		image, err := memory.ParseImage(name, text)
		if err != nil {
			return badInput{fmt.Errorf("%s: %w", name, err)}
		}
		images = append(images, image)
	}
	answer, err := dumps.Ask(images, c.Expect)
	if err != nil {
		return badInput{err}
	}
	if c.Majority != "" {
		if answer.Vote == nil {
			return badInput{errors.New("--majority: one dump has no majority; give two or more")}
		}
		if err := writeFile(c.Majority, func(w io.Writer) error {
			_, err := w.Write(answer.Vote.Majority)
			return err
		}); err != nil {
			return err
		}
	}
	if c.Plot != "" {
		if err := draw(c.Plot, func(w io.Writer) error { return dumps.Draw(w, answer) }); err != nil {
			return err
		}
	}
	if c.JSON {
		return writeJSON(to, answer)
	}
	return dumps.Text(to.out, answer)
}

// readLimited reads a file that is no larger than any image.
func readLimited(name string) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	const most = 256 << 20 // a HEX file takes more than twice its image
	text, err := io.ReadAll(io.LimitReader(f, most+1))
	if err == nil && len(text) > most {
		return nil, badInput{fmt.Errorf("%s is larger than %d MB; it is no dump of a memory", name, most>>20)}
	}
	return text, err
}
