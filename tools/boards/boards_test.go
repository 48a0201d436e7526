package main

import (
	"bytes"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"halfsplit/sheet"
)

// The pictures and spots in folder examples are those that the layouts make: no
// layout was changed without drawing it again.
func TestExamplesAreDrawn(t *testing.T) {
	boards, err := readLayouts("layouts")
	if err != nil {
		t.Fatal(err)
	}
	const most = 150_000 // bytes: a page with all of them still opens fast
	for _, b := range boards {
		want, err := drawBoard(b)
		if err != nil {
			t.Fatalf("%s: %v", b.Board, err)
		}
		got, err := os.ReadFile(filepath.Join("../../examples", b.Board+".png"))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s.png is not what its layout draws: go run ./tools/boards", b.Board)
		}
		if shown, err := os.ReadFile(filepath.Join("../../docs/guide", b.Guide)); b.Guide != "" && (err != nil || !bytes.Equal(shown, want)) {
			t.Errorf("%s of the guide is not what its layout draws (%v): go run ./tools/boards", b.Guide, err)
		}
		if len(want) > most {
			t.Errorf("%s.png has %d bytes, more than %d", b.Board, len(want), most)
		}
		picture, err := png.Decode(bytes.NewReader(want))
		if err != nil || picture.Bounds().Dx() != width {
			t.Errorf("%s.png: %v wide, %v", b.Board, picture.Bounds(), err)
		}
		text, err := os.ReadFile(filepath.Join("../../examples", b.Sheet))
		if err != nil {
			t.Fatal(err)
		}
		again, err := withPhotos(b.Sheet, text, boards)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(text, again) {
			t.Errorf("the spots of %s are not those of the layouts: go run ./tools/boards", b.Sheet)
		}
	}
}

// Bodies do not stand in each other, and nothing hangs over the edge.
func TestNothingOverlaps(t *testing.T) {
	boards, err := readLayouts("layouts")
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range boards {
		type area struct {
			name                   string
			left, top, right, down float64
		}
		var areas []area
		for _, p := range b.Parts {
			p, kind, err := complete(p)
			if err != nil {
				t.Fatal(err)
			}
			half := kind.extent(p)
			if p.Turn == 90 {
				half = point{half.y, half.x}
			}
			a := area{p.Name, p.At[0] - half.x, p.At[1] - half.y, p.At[0] + half.x, p.At[1] + half.y}
			if a.left < 0 || a.top < 0 || a.right > b.Size[0] || a.down > b.Size[1] {
				t.Errorf("%s: %s hangs over the edge", b.Board, p.Name)
			}
			for _, o := range areas {
				if a.left < o.right && o.left < a.right && a.top < o.down && o.top < a.down && !strings.HasPrefix(o.name, "HS") && !strings.HasPrefix(a.name, "HS") {
					t.Errorf("%s: %s stands in %s", b.Board, p.Name, o.name)
				}
			}
			areas = append(areas, a)
		}
	}
}

// Each part that the layouts show and each place to measure is known to the sheet
// or is there for the eye; but no board is drawn of which the sheet knows little.
func TestSpots(t *testing.T) {
	boards, err := readLayouts("layouts")
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range boards {
		s, err := sheet.Load(filepath.Join("../../examples", b.Sheet))
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range s.Photos {
			if p.File.Text != b.Board+".png" {
				continue
			}
			if len(p.Spots) < 8 {
				t.Errorf("%s has %d spots", b.Board, len(p.Spots))
			}
		}
		known := names(s)
		for _, p := range b.Points {
			if !known[p.spot()] {
				t.Errorf("%s: the sheet has no test point %q", b.Board, p.Name)
			}
		}
	}
}

// Colour bands as IEC 60062 has them.
func TestBands(t *testing.T) {
	for _, c := range []struct {
		value string
		bands []int // places among black, brown, red ...; -1 gold, -2 silver
	}{
		{"4k7", []int{4, 7, 2}}, {"150R", []int{1, 5, 1}}, {"0R68", []int{6, 8, -2}}, {"2k2", []int{2, 2, 2}}, {"33k", []int{3, 3, 3}}, {"1k", []int{1, 0, 2}}, {"1M", []int{1, 0, 5}}, {"4R7", []int{4, 7, -1}},
	} {
		got := bandsOf(c.value)
		if len(got) != 4 {
			t.Fatalf("%s has %d bands", c.value, len(got))
		}
		for i, n := range c.bands {
			want := gold
			switch {
			case n == -2:
				want = steel
			case n >= 0:
				want = bandColours[n]
			}
			if got[i] != want {
				t.Errorf("%s: band %d is %v, want %v", c.value, i+1, got[i], want)
			}
		}
	}
	if got := bandsOf(""); got != nil {
		t.Errorf("no value has bands %v", got)
	}
}
