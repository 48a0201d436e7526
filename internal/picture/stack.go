package picture

import (
	"errors"
	"image/color"
	"io"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// A Stack is one or more panels above each other over the same axis.
type Stack struct {
	Title  string
	X      Axis
	Panels []Panel
}

// An Axis has a label and may be logarithmic.
type Axis struct {
	Label string
	Log   bool
}

// A Panel is a set of curves with an axis of their own.
type Panel struct {
	Y        Axis
	FromZero bool // the axis begins at zero
	Curves   []Curve
	Levels   []Level // lines across the panel
	Spans    []Span  // stretches that are shaded
}

// A Curve goes through points in order of x. Points without a number break it.
type Curve struct {
	Name   string
	X, Y   []float64
	Dashed bool
	Limit  bool // drawn thin and dotted
	Sticks bool // upright lines from the lower edge, as for a spectrum
}

// A Level is a value that is marked, such as a limit.
type Level struct {
	Name  string
	Value float64
}

// A Span is a stretch of the axis that is marked, such as a dropout.
type Span struct{ From, To float64 }

// inks are colours that those who see colours differently can tell apart (M.
// Okabe, K. Ito, "Color Universal Design", 2008).
var inks = []color.Color{
	color.RGBA{0, 114, 178, 255}, color.RGBA{213, 94, 0, 255}, color.RGBA{0, 158, 115, 255},
	color.RGBA{204, 121, 167, 255}, color.RGBA{86, 180, 233, 255}, color.RGBA{230, 159, 0, 255}, color.RGBA{0, 0, 0, 255},
}

var (
	dashes = [][]vg.Length{nil, {vg.Points(6), vg.Points(3)}, {vg.Points(2), vg.Points(2)}}
	grey   = color.RGBA{90, 90, 90, 255}
	shade  = color.NRGBA{213, 94, 0, 60}
)

// Sizes of a picture.
const (
	width   = 18.5 * vg.Centimeter // without the names
	height  = 14 * vg.Centimeter   // with one panel
	further = 7 * vg.Centimeter    // for each further one
	margin  = vg.Centimeter / 2
)

// SVG writes the picture. It is an error when there is nothing to draw.
func (p *Stack) SVG(to io.Writer) error {
	var plots [][]*plot.Plot
	var legends []*plot.Legend
	left, right := p.span()
	switch {
	case !(right >= left):
		return errors.New("there is nothing to draw")
	case right == left && p.X.Log:
		left, right = left/2, right*2
	case right == left:
		room := max(math.Abs(left)*1e-3, 1e-9)
		left, right = left-room, right+room
	}
	for i, panel := range p.Panels {
		one := plot.New()
		if i == 0 {
			one.Title.Text = p.Title
		}
		one.Y.Label.Text = panel.Y.Label
		one.X.Min, one.X.Max = left, right
		one.X.Tick.Marker, one.Y.Tick.Marker = ticks{}, ticks{}
		if i == len(p.Panels)-1 {
			one.X.Label.Text = p.X.Label
		}
		if p.X.Log {
			one.X.Scale, one.X.Tick.Marker = plot.LogScale{}, plot.LogTicks{Prec: -1}
		}
		if panel.Y.Log {
			one.Y.Scale, one.Y.Tick.Marker = plot.LogScale{}, plot.LogTicks{Prec: -1}
		}
		names, err := panel.draw(one, left, right, p.X.Log)
		if err != nil {
			return err
		}
		plots, legends = append(plots, []*plot.Plot{one}), append(legends, names)
	}
	beside := room(p.named())
	tall := height + further*vg.Length(len(p.Panels)-1)
	canvas := vgsvg.New(width+beside, tall)
	whole := draw.New(canvas)
	tiles := draw.Tiles{Rows: len(plots), Cols: 1, PadY: margin}
	canvases := plot.Align(plots, tiles, draw.Crop(whole, margin, -beside-margin, margin, -margin))
	for i := range plots {
		at := canvases[i][0]
		plots[i][0].Draw(at)
		legends[i].Draw(draw.Canvas{Canvas: at.Canvas, Rectangle: vg.Rectangle{
			Min: vg.Point{X: width, Y: at.Min.Y}, Max: vg.Point{X: width + beside - margin, Y: at.Max.Y - vg.Centimeter},
		}})
	}
	_, err := canvas.WriteTo(to)
	return err
}

// room is the width that names take.
func room(names []string) vg.Length {
	longest := 0
	for _, name := range names {
		longest = max(longest, len([]rune(name)))
	}
	return max(5.5*vg.Centimeter, vg.Length(1.4+0.21*float64(longest))*vg.Centimeter)
}

// named lists the names in the picture.
func (p *Stack) named() []string {
	var names []string
	for _, panel := range p.Panels {
		for _, c := range panel.Curves {
			names = append(names, c.Name)
		}
		for _, l := range panel.Levels {
			names = append(names, l.Name)
		}
	}
	return names
}

// span is the range of x of all curves.
func (p *Stack) span() (left, right float64) {
	left, right = math.Inf(1), math.Inf(-1)
	for _, panel := range p.Panels {
		for _, c := range panel.Curves {
			for i, x := range c.X {
				if good(x) && good(c.Y[i]) && (x > 0 || !p.X.Log) {
					left, right = min(left, x), max(right, x)
				}
			}
		}
	}
	return left, right
}

func good(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// draw puts the curves of a panel into a plot.
func (panel *Panel) draw(one *plot.Plot, left, right float64, logX bool) (*plot.Legend, error) {
	names := plot.NewLegend() // beside the picture, where it hides no curve
	names.Top, names.Left, names.YPosition, names.Padding = true, true, draw.PosCenter, vg.Points(3)
	one.Add(plotter.NewGrid())
	bottom, top := panel.extent()
	for _, s := range panel.Spans {
		from, to := max(s.From, left), min(s.To, right)
		if to < from {
			continue
		}
		if least := (right - left) / 600; to-from < least { // so that it is seen
			to = from + least
		}
		area, err := plotter.NewPolygon(plotter.XYs{{X: from, Y: bottom}, {X: to, Y: bottom}, {X: to, Y: top}, {X: from, Y: top}})
		if err != nil {
			return nil, err
		}
		area.Color, area.LineStyle.Width = shade, 0
		one.Add(area)
	}
	for i, c := range panel.Curves {
		ink, dash := inks[i%len(inks)], dashes[i/len(inks)%len(dashes)]
		if c.Dashed {
			dash = dashes[1]
		}
		var named *plotter.Line
		for _, stretch := range c.stretches(logX, panel.Y.Log, bottom) {
			line, err := plotter.NewLine(stretch)
			if err != nil {
				return nil, err
			}
			line.Color, line.Dashes, line.Width = ink, dash, vg.Points(1)
			if c.Limit {
				line.Dashes, line.Width = dashes[2], vg.Points(0.8)
			}
			one.Add(line)
			named = line
		}
		if named != nil && c.Name != "" {
			names.Add(c.Name, named)
		}
	}
	for _, l := range panel.Levels {
		if !good(l.Value) || l.Value <= 0 && panel.Y.Log {
			continue
		}
		line, err := plotter.NewLine(plotter.XYs{{X: left, Y: l.Value}, {X: right, Y: l.Value}})
		if err != nil {
			return nil, err
		}
		line.Color, line.Dashes, line.Width = grey, dashes[2], vg.Points(1)
		one.Add(line)
		if l.Name != "" {
			names.Add(l.Name, line)
		}
	}
	one.Y.Min, one.Y.Max = bottom, top
	return &names, nil
}

// extent is the range of the axis of a panel, with a little room.
func (panel *Panel) extent() (bottom, top float64) {
	bottom, top = math.Inf(1), math.Inf(-1)
	take := func(v float64) {
		if good(v) && (v > 0 || !panel.Y.Log) {
			bottom, top = min(bottom, v), max(top, v)
		}
	}
	for _, c := range panel.Curves {
		for _, y := range c.Y {
			take(y)
		}
	}
	for _, l := range panel.Levels {
		take(l.Value)
	}
	if panel.FromZero {
		take(0)
	}
	switch {
	case !(top >= bottom):
		return 1, 10
	case panel.Y.Log:
		return bottom / 1.2, top * 1.2
	case top == bottom:
		room := max(math.Abs(top)*0.01, 1e-9)
		return bottom - room, top + room
	}
	room := 0.03 * (top - bottom)
	if panel.FromZero {
		return 0, top + room
	}
	return bottom - room, top + room
}

// mostDrawn is how many slices a curve is drawn in: more than a screen shows.
const mostDrawn = 2000

// stretches gives the points to draw, in pieces without a break: all when they
// are few, else the lowest and the highest of each slice of the width, in their
// order.
func (c *Curve) stretches(logX, logY bool, bottom float64) []plotter.XYs {
	var list []plotter.XYs
	var piece plotter.XYs
	close := func() {
		if len(piece) == 1 { // a reading alone is a short dash
			piece = append(piece, piece[0])
		}
		if len(piece) > 0 {
			list = append(list, thinned(piece))
		}
		piece = nil
	}
	for i, x := range c.X {
		y := c.Y[i]
		switch {
		case !good(x) || !good(y) || logY && y <= 0 || logX && x <= 0:
			close()
		case c.Sticks:
			list = append(list, plotter.XYs{{X: x, Y: bottom}, {X: x, Y: y}})
		default:
			piece = append(piece, plotter.XY{X: x, Y: y})
		}
	}
	close()
	return list
}

// thinned keeps the lowest and the highest of each slice.
func thinned(all plotter.XYs) plotter.XYs {
	n := len(all)
	if n <= 2*mostDrawn {
		return all
	}
	var points plotter.XYs
	width := (all[n-1].X - all[0].X) / mostDrawn
	for i := 0; i < n; {
		low, high, j := i, i, i
		slice := math.Floor((all[i].X - all[0].X) / width)
		for ; j < n && math.Floor((all[j].X-all[0].X)/width) == slice; j++ {
			if all[j].Y < all[low].Y {
				low = j
			}
			if all[j].Y > all[high].Y {
				high = j
			}
		}
		points = append(points, all[min(low, high)], all[max(low, high)])
		i = max(j, i+1)
	}
	return points
}

// Scaled multiplies values, as those of an axis, by a scale.
func Scaled(values []float64, scale float64) []float64 {
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = v * scale
	}
	return out
}
