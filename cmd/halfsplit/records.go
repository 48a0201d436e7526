package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"halfsplit/internal/bench"
	"halfsplit/internal/plain"
	"halfsplit/internal/record"
	"halfsplit/internal/store"
)

// recordsFolder says where the records are.
type recordsFolder struct {
	Records string `placeholder:"FOLDER" env:"HALFSPLIT_RECORDS" help:"Where the records are kept; in your own folder for such things when not given."`
}

// folder is where the records are.
func (r recordsFolder) folder() (string, error) {
	if r.Records != "" {
		return r.Records, nil
	}
	base, err := os.UserConfigDir()
	if err != nil {
		return "", badInput{fmt.Errorf("there is no usual folder for records here (%v); name one with --records", err)}
	}
	return filepath.Join(base, "halfsplit", "records"), nil
}

// workshop is the open records and what one does with them.
type workshop struct {
	*store.Store
	*bench.Bench
}

// open opens the records, which are made when there are none.
func (r recordsFolder) open(ctx context.Context) (*workshop, error) {
	folder, err := r.folder()
	if err != nil {
		return nil, err
	}
	s, err := store.Open(folder, store.Options{})
	if err != nil {
		return nil, err
	}
	return &workshop{s, bench.New(s, bench.Options{Cache: kept()})}, nil
}

// with opens the records, does something with them and closes them.
func (r recordsFolder) with(ctx context.Context, do func(*workshop) error) error {
	w, err := r.open(ctx)
	if err != nil {
		return err
	}
	return complaintOf(errors.Join(do(w), w.Close()))
}

// complaintOf marks errors of what was typed as such.
func complaintOf(err error) error {
	var stale *record.Stale
	if bench.IsBadInput(err) || errors.Is(err, record.ErrNotFound) || errors.Is(err, bench.ErrNoSheet) || errors.As(err, &stale) {
		return badInput{err}
	}
	return err
}

// jobNumber reads the number of a job, as in 12 or "job 12".
func jobNumber(text string) (record.ID, error) {
	digits := strings.TrimSpace(strings.TrimPrefix(strings.ToLower(text), "job"))
	n, err := strconv.ParseInt(digits, 10, 64)
	if err != nil || n < 1 {
		return 0, badInput{fmt.Errorf("%q is no job; give its number as halfsplit list jobs shows it, such as 12", text)}
	}
	return record.ID(n), nil
}

// listCommand lists records.
type listCommand struct {
	recordsFolder
	What     string `arg:"" default:"units" help:"One of: units, jobs, entries, swaps, stock, needs, orders, sheets, instruments." enum:"units,jobs,entries,swaps,stock,needs,orders,sheets,instruments"`
	Text     string `short:"t" placeholder:"WORDS" help:"Only those with these words in them."`
	Open     bool   `help:"Only what there is to do: units with open jobs, open jobs, parts wanted."`
	Standing string `placeholder:"WORD" enum:",kept,passed on,donor,gone" default:"" help:"Only units that are kept, passed on, donor or gone."`
	Stage    string `placeholder:"STAGE" enum:",intake,make safe,measure,suspects,repair,prove,hand back" default:"" help:"Only jobs at this stage."`
	Job      string `placeholder:"JOB" help:"Only entries or needs of this job."`
	Short    bool   `help:"Only stock that has run short."`
	CSV      bool   `name:"csv" help:"Print for a spreadsheet."`
	JSON     bool   `name:"json" help:"Print for a program, as JSON."`
}

// Run lists.
func (c *listCommand) Run(ctx context.Context, to console) error {
	chosen := bench.Chosen{Text: c.Text, Standing: record.Standing(c.Standing), Stage: record.Stage(c.Stage), Open: c.Open, Short: c.Short}
	if c.Job != "" {
		var err error
		if chosen.Job, err = jobNumber(c.Job); err != nil {
			return err
		}
	}
	return c.with(ctx, func(w *workshop) error {
		list, err := bench.List(ctx, w.Store, c.What, chosen)
		if err != nil {
			return err
		}
		switch {
		case c.CSV:
			return list.CSV(to.out)
		case c.JSON:
			return writeJSON(to, list.Objects())
		case len(list.Rows) == 0:
			p := plain.To(to.out)
			p.Line("No %s.", c.What)
			return p.Err()
		}
		return printColumns(to, list)
	})
}

// printColumns prints a list in columns, those without anything in them left
// out, long cells cut.
func printColumns(to console, list *bench.Listing) error {
	const widest = 60
	var rows [][]string
	for _, r := range append([][]string{list.Header}, list.Rows...) {
		var cells []string
		for i, cell := range r {
			if list.Empty(i) {
				continue
			}
			if runes := []rune(strings.Join(strings.Fields(cell), " ")); len(runes) > widest {
				cell = string(runes[:widest-1]) + "…"
			}
			cells = append(cells, cell)
		}
		rows = append(rows, cells)
	}
	p := plain.To(to.out)
	p.Columns(rows)
	return p.Err()
}

// findCommand searches everything.
type findCommand struct {
	recordsFolder
	Words []string `arg:"" help:"Words to look for in everything that is kept."`
	Most  int      `default:"20" help:"Print at most so many."`
	JSON  bool     `name:"json" help:"Print for a program, as JSON."`
}

// Run searches.
func (c *findCommand) Run(ctx context.Context, to console) error {
	if c.Most < 1 || c.Most > 1000 {
		return badInput{fmt.Errorf("--most is %d; give 1 to 1000", c.Most)}
	}
	return c.with(ctx, func(w *workshop) error {
		hits, err := w.Search(ctx, strings.Join(c.Words, " "), nil, c.Most)
		if err != nil {
			return err
		}
		if c.JSON {
			return writeJSON(to, hits)
		}
		p := plain.To(to.out)
		if len(hits) == 0 {
			p.Line("Nothing found.")
		}
		for _, h := range hits {
			p.Line("%s %d: %s", h.Kind, h.ID, h.Title)
			text := ""
			for _, s := range h.Snippet {
				if s.Found {
					text += "[" + s.Text + "]"
				} else {
					text += s.Text
				}
			}
			if text = strings.Join(strings.Fields(text), " "); text != "" {
				p.Line("    %s", text)
			}
		}
		return p.Err()
	})
}
