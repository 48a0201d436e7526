package quantity_test

import (
	"encoding/csv"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"

	"halfsplit/quantity"
)

// These tests read the cases collected from outside the project. Where each
// number comes from is said in testdata/letter-codes.yaml, case by case.

type referenceValue struct {
	Value float64 `yaml:"value"`
	Unit  string  `yaml:"unit"`
	Rel   float64 `yaml:"rel"`
}

type referenceCase struct {
	ID     string `yaml:"id"`
	Inputs struct {
		Code string `yaml:"code"`
		Kind string `yaml:"kind"`
	} `yaml:"inputs"`
	Expected struct {
		Resistance  referenceValue `yaml:"resistance"`
		Capacitance referenceValue `yaml:"capacitance"`
		Tolerance   referenceValue `yaml:"tolerance"`
		RKM         referenceValue `yaml:"resistance_rkm"`
	} `yaml:"expected"`
	Source []string `yaml:"source"`
}

type referenceTable struct {
	Rows   [][]any  `yaml:"rows"`
	Source []string `yaml:"source"`
}

type reference struct {
	Tables map[string]referenceTable `yaml:"tables"`
	Cases  []referenceCase           `yaml:"cases"`
}

// loadReference reads the collected cases whose name starts with a prefix, and
// checks that there are as many as were collected.
func loadReference(t *testing.T, prefix string, count int) (reference, []referenceCase) {
	t.Helper()
	text, err := os.ReadFile("testdata/letter-codes.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var all reference
	if err := yaml.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	var family []referenceCase
	for _, c := range all.Cases {
		if strings.HasPrefix(c.ID, prefix) {
			family = append(family, c)
		}
	}
	if len(family) != count {
		t.Fatalf("%d cases of the family %s, want %d", len(family), prefix, count)
	}
	return all, family
}

// Outside: cases of testdata/letter-codes.yaml only val-rkm-r*. Within: exact.
func TestReferenceResistorCode(t *testing.T) {
	_, family := loadReference(t, "val-rkm-r", 16)
	for _, c := range family {
		t.Run(c.ID, func(t *testing.T) { checkCode(t, c, quantity.Ohm, c.Expected.Resistance.Value) })
	}
}

// Outside: cases of testdata/letter-codes.yaml only val-rkm-c*. Within: exact.
func TestReferenceCapacitorCode(t *testing.T) {
	_, family := loadReference(t, "val-rkm-c", 15)
	for _, c := range family {
		t.Run(c.ID, func(t *testing.T) { checkCode(t, c, quantity.Farad, c.Expected.Capacitance.Value) })
	}
}

// A chip resistor's marking with an R follows the same rule.
//
// Outside: cases of testdata/letter-codes.yaml only val-smd*. Within: exact.
func TestReferenceChipResistorWithLetter(t *testing.T) {
	_, family := loadReference(t, "val-smd", 5)
	for _, c := range family {
		t.Run(c.ID, func(t *testing.T) { checkCode(t, c, quantity.Ohm, c.Expected.Resistance.Value) })
	}
}

// 1M5 is megohms in IEC 60062; the low-ohm reading of some chips is left to
// whoever knows the part.
//
// Outside: cases of testdata/letter-codes.yaml only val-rkm-ambiguous*. Within: exact.
func TestReferenceAmbiguousM(t *testing.T) {
	_, family := loadReference(t, "val-rkm-ambiguous", 1)
	checkCode(t, family[0], quantity.Ohm, family[0].Expected.RKM.Value)
}

// checkCode reads a code, and reads it again after writing it.
func checkCode(t *testing.T, c referenceCase, unit quantity.Unit, want float64) {
	t.Helper()
	got, err := quantity.ParseCode(c.Inputs.Code, unit)
	if err != nil {
		t.Fatal(err)
	}
	if got != (quantity.Quantity{Value: want, Unit: unit}) {
		t.Errorf("ParseCode(%q) = %v, want %g %s (%v)", c.Inputs.Code, got, want, unit, c.Source)
	}
	again, err := quantity.ParseCode(quantity.FormatCode(got), unit)
	if err != nil || again != got {
		t.Errorf("FormatCode(%v) = %q, which is read as %v, %v", got, quantity.FormatCode(got), again, err)
	}
	if strings.ContainsRune(c.Inputs.Code, 'L') {
		return // milliohms are read in codes only
	}
	shorthand, err := quantity.ParseAs(c.Inputs.Code, unit)
	if err != nil || shorthand != got {
		t.Errorf("ParseAs(%q) = %v, %v, want %v", c.Inputs.Code, shorthand, err, got)
	}
}

// Outside: IEC 60062, tolerance letters, quantity/testdata/letter-codes.yaml. Within:
// exact.
func TestReferenceToleranceLetters(t *testing.T) {
	all, _ := loadReference(t, "val-rkm", 32)
	table := all.Tables["tolerance_letters"]
	if len(table.Rows) != 19 {
		t.Fatalf("%d letters, want 19", len(table.Rows))
	}
	for _, row := range table.Rows {
		name := row[0].(string)
		t.Run(name, func(t *testing.T) {
			part := quantity.Quantity{Value: 1e-6, Unit: quantity.Farad}
			if strings.HasSuffix(name, "_resistor") {
				part = quantity.Quantity{Value: 4700, Unit: quantity.Ohm}
			}
			letter := name[:1]
			got, err := quantity.LetterTolerance(letter, part)
			if err != nil {
				t.Fatal(err)
			}
			minus, plus := asFloat(row[1]), asFloat(row[2])
			if got.Unit != quantity.Percent || !near(got.Low, -minus/100, 1e-12) || !near(got.High, plus/100, 1e-12) {
				t.Errorf("letter %s is %v, want -%g..+%g %% (%v)", letter, got, minus, plus, table.Source)
			}
			if back, ok := quantity.ToleranceLetter(got); !ok || back != letter {
				t.Errorf("ToleranceLetter(%v) = %q, %v, want %q", got, back, ok, letter)
			}
		})
	}
}

// Outside: IEC 60062, tolerance letters below 10 pF,
// quantity/testdata/letter-codes.yaml. Within: exact.
func TestReferenceToleranceLettersBelowTenPicofarads(t *testing.T) {
	all, _ := loadReference(t, "val-rkm", 32)
	table := all.Tables["tolerance_letters_small_c"]
	if len(table.Rows) != 5 {
		t.Fatalf("%d letters, want 5", len(table.Rows))
	}
	part := quantity.Quantity{Value: 4.7e-12, Unit: quantity.Farad}
	for _, row := range table.Rows {
		letter := row[0].(string)
		t.Run(letter, func(t *testing.T) {
			got, err := quantity.LetterTolerance(letter, part)
			if err != nil {
				t.Fatal(err)
			}
			spread := asFloat(row[1]) * 1e-12
			if got.Unit != quantity.Farad || !near(got.Low, -spread, 1e-12) || !near(got.High, spread, 1e-12) {
				t.Errorf("letter %s is %v, want ±%g pF (%v)", letter, got, asFloat(row[1]), table.Source)
			}
			if back, ok := quantity.ToleranceLetter(got); !ok || back != letter {
				t.Errorf("ToleranceLetter(%v) = %q, %v, want %q", got, back, ok, letter)
			}
		})
	}
}

// Markings such as 473M 100V end with a tolerance letter, and some with a
// voltage; their other digits are no matter of this package.
//
// Outside: cases of testdata/letter-codes.yaml only val-cap-*. Within: exact.
func TestReferenceLettersOnMarkedCapacitors(t *testing.T) {
	_, family := loadReference(t, "val-cap", 10)
	marking := regexp.MustCompile(`([A-Z])(?: (\d+V))?$`)
	for _, c := range family {
		t.Run(c.ID, func(t *testing.T) {
			parts := marking.FindStringSubmatch(c.Inputs.Code)
			capacitance := quantity.Quantity{Value: c.Expected.Capacitance.Value, Unit: quantity.Farad}
			got, err := quantity.LetterTolerance(parts[1], capacitance)
			if err != nil {
				t.Fatal(err)
			}
			want, err := quantity.Parse(strconv.FormatFloat(c.Expected.Tolerance.Value, 'g', -1, 64) + " " + c.Expected.Tolerance.Unit)
			if err != nil {
				t.Fatal(err)
			}
			if got.Unit != want.Unit || !near(got.High, want.Value, 1e-12) || !near(got.Low, -want.Value, 1e-12) {
				t.Errorf("the letter of %q is %v, want ±%v (%v)", c.Inputs.Code, got, want, c.Source)
			}
		})
	}
}

// Every preferred number (IEC 60063) of every decade that parts are made in is
// written and read without loss, in words and in code.
//
// Outside: IEC 60063, every number of E3 to E192, quantity/testdata/e-series.csv.
// Within: exact.
func TestReferencePreferredNumbers(t *testing.T) {
	file, err := os.Open("testdata/e-series.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 1+3+6+12+24+48+96+192 {
		t.Fatalf("%d rows", len(rows))
	}
	check := func(mantissa string, decade int, unit quantity.Unit) {
		value, err := strconv.ParseFloat(mantissa+"e"+strconv.Itoa(decade), 64)
		if err != nil {
			t.Fatal(err)
		}
		q := quantity.Quantity{Value: value, Unit: unit}
		if got, err := quantity.Parse(q.String()); err != nil || got != q {
			t.Errorf("Parse(%q) = %v, %v", q.String(), got, err)
		}
		if got, err := quantity.ParseCode(quantity.FormatCode(q), unit); err != nil || got != q {
			t.Errorf("ParseCode(%q) = %v, %v, want %v", quantity.FormatCode(q), got, err, q)
		}
		if text := q.String(); len(text) > len("100000 µF") {
			t.Errorf("%q is longer than a preferred value should be", text)
		}
	}
	for _, row := range rows[1:] {
		for decade := -2; decade <= 11; decade++ {
			check(row[2], decade, quantity.Ohm)
		}
		for decade := -13; decade <= -2; decade++ {
			check(row[2], decade, quantity.Farad)
		}
	}
}

func asFloat(number any) float64 {
	switch n := number.(type) {
	case int:
		return float64(n)
	case float64:
		return n
	}
	return math.NaN()
}

// near reports whether two numbers agree within a relative difference.
func near(a, b, relative float64) bool { return math.Abs(a-b) <= relative*math.Abs(b) }
