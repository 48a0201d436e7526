package instrument

import (
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"
)

// fact is a case of testdata/scpi.yaml.
type fact struct {
	ID       string               `yaml:"id"`
	Inputs   map[string]yaml.Node `yaml:"inputs"` // texts, also those that look like numbers
	Expected map[string]any       `yaml:"expected"`
	Source   []string             `yaml:"source"`
}

func facts(t *testing.T) []fact {
	t.Helper()
	data, err := os.ReadFile("testdata/scpi.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases []fact `yaml:"cases"`
	}
	if err := yaml.Load(data, &file); err != nil {
		t.Fatal(err)
	}
	return file.Cases
}

// text is an input of a fact.
func text(f fact, name string) string {
	node := f.Inputs[name]
	return node.Value
}

// number reads a number of a fact, which is plain or under "value".
func number(t *testing.T, v any) float64 {
	t.Helper()
	switch v := v.(type) {
	case int:
		return float64(v)
	case float64:
		return v
	case map[string]any:
		return number(t, v["value"])
	}
	t.Fatalf("%v (%T) is no number", v, v)
	return 0
}

// TestFacts checks what the manuals of several makers print, and what follows
// from the standards. The sources stand beside each case in testdata/scpi.yaml.
//
// Outside: cases of testdata/scpi.yaml but scpi-block*, scpi-header-*. Within: exact.
func TestFacts(t *testing.T) {
	checks := map[string]func(t *testing.T, f fact) error{
		"scpi-num-": func(t *testing.T, f fact) error {
			n, err := ParseNumber(text(f, "text"))
			if n.Value != number(t, f.Expected["value"]) || string(n.Form) != f.Expected["form"] || n.Meaning != Value {
				t.Errorf("%+v", n)
			}
			return err
		},
		"scpi-nondec-": func(t *testing.T, f fact) error {
			n, err := ParseNumber(text(f, "text"))
			if n.Value != number(t, f.Expected["value"]) || n.Form != NonDecimal {
				t.Errorf("%+v", n)
			}
			return err
		},
		"scpi-special-": func(t *testing.T, f fact) error {
			n, err := ParseNumber(text(f, "text"))
			if string(n.Meaning) != f.Expected["meaning"] {
				t.Errorf("%+v", n)
			}
			if (n.Meaning == Value) == (math.IsNaN(n.Value) || math.IsInf(n.Value, 0)) {
				t.Errorf("the value is %v, and its meaning %s", n.Value, n.Meaning)
			}
			return err
		},
		"scpi-infinity-": func(t *testing.T, f fact) error {
			if infinity != number(t, f.Expected["value"]) {
				t.Error(infinity)
			}
			return nil
		},
		"scpi-idn-edge-": func(t *testing.T, f fact) error {
			i, err := ParseIdentity(text(f, "reply"))
			for n, got := range []string{i.Maker, i.Model, i.Serial, i.Firmware} {
				if want := f.Expected["fields"].([]any)[n]; got != want {
					t.Errorf("field %d is %q, not %q", n+1, got, want)
				}
			}
			return err
		},
		"scpi-idn-": func(t *testing.T, f fact) error {
			i, err := ParseIdentity(text(f, "reply"))
			for name, got := range map[string]string{"manufacturer": i.Maker, "model": i.Model, "serial": i.Serial, "firmware": i.Firmware} {
				if want := f.Expected[name]; got != want {
					t.Errorf("the %s is %q, not %q", name, got, want)
				}
			}
			return err
		},
		"scpi-err-": func(t *testing.T, f fact) error {
			c, err := ParseComplaint(text(f, "reply"))
			if float64(c.Code) != number(t, f.Expected["code"]) || c.Text != f.Expected["text"] || (c.Class() != NoError) != f.Expected["is_error"] {
				t.Errorf("%+v", c)
			}
			return err
		},
		"scpi-port": func(t *testing.T, f fact) error {
			if Port != number(t, f.Expected["port"]) || f.Expected["terminator"] != "LF" {
				t.Error(Port)
			}
			return nil
		},
		"scpi-esr-": func(t *testing.T, f fact) error {
			r, err := ParseEventRegister(text(f, "reply"))
			var want EventRegister
			for _, bit := range f.Expected["bits"].([]any) {
				want |= 1 << int(number(t, bit))
			}
			if r != want {
				t.Errorf("%08b, not %08b", r, want)
			}
			return err
		},
	}
	used := map[string]int{}
	for _, f := range facts(t) {
		if strings.HasPrefix(f.ID, "scpi-block") || strings.HasPrefix(f.ID, "scpi-header-") { // see ORIGIN.md, and package simulator
			continue
		}
		best := ""
		for prefix := range checks {
			if strings.HasPrefix(f.ID, prefix) && len(prefix) > len(best) {
				best = prefix
			}
		}
		if best == "" {
			t.Errorf("nothing checks %s", f.ID)
			continue
		}
		used[best]++
		t.Run(f.ID, func(t *testing.T) {
			if err := checks[best](t, f); err != nil {
				t.Error(err)
			}
		})
	}
	for prefix := range checks {
		if used[prefix] == 0 {
			t.Errorf("no fact %s", prefix)
		}
	}
}

// TestEmptyQueues checks the four spellings of an empty error queue, of which
// one has neither comma nor quotes (5492 manual, table 7-5, B&K Precision).
func TestEmptyQueues(t *testing.T) {
	for _, answer := range []string{`+0,"No error"`, `0,"No error"`, "0 No error", `+0,"No errors"`} {
		if c, err := ParseComplaint(answer); err != nil || c.Code != 0 || !strings.HasPrefix(c.Text, "No error") {
			t.Errorf("%s: %+v, %v", answer, c, err)
		}
	}
}

// TestClasses checks the classes of errors by their codes (SCPI-1999, from
// memory; the codes are printed in the manuals named in testdata/scpi.yaml).
//
// Outside: SCPI-1999, classes of errors, from memory. Within: exact.
func TestClasses(t *testing.T) {
	for code, want := range map[int]Class{
		0: NoError, -100: CommandError, -113: CommandError, -199: CommandError, -200: ExecutionError, -222: ExecutionError,
		-310: DeviceError, -350: DeviceError, -410: QueryError, -440: QueryError, -500: MakerError, 531: MakerError, -1: MakerError,
	} {
		if got := (Complaint{Code: code}).Class(); got != want {
			t.Errorf("%d: %s, not %s", code, got, want)
		}
	}
}

// TestBadAnswers checks that what is no answer is refused, in words that show
// what came.
func TestBadAnswers(t *testing.T) {
	for _, text := range []string{"", " ", "+", "-", ".", "E5", "1E", "1E+", "1.2.3", "1,2", "12 V", "0x10", "1_000", "inf", "NaN", "OL", "#", "#H", "#HG", "#B2", "#Q8", "#H1_0", "+-1", "١", "1E999", "\x001"} {
		if n, err := ParseNumber(text); err == nil {
			t.Errorf("%q is taken for %+v", text, n)
		}
	}
	for _, text := range []string{"", "a,b,c", ",,,", "1.5", "meter"} {
		if i, err := ParseIdentity(text); err == nil {
			t.Errorf("%q is taken for %+v", text, i)
		}
	}
	for _, text := range []string{"", "x", `1.5,"no"`, `1E2,"no"`, `-113,"open`, `-113,"a"b"`, `99999,"too large"`, "+5.0E+00", `"text"`} {
		if c, err := ParseComplaint(text); err == nil {
			t.Errorf("%q is taken for %+v", text, c)
		}
	}
	for _, text := range []string{"", "-1", "256", "1.5", "2E1", "x"} {
		if r, err := ParseEventRegister(text); err == nil {
			t.Errorf("%q is taken for %v", text, r)
		}
	}
	long := strings.Repeat("x", 1000)
	if _, err := ParseNumber(long); err == nil || len(err.Error()) > 250 {
		t.Error("the error of a long answer is", err)
	}
}

func TestWordsOfFailure(t *testing.T) {
	err := error(&Away{Reason: &Failure{Silence, "READ?", "none within 5s"}})
	var f *Failure
	if !errors.As(err, &f) || err.Error() != "not connected: no answer to READ?: none within 5s" {
		t.Error(err)
	}
	if got := (&Failure{Closed, "READ?", "EOF"}).Error(); got != "the connection is gone, at READ?: EOF" {
		t.Error(got)
	}
}
