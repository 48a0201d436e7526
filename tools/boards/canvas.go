package main

import (
	"image"
	"image/color"
	"image/draw"
	"math"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// point is a place in millimetres.
type point struct{ x, y float64 }

// shape is what is filled: closed outlines.
type shape [][]point

// canvas is a picture that is drawn on in millimetres, moved and turned.
type canvas struct {
	img   *image.RGBA
	scale float64 // pixels per millimetre
	at    point
	turn  float64 // radians
	font  *sfnt.Font
}

// onto is the canvas with its origin moved and turned.
func (c *canvas) onto(at [2]float64, degrees float64) *canvas {
	moved := *c
	moved.at = c.place(point{at[0], at[1]})
	moved.turn = c.turn + degrees*math.Pi/180
	return &moved
}

// place is where a point of the drawing lies on the picture, in millimetres.
func (c *canvas) place(p point) point {
	sin, cos := math.Sincos(c.turn)
	return point{c.at.x + p.x*cos - p.y*sin, c.at.y + p.x*sin + p.y*cos}
}

// fill fills a shape.
func (c *canvas) fill(s shape, with color.NRGBA) {
	var all []point
	var outlines shape
	for _, outline := range s {
		var moved []point
		for _, p := range outline {
			q := c.place(p)
			moved = append(moved, point{q.x * c.scale, q.y * c.scale})
		}
		outlines, all = append(outlines, moved), append(all, moved...)
	}
	if len(all) == 0 {
		return
	}
	low, high := all[0], all[0]
	for _, p := range all {
		low = point{min(low.x, p.x), min(low.y, p.y)}
		high = point{max(high.x, p.x), max(high.y, p.y)}
	}
	box := image.Rect(int(math.Floor(low.x)), int(math.Floor(low.y)), int(math.Ceil(high.x))+1, int(math.Ceil(high.y))+1)
	raster := vector.NewRasterizer(box.Dx(), box.Dy())
	for _, outline := range outlines {
		for i, p := range outline {
			x, y := float32(p.x-float64(box.Min.X)), float32(p.y-float64(box.Min.Y))
			if i == 0 {
				raster.MoveTo(x, y)
			} else {
				raster.LineTo(x, y)
			}
		}
		raster.ClosePath()
	}
	raster.DrawOp = draw.Over
	raster.Draw(c.img, box, image.NewUniform(with), image.Point{})
}

// ellipse is one around a centre, with its half axes.
func ellipse(x, y, rx, ry float64) shape {
	const sides = 64
	var outline []point
	for i := range sides {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / sides)
		outline = append(outline, point{x + rx*cos, y + ry*sin})
	}
	return shape{outline}
}

// circle is one around a centre.
func circle(x, y, r float64) shape { return ellipse(x, y, r, r) }

// sector is a part of a ring between two angles in degrees.
func sector(x, y, inner, outer, from, to float64) shape {
	const steps = 24
	var outline []point
	for i := range steps + 1 {
		sin, cos := math.Sincos((from + (to-from)*float64(i)/steps) * math.Pi / 180)
		outline = append(outline, point{x + outer*cos, y + outer*sin})
	}
	for i := steps; i >= 0; i-- {
		sin, cos := math.Sincos((from + (to-from)*float64(i)/steps) * math.Pi / 180)
		outline = append(outline, point{x + inner*cos, y + inner*sin})
	}
	return shape{outline}
}

// box is a rectangle around a centre, its corners rounded.
func box(x, y, w, h, r float64) shape {
	r = min(r, w/2, h/2)
	if r <= 0 {
		return shape{{{x - w/2, y - h/2}, {x + w/2, y - h/2}, {x + w/2, y + h/2}, {x - w/2, y + h/2}}}
	}
	var outline []point
	for corner, centre := range []point{{x + w/2 - r, y + h/2 - r}, {x - w/2 + r, y + h/2 - r}, {x - w/2 + r, y - h/2 + r}, {x + w/2 - r, y - h/2 + r}} {
		for i := range 9 {
			sin, cos := math.Sincos((float64(corner) + float64(i)/8) * math.Pi / 2)
			outline = append(outline, point{centre.x + r*cos, centre.y + r*sin})
		}
	}
	return shape{outline}
}

// stroke is a line with a width and round ends.
func stroke(a, b point, width float64) shape {
	angle := math.Atan2(b.y-a.y, b.x-a.x)
	var outline []point
	for i := range 13 {
		sin, cos := math.Sincos(angle + math.Pi/2 + math.Pi*float64(i)/12)
		outline = append(outline, point{a.x + width/2*cos, a.y + width/2*sin})
	}
	for i := range 13 {
		sin, cos := math.Sincos(angle - math.Pi/2 + math.Pi*float64(i)/12)
		outline = append(outline, point{b.x + width/2*cos, b.y + width/2*sin})
	}
	return shape{outline}
}

// write writes text with its middle at a place; height is that of a capital.
func (c *canvas) write(text string, x, y, height float64, with color.NRGBA) {
	const em = 1000
	unit := height / (0.72 * em)
	var buffer sfnt.Buffer
	var outlines shape
	wide := 0.
	for _, letter := range text {
		glyph, err := c.font.GlyphIndex(&buffer, letter)
		if err != nil {
			continue
		}
		segments, err := c.font.LoadGlyph(&buffer, glyph, fixed.I(em), nil)
		if err != nil {
			continue
		}
		for _, s := range segments {
			p := func(i int) point {
				return point{(wide + float64(s.Args[i].X)/64) * unit, float64(s.Args[i].Y) / 64 * unit}
			}
			switch s.Op {
			case sfnt.SegmentOpMoveTo:
				outlines = append(outlines, []point{p(0)})
			case sfnt.SegmentOpLineTo:
				last := &outlines[len(outlines)-1]
				*last = append(*last, p(0))
			case sfnt.SegmentOpQuadTo:
				last := &outlines[len(outlines)-1]
				from := (*last)[len(*last)-1]
				for i := 1; i <= 4; i++ {
					t := float64(i) / 4
					*last = append(*last, point{
						(1-t)*(1-t)*from.x + 2*t*(1-t)*p(0).x + t*t*p(1).x,
						(1-t)*(1-t)*from.y + 2*t*(1-t)*p(0).y + t*t*p(1).y,
					})
				}
			}
		}
		advance, err := c.font.GlyphAdvance(&buffer, glyph, fixed.I(em), 0)
		if err == nil {
			wide += float64(advance) / 64
		}
	}
	for _, outline := range outlines {
		for i := range outline {
			outline[i].x += x - wide*unit/2
			outline[i].y += y + height/2
		}
	}
	c.fill(outlines, with)
}
