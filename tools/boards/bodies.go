package main

import (
	"fmt"
	"image/color"
	"slices"
	"strings"
)

// Colours of bodies.
var (
	black   = color.NRGBA{38, 38, 40, 255}
	dark    = color.NRGBA{58, 58, 62, 255}
	tin     = color.NRGBA{198, 202, 198, 255}
	steel   = color.NRGBA{170, 176, 182, 255}
	bright  = color.NRGBA{222, 226, 228, 255}
	silk    = color.NRGBA{236, 236, 220, 255}
	faint   = color.NRGBA{190, 190, 186, 255}
	shade   = color.NRGBA{0, 0, 0, 90}
	hollow  = color.NRGBA{52, 46, 40, 255}
	glass   = color.NRGBA{206, 214, 208, 255}
	tan     = color.NRGBA{208, 178, 134, 255}
	white   = color.NRGBA{236, 233, 224, 255}
	gold    = color.NRGBA{214, 176, 84, 255}
	copper  = color.NRGBA{184, 106, 56, 255}
	orange  = color.NRGBA{214, 122, 48, 255}
	yellow  = color.NRGBA{222, 178, 62, 255}
	blue    = color.NRGBA{46, 74, 126, 255}
	red     = color.NRGBA{170, 52, 46, 255}
	brown   = color.NRGBA{112, 70, 40, 255}
	paper   = color.NRGBA{232, 229, 221, 255}
	scorch  = color.NRGBA{52, 28, 10, 255}
	residue = color.NRGBA{96, 170, 140, 255}
)

// tints are the colours that a layout may name.
var tints = map[string]color.NRGBA{
	"black": black, "blue": blue, "red": red, "yellow": yellow, "orange": orange, "brown": brown,
	"tan": tan, "white": white, "steel": steel, "green": {74, 112, 82, 255}, "grey": {128, 130, 132, 255},
}

// body is how a kind of part looks from above.
type body struct {
	size []float64 // usual size in millimetres
	// pads are where it is soldered; extent is half of what it covers.
	pads   func(p placed) []point
	extent func(p placed) point
	draw   func(c *canvas, p placed)
}

// tint is the colour of a part, or the usual one.
func (p placed) tint(usual color.NRGBA) color.NRGBA {
	if t, ok := tints[p.Tint]; ok {
		return t
	}
	return usual
}

// leads are two pads on a line, beyond a body of the first size.
func leads(p placed) []point {
	reach := p.Size[0]/2 + 2.2
	return []point{{-reach, 0}, {reach, 0}}
}

// inside are two pads below a body.
func inside(p placed) []point { return []point{{-p.Size[0] / 4, 0}, {p.Size[0] / 4, 0}} }

// flat is half of a body with a length and a width.
func flat(p placed) point { return point{p.Size[0] / 2, p.Size[1] / 2} }

// round is half of a round body.
func round(p placed) point { return point{p.Size[0] / 2, p.Size[0] / 2} }

// long is half of a body with leads at its ends.
func long(p placed) point { return point{p.Size[0]/2 + 2.8, p.Size[1] / 2} }

// row are pads in a row below a body.
func row(p placed) []point {
	var pads []point
	step := p.Size[0] / float64(p.Pins)
	for i := range p.Pins {
		pads = append(pads, point{(float64(i) - float64(p.Pins-1)/2) * step, 0})
	}
	return pads
}

// legs are the pins of a chip in two rows.
func legs(p placed) []point {
	half := p.Pins / 2
	var pads []point
	for i := range half {
		pads = append(pads, point{(float64(i) - float64(half-1)/2) * 2.54, p.Size[1]/2 + 0.9})
	}
	for i := half - 1; i >= 0; i-- {
		pads = append(pads, point{(float64(i) - float64(half-1)/2) * 2.54, -p.Size[1]/2 - 0.9})
	}
	return pads
}

// wires draws the leads of a part to its pads.
func wires(c *canvas, p placed) {
	pads := leads(p)
	c.fill(stroke(pads[0], pads[1], 0.8), tin)
}

// cast draws the shadow of a shape.
func cast(c *canvas, s shape, height float64) {
	fallen := *c
	fallen.at.x += height * 0.6
	fallen.at.y += height
	fallen.fill(s, shade)
}

// corners are the pads of a bridge.
func corners(p placed) []point {
	w, h := p.Size[0]/2-2, p.Size[1]/2-2
	return []point{{-w, -h}, {w, -h}, {w, h}, {-w, h}}
}

// below are the three legs of a transistor or regulator with a tab.
func below(p placed) []point {
	y := p.Size[1]/2 + 2.5
	return []point{{-2.54, y}, {0, y}, {2.54, y}}
}

// comb are the legs of a hybrid, on one side.
func comb(p placed) []point {
	pads := row(p)
	for i := range pads {
		pads[i].y = p.Size[1]/2 + 1
	}
	return pads
}

// chip draws a chip with legs on both sides.
func chip(c *canvas, p placed) {
	w, h := p.Size[0], p.Size[1]
	for _, pad := range legs(p) {
		c.fill(box(pad.x, pad.y, 1.1, 1.6, 0), tin)
	}
	cast(c, box(0, 0, w, h, 0.5), 0.8)
	if p.Tint == "socket" {
		c.fill(box(0, 0, w+1.6, h+1.4, 0.6), color.NRGBA{92, 58, 34, 255})
	}
	c.fill(box(0, 0, w, h, 0.5), p.tint(black))
	c.fill(sector(-w/2, 0, 0, 1.3, -90, 90), dark)
	c.fill(circle(-w/2+2, h/2-1.5, 0.5), dark)
	ink := faint
	if p.Tint == "white" {
		ink = dark
	}
	c.write(p.Mark, 0.8, 0, min(1.9, h*0.3), ink)
}

// bodies are the kinds of bodies that layouts may name.
var bodies = map[string]body{
	"can": {size: []float64{18}, pads: inside, extent: round, draw: func(c *canvas, p placed) {
		r := p.Size[0] / 2
		cast(c, circle(0, 0, r), 1.2)
		c.fill(circle(0, 0, r), p.tint(blue))
		c.fill(sector(0, 0, r*0.80, r, -28, 28), faint)
		c.fill(circle(0, 0, r*0.78), steel)
		c.fill(circle(0, 0, r*0.72), bright)
		for _, a := range []point{{1, 0}, {0, 1}} {
			c.fill(stroke(point{-a.x * r * 0.5, -a.y * r * 0.5}, point{a.x * r * 0.5, a.y * r * 0.5}, 0.35), steel)
		}
		c.write("−", r*0.89, 0, min(1.8, r*0.2), black)
	}},
	"axial": {size: []float64{24, 11}, pads: leads, extent: long, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		wires(c, p)
		cast(c, box(0, 0, w, h, 1.5), 1)
		c.fill(box(0, 0, w, h, 1.5), p.tint(blue))
		c.fill(box(0, -h*0.22, w-1, h*0.16, 0.6), color.NRGBA{255, 255, 255, 50})
		c.fill(box(-w/2+1.2, 0, 2.2, h, 0.8), steel)
		c.fill(box(w/2-3, 0, 1.4, h, 0), faint)
		c.write(p.Mark, -0.4, h*0.12, min(2.2, h*0.3, (w-7)/0.75/float64(len(p.Mark))), faint)
	}},
	"resistor": {size: []float64{8.5, 3}, pads: leads, extent: long, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		wires(c, p)
		cast(c, box(0, 0, w, h, 1.2), 0.6)
		c.fill(box(0, 0, w, h*0.84, 1.2), p.tint(tan))
		c.fill(box(-w/2+1.2, 0, 2.4, h, 1.1), p.tint(tan))
		c.fill(box(w/2-1.2, 0, 2.4, h, 1.1), p.tint(tan))
		for i, band := range bandsOf(p.Bands) {
			x := -w/2 + 1.5 + float64(i)*(w-3)/4.2
			if i == 3 {
				x = w/2 - 1.4
			}
			c.fill(box(x, 0, 0.85, h*0.88, 0.1), band)
		}
	}},
	"power resistor": {size: []float64{22, 8}, pads: leads, extent: long, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		wires(c, p)
		cast(c, box(0, 0, w, h, 0.6), 1.2)
		c.fill(box(0, 0, w, h, 0.6), p.tint(white))
		c.fill(box(0, 0, w-2, h*0.62, 0.4), color.NRGBA{214, 208, 194, 255})
		c.write(p.Mark, 0, 0, h*0.27, dark)
	}},
	"diode": {size: []float64{5.5, 2.8}, pads: leads, extent: long, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		wires(c, p)
		cast(c, box(0, 0, w, h, 0.8), 0.5)
		c.fill(box(0, 0, w, h, 0.8), p.tint(black))
		c.fill(box(w/2-1.2, 0, 0.9, h, 0), bright)
	}},
	"zener": {size: []float64{4.6, 2.4}, pads: leads, extent: long, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		wires(c, p)
		cast(c, box(0, 0, w, h, 1), 0.5)
		c.fill(box(0, 0, w, h, 1), p.tint(orange))
		c.fill(box(0, 0, w*0.5, h*0.5, 0.4), red)
		c.fill(box(w/2-1, 0, 0.7, h, 0), black)
	}},
	"bridge": {size: []float64{16, 16}, pads: corners, extent: flat, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		cast(c, box(0, 0, w, h, 1), 1)
		c.fill(box(0, 0, w, h, 1), p.tint(black))
		c.fill(circle(0, 0, min(w, h)*0.13), faint)
		c.fill(circle(0, 0, min(w, h)*0.09), hollow)
		for i, sign := range []string{"+", "~", "−", "~"} {
			at := corners(p)[i]
			c.write(sign, at.x, at.y, 2, silk)
		}
	}},
	"transistor": {size: []float64{5}, pads: func(p placed) []point {
		return []point{{-2.54, 1}, {0, 1}, {2.54, 1}}
	}, extent: round, draw: func(c *canvas, p placed) {
		r := p.Size[0] / 2
		d := shape{sector(0, 0, 0, r, -35, 215)[0][:25]} // the arc and its chord
		cast(c, d, 0.9)
		c.fill(d, p.tint(black))
		c.fill(sector(0, 0, r*0.72, r*0.8, 20, 160), dark)
	}},
	"metal transistor": {size: []float64{9}, pads: func(p placed) []point {
		return []point{{-2, 1.4}, {0, -2}, {2, 1.4}}
	}, extent: round, draw: func(c *canvas, p placed) {
		r := p.Size[0] / 2
		cast(c, circle(0, 0, r), 1)
		c.fill(box(r*0.75, -r*0.75, 1.4, 1.4, 0.2), steel)
		c.fill(circle(0, 0, r), steel)
		c.fill(circle(0, 0, r*0.86), bright)
		c.fill(circle(0, 0, r*0.78), steel)
	}},
	"tab": {size: []float64{10.5, 15}, pads: below, extent: func(p placed) point { return point{p.Size[0] / 2, p.Size[1]/2 + 3.4} }, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		for _, pad := range below(p) {
			c.fill(stroke(point{pad.x, h / 2}, pad, 1), tin)
		}
		cast(c, box(0, 0, w, h, 0.5), 1)
		c.fill(box(0, 0, w, h, 0.5), steel)
		c.fill(circle(0, -h/2+3, 1.7), hollow)
		c.fill(box(0, h*0.18, w, h*0.62, 0.5), p.tint(black))
		c.write(p.Mark, 0, h*0.18, 1.5, faint)
	}},
	"chip": {size: []float64{20, 6.6}, pads: legs, extent: func(p placed) point { return point{p.Size[0] / 2, p.Size[1]/2 + 1.3} }, draw: chip},
	"window chip": {size: []float64{32, 13.5}, pads: legs, extent: func(p placed) point { return point{p.Size[0] / 2, p.Size[1]/2 + 1.6} }, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		for _, pad := range legs(p) {
			c.fill(box(pad.x, pad.y, 1.1, 1.6, 0), tin)
		}
		cast(c, box(0, 0, w, h, 0.5), 1)
		c.fill(box(0, 0, w+2, h+1.8, 0.6), p.tint(color.NRGBA{92, 58, 34, 255}))
		c.fill(box(0, 0, w, h, 0.4), color.NRGBA{150, 140, 146, 255})
		c.fill(sector(-w/2, 0, 0, 1.4, -90, 90), color.NRGBA{92, 58, 34, 255})
		c.fill(box(1, 0, w*0.62, h*0.62, 0.4), white)
		c.write(p.Mark, 1, 0, min(2, h*0.2), dark)
	}},
	"transformer": {size: []float64{50, 42}, pads: func(p placed) []point {
		w, h := p.Size[0]/2, p.Size[1]/2
		return []point{{-w * 0.6, h - 2}, {-w * 0.2, h - 2}, {w * 0.2, h - 2}, {w * 0.6, h - 2}, {-w * 0.6, 2 - h}, {w * 0.6, 2 - h}}
	}, extent: flat, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		cast(c, box(0, 0, w, h*0.72, 0.5), 2)
		c.fill(box(0, 0, w*0.66, h, 1.5), p.tint(yellow))
		c.fill(box(0, 0, w*0.66, h*0.9, 1.5), color.NRGBA{200, 156, 52, 255})
		c.fill(box(0, 0, w, h*0.72, 0.5), color.NRGBA{84, 84, 88, 255})
		for i := -5; i <= 5; i++ {
			y := float64(i) * h * 0.062
			c.fill(box(0, y, w, 0.35, 0), color.NRGBA{112, 112, 116, 255})
		}
		c.fill(box(0, 0, w*0.46, h*0.36, 0.5), white)
		c.write(p.Mark, 0, 0, min(2.6, h*0.08), dark)
	}},
	"fuse": {size: []float64{20, 5.4}, pads: leads, extent: long, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		cast(c, box(0, 0, w, h, 0.5), 1)
		c.fill(box(0, 0, w, h*0.8, 1), glass)
		c.fill(stroke(point{-w / 2, 0.2}, point{w / 2, -0.2}, 0.3), steel)
		for _, x := range []float64{-w/2 + 2.5, w/2 - 2.5} {
			c.fill(box(x, 0, 6, h*0.9, 0.5), bright)
			c.fill(box(x, 0, 3, h*1.25, 0.3), steel)
		}
	}},
	"film": {size: []float64{13, 6}, pads: inside, extent: flat, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		cast(c, box(0, 0, w, h, 0.5), 1)
		c.fill(box(0, 0, w, h, 0.5), p.tint(yellow))
		c.fill(box(0, -h/2+0.5, w-0.8, 0.5, 0.2), color.NRGBA{255, 255, 255, 70})
		c.write(p.Mark, 0, 0, min(2.1, h*0.36), dark)
	}},
	"ceramic": {size: []float64{6, 2.6}, pads: inside, extent: flat, draw: func(c *canvas, p placed) {
		cast(c, ellipse(0, 0, p.Size[0]/2, p.Size[1]/2), 0.8)
		c.fill(ellipse(0, 0, p.Size[0]/2, p.Size[1]/2), p.tint(color.NRGBA{190, 128, 64, 255}))
		c.fill(ellipse(-0.3, -0.3, p.Size[0]/3, p.Size[1]/5), color.NRGBA{255, 255, 255, 40})
	}},
	"bead": {size: []float64{6, 4.6}, pads: inside, extent: flat, draw: func(c *canvas, p placed) {
		cast(c, ellipse(0, 0, p.Size[0]/2, p.Size[1]/2), 0.9)
		c.fill(ellipse(0, 0, p.Size[0]/2, p.Size[1]/2), p.tint(yellow))
		c.fill(ellipse(-0.6, -0.7, p.Size[0]/4, p.Size[1]/6), color.NRGBA{255, 255, 255, 70})
		c.write("+", -p.Size[0]*0.27, 0.1, 1.5, dark)
	}},
	"connector": {size: []float64{20, 6}, pads: row, extent: flat, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		cast(c, box(0, 0, w, h, 0.4), 1)
		c.fill(box(0, 0, w, h, 0.4), p.tint(white))
		c.fill(box(0, 0, w-1.4, h-1.6, 0.3), color.NRGBA{210, 206, 194, 255})
		for _, pad := range row(p) {
			c.fill(box(pad.x, pad.y, 1.2, 1.2, 0), gold)
		}
		c.write("1", -w/2-1.4, 0, 1.6, silk)
	}},
	"edge": {size: []float64{60, 7}, pads: row, extent: flat, draw: func(c *canvas, p placed) {
		for _, pad := range row(p) {
			c.fill(box(pad.x, 0, p.Size[0]/float64(p.Pins)*0.6, p.Size[1], 0.3), gold)
		}
	}},
	"crystal": {size: []float64{13, 5}, pads: inside, extent: flat, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		cast(c, box(0, 0, w, h, h/2), 1)
		c.fill(box(0, 0, w, h, h/2), steel)
		c.fill(box(-0.2, -0.2, w-1.4, h-1.4, h/2), bright)
		c.write(p.Mark, 0, 0, min(1.7, h*0.3), dark)
	}},
	"coil": {size: []float64{18}, pads: inside, extent: round, draw: func(c *canvas, p placed) {
		r := p.Size[0] / 2
		cast(c, circle(0, 0, r), 1)
		c.fill(circle(0, 0, r), p.tint(color.NRGBA{96, 98, 92, 255}))
		for i := range 24 {
			a := float64(i) * 15
			c.fill(sector(0, 0, r*0.4, r*1.05, a, a+8), copper)
		}
		c.fill(circle(0, 0, r*0.36), hollow)
	}},
	"trimmer": {size: []float64{9.5, 9.5}, pads: func(placed) []point { return []point{{-2.5, 3}, {0, -3}, {2.5, 3}} }, extent: flat, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		cast(c, box(0, 0, w, h, 0.4), 1)
		c.fill(box(0, 0, w, h, 0.4), p.tint(blue))
		screw(c, 0, 0, w*0.26)
	}},
	"heatsink": {size: []float64{40, 16}, pads: inside, extent: flat, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		cast(c, box(0, 0, w, h, 0.3), 2.2)
		c.fill(box(0, 0, w, h, 0.3), color.NRGBA{48, 48, 52, 255})
		for x := -w/2 + 1.2; x < w/2; x += 2.6 {
			c.fill(box(x, 0, 1, h-0.8, 0.1), color.NRGBA{76, 76, 80, 255})
		}
	}},
	"battery": {size: []float64{30, 15}, pads: leads, extent: long, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		wires(c, p)
		cast(c, box(0, 0, w, h, 1), 1.4)
		c.fill(box(0, 0, w, h, 1), p.tint(color.NRGBA{60, 108, 116, 255}))
		c.fill(box(0, -h*0.24, w-1, h*0.14, 0.6), color.NRGBA{255, 255, 255, 50})
		c.fill(box(w/2+0.4, 0, 1.2, h*0.4, 0.3), steel)
		for _, x := range []float64{-w / 6, w / 6} {
			c.fill(box(x, 0, 0.3, h, 0), hollow)
		}
		c.write(p.Mark, 0, h*0.14, 2.2, silk)
	}},
	"optocoupler": {size: []float64{9, 6.6}, pads: legs, extent: func(p placed) point { return point{p.Size[0] / 2, p.Size[1]/2 + 1.3} }, draw: func(c *canvas, p placed) {
		p.Tint = "white"
		chip(c, p)
	}},
	"hybrid": {size: []float64{30, 12}, pads: comb, extent: func(p placed) point { return point{p.Size[0] / 2, p.Size[1]/2 + 2} }, draw: func(c *canvas, p placed) {
		w, h := p.Size[0], p.Size[1]
		for _, pad := range comb(p) {
			c.fill(box(pad.x, pad.y-0.6, 0.9, 2, 0), tin)
		}
		cast(c, box(0, 0, w, h, 1.4), 1.2)
		c.fill(box(0, 0, w, h, 1.4), p.tint(color.NRGBA{126, 68, 50, 255}))
		c.fill(box(0, -h*0.3, w-2, h*0.12, 0.6), color.NRGBA{255, 255, 255, 36})
		c.write(p.Mark, 0, 0, 2.2, silk)
	}},
}

// screw draws the head of a screw.
func screw(c *canvas, x, y, r float64) {
	c.fill(circle(x, y, r), steel)
	c.fill(circle(x, y, r*0.84), bright)
	c.fill(box(x, y, r*1.5, r*0.28, 0), dark)
}

// bandColours are the colours of the digits 0 to 9.
var bandColours = []color.NRGBA{black, brown, red, orange, {232, 206, 70, 255}, {52, 116, 62, 255}, {48, 78, 150, 255}, {116, 76, 138, 255}, {120, 120, 120, 255}, white}

// bandsOf are the colour bands of a resistor: two digits, the zeros, and a
// tolerance of 5 %. The value is written as on a drawing, 4k7. Common practice of
// marking, IEC 60062.
func bandsOf(value string) []color.NRGBA {
	digits, zeros, behind := "", 0, false
	for _, r := range value {
		switch {
		case r >= '0' && r <= '9':
			digits += string(r)
			if behind {
				zeros--
			}
		case strings.ContainsRune("RkM", r):
			zeros += 3 * strings.IndexRune("RkM", r)
			behind = true
		}
	}
	digits = strings.TrimLeft(digits, "0")
	for len(digits) > 2 && digits[len(digits)-1] == '0' {
		digits, zeros = digits[:len(digits)-1], zeros+1
	}
	if len(digits) == 1 {
		digits, zeros = digits+"0", zeros-1
	}
	if len(digits) != 2 || zeros < -2 || zeros > 9 {
		return nil
	}
	third := gold
	switch {
	case zeros == -2:
		third = steel
	case zeros >= 0:
		third = bandColours[zeros]
	}
	return []color.NRGBA{bandColours[digits[0]-'0'], bandColours[digits[1]-'0'], third, gold}
}

// complete fills in what a layout leaves to the kind of body.
func complete(p placed) (placed, body, error) {
	b, ok := bodies[p.Body]
	if !ok {
		return p, b, fmt.Errorf("%s has no body %q", p.Name, p.Body)
	}
	if len(p.Size) == 0 {
		p.Size = slices.Clone(b.size)
	}
	if len(p.Size) != len(b.size) {
		return p, b, fmt.Errorf("%s: the size of a %s is %d lengths", p.Name, p.Body, len(b.size))
	}
	switch {
	case strings.HasSuffix(p.Body, "chip") || p.Body == "optocoupler":
		if p.Pins%2 != 0 || p.Pins < 4 {
			return p, b, fmt.Errorf("%s: a chip has an even number of pins", p.Name)
		}
		p.Size[0] = float64(p.Pins/2)*2.54 - 0.6
		if p.Body == "chip" && p.Pins >= 24 {
			p.Size[1] = 13.5
		}
	case p.Body == "connector" || p.Body == "edge" || p.Body == "hybrid":
		if p.Pins < 1 {
			return p, b, fmt.Errorf("%s: say how many pins it has", p.Name)
		}
	}
	return p, b, nil
}
