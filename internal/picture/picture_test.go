package picture

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"testing"
)

// The picture is well-formed SVG that names its lines and axes.
func TestDraw(t *testing.T) {
	var out bytes.Buffer
	err := Draw(&out, Picture{Title: "life", X: "years", Y: "share in %", FromZero: true,
		Lines: []Line{{Name: "as it is", X: []float64{0, 40}, Y: []float64{0, 180}}, {Name: "end", X: []float64{0, 40}, Y: []float64{100, 100}, Limit: true}}})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{">life<", ">years<", ">share in %<", ">as it is<", ">end<"} {
		if !bytes.Contains(out.Bytes(), []byte(want)) {
			t.Errorf("the picture does not hold %q", want)
		}
	}
	for d := xml.NewDecoder(&out); ; {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	if err := Draw(io.Discard, Picture{Lines: []Line{{}}}); err == nil {
		t.Error("a line without points is drawn")
	}
}

func TestTime(t *testing.T) {
	for end, want := range map[float64]string{1e-4: "µs", 0.1: "ms", 5: "s", 3600: "min", 1e5: "h", 1e9: "years"} {
		if scale, unit := Time(end); unit != want || !(scale > 0) {
			t.Errorf("%g s in %s", end, unit)
		}
	}
}

// A picture in rows names its rows and marks; a mark without its bars is refused.
func TestDrawRows(t *testing.T) {
	rows := Rows{Title: "read", X: "share", Labels: []string{"TP1", "TP2"}, Marks: []Mark{
		{Name: "read so", Values: []float64{1, 0.5}, Below: []float64{0.1, 0}, Above: []float64{0.1, 0}}, {Name: "foretold", Values: []float64{0.9, 0.4}, Below: []float64{0.2, 0.1}, Above: []float64{0.2, 0.3}},
	}}
	var out bytes.Buffer
	if err := DrawRows(&out, rows); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{">TP1<", ">TP2<", ">read so<", ">foretold<", ">share<"} {
		if !bytes.Contains(out.Bytes(), []byte(want)) {
			t.Errorf("the picture does not hold %q", want)
		}
	}
	rows.Marks[0].Below = nil
	if err := DrawRows(io.Discard, rows); err == nil {
		t.Error("a mark without its bars is drawn")
	}
}
