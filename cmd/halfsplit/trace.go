package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"halfsplit/internal/recording"
	"halfsplit/quantity"
	"halfsplit/trace/table"
)

// traceCommands are the commands about what a logger or scope recorded.
type traceCommands struct {
	Import traceImport `cmd:"" help:"Turn an export of a logger, meter or scope into a trace file, which opens at once however long it is."`
	Show   traceShow   `cmd:"" help:"What is in a recording, and how it was read."`
	Events traceEvents `cmd:"" help:"Dropouts, restarts, cycling, steps and drift; how long it ran before it failed, and how hot it was."`
	Warmup traceWarmup `cmd:"" help:"Fit a warm-up, and the drift with temperature."`
	Ripple traceRipple `cmd:"" help:"What the ripple consists of, and what that usually means."`
}

// traceReading says how a file that is no trace file yet is to be read. What is
// not said is guessed.
type traceReading struct {
	Delimiter string            `placeholder:"SIGN" help:"Between fields: comma, semicolon, tab, bar or blank."`
	Decimal   string            `placeholder:"SIGN" help:"Before decimals: . or , (a comma)."`
	Skip      *int              `placeholder:"LINES" help:"Lines before the first row of readings."`
	Time      string            `placeholder:"FIELD" help:"The field of the time, by name or number; none where there is none."`
	TimeForm  string            `placeholder:"FORM" help:"How the time is written: elapsed, unix, 'unix ms', date, 'day first', 'month first', clock or count."`
	TimeUnit  string            `placeholder:"UNIT" help:"Unit of an elapsed time, such as ms."`
	Interval  string            `placeholder:"TIME" help:"Time between readings that have none of their own, such as 1s."`
	Rate      string            `placeholder:"FREQUENCY" help:"Readings a second, in place of the interval, such as 10kHz."`
	Keep      []string          `placeholder:"FIELD" sep:"," help:"The fields to keep, by name or number."`
	Unit      map[string]string `placeholder:"FIELD=UNIT" help:"Unit in which a field is written, such as 2=uV."`
	Across    bool              `help:"The readings of one channel run across the lines."`
	FullScale string            `placeholder:"VOLTS" help:"What full scale of a sound file is, such as 2V."`
}

// reading puts the options together.
func (c *traceReading) reading() (recording.Reading, error) {
	o := table.Options{Delimiter: c.Delimiter, Decimal: c.Decimal, Skip: c.Skip, Time: c.Time, TimeForm: table.Form(c.TimeForm), Channels: c.Keep, Units: c.Unit, Across: c.Across}
	how := recording.Reading{}
	if c.Interval != "" && c.Rate != "" {
		return how, errors.New("--interval and --rate say the same; give one")
	}
	for _, one := range []struct {
		flag, text string
		unit       quantity.Unit
		to         *float64
	}{{"--interval", c.Interval, quantity.Second, &o.Interval}, {"--rate", c.Rate, quantity.Hertz, &o.Interval}, {"--full-scale", c.FullScale, quantity.Volt, &how.FullScale}} {
		if one.text == "" {
			continue
		}
		q, err := quantity.ParseAs(one.text, one.unit)
		if err != nil {
			return how, fmt.Errorf("%s: %w", one.flag, err)
		}
		if !(q.Value > 0) {
			return how, fmt.Errorf("%s: write a value above zero, not %s", one.flag, one.text)
		}
		*one.to = q.Value
	}
	if c.Rate != "" {
		o.Interval = 1 / o.Interval
	}
	if c.TimeUnit != "" {
		q, err := quantity.Parse("1 " + c.TimeUnit)
		if err != nil || q.Unit != quantity.Second {
			return how, fmt.Errorf("--time-unit: %q is no unit of time; write s, ms, us, min or h", c.TimeUnit)
		}
		o.TimeUnit = q.Value
	}
	how.Table = o
	return how, nil
}

// open opens a recording, with progress on a terminal.
func (c *traceReading) open(ctx context.Context, to console, name string) (*recording.Recording, error) {
	how, err := c.reading()
	if err != nil {
		return nil, badInput{err}
	}
	bar := newFileProgress(to.errors, name)
	how.Progress = bar.bytes
	r, err := recording.Open(ctx, name, how)
	bar.clear()
	return r, inputError(err)
}

// inputError marks an error of reading a file as one of the input, unless it was
// cancelled or the file could not be opened at all.
func inputError(err error) error {
	if err == nil || errors.Is(err, context.Canceled) {
		return err
	}
	return badInput{err}
}

// traceImport imports.
type traceImport struct {
	traceReading
	File   string `arg:"" help:"The export: text with any delimiter, also gzipped, or a sound file."`
	Output string `short:"o" placeholder:"FILE.trace" help:"The trace file to write; beside the export when not given."`
	Force  bool   `help:"Replace a trace file that is there already."`
	JSON   bool   `name:"json" help:"Print for a program, as JSON."`
}

// Help says what an import promises.
func (traceImport) Help() string {
	return "How the export was understood is printed; each guess can be overruled. Rows that cannot be used are counted and listed with their line. Ctrl-C leaves nothing half-written."
}

// Run imports a file.
func (c *traceImport) Run(ctx context.Context, to console) error {
	how, err := c.reading()
	if err != nil {
		return badInput{err}
	}
	target := c.Output
	if target == "" {
		base := strings.TrimSuffix(c.File, ".gz")
		target = strings.TrimSuffix(base, filepath.Ext(base)) + ".trace"
	}
	if target == c.File {
		return badInput{fmt.Errorf("%s would be written over itself; choose another name with --output", c.File)}
	}
	if _, err := os.Stat(target); err == nil && !c.Force {
		return badInput{fmt.Errorf("%s is there already; choose another name with --output, or replace it with --force", target)}
	}
	bar := newFileProgress(to.errors, c.File)
	how.Progress = bar.bytes
	done, err := recording.Import(ctx, c.File, target, how)
	bar.clear()
	if err != nil {
		return inputError(err)
	}
	if c.JSON {
		return writeJSON(to, done)
	}
	fmt.Fprintf(to.out, "%s: %d readings of %s\n", done.To, done.Rows, strings.Join(channelsOf(done), ", "))
	for _, n := range done.Notes {
		fmt.Fprintf(to.out, "  %s\n", n)
	}
	return nil
}

// channelsOf lists the channels with their units.
func channelsOf(done *recording.Imported) []string {
	var list []string
	for i, name := range done.Channels {
		if done.Units[i] != "" {
			name += " (" + done.Units[i] + ")"
		}
		list = append(list, name)
	}
	return list
}

// traceWindow is a stretch of a recording.
type traceWindow struct {
	From string `placeholder:"TIME" help:"Begin of the stretch to look at, in the time of the recording, such as 10min."`
	To   string `placeholder:"TIME" help:"End of the stretch."`
}

// window reads the options.
func (c *traceWindow) window() (recording.Window, error) {
	w := recording.Whole()
	for _, one := range []struct {
		flag, text string
		to         *float64
	}{{"--from", c.From, &w.From}, {"--to", c.To, &w.To}} {
		if one.text == "" {
			continue
		}
		q, err := quantity.ParseAs(one.text, quantity.Second)
		if err != nil {
			return w, fmt.Errorf("%s: %w", one.flag, err)
		}
		*one.to = q.Value
	}
	if !(w.From <= w.To) {
		return w, fmt.Errorf("--from %s lies after --to %s", c.From, c.To)
	}
	return w, nil
}

// tracePrint says how an answer is given.
type tracePrint struct {
	Plot string `placeholder:"FILE.svg" help:"Draw it."`
	JSON bool   `name:"json" help:"Print for a program, as JSON."`
}

func (c *tracePrint) check() error {
	if c.Plot != "" && !strings.EqualFold(filepath.Ext(c.Plot), ".svg") {
		return fmt.Errorf("--plot: %s does not end in .svg; the picture is an SVG", c.Plot)
	}
	return nil
}

// answer draws and prints.
func (c *tracePrint) answer(to console, value interface{ Text(io.Writer) error }, draw func(io.Writer) error) error {
	if c.Plot != "" {
		if err := writeFile(c.Plot, draw); err != nil {
			return err
		}
	}
	if c.JSON {
		return writeJSON(to, value)
	}
	return value.Text(to.out)
}

// traceShow shows what is in a recording.
type traceShow struct {
	traceReading
	traceWindow
	tracePrint
	File    string   `arg:"" help:"A trace file, or an export as for import."`
	Channel []string `placeholder:"NAME" sep:"," help:"The channels to draw, by name or number; all when not given."`
	Verify  bool     `help:"Check every checksum of a trace file."`
}

// Run shows a recording.
func (c *traceShow) Run(ctx context.Context, to console) error {
	w, err := c.window()
	if err := errors.Join(err, c.check()); err != nil {
		return badInput{err}
	}
	r, err := c.open(ctx, to, c.File)
	if err != nil {
		return err
	}
	defer r.Close()
	var channels []int
	for _, name := range c.Channel {
		i, err := r.Channel(name)
		if err != nil {
			return badInput{err}
		}
		channels = append(channels, i)
	}
	if len(channels) == 0 {
		for i := range r.Head.Channels {
			channels = append(channels, i)
		}
	}
	if c.Verify {
		if err := r.Verify(ctx); err != nil {
			return inputError(err)
		}
	}
	contents, err := r.Show(ctx, w)
	if err != nil {
		return inputError(err)
	}
	contents.Verified = c.Verify
	return c.answer(to, contents, func(out io.Writer) error { return r.DrawShow(out, w, channels) })
}

// traceBeside says where the temperature was recorded.
type traceBeside struct {
	Temperature string `placeholder:"NAME" help:"The channel of the temperature, by name or number."`
	Thermometer string `placeholder:"FILE" help:"The recording that holds the temperature, where it is another."`
}

// beside opens the other recording, if there is one.
func (c *traceBeside) beside(ctx context.Context, to console) (recording.Thermometer, error) {
	t := recording.Thermometer{Channel: c.Temperature}
	if c.Thermometer == "" {
		return t, nil
	}
	var err error
	t.Other, err = (&traceReading{}).open(ctx, to, c.Thermometer)
	return t, err
}
