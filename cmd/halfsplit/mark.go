package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"halfsplit/internal/report"
	"halfsplit/part/datecode"
	"halfsplit/part/marking"
	"halfsplit/quantity"
)

// markCommand reads what is marked on a part, or says how a value is marked.
type markCommand struct {
	Text     []string `arg:"" optional:"" help:"What stands on the part, such as 104K, 8312, 4R7J, or the colours of its bands."`
	Kind     string   `placeholder:"KIND" help:"What it is, where known: resistor, capacitor, inductor, voltage, dielectric, safety class, date."`
	UnitYear int      `placeholder:"YEAR" help:"The year in which the unit was made; dates are ranked by it."`
	Now      int      `placeholder:"YEAR" help:"The present year, in place of the clock's."`
	Write    string   `placeholder:"VALUE" help:"The other way round: how a value or a date would be marked, such as \"4.7 kohm 5%\", \"100 nF 10% 100 V\", 1981-09-03 or 1981-W36."`
	JSON     bool     `name:"json" help:"Print for a program, as JSON."`
}

// Help gives examples.
func (markCommand) Help() string {
	return "Every reading that is possible is listed, the likelier first. Examples: halfsplit mark 8312 --unit-year 1981; halfsplit mark brown black red gold; halfsplit mark --write \"4.7 kohm 5%\""
}

// Run reads the marking and prints what it may mean.
func (c *markCommand) Run(to console) error {
	text := strings.Join(c.Text, " ")
	switch {
	case text != "" && c.Write != "":
		return badInput{errors.New("a marking to read and --write are different questions; ask one at a time")}
	case c.Write != "":
		return c.write(to)
	case text == "":
		return badInput{errors.New("say what stands on the part, as in: halfsplit mark 104K")}
	}
	window := datecode.Window{Unit: c.UnitYear, Now: c.now()}
	pieces, err := marking.Read(text, marking.Context{Kind: marking.Kind(c.Kind), Window: window})
	if err != nil {
		return badInput{err}
	}
	list := report.Markings(pieces, c.UnitYear)
	if c.JSON {
		return writeJSON(to, list)
	}
	return report.MarkingText(to.out, list)
}

// now is the present year.
func (c *markCommand) now() int {
	if c.Now != 0 {
		return c.Now
	}
	return time.Now().Year()
}

// written is a marking for a program.
type written struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

// write says how a value or a date is marked.
func (c *markCommand) write(to console) error {
	list, err := c.writings()
	if err != nil {
		return badInput{err}
	}
	if c.JSON {
		return writeJSON(to, list)
	}
	for _, w := range list {
		if _, err := fmt.Fprintf(to.out, "%-28s %s\n", w.Text, w.Code); err != nil {
			return err
		}
	}
	return nil
}

func (c *markCommand) writings() ([]written, error) {
	var list []written
	dates, refused, err := datecode.Read(c.Write, datecode.Window{Now: c.now()})
	if err != nil {
		return nil, err
	}
	for _, d := range dates {
		if d.Form != datecode.PlainDate && d.Form != datecode.PlainWeek {
			continue
		}
		for _, m := range datecode.Write(d.First) {
			list = append(list, written{string(m.Form), m.Text})
		}
		return list, nil
	}
	pieces, err := marking.Read(c.Write, marking.Context{Window: datecode.Window{Now: c.now()}})
	if err == nil && len(pieces) == 1 {
		for _, r := range pieces[0].Readings {
			if r.Scheme != marking.PlainText {
				continue
			}
			p := marking.Part{Value: *r.Value, Tolerance: r.Tolerance}
			for _, q := range r.Ratings {
				if q.Unit == quantity.Volt {
					p.Voltage = q.Value
				}
			}
			if r.TempCo != nil {
				p.TempCo = r.TempCo.Value
			}
			marks, err := marking.Write(p)
			if err != nil {
				return nil, err
			}
			for _, m := range marks {
				list = append(list, written{string(m.Scheme), m.Text})
			}
			return list, nil
		}
	}
	switch {
	case len(refused) > 0 && strings.Contains(c.Write, "-"):
		return nil, fmt.Errorf("--write %q: %s", c.Write, strings.Join(refused, "; "))
	case err != nil:
		return nil, fmt.Errorf("--write: %w", err)
	}
	return nil, fmt.Errorf(`--write %q: write a value with its unit, as in "4.7 kohm 5%%", or a date, as in 1981-09-03 or 1981-W36`, c.Write)
}
