package main

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"sync"
	"time"

	"halfsplit/instrument"
	"halfsplit/internal/watch"
	"halfsplit/sheet"
)

// watchCommand watches live meters.
type watchCommand struct {
	Meters  []string `arg:"" optional:"" name:"meter" help:"A name and where the meter is, as in +5=192.168.1.20 or heatsink=/dev/ttyUSB0; behind it, in the same quotes, measure=, limits=, with=, probe=, first=, timeout=, baud=, frame=. Write -- before a name that begins with a minus. See docs/meters.md."`
	Sheet   string   `placeholder:"FILE" help:"Service sheet: a meter named like a test point or rail is judged by its limits."`
	Every   string   `default:"1s" help:"Time between readings, from 10ms."`
	For     string   `placeholder:"TIME" help:"End by itself after this time, such as 45min."`
	Trace   string   `placeholder:"FILE" help:"File to keep the readings in; it must not exist. Named after the date and time when not given."`
	NoTrace bool     `help:"Keep the readings nowhere."`
	Pretend bool     `help:"Take simulated meters, for trying it out: for every name without an address, or for a supply that shuts down when warm."`
	Ports   bool     `help:"List the serial ports, and do nothing else."`
	JSON    bool     `name:"json" help:"Print for a program, as lines of JSON."`

	soakRuns
}

// Run connects the meters, and watches until it is interrupted.
func (c *watchCommand) Run(ctx context.Context, to console) error {
	if c.Ports {
		return listPorts(to)
	}
	every, err := watch.Duration(c.Every, 10*time.Millisecond, 24*time.Hour)
	if err != nil {
		return badInput{fmt.Errorf("--every: %w", err)}
	}
	if c.For != "" {
		limit, err := watch.Duration(c.For, every, 365*24*time.Hour)
		if err != nil {
			return badInput{fmt.Errorf("--for: %w", err)}
		}
		var stop context.CancelFunc
		ctx, stop = context.WithCancel(ctx)
		defer stop()
		defer time.AfterFunc(limit+every/2, stop).Stop()
	}
	if c.Trace != "" && c.NoTrace {
		return badInput{errors.New("--trace and --no-trace exclude each other; give one")}
	}
	wanted, channels, err := c.wanted()
	if err != nil {
		return err
	}
	proof, err := c.soak(ctx, to, channels, every)
	if err != nil {
		return err
	}
	return c.watch(ctx, to, wanted, channels, every, proof)
}

func listPorts(to console) error {
	ports, err := instrument.SerialPorts()
	if err != nil {
		return fmt.Errorf("cannot list the serial ports: %w", err)
	}
	if len(ports) == 0 {
		fmt.Fprintln(to.errors, "no serial port was found")
	}
	for _, p := range ports {
		fmt.Fprintln(to.out, p)
	}
	return nil
}

// wanted reads which meters are meant, and what they should read.
func (c *watchCommand) wanted() ([]watch.Wanted, []watch.Channel, error) {
	texts := c.Meters
	switch {
	case len(texts) == 0 && c.Pretend:
		texts = watch.Demonstration()
	case len(texts) == 0:
		return nil, nil, badInput{errors.New("name a meter and where it is, as in halfsplit watch +5=192.168.1.20; or try it without a meter: halfsplit watch --pretend")}
	}
	var s *sheet.Sheet
	if c.Sheet != "" {
		var err error
		if s, err = sheet.Load(c.Sheet); err != nil {
			return nil, nil, err
		}
	}
	var wanted []watch.Wanted
	var channels []watch.Channel
	for _, text := range texts {
		w, err := watch.ParseWanted(text, c.Pretend)
		if err != nil {
			return nil, nil, badInput{err}
		}
		channel, err := watch.NewChannel(w, s)
		if err != nil {
			return nil, nil, badInput{err}
		}
		wanted, channels = append(wanted, w), append(channels, channel)
	}
	if err := watch.Distinct(wanted); err != nil {
		return nil, nil, badInput{err}
	}
	return wanted, channels, nil
}

// watch connects the meters and runs the watch.
func (c *watchCommand) watch(ctx context.Context, to console, wanted []watch.Wanted, channels []watch.Channel, every time.Duration, proof *watch.Soak) (err error) {
	ctx, stop := context.WithCancel(ctx) // ends simulated meters too
	defer stop()
	for i := range wanted {
		if wanted[i].Pretend {
			if err := watch.Pretend(ctx, &wanted[i], &channels[i], rand.New(rand.NewPCG(1981, uint64(i))), time.Now); err != nil {
				return err
			}
		}
	}
	kept, err := connect(ctx, wanted)
	defer func() {
		for _, k := range kept {
			if k != nil {
				k.Close()
			}
		}
	}()
	if err != nil {
		return err
	}
	sources := make([]watch.Source, len(kept))
	for i, k := range kept {
		channels[i].SetAbout(k.Meter().Identity, wanted[i])
		sources[i] = k
	}
	begun := time.Now()
	name := c.Trace
	if name == "" && !c.NoTrace {
		name = begun.Format("watch-2006-01-02-150405.csv")
	}
	tally := watch.NewTally(channels)
	sinks := watch.Sinks{tally}
	if name != "" {
		log, err := watch.Create(name, begun, every, channels)
		if errors.Is(err, os.ErrExist) {
			return badInput{fmt.Errorf("%s exists; name another file with --trace", name)}
		}
		if err != nil {
			return err
		}
		defer func() {
			if closing := log.Close(); err == nil {
				err = closing
			}
		}()
		sinks = append(sinks, log)
	}
	if proof != nil {
		sinks = append(sinks, proof)
	}
	sinks = append(sinks, c.display(to, channels, tally, name, begun, proof)...)
	for i, k := range kept {
		for _, text := range k.History() {
			if err := sinks.Note(watch.Note{Time: begun, Channel: channels[i].Name, Text: text}); err != nil {
				return err
			}
		}
	}
	ticker := time.NewTicker(every)
	defer ticker.Stop()
	if err := watch.Run(ctx, channels, sources, ticker.C, time.Now, sinks); err != nil {
		return err
	}
	if proof != nil {
		if err := proof.Finish(); err != nil {
			return err
		}
	}
	if c.JSON {
		if proof != nil {
			if err := (&watch.SoakLines{To: to.out, Soak: proof, JSON: true}).Write(proof.Now); err != nil {
				return err
			}
		}
		return (&watch.JSON{To: to.out}).End(tally, name)
	}
	if err := watch.Sum(to.out, tally, channels, name); err != nil || proof == nil {
		return err
	}
	fmt.Fprintln(to.out)
	return proven(to, proof)
}

// display says what is watched, and makes what shows the readings and, unless
// nil, the soak.
func (c *watchCommand) display(to console, channels []watch.Channel, tally *watch.Tally, name string, begun time.Time, proof *watch.Soak) watch.Sinks {
	var shown watch.Sinks
	switch {
	case c.JSON:
		shown = watch.Sinks{&watch.JSON{To: to.out, Channels: channels}}
	case isTerminal(to.out):
		screen := watch.NewScreen(to.out, channels, tally, name, begun)
		screen.Soak = proof
		shown, proof = watch.Sinks{screen}, nil
	default:
		shown = watch.Sinks{&watch.Lines{To: to.out, Channels: channels}}
	}
	if !c.JSON {
		for i := range channels {
			fmt.Fprintln(to.out, channels[i].Describe())
		}
	}
	if proof != nil {
		shown = append(shown, &watch.SoakLines{To: to.out, Soak: proof, JSON: c.JSON})
	}
	return shown
}

// connect connects all meters at once. What was connected is returned even when
// others were not, to be closed.
func connect(ctx context.Context, wanted []watch.Wanted) ([]*instrument.Kept, error) {
	kept, faults := make([]*instrument.Kept, len(wanted)), make([]error, len(wanted))
	var connecting sync.WaitGroup
	for i, w := range wanted {
		connecting.Go(func() {
			k, err := instrument.Keep(ctx, w.Setup, time.Now)
			if err != nil {
				faults[i] = fmt.Errorf("meter %q: %w", w.Name, err)
				return
			}
			kept[i] = k
		})
	}
	connecting.Wait()
	return kept, errors.Join(faults...)
}
