package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"halfsplit/internal/bench"
	"halfsplit/internal/demo"
	"halfsplit/internal/store"
)

// demoCommand serves the bench with the records of an invented workshop.
type demoCommand struct {
	serving
	Keep string `placeholder:"FOLDER" help:"Keep the records of the demo in this folder, which must be new; they are thrown away at the end when not given."`
}

// Help says what is in it.
func (demoCommand) Help() string {
	return "The Saltmarsh Sound Archive, its machines, makers and people are invented. Try anything: each start has a fresh copy."
}

// Run fills fresh records and serves them until the context ends.
func (c *demoCommand) Run(ctx context.Context, to console) (err error) {
	folder := c.Keep
	if folder == "" {
		if folder, err = os.MkdirTemp("", "halfsplit-demo"); err != nil {
			return err
		}
		defer func() { err = errors.Join(err, os.RemoveAll(folder)) }()
	} else if list, err := os.ReadDir(folder); err == nil && len(list) > 0 {
		return badInput{fmt.Errorf("--keep %s: something is there already; name a new folder", folder)}
	}
	s, err := store.Open(folder, store.Options{})
	if err != nil {
		return err
	}
	w := &workshop{s, bench.New(s, bench.Options{Cache: kept()})}
	defer func() { err = errors.Join(err, w.Close()) }()
	if err := demo.Fill(ctx, w.Store, w.Bench, time.Now()); err != nil {
		return err
	}
	return c.serve(ctx, to, w)
}
