package dumps

import (
	"errors"
	"fmt"
	"image/color"
	"io"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Draw writes a picture as SVG of where the unsteady bits lie: the image from
// its first byte, line by line, in a grid; each square is as dark as the share of
// its bits that are not the same in every dump.
func Draw(to io.Writer, a *Answer) error {
	v := a.Vote
	if v == nil {
		return errors.New("one dump by itself has no unsteady bits to draw; give two or more")
	}
	const across, down, size, left, top = 64, 32, 0.32, 2.0, 1.6 // squares, and centimetres
	per := (v.Bytes + across*down - 1) / (across * down)         // bytes in a square
	squares := (v.Bytes + per - 1) / per
	lines := (squares + across - 1) / across
	cm := func(x float64) vg.Length { return vg.Length(x) * vg.Centimeter }
	width, height := left+across*size+0.5, top+float64(lines)*size+0.8
	canvas := vgsvg.New(cm(width), cm(height))
	c := draw.New(canvas)
	write := func(x, y, points float64, align draw.TextStyle, text string) {
		align.Color, align.Font, align.Handler = color.Gray{20}, font.From(plot.DefaultFont, vg.Points(points)), plot.DefaultTextHandler
		c.FillText(align, vg.Point{X: cm(x), Y: cm(height - y)}, text)
	}
	start := draw.TextStyle{XAlign: draw.XLeft, YAlign: draw.YCenter}
	write(0.5, 0.6, 12, start, fmt.Sprintf("%d dumps: where bits are not steady, %d of %d", v.Dumps, v.Unsteady, 8*v.Bytes))
	most := 0.0
	share := make([]float64, squares)
	for i := range share {
		n, bits := 0, 0
		for at := i * per; at < min((i+1)*per, v.Bytes); at++ {
			for bit := range 8 {
				bits++
				if k := v.Ones(at, bit); k > 0 && k < v.Dumps {
					n++
				}
			}
		}
		share[i] = float64(n) / float64(bits)
		most = max(most, share[i])
	}
	for i, s := range share {
		x, y := left+float64(i%across)*size, top+float64(i/across)*size
		shade := color.Color(color.Gray{242})
		if s > 0 {
			f := 0.15 + 0.85*s/most
			shade = color.RGBA{uint8(242 - f*(242-150)), uint8(242 - f*(242-20)), uint8(242 - f*(242-20)), 255}
		}
		c.FillPolygon(shade, []vg.Point{
			{X: cm(x), Y: cm(height - y)}, {X: cm(x + size*0.94), Y: cm(height - y)},
			{X: cm(x + size*0.94), Y: cm(height - y - size*0.94)}, {X: cm(x), Y: cm(height - y - size*0.94)},
		})
		if i%across == 0 {
			write(0.5, y+size/2, 7, start, fmt.Sprintf("%06X", int(a.Dumps[0].First)+i*per))
		}
	}
	write(0.5, height-0.4, 8, start, fmt.Sprintf("Each square: %d bytes; the darkest: %.1f %% of its bits.", per, 100*most))
	_, err := canvas.WriteTo(to)
	return err
}
