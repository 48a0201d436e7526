package paper

import (
	"fmt"
	"io"

	"github.com/skip2/go-qrcode"
)

// Tag is a label to be stuck on a unit or a bin: its code large, a line or two,
// and a code that a phone reads.
type Tag struct {
	Code  string   // "SSA-0017"
	Lines []string // what it is, in short
	Link  string   // what the phone finds; the code itself when empty
}

// Grid is how labels lie on a sheet of A4, in millimetres.
type Grid struct {
	Columns, Rows int
	Width, Height float64 // of a label
	Left, Top     float64 // of the first
	Across, Down  float64 // from one to the next
}

// Sheet24 has 24 labels of 70 by 37 mm, without gaps, a usual size.
var Sheet24 = Grid{Columns: 3, Rows: 8, Width: 70, Height: 37, Across: 70, Down: 37, Top: 0.5}

// dots is a QR code as rows of dark and light, its quiet zone left out. The
// correction level M reads with about 15 % of it dirty (ISO/IEC 18004).
func dots(text string) ([][]bool, error) {
	code, err := qrcode.New(text, qrcode.Medium)
	if err != nil {
		return nil, fmt.Errorf("no code can be made of %q: %w", text, err)
	}
	code.DisableBorder = true
	return code.Bitmap(), nil
}

// QR draws a text as a code for a phone to read, so many points wide, with the
// quiet zone of four dots that the standard asks for (ISO/IEC 18004).
func QR(text string, width float64) (Drawing, error) {
	rows, err := dots(text)
	if err != nil {
		return Drawing{}, err
	}
	d := Drawing{Width: width, Height: width}
	d.code(rows, 0, 0, width)
	return d, nil
}

// code draws dots into a square with a quiet zone.
func (d *Drawing) code(rows [][]bool, x, y, width float64) {
	const quiet = 4
	dot := width / float64(len(rows)+2*quiet)
	for r, row := range rows {
		for from := 0; from < len(row); from++ {
			if !row[from] {
				continue
			}
			to := from
			for to < len(row) && row[to] {
				to++
			}
			d.add(Area{Point{x + dot*float64(from+quiet), y + dot*float64(r+quiet)}, dot * float64(to-from), dot * 1.02, Black})
			from = to
		}
	}
}

// millimetre is one in points.
const millimetre = 72 / 25.4

// Draw draws the label to fit a size in millimetres.
func (t Tag) Draw(width, height float64) (Drawing, error) {
	link := t.Link
	if link == "" {
		link = t.Code
	}
	rows, err := dots(link)
	if err != nil {
		return Drawing{}, err
	}
	d := Drawing{Width: width * millimetre, Height: height * millimetre}
	square := min(d.Height, d.Width/2)
	d.code(rows, 0, (d.Height-square)/2, square)
	x, room := square+2, d.Width-square-8
	size := min(20, room/(0.62*float64(max(1, len([]rune(t.Code))))))
	y := d.Height/2 - 6
	d.add(Label{Point{x, y}, t.Code, size, -1, Black})
	for i, l := range t.Lines {
		if i == 3 {
			break
		}
		l = cut(l, int(room/(0.52*8.5)))
		d.add(Label{Point{x, y + 14 + 11*float64(i)}, l, 8.5, -1, Black})
	}
	return d, nil
}

// cut shortens a text to so many characters.
func cut(text string, most int) string {
	r := []rune(text)
	if len(r) <= most || most < 2 {
		return text
	}
	return string(r[:most-1]) + "…"
}

// Tags writes labels as PDF; the first skip places of the first sheet, which
// were used already, stay free.
func Tags(to io.Writer, g Grid, skip int, tags []Tag) error {
	p := newSheet("Labels")
	p.SetAutoPageBreak(false, 0)
	if skip < 0 || g.Columns < 1 || g.Rows < 1 {
		return fmt.Errorf("labels: %d places to skip on a sheet of %d by %d", skip, g.Columns, g.Rows)
	}
	per := g.Columns * g.Rows
	if len(tags) == 0 || skip/per > 0 {
		p.AddPage()
	}
	at := skip % per
	for i, t := range tags {
		if i == 0 || at == per {
			p.AddPage()
			if i > 0 {
				at = 0
			}
		}
		d, err := t.Draw(g.Width-4, g.Height-4)
		if err != nil {
			return err
		}
		x := g.Left + g.Across*float64(at%g.Columns) + 2
		y := g.Top + g.Down*float64(at/g.Columns) + 2
		p.draw(&d, x*millimetre, y*millimetre, 1)
		at++
	}
	if err := p.Error(); err != nil {
		return fmt.Errorf("making the labels: %w", err)
	}
	return p.Output(to)
}
