package main

import (
	"cmp"
	"image"
	"image/color"
	"slices"
)

// fewColours is a picture with the 256 colours that occur most, which keeps its
// file small.
func fewColours(img *image.RGBA) *image.Paletted {
	count := map[color.RGBA]int{}
	for i := 0; i < len(img.Pix); i += 4 {
		count[coarse(img.Pix[i:])]++
	}
	var order []color.RGBA
	for c := range count {
		order = append(order, c)
	}
	slices.SortFunc(order, func(a, b color.RGBA) int {
		return cmp.Or(cmp.Compare(count[b], count[a]), cmp.Compare(a.R, b.R), cmp.Compare(a.G, b.G), cmp.Compare(a.B, b.B))
	})
	var palette color.Palette
	for _, c := range order[:min(len(order), 256)] {
		palette = append(palette, c)
	}
	out := image.NewPaletted(img.Bounds(), palette)
	known := map[color.RGBA]uint8{}
	for i := 0; i < len(img.Pix); i += 4 {
		c := coarse(img.Pix[i:])
		n, ok := known[c]
		if !ok {
			n = uint8(palette.Index(c))
			known[c] = n
		}
		out.Pix[i/4] = n
	}
	return out
}

// coarse is a colour in steps of four.
func coarse(p []uint8) color.RGBA {
	return color.RGBA{p[0] &^ 3, p[1] &^ 3, p[2] &^ 3, 255}
}
