package marking_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"halfsplit/part/internal/reference"
	"halfsplit/part/marking"
	"halfsplit/quantity"
)

type figure struct {
	Value float64
	Unit  string
}

type referenceCase struct {
	ID     string
	Inputs struct {
		Code, Kind, Bands string
	}
	Expected struct {
		Resistance  *figure
		RKM         *figure `yaml:"resistance_rkm"`
		Milli       *figure `yaml:"resistance_low_ohm_smd_reading"`
		Capacitance *figure
		Tolerance   *figure
		TempCo      *figure
		Voltage     *figure `yaml:"rated_voltage"`
		Valid       *bool
	}
}

// referenceCases reads the cases whose names begin with one of the beginnings, and
// the rows of the tables.
func referenceCases(t *testing.T, beginnings ...string) ([]referenceCase, map[string][][]any) {
	found, tables := reference.Read(t, "values-and-codes.yaml", beginnings...)
	cases := make([]referenceCase, len(found))
	for i, one := range found {
		one.Decode(t, &cases[i])
	}
	return cases, tables
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-9*math.Abs(b) }

// matches tells whether a reading says what a case expects.
func (c referenceCase) matches(r marking.Reading) bool {
	value := func(want *figure, unit quantity.Unit) bool {
		return want == nil || r.Value != nil && r.Value.Unit == unit && near(r.Value.Value, want.Value)
	}
	e := c.Expected
	ok := value(e.Resistance, quantity.Ohm) && value(e.RKM, quantity.Ohm) && value(e.Capacitance, quantity.Farad)
	if e.Tolerance != nil {
		want, unit := e.Tolerance.Value/100, quantity.Percent
		if e.Tolerance.Unit == "pF" {
			want, unit = e.Tolerance.Value*1e-12, quantity.Farad
		}
		ok = ok && r.Tolerance != nil && r.Tolerance.Unit == unit && near(r.Tolerance.High, want)
	}
	if e.TempCo != nil {
		ok = ok && r.TempCo != nil && near(r.TempCo.Value, e.TempCo.Value*1e-6)
	}
	if e.Voltage != nil {
		ok = ok && (len(r.Ratings) > 0 && r.Ratings[0].Unit == quantity.Volt && r.Ratings[0].Value == e.Voltage.Value ||
			r.Kind == marking.Voltage && r.Value.Value == e.Voltage.Value)
	}
	return ok
}

// The worked cases of colour bands, letter and digit codes, EIA-96, chip
// resistors and voltage codes; each names its source.
//
// Outside: cases of ../testdata/values-and-codes.yaml only val-colour-*, val-rkm-*,
// val-cap-*, val-vcode-*, val-eia96-0*, val-eia96-1*, val-eia96-2*, val-eia96-3*,
// val-eia96-4*, val-eia96-5*, val-eia96-6*, val-eia96-9*, val-smd*. Within: 1e-9.
func TestReferenceCases(t *testing.T) {
	cases, _ := referenceCases(t, "val-colour-", "val-rkm-", "val-cap-", "val-vcode-", "val-eia96-0", "val-eia96-1", "val-eia96-2", "val-eia96-3",
		"val-eia96-4", "val-eia96-5", "val-eia96-6", "val-eia96-9", "val-smd")
	if len(cases) < 85 {
		t.Fatalf("%d cases", len(cases))
	}
	for _, c := range cases {
		t.Run(c.ID, func(t *testing.T) {
			text := c.Inputs.Code + c.Inputs.Bands
			pieces, err := marking.Read(text, marking.Context{Kind: marking.Kind(c.Inputs.Kind)})
			if c.Expected.Valid != nil && !*c.Expected.Valid {
				for _, p := range pieces {
					for _, r := range p.Readings {
						if !r.Backwards {
							t.Errorf("read as %v", r)
						}
					}
					if len(p.Refused) == 0 {
						t.Error("no reason is given")
					}
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if len(pieces) != 1 {
				t.Fatalf("read in pieces: %v", pieces)
			}
			milli, matched := c.Expected.Milli == nil, false
			for i, r := range pieces[0].Readings {
				milli = milli || near(r.Value.Value, c.Expected.Milli.Value)
				if !matched && c.matches(r) {
					matched = true
					if i > 0 && c.Inputs.Kind != "" {
						t.Errorf("comes %d., after %v", i+1, pieces[0].Readings[0])
					}
				}
			}
			if matched && milli {
				return
			}
			t.Errorf("not among %v", pieces[0].Readings)
		})
	}
}

// Every row of the tables of colours, tolerance letters, voltage codes and
// multipliers.
//
// Outside: IEC 60062 and the tables of part/testdata/values-and-codes.yaml, sources
// named there. Within: 1e-9.
func TestReferenceTables(t *testing.T) {
	_, tables := referenceCases(t)
	first := func(text string, kind marking.Kind, scheme marking.Scheme) marking.Reading {
		pieces, err := marking.Read(text, marking.Context{Kind: kind})
		if err != nil {
			t.Fatal(text, err)
		}
		for _, r := range pieces[0].Readings {
			if r.Scheme == scheme && !r.Backwards {
				return r
			}
		}
		t.Fatalf("%s: %v", text, pieces)
		return marking.Reading{}
	}
	float := func(x any) float64 { return reference.Number(t, x) }
	checked := 0
	for _, row := range tables["colour_code"] {
		colour := row[0].(string)
		if colour == "none" {
			continue
		}
		r := first(fmt.Sprintf("red red %s brown", colour), marking.Resistor, marking.ColourBands)
		if want := 22 * math.Pow(10, float(row[2])); !near(r.Value.Value, want) {
			t.Errorf("%s as multiplier: %v", colour, r.Value)
		}
		checked++
		if row[1] != nil && float(row[1]) > 0 {
			if r := first(colour+" red black brown", marking.Resistor, marking.ColourBands); !near(r.Value.Value, 10*float(row[1])+2) {
				t.Errorf("%s as digit: %v", colour, r.Value)
			}
			checked++
		}
		if row[3] != nil {
			if r := first("red red black black "+colour, marking.Resistor, marking.ColourBands); !near(r.Tolerance.High, float(row[3])/100) {
				t.Errorf("%s as tolerance: %v", colour, r.Tolerance)
			}
			checked++
		}
		if row[4] != nil {
			if r := first("red red black black brown "+colour, marking.Resistor, marking.ColourBands); !near(r.TempCo.Value, float(row[4])*1e-6) {
				t.Errorf("%s as coefficient: %v", colour, r.TempCo)
			}
			checked++
		}
	}
	for _, name := range []string{"voltage_code", "voltage_code_more"} {
		for _, row := range tables[name] {
			code, volts := row[0].(string), float(row[1])
			if got, ok := marking.CodeVoltage(code); !ok || got != volts {
				t.Errorf("%s is %v V, not %v", code, got, volts)
			}
			if got, ok := marking.VoltageCodeOf(volts); !ok || got != code {
				t.Errorf("%v V is marked %s", volts, got)
			}
			checked++
		}
	}
	for _, row := range tables["tantalum_voltage_letter"] {
		if r := first("106"+row[0].(string), marking.Capacitor, marking.TantalumCode); r.Ratings[0].Value != float(row[1]) {
			t.Errorf("%v: %v", row, r)
		}
		checked++
	}
	for _, row := range tables["third_digit"] {
		if r := first(fmt.Sprintf("47%dK", row[0]), marking.Capacitor, marking.DigitCode); !near(r.Value.Value, 47e-12*float(row[1])) {
			t.Errorf("%v: %v", row, r)
		}
		checked++
	}
	for _, row := range tables["eia96_multiplier"] {
		if r := first("01"+row[0].(string), marking.Resistor, marking.EIA96); !near(r.Value.Value, 100*float(row[1])) {
			t.Errorf("%v: %v", row, r)
		}
		checked++
	}
	for _, row := range tables["tolerance_letters"] {
		letter := row[0].(string)
		if len(letter) > 1 || letter == "E" || letter == "L" { // those of P on resistors, and close resistor grades
			continue
		}
		if r := first("104"+letter, marking.Capacitor, marking.DigitCode); !near(r.Tolerance.High, float(row[2])/100) || !near(-r.Tolerance.Low, float(row[1])/100) {
			t.Errorf("%v: %v", row, r)
		}
		checked++
	}
	if checked < 110 {
		t.Errorf("only %d rows", checked)
	}
	// EIA-96, whole.
	file, err := os.Open(reference.Folder + "/eia96.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil || len(rows) != 97 {
		t.Fatal(len(rows), err)
	}
	for _, row := range rows[1:] {
		want, _ := strconv.ParseFloat(row[1], 64)
		if r := first(row[0]+"A", marking.Resistor, marking.EIA96); !near(r.Value.Value, want) {
			t.Errorf("%s: %v", row[0], r)
		}
	}
}
