package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"

	"halfsplit/hazard"
	"halfsplit/internal/safety"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// hazardCommand lists what can hurt in a unit.
type hazardCommand struct {
	File       string  `arg:"" help:"The service sheet."`
	Mains      string  `placeholder:"VOLTAGE" help:"The mains it is run on, in place of the sheet's."`
	Frequency  string  `placeholder:"FREQUENCY" help:"Mains frequency; the sheet's, or 50Hz."`
	Class      string  `placeholder:"CLASS" help:"Protection class: I, I-hand-held, II or III."`
	Power      string  `placeholder:"POWER" help:"What it takes from the mains, such as 60W, for the choice of a series lamp."`
	Supply     string  `placeholder:"KIND" help:"linear or switching: how its supply behaves behind a lamp."`
	Safe       string  `default:"50V" placeholder:"VOLTAGE" help:"Voltage down to which a capacitor is discharged; some codes ask for 60V, others for 30V."`
	Within     string  `default:"1min" placeholder:"TIME" help:"Time that a fitted bleeder may take."`
	Filter     string  `placeholder:"CAPACITANCE" help:"Capacitance from the mains to touchable metal, such as 4.7nF, for the touch current."`
	Lead       float64 `placeholder:"METRES" help:"Length of the mains lead through which the earth is measured, in metres."`
	Section    float64 `placeholder:"MM2" help:"Section of its earth conductor in mm²; 0.75 when not given."`
	Earth      string  `placeholder:"RESISTANCE" help:"A reading: from the earth pin to touchable metal."`
	Insulation string  `placeholder:"RESISTANCE" help:"A reading: insulation at 500 V DC."`
	Touch      string  `placeholder:"CURRENT" help:"A reading: touch current, such as 0.3mA."`
	Hot        string  `placeholder:"VOLTAGE" help:"A reading: voltage across 1500 ohm beside 0.15 uF from touchable metal to earth ground."`
	Plot       string  `placeholder:"FILE.svg" help:"Draw the discharge curves."`
	JSON       bool    `name:"json" help:"Print for a program, as JSON."`
}

// Help says where the list comes from.
func (hazardCommand) Help() string {
	return "The list holds the hazards of the sheet and those that follow from its parts. Local codes come first; leave what you are not practised or licensed for to those who are."
}

// Run prints the list.
func (c *hazardCommand) Run(to console) error {
	answers, err := c.answers()
	if err != nil {
		return badInput{err}
	}
	s, err := sheet.Load(c.File)
	if err != nil {
		return err
	}
	r, err := safety.Assess(s, answers)
	if err != nil {
		return badInput{fmt.Errorf("%s: %w", c.File, err)}
	}
	if c.Plot != "" {
		if err := draw(c.Plot, func(w io.Writer) error { return safety.Draw(w, r) }); err != nil {
			return err
		}
	}
	if c.JSON {
		return writeJSON(to, r)
	}
	return safety.Text(to.out, r)
}

// answers reads the options.
func (c *hazardCommand) answers() (safety.Answers, error) {
	a := safety.Answers{Lead: hazard.Lead{Length: c.Lead, Section: c.Section}}
	readings := map[string]*float64{}
	for _, o := range []struct {
		flag, text string
		unit       quantity.Unit
		into       *float64
		zero       bool // zero makes sense
	}{
		{"--mains", c.Mains, quantity.Volt, &a.Mains, false}, {"--frequency", c.Frequency, quantity.Hertz, &a.Frequency, false},
		{"--power", c.Power, quantity.Watt, &a.Power, false}, {"--safe", c.Safe, quantity.Volt, &a.Safe, false},
		{"--within", c.Within, quantity.Second, &a.Within, false}, {"--filter", c.Filter, quantity.Farad, &a.Filter, false},
		{"--earth", c.Earth, quantity.Ohm, nil, true}, {"--insulation", c.Insulation, quantity.Ohm, nil, true},
		{"--touch", c.Touch, quantity.Ampere, nil, true}, {"--hot", c.Hot, quantity.Volt, nil, true},
	} {
		if o.text == "" {
			continue
		}
		q, err := quantity.ParseAs(o.text, o.unit)
		switch {
		case err != nil:
			return a, fmt.Errorf("%s: %w", o.flag, err)
		case q.Value < 0:
			return a, fmt.Errorf("%s is %s; it cannot be below zero", o.flag, q)
		case q.Value == 0 && !o.zero:
			return a, fmt.Errorf("%s is %s; it must be above zero", o.flag, q)
		}
		if o.into != nil {
			*o.into = q.Value
		} else {
			readings[o.flag] = &q.Value
		}
	}
	a.Earth, a.Insulation, a.Touch, a.Hot = readings["--earth"], readings["--insulation"], readings["--touch"], readings["--hot"]
	if c.Class != "" {
		a.Class = hazard.Class("class " + strings.Replace(strings.TrimPrefix(strings.TrimPrefix(c.Class, "class "), "class-"), "-hand-held", " hand-held", 1))
		if _, _, err := hazard.TouchLimit(a.Class); err != nil {
			return a, fmt.Errorf("--class: %q is none; write I, I-hand-held, II or III", c.Class)
		}
	}
	a.Supply = hazard.Supply(c.Supply)
	switch {
	case c.Supply != "" && a.Supply != hazard.LinearSupply && a.Supply != hazard.SwitchingSupply:
		return a, fmt.Errorf("--supply: %q is none; write linear or switching", c.Supply)
	case c.Lead < 0 || c.Section < 0 || math.IsInf(c.Lead+c.Section, 0) || math.IsNaN(c.Lead+c.Section):
		return a, errors.New("--lead and --section cannot be below zero")
	case a.Mains > 1000:
		return a, fmt.Errorf("--mains is %s; write the voltage of the mains, such as 230V", c.Mains)
	}
	return a, plotName(c.Plot)
}

// plotName checks the name of a picture.
func plotName(name string) error {
	if name != "" && !strings.EqualFold(filepath.Ext(name), ".svg") {
		return fmt.Errorf("--plot: %s does not end in .svg; the picture is an SVG", name)
	}
	return nil
}

// draw makes a picture and writes it; when it cannot be made no file is.
func draw(name string, make func(io.Writer) error) error {
	var b strings.Builder
	if err := make(&b); err != nil {
		return badInput{fmt.Errorf("--plot: %w", err)}
	}
	return writeFile(name, func(w io.Writer) error {
		_, err := io.WriteString(w, b.String())
		return err
	})
}
