package main

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"strings"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/sfnt"
)

const (
	width  = 1600 // pixels of a picture
	margin = 5.   // millimetres around a board
)

// masks are the colours of boards, and of tracks under them.
var masks = map[string][2]color.NRGBA{
	"green": {{30, 88, 62, 255}, {46, 112, 82, 255}},
	"blue":  {{28, 74, 88, 255}, {44, 98, 112, 255}},
	"brown": {{128, 86, 48, 255}, {150, 106, 64, 255}},
	"amber": {{150, 142, 84, 255}, {190, 190, 172, 255}},
}

// drawBoard makes the picture of a board, as PNG.
func drawBoard(b *layout) ([]byte, error) {
	mask, ok := masks[b.Mask]
	if !ok {
		return nil, fmt.Errorf("there is no mask %q", b.Mask)
	}
	font, err := sfnt.Parse(gobold.TTF)
	if err != nil {
		return nil, err
	}
	scale := width / (b.Size[0] + 2*margin)
	height := int(math.Round((b.Size[1] + 2*margin) * scale))
	c := &canvas{img: image.NewRGBA(image.Rect(0, 0, width, height)), scale: scale, font: font}
	draw.Draw(c.img, c.img.Bounds(), image.NewUniform(paper), image.Point{}, draw.Src)
	c = c.onto([2]float64{margin, margin}, 0)
	whole := box(b.Size[0]/2, b.Size[1]/2, b.Size[0], b.Size[1], 2)
	cast(c, whole, 1)
	c.fill(whole, mask[0])

	pads, err := allPads(b)
	if err != nil {
		return nil, err
	}
	if err := tracks(c, b, pads, mask[1]); err != nil {
		return nil, err
	}
	for _, l := range b.Lines {
		c.fill(stroke(point{l[0], l[1]}, point{l[2], l[3]}, 0.7), silk)
	}
	for _, s := range b.Scorch {
		stain(c, s, scorch)
	}
	for _, list := range pads {
		for _, p := range list {
			c.fill(circle(p.x, p.y, 1), tin)
			c.fill(circle(p.x, p.y, 0.45), hollow)
		}
	}
	for _, h := range b.Holes {
		c.fill(circle(h[0], h[1], 3.6), tin)
		screw(c, h[0], h[1], 2.9)
	}
	for _, p := range b.Parts {
		p, kind, err := complete(p)
		if err != nil {
			return nil, err
		}
		kind.draw(c.onto(p.At, p.Turn), p)
		label(c, p, kind)
	}
	for _, s := range b.Residue {
		stain(c, s, residue)
	}
	for _, p := range b.Points {
		c.fill(circle(p.At[0], p.At[1], 1.7), gold)
		c.fill(circle(p.At[0], p.At[1], 1.1), bright)
		c.fill(circle(p.At[0], p.At[1], 0.5), hollow)
		write(c, p, point{1.7, 1.7})
	}
	for _, t := range b.Texts {
		size := 2.6
		if len(t.Size) > 0 {
			size = t.Size[0]
		}
		c.onto(t.At, t.Turn).write(t.Name, 0, 0, size, silk)
	}
	var out bytes.Buffer
	encoder := png.Encoder{CompressionLevel: png.BestCompression}
	err = encoder.Encode(&out, fewColours(c.img))
	return out.Bytes(), err
}

// label prints the designator beside a part.
func label(c *canvas, p placed, kind body) {
	half := kind.extent(p)
	if math.Mod(p.Turn, 180) != 0 {
		half = point{half.y, half.x}
	}
	write(c, p, half)
}

// write prints a name beside what covers half this much on each side.
func write(c *canvas, p placed, half point) {
	const capital = 2.3
	at := point{p.At[0], p.At[1]}
	wide := 0.37 * capital * float64(len([]rune(p.Name))) * 2
	switch p.Label {
	case "none":
		return
	case "above":
		at.y -= half.y + capital/2 + 0.9
	case "left":
		at.x -= half.x + wide/2 + 1
	case "right":
		at.x += half.x + wide/2 + 1
	default:
		at.y += half.y + capital/2 + 1.2
	}
	c.write(p.Name, at.x, at.y, capital, silk)
}

// stain draws a soft spot.
func stain(c *canvas, s [3]float64, of color.NRGBA) {
	const rings = 14
	of.A = 20
	for i := range rings {
		r := s[2] * float64(i+1) / rings
		c.fill(ellipse(s[0], s[1], r, r*0.86), of)
	}
}

// allPads are the pads of all parts and points, by name.
func allPads(b *layout) (map[string][]point, error) {
	pads := map[string][]point{}
	for _, p := range b.Parts {
		if _, twice := pads[p.Name]; twice {
			return nil, fmt.Errorf("%s is placed twice", p.Name)
		}
		p, kind, err := complete(p)
		if err != nil {
			return nil, err
		}
		turned := (&canvas{}).onto(p.At, p.Turn)
		for _, pad := range kind.pads(p) {
			pads[p.Name] = append(pads[p.Name], turned.place(pad))
		}
		if p.Body == "heatsink" {
			pads[p.Name] = nil
		}
	}
	for _, p := range b.Points {
		pads[p.Name] = []point{{p.At[0], p.At[1]}}
	}
	return pads, nil
}

// tracks draws what is joined: from one to the next, between the pads that are
// nearest, along and across the board with a corner cut at 45 degrees.
func tracks(c *canvas, b *layout, pads map[string][]point, with color.NRGBA) error {
	for i, net := range b.Tracks {
		thick := 1.1
		for j := 1; j < len(net); j++ {
			from, err := pad(pads, net[j-1])
			if err != nil {
				return err
			}
			to, err := pad(pads, net[j])
			if err != nil {
				return err
			}
			p, q := nearest(from, to)
			route := corner(p, q, (i+j)%2 == 0)
			for k := 1; k < len(route); k++ {
				c.fill(stroke(route[k-1], route[k], thick), with)
			}
		}
	}
	return nil
}

// pad finds the pads of a name, or one of them: "U10.3".
func pad(pads map[string][]point, name string) ([]point, error) {
	if list, ok := pads[name]; ok && len(list) > 0 {
		return list, nil
	}
	part, number, _ := strings.Cut(name, ".")
	var n int
	if _, err := fmt.Sscanf(number, "%d", &n); err == nil && n >= 1 && n <= len(pads[part]) {
		return pads[part][n-1 : n], nil
	}
	return nil, fmt.Errorf("a track leads to %q, which has no pad", name)
}

// nearest are the two that are nearest to each other.
func nearest(from, to []point) (a, b point) {
	best := math.Inf(1)
	for _, p := range from {
		for _, q := range to {
			if d := math.Hypot(p.x-q.x, p.y-q.y); d < best {
				best, a, b = d, p, q
			}
		}
	}
	return a, b
}

// corner is the way between two points.
func corner(p, q point, along bool) []point {
	dx, dy := q.x-p.x, q.y-p.y
	cut := min(math.Abs(dx), math.Abs(dy), 4)
	sx, sy := math.Copysign(cut, dx), math.Copysign(cut, dy)
	if along {
		return []point{p, {q.x - sx, p.y}, {q.x, p.y + sy}, q}
	}
	return []point{p, {p.x, q.y - sy}, {p.x + sx, q.y}, q}
}
