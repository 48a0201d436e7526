package paper

import (
	"math"

	"halfsplit/quantity"
)

// Reading is a value that was read, with its limits.
type Reading struct {
	Name        string
	Value       float64
	Uncertainty float64 // expanded
	Low, High   float64 // limits; infinite for a free side
	Unit        quantity.Unit
}

// Bands draws readings against their limits, before and after: for each place
// the band of what is right, and each reading as a mark with its uncertainty as
// a whisker. A scale of its own makes each row's band equally wide. Before may
// lack a place (Name is "").
func Bands(before, after []Reading) Drawing {
	const width, row, left, right = 460., 34., 96., 12.
	d := Drawing{Width: width, Height: row*float64(len(after)) + 18}
	for i := range after {
		y := row*float64(i) + 18
		a := after[i]
		place := scale(a, left, width-right)
		from, to := place(a.Low), place(a.High)
		d.add(Area{Point{from, y - 9}, to - from, 18, Pale})
		d.add(Label{Point{left - 8, y + 3}, a.Name, 9, 1, Black})
		d.add(Stroke{Points: []Point{{left, y + 9}, {width - right, y + 9}}, Thick: 0.4, Ink: Grey})
		if !math.IsInf(a.Low, 0) {
			d.add(Label{Point{from, y + 17}, number(a.Low, a.Unit), 7, anchor(from, left, width-right), Grey})
		}
		if !math.IsInf(a.High, 0) {
			d.add(Label{Point{to, y + 17}, number(a.High, a.Unit), 7, anchor(to, left, width-right), Grey})
		}
		if i < len(before) && before[i].Name != "" {
			d.mark(before[i], place, y-4, Grey, "before ")
		}
		d.mark(a, place, y+4, Accent, "")
	}
	return d
}

func (d *Drawing) add(s ...Shape) { d.Shapes = append(d.Shapes, s...) }

// anchor keeps a label within the frame.
func anchor(x, left, right float64) int {
	switch {
	case x < left+20:
		return -1
	case x > right-20:
		return 1
	}
	return 0
}

// mark draws a reading: a stroke across, its whisker, and its value beside it.
func (d *Drawing) mark(r Reading, place func(float64) float64, y float64, ink Ink, before string) {
	x, from, to := place(r.Value), place(r.Value-r.Uncertainty), place(r.Value+r.Uncertainty)
	d.add(Stroke{Points: []Point{{from, y}, {to, y}}, Thick: 1, Ink: ink},
		Stroke{Points: []Point{{x, y - 4}, {x, y + 4}}, Thick: 2, Ink: ink})
	at, side := math.Max(x, to)+4, -1
	if x > 340 {
		at, side = math.Min(x, from)-4, 1
	}
	d.add(Label{Point{at, y + 2.5}, before + number(r.Value, r.Unit), 7.5, side, ink})
}

// number is a value with its unit, four figures at most.
func number(v float64, unit quantity.Unit) string { return quantity.FormatDigits(v, unit, 4) }

// scale places values of a row: the band of limits in the middle half; what
// lies farther out than a band's width is put at the end.
func scale(r Reading, left, right float64) func(float64) float64 {
	low, high := r.Low, r.High
	span := math.Max(math.Abs(r.Value), 1e-12)
	switch {
	case math.IsInf(low, 0) && math.IsInf(high, 0):
		low, high = r.Value-span/2, r.Value+span/2
	case math.IsInf(low, 0):
		low = high - math.Max(math.Abs(high), 1e-12)
	case math.IsInf(high, 0):
		high = low + math.Max(math.Abs(low), 1e-12)
	}
	if high <= low {
		high = low + math.Max(math.Abs(low)*0.1, 1e-12)
	}
	margin := (high - low) / 2
	return func(v float64) float64 {
		share := (v - (low - margin)) / (high - low + 2*margin)
		return left + math.Max(0, math.Min(1, share))*(right-left)
	}
}

// Curve draws how sure one is over hot running time, with what has been run.
// Times are in minutes, sureness in shares.
func Curve(minutes, sure []float64, done, wanted float64) Drawing {
	const width, height, left, bottom, top, right = 460., 180., 40., 28., 10., 10.
	d := Drawing{Width: width, Height: height}
	if len(minutes) == 0 {
		return d
	}
	end := minutes[len(minutes)-1]
	x := func(m float64) float64 { return left + m/end*(width-left-right) }
	y := func(p float64) float64 { return height - bottom - p*(height-bottom-top) }
	d.add(Area{Point{x(0), y(1)}, x(math.Min(done, end)) - x(0), y(0) - y(1), Pale})
	for _, p := range []float64{0, 0.5, 1} {
		d.add(Stroke{Points: []Point{{left, y(p)}, {width - right, y(p)}}, Thick: 0.4, Ink: Grey},
			Label{Point{left - 4, y(p) + 3}, percent(p), 8, 1, Grey})
	}
	d.add(Stroke{Points: []Point{{left, y(wanted)}, {width - right, y(wanted)}}, Thick: 0.8, Dashed: true, Ink: Black},
		Label{Point{width - right, y(wanted) - 3}, "wanted " + percent(wanted), 8, 1, Black})
	step := tick(end)
	for m := 0.0; m <= end*1.0001; m += step {
		d.add(Stroke{Points: []Point{{x(m), y(0)}, {x(m), y(0) + 3}}, Thick: 0.6, Ink: Grey},
			Label{Point{x(m), y(0) + 12}, trim(m), 8, 0, Grey})
	}
	d.add(Label{Point{(left + width - right) / 2, height - 3}, "minutes of hot running since the repair (shaded: done)", 8, 0, Grey})
	line := Stroke{Thick: 1.6, Ink: Accent}
	for i := range minutes {
		line.Points = append(line.Points, Point{x(minutes[i]), y(sure[i])})
	}
	d.add(line)
	return d
}

// tick is a round step that divides a length in about five.
func tick(length float64) float64 {
	decade := math.Pow(10, math.Floor(math.Log10(length/5)))
	for _, m := range []float64{1, 2, 5} {
		if m*decade >= length/5 {
			return m * decade
		}
	}
	return 10 * decade
}
