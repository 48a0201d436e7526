package chips

import (
	"errors"
	"fmt"
	"image/color"
	"io"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"

	"halfsplit/banks"
	"halfsplit/internal/picture"
	"halfsplit/internal/prose"
)

// DrawChips writes a picture of the array as SVG: a box for each chip, a row for
// each bank, bit 0 at the right as on most boards' drawings and in every hex
// digit, the redder the likelier it is bad, with its failing cells.
func DrawChips(to io.Writer, r *banks.Answer) error {
	if r.Diagnosis == nil {
		return errors.New("without failures or a statement there is nothing to draw")
	}
	perBank := len(r.Banks[0].Chips)
	const box, tall, left, top, margin = 2.6, 2.2, 2.6, 2.2, 0.5 // centimetres
	cm := func(x float64) vg.Length { return vg.Length(x) * vg.Centimeter }
	width, height := left+box*float64(perBank)+margin, top+tall*float64(len(r.Banks))+1.2
	canvas := vgsvg.New(cm(max(width, 14)), cm(height))
	c := draw.New(canvas)
	write := func(x, y, size float64, ink color.Color, align draw.TextStyle, text string) {
		align.Color = ink
		align.Font = font.From(plot.DefaultFont, vg.Points(size))
		align.Handler = plot.DefaultTextHandler
		c.FillText(align, vg.Point{X: cm(x), Y: cm(height - y)}, text)
	}
	middle := draw.TextStyle{XAlign: draw.XCenter, YAlign: draw.YCenter}
	start := draw.TextStyle{XAlign: draw.XLeft, YAlign: draw.YCenter}
	black := color.Gray{20}
	title := fmt.Sprintf("Memory %s of %s", r.Array, r.Sheet)
	if top := r.Diagnosis.Causes[0]; top.Probability > 0 {
		title += fmt.Sprintf(": %s %s, %s", top.What, top.Class, prose.Percent(top.Probability))
	}
	write(margin, 0.7, 12, black, start, title)
	for i := range perBank {
		write(left+box*(float64(perBank-1-i)+0.5), 1.7, 9, black, middle, r.Diagnosis.Chips[i].Bits)
	}
	for b, bank := range r.Banks {
		y := top + tall*float64(b)
		write(margin, y+0.75, 10, black, start, "bank "+bank.Name)
		write(margin, y+1.3, 8, black, start, bank.First+" to")
		write(margin, y+1.7, 8, black, start, bank.Last)
		for i := range perBank {
			chip := r.Diagnosis.Chips[b*perBank+i]
			x := left + box*float64(perBank-1-i)
			corners := []vg.Point{}
			for _, at := range [][2]float64{{0.1, 0.15}, {box - 0.1, 0.15}, {box - 0.1, tall - 0.15}, {0.1, tall - 0.15}} {
				corners = append(corners, vg.Point{X: cm(x + at[0]), Y: cm(height - y - at[1])})
			}
			c.FillPolygon(heat(chip.Bad), corners)
			c.StrokeLines(draw.LineStyle{Color: color.Gray{90}, Width: vg.Points(0.7)}, append(corners, corners[0]))
			ink := color.Color(black)
			if chip.Bad > 0.6 {
				ink = color.White
			}
			write(x+box/2, y+0.6, 11, ink, middle, chip.Chip)
			write(x+box/2, y+1.1, 9, ink, middle, prose.Percent(chip.Bad))
			if r.Rows > 0 {
				write(x+box/2, y+1.6, 7.5, ink, middle, fmt.Sprintf("%d cells", chip.Failing))
			}
		}
	}
	write(margin, height-0.5, 8, black, start, "In each box: chance that the chip is bad"+map[bool]string{true: ", and cells that failed", false: ""}[r.Rows > 0]+". Chance that the trouble is outside the chips: "+prose.Percent(r.Diagnosis.Outside)+".")
	_, err := canvas.WriteTo(to)
	return err
}

// heat is the colour of a probability: white, then through orange to dark red.
func heat(p float64) color.Color {
	from, to, f := [3]float64{250, 250, 250}, [3]float64{230, 159, 0}, p/0.5
	if p > 0.5 {
		from, to, f = to, [3]float64{150, 20, 20}, (p-0.5)/0.5
	}
	f = math.Min(math.Max(f, 0), 1)
	var rgb [3]uint8
	for i := range rgb {
		rgb[i] = uint8(from[i] + f*(to[i]-from[i]))
	}
	return color.RGBA{rgb[0], rgb[1], rgb[2], 255}
}

// DrawSurvival writes the chance of no further failure over the years, for each
// way to replace chips, as SVG.
func DrawSurvival(to io.Writer, r *banks.Answer) error {
	if r.Swaps == nil {
		return errors.New("no chip is suspected, so that there is no plan of swaps to draw")
	}
	what := picture.Picture{Title: "Chance of no further failure, memory " + r.Array, X: "years after the repair", Y: "chance in %", FromZero: true}
	for _, plan := range r.Swaps.Plans {
		if len(plan.Survival) < 2 {
			return errors.New("a horizon of no years has no course to draw; give --horizon")
		}
		line := picture.Line{Name: string(plan.Policy)}
		for year, s := range plan.Survival {
			line.X, line.Y = append(line.X, math.Min(float64(year), r.Service.Horizon)), append(line.Y, 100*s)
		}
		what.Lines = append(what.Lines, line)
	}
	return picture.Draw(to, what)
}
