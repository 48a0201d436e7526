package picture_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/internal/picture"
)

// wellFormed reads a picture through.
func wellFormed(svg []byte) error {
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
	}
}

func TestStack(t *testing.T) {
	nan := math.NaN()
	p := picture.Stack{Title: "Rail & case", X: picture.Axis{Label: "time in s"}, Panels: []picture.Panel{
		{Y: picture.Axis{Label: "V"}, Curves: []picture.Curve{{Name: "+5 V", X: []float64{0, 1, 2, 3, 4}, Y: []float64{5, nan, 5, 4, math.Inf(1)}}}, Levels: []picture.Level{{Name: "limit", Value: 4.75}, {Value: math.Inf(1)}}, Spans: []picture.Span{{From: 2.5, To: 2.5}, {From: 9, To: 10}}},
		{Y: picture.Axis{Label: "°C"}, Curves: []picture.Curve{{Name: "case <inside>", X: []float64{0, 4}, Y: []float64{20, 30}, Dashed: true}}},
	}}
	var b bytes.Buffer
	if err := p.SVG(&b); err != nil {
		t.Fatal(err)
	}
	if err := wellFormed(b.Bytes()); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Rail &amp; case", "+5 V", "limit", "case &lt;inside&gt;", "time in s"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("%q is not in the picture", want)
		}
	}
}

func TestNothingToDraw(t *testing.T) {
	for _, p := range []picture.Stack{{}, {Panels: make([]picture.Panel, 1)}, {Panels: []picture.Panel{{Curves: []picture.Curve{{X: []float64{1}, Y: []float64{math.NaN()}}}}}}} {
		if err := p.SVG(io.Discard); err == nil {
			t.Error("an empty picture is drawn")
		}
	}
}

// A peak of a single reading among a hundred thousand is drawn.
func TestPeakIsDrawn(t *testing.T) {
	var c picture.Curve
	for i := range 100_000 {
		c.X, c.Y = append(c.X, float64(i)), append(c.Y, 5)
	}
	draw := func() string {
		var b bytes.Buffer
		p := picture.Stack{Panels: []picture.Panel{{Curves: []picture.Curve{c}, Levels: []picture.Level{{Value: 0}}}}}
		if err := p.SVG(&b); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	flat := draw()
	c.Y[54_321] = 1
	if peak := draw(); peak == flat || len(peak) > 1<<20 {
		t.Errorf("the peak is lost, or the picture is %d bytes", len(peak))
	}
}

// Whatever the numbers, the picture is well formed or refused.
func TestAnyNumbers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.OneOf(rapid.Float64Range(-1e6, 1e6), rapid.Just(math.NaN()), rapid.Just(math.Inf(-1)), rapid.Just(0.0))
		n := rapid.IntRange(0, 20).Draw(t, "points")
		var c picture.Curve
		for i := range n {
			c.X, c.Y = append(c.X, float64(i)), append(c.Y, number.Draw(t, "y"))
		}
		c.Sticks = rapid.Bool().Draw(t, "sticks")
		p := picture.Stack{X: picture.Axis{Log: rapid.Bool().Draw(t, "log x")}, Panels: []picture.Panel{{Y: picture.Axis{Log: rapid.Bool().Draw(t, "log y")}, Curves: []picture.Curve{c}}}}
		var b bytes.Buffer
		if err := p.SVG(&b); err == nil {
			if err := wellFormed(b.Bytes()); err != nil {
				t.Fatal(err)
			}
		}
	})
}
