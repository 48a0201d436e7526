package logbook_test

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"halfsplit/form"
	"halfsplit/logbook"
)

// Accuracies as manuals write them. Common practice, no source.
func TestAccuracy(t *testing.T) {
	type parts struct{ reading, digits float64 }
	refused := parts{-1, -1}
	for text, want := range map[string]parts{
		"0.5 % + 2 digits":            {0.005, 2},
		"0.5%+2":                      {0.005, 2},
		"±0.5 % + 2 digits":           {0.005, 2},
		"±(0.5 % + 2)":                {0.005, 2},
		"+/-(0.5 % + 2 counts)":       {0.005, 2},
		"+-0.5 % + 1 digit":           {0.005, 1},
		"0.5 % of reading + 2 digits": {0.005, 2},
		"0.5% rdg + 3 dgt":            {0.005, 3},
		"±(0.8% Rdg. + 2 Dgts)":       {0.008, 2},
		"0.05 % + 5d":                 {0.0005, 5},
		"0.05 % + 5 LSD":              {0.0005, 5},
		"50 ppm + 4 counts":           {50e-6, 4},
		"1 %":                         {0.01, 0},
		"0 %":                         {0, 0},
		"100 %":                       {1, 0},
		" 1 % + 0 digits ":            {0.01, 0},
		"2 digits":                    refused, // no share of the reading
		"0.5 + 2":                     refused,
		"0.5 V":                       refused,
		"-1 %":                        refused,
		"101 %":                       refused,
		"0.5 % + -2 digits":           refused,
		"0.5 % + two digits":          refused,
		"0.5 % + 2 % of range":        refused, // not kept in digits
		"0.5 % + 1e3":                 refused,
		"0.5 % + 2 digits + 1":        refused,
		"0.5 % + 99999999":            refused,
		"0,5 % + 2":                   refused,
		"1.2.3 %":                     refused,
		"0.5 % + 1.2.3":               refused,
		"":                            refused,
		"%":                           refused,
		"+":                           refused,
		"good":                        refused,
	} {
		a := logbook.Accuracy{Reading: 7, Digits: 7}
		err := a.ReadForm(form.Scalar{Text: text})
		if want == refused {
			var mistake *form.Mistake
			if !errors.As(err, &mistake) || mistake.Message == "" || mistake.Hint == "" || mistake.Offset < 0 || mistake.Offset > len(text) {
				t.Errorf("%q: %#v", text, err)
			}
			continue
		}
		if got := (parts{a.Reading, a.Digits}); err != nil || got != want {
			t.Errorf("%q: %+v, %v; want %+v", text, got, err, want)
		}
		if written, err := a.MarshalText(); err != nil || string(written) != text {
			t.Errorf("%q is written as %q", text, written)
		}
	}
}

// What is taken is a share and digits that a meter can have.
func FuzzAccuracy(f *testing.F) {
	for _, text := range []string{"0.5 % + 2 digits", "±(0.5 % rdg + 2 dgt)", "50 ppm + 4 counts", "1 %", "+", "%", "1.1.1 %", "0.5 % + 9e9", "0.5 % + ", "(((0.5 %", "١ %"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var first, second logbook.Accuracy
		if err := first.ReadForm(form.Scalar{Text: text}); err != nil {
			var mistake *form.Mistake
			if !errors.As(err, &mistake) || mistake.Offset < 0 || mistake.Offset > len(text) || mistake.Hint == "" {
				t.Errorf("%q: %#v", text, err)
			}
			return
		}
		if !(first.Reading >= 0 && first.Reading <= 1 && first.Digits >= 0 && first.Digits <= 1e6) {
			t.Errorf("%q: %+v", text, first)
		}
		if err := second.ReadForm(form.Scalar{Text: first.Text}); err != nil || !cmp.Equal(first, second) {
			t.Errorf("%q is read as %+v and then as %+v", text, first, second)
		}
	})
}
