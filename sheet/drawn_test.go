package sheet_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"halfsplit/form"
	"halfsplit/sheet"
)

// Places in a drawing as they are written.
func TestDrawn(t *testing.T) {
	for text, want := range map[string]sheet.Drawn{ // the zero one is refused
		"3/2":               {Column: 3, Row: 2},
		"3/2 down":          {Column: 3, Row: 2, Way: sheet.Down},
		"12/2.25 left":      {Column: 12, Row: 2.25, Way: sheet.Left},
		" 1/1  up mirrored": {Column: 1, Row: 1, Way: sheet.Up, Mirror: true},
		"99/99 mirrored":    {Column: 99, Row: 99, Mirror: true},
		"":                  {}, "3": {}, "3,2": {}, "3/": {}, "/2": {}, "0/1": {}, "1/0": {}, "100/1": {}, "1/100": {}, "1.5/1": {}, "-1/2": {}, "1/2.1": {},
		"1/NaN": {}, "1/Inf": {}, "1/2 sideways": {}, "1/2 up down": {}, "1/2 mirrored up": {}, "1/2 mirrored mirrored": {}, "1/2 Down": {}, "a/b": {}, "1/2/3": {},
	} {
		d := sheet.Drawn{Way: sheet.Left, Mirror: true}
		err := d.ReadForm(form.Scalar{Text: text, Place: form.Place{Line: 3, Column: 4}})
		if want.Column == 0 {
			wellRefused(t, text, err)
			continue
		}
		want.Text, want.Place = text, form.Place{Line: 3, Column: 4}
		if err != nil || d != want {
			t.Errorf("%q: %+v, %v", text, d, err)
		}
		if written, err := d.MarshalText(); err != nil || string(written) != text || d.String() != text {
			t.Errorf("%q: written as %q, %v", text, written, err)
		}
	}
}

func FuzzDrawn(f *testing.F) {
	for _, text := range []string{"3/2", "3/2 down", "3/2.5 up mirrored", "3,2 down", "0/0", "1/1e1", "1/0x2", "1/2 down down", "/", " ", "½/1", "\xff/\xff"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var d, again sheet.Drawn
		if err := d.ReadForm(form.Scalar{Text: text}); err != nil {
			wellRefused(t, text, err)
			return
		}
		if d.Column < 1 || d.Column > 99 || !(d.Row >= 1 && d.Row <= 99) {
			t.Errorf("%q is read as %+v", text, d)
		}
		if err := again.ReadForm(form.Scalar{Text: d.String()}); err != nil || !cmp.Equal(d, again) {
			t.Errorf("%q is read as %+v and then as %+v, %v", text, d, again, err)
		}
	})
}
