package metrology_test

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"
)

// tradeFile is measurement.yaml or supply-rails.yaml.
type tradeFile struct {
	Topic   string                `yaml:"topic"`
	Sources map[string]any        `yaml:"sources"`
	Tables  map[string]tradeTable `yaml:"tables"`
	Cases   []tradeCase           `yaml:"cases"`
}

type tradeTable struct {
	Checks  string   `yaml:"checks"`
	Columns []string `yaml:"columns"`
	Rows    [][]any  `yaml:"rows"`
	Source  []string `yaml:"source"`
	How     string   `yaml:"how"`
	Note    string   `yaml:"note"`
}

type tradeCase struct {
	ID       string           `yaml:"id"`
	Checks   string           `yaml:"checks"`
	Inputs   map[string]datum `yaml:"inputs"`
	Expected map[string]datum `yaml:"expected"`
	Source   []string         `yaml:"source"`
	How      string           `yaml:"how"`
	Note     string           `yaml:"note"`
}

// datum is a plain scalar or a quantity. Quantities are held in SI units.
type datum struct {
	scalar              any
	quantity            bool
	value, min, max     *float64
	absolute, relative  float64
	hasAbsolute, hasRel bool
}

// siUnits turns the units of the files into SI. Percentages become fractions.
var siUnits = map[string]float64{
	"": 1, "V": 1, "mV": 1e-3, "A": 1, "mA": 1e-3, "ohm": 1, "ohm/V": 1, "W": 1, "C": 1, "K": 1, "Hz": 1,
	"%": 0.01, "ppm/K": 1e-6, "ns": 1e-9, "pF": 1e-12, "uF": 1e-6, "V/us": 1e6, "A/us": 1e6, "A/s": 1, "VA": 1,
}

// UnmarshalYAML reads a scalar, or a map with value, min, max, unit, abs and
// rel.
func (d *datum) UnmarshalYAML(node *yaml.Node) error {
	if node.Kind == yaml.ScalarNode {
		return node.Decode(&d.scalar)
	}
	var q map[string]any
	if err := node.Decode(&q); err != nil {
		return err
	}
	unit, _ := q["unit"].(string)
	scale, known := siUnits[unit]
	if !known {
		return fmt.Errorf("line %d: unknown unit %q", node.Line, unit)
	}
	d.quantity = true
	for key, raw := range q {
		if key == "unit" {
			continue
		}
		v, err := number(raw)
		if err != nil {
			return fmt.Errorf("line %d: %w", node.Line, err)
		}
		scaled := v * scale
		switch key {
		case "value":
			d.value = &scaled
		case "min":
			d.min = &scaled
		case "max":
			d.max = &scaled
		case "abs":
			d.absolute, d.hasAbsolute = scaled, true
		case "rel":
			d.relative, d.hasRel = v, true
		default:
			return fmt.Errorf("line %d: unknown key %q", node.Line, key)
		}
	}
	return nil
}

// si returns an input in SI units, or a plain number as it stands.
func (c tradeCase) si(name string) float64 {
	d, ok := c.Inputs[name]
	switch {
	case !ok:
		panic(fmt.Sprintf("%s: no input %q", c.ID, name))
	case d.value != nil:
		return *d.value
	}
	return must(number(d.scalar))
}

// text returns an input that is a word.
func (c tradeCase) text(name string) string { return c.Inputs[name].scalar.(string) }

// results holds what a test calculated, under the names of the case: float64
// in SI units, a pair for a range, or a word.
type results map[string]any

// method calculates the cases whose id matches.
type method struct {
	id        string
	calculate func(c tradeCase) results
}

// runTrade runs every case of a file by the one method that matches its id.
// Cases in elsewhere are not about readings and limits; each is named with
// the reason, so that a new case cannot slip through.
func runTrade(t *testing.T, name string, methods []method, elsewhere map[string]string) {
	t.Helper()
	var file tradeFile
	load(t, name, &file)
	used, passedOn := map[string]bool{}, map[string]bool{}
	for _, c := range file.Cases {
		if _, other := elsewhere[c.ID]; other {
			passedOn[c.ID] = true
			continue
		}
		t.Run(c.ID, func(t *testing.T) {
			var matching []method
			for _, m := range methods {
				if regexp.MustCompile("^(?:" + m.id + ")$").MatchString(c.ID) {
					matching = append(matching, m)
				}
			}
			if len(matching) != 1 {
				t.Fatalf("%d calculations match this case; exactly one must", len(matching))
			}
			used[matching[0].id] = true
			got := matching[0].calculate(c)
			if len(c.Expected) == 0 {
				t.Fatal("the case expects nothing")
			}
			for key, want := range c.Expected {
				if err := want.compare(got[key]); err != nil {
					t.Errorf("%s: %v", key, err)
				}
			}
		})
	}
	for _, m := range methods {
		if !used[m.id] {
			t.Errorf("no case matches %q", m.id)
		}
	}
	for id := range elsewhere {
		if !passedOn[id] {
			t.Errorf("%q is said to belong elsewhere, and is not in the file", id)
		}
	}
}

// compare returns what is wrong with a result.
func (d datum) compare(got any) error {
	if !d.quantity {
		if fmt.Sprint(got) != fmt.Sprint(d.scalar) {
			return fmt.Errorf("got %v, want %v", got, d.scalar)
		}
		return nil
	}
	if d.value == nil {
		pair, ok := got.([2]float64)
		if !ok || d.min == nil || d.max == nil || !near(pair[0], *d.min, 0) || !near(pair[1], *d.max, 0) {
			return fmt.Errorf("got %v, want a range of %v to %v", got, d.min, d.max)
		}
		return nil
	}
	g, ok := got.(float64)
	if !ok {
		return fmt.Errorf("got %v, want the number %g", got, *d.value)
	}
	tolerance := d.absolute + d.relative*math.Abs(*d.value)
	if !d.hasAbsolute && !d.hasRel {
		tolerance = 1e-12 * math.Abs(*d.value) // exact as printed
	}
	if !near(g, *d.value, tolerance) {
		return fmt.Errorf("got %.12g, want %.12g ± %.2g", g, *d.value, tolerance)
	}
	return nil
}

// rows returns a table of a file as maps from column to entry.
func rows(t *testing.T, file tradeFile, table string) []map[string]any {
	t.Helper()
	tab, ok := file.Tables[table]
	if !ok || len(tab.Rows) == 0 {
		t.Fatalf("no table %q", table)
	}
	var all []map[string]any
	for _, row := range tab.Rows {
		entries := map[string]any{}
		for i, column := range tab.Columns {
			entries[column] = row[i]
		}
		all = append(all, entries)
	}
	return all
}

// fromMemory reports whether a source admits that it was recalled.
func fromMemory(source string) bool { return strings.Contains(source, "from memory") }
