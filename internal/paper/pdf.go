package paper

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// Sizes of an A4 page in points.
const (
	pageWidth, pageHeight = 595.28, 841.89
	pageMargin            = 56.
	textWidth             = pageWidth - 2*pageMargin
	textSize, lineHeight  = 10., 14.
)

// sheet is a PDF as it is made.
type sheet struct {
	*fpdf.Fpdf
	photos int
}

// newSheet is an empty PDF with the fonts of the program.
func newSheet(title string) *sheet {
	p := &sheet{Fpdf: fpdf.New("P", "pt", "A4", "")}
	p.SetMargins(pageMargin, pageMargin, pageMargin)
	p.SetAutoPageBreak(true, pageMargin)
	p.SetCellMargin(0)
	p.AddUTF8FontFromBytes("text", "", goregular.TTF)
	p.AddUTF8FontFromBytes("text", "B", gobold.TTF)
	p.SetTitle(title, true)
	p.SetCreator("halfsplit", true)
	p.SetCatalogSort(true) // the same document gives the same file
	return p
}

// PDF writes the document as pages of A4.
func (d *Document) PDF(to io.Writer) error {
	p := newSheet(d.Title)
	p.SetCreationDate(d.Made)
	p.SetModificationDate(d.Made)
	p.AliasNbPages("")
	p.SetFooterFunc(func() {
		p.SetY(-pageMargin + 18)
		p.SetFont("text", "", 8)
		p.SetTextColor(96, 96, 96)
		left := strings.Join(compact(d.Workshop, d.Title, d.Made.Format("2006-01-02")), " · ")
		p.CellFormat(textWidth-60, 10, clean(left), "", 0, "L", false, 0, "")
		p.CellFormat(60, 10, fmt.Sprintf("%d of {nb}", p.PageNo()), "", 0, "R", false, 0, "")
	})
	p.AddPage()
	p.ink(Black)
	p.SetFont("text", "B", 20)
	p.MultiCell(textWidth, 26, clean(d.Title), "", "L", false)
	if d.Subtitle != "" {
		p.SetFont("text", "", 12)
		p.MultiCell(textWidth, 18, clean(d.Subtitle), "", "L", false)
	}
	p.Ln(6)
	for i, b := range d.Blocks {
		if h, ok := b.(Heading); ok {
			need := 90.0 // a heading does not stand alone at the foot
			if i+1 < len(d.Blocks) {
				need = 34 + p.tall(d.Blocks[i+1])
			}
			p.keep(min(need, 300))
			p.Ln(8)
			p.SetFont("text", "B", 13)
			p.MultiCell(textWidth, 20, clean(string(h)), "", "L", false)
			continue
		}
		p.block(b)
	}
	if err := p.Error(); err != nil {
		return fmt.Errorf("making the PDF: %w", err)
	}
	return p.Output(to)
}

// clean leaves out what the fonts cannot draw and pages cannot hold.
func clean(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '✓':
			return '+'
		case r == '\n':
			return r
		case r < ' ' || r > 0xFFFF:
			return ' '
		}
		return r
	}, text)
}

// compact leaves out empty texts.
func compact(texts ...string) []string {
	var list []string
	for _, t := range texts {
		if t != "" {
			list = append(list, t)
		}
	}
	return list
}

// ink sets the colour of what is drawn next.
func (p *sheet) ink(i Ink) {
	r, g, b := i.colour()
	p.SetTextColor(r, g, b)
	p.SetDrawColor(r, g, b)
	p.SetFillColor(r, g, b)
}

// keep begins a new page when less than so many points are left.
func (p *sheet) keep(points float64) {
	if p.GetY()+points > pageHeight-pageMargin && p.GetY() > pageMargin+1 {
		p.AddPage()
	}
}

// tall is about how tall the beginning of a block is that must not be torn.
func (p *sheet) tall(b Block) float64 {
	switch b := b.(type) {
	case Figure:
		return b.Drawing.Height*p.shrink(&b.Drawing) + 30
	case Photo:
		_, h := fit(b)
		return h + 30
	case Table:
		return 3 * lineHeight
	}
	return 2 * lineHeight
}

// shrink is the factor that makes a drawing fit the page.
func (p *sheet) shrink(d *Drawing) float64 {
	return min(1, textWidth/d.Width, (pageHeight-2*pageMargin-60)/d.Height)
}

// block writes one block.
func (p *sheet) block(b Block) {
	p.SetFont("text", "", textSize)
	p.ink(Black)
	switch b := b.(type) {
	case Text:
		p.MultiCell(textWidth, lineHeight, clean(string(b)), "", "L", false)
		p.Ln(4)
	case Caution:
		p.caution(string(b))
	case Facts:
		p.facts(b)
	case Table:
		p.table(b)
	case Figure:
		p.figure(b)
	case Photo:
		p.photo(b)
	}
}

// caution is a text in a frame with the word before it.
func (p *sheet) caution(text string) {
	p.SetFont("text", "", textSize)
	lines := p.SplitText(clean(text), textWidth-20)
	tall := lineHeight*float64(len(lines)+1) + 8
	p.keep(tall)
	y := p.GetY()
	p.ink(Accent)
	p.SetLineWidth(1.2)
	p.Rect(pageMargin, y, textWidth, tall, "D")
	p.SetXY(pageMargin+10, y+4)
	p.SetFont("text", "B", textSize)
	p.CellFormat(textWidth-20, lineHeight, "Caution", "", 2, "L", false, 0, "")
	p.SetFont("text", "", textSize)
	p.ink(Black)
	for _, l := range lines {
		p.SetX(pageMargin + 10)
		p.CellFormat(textWidth-20, lineHeight, l, "", 2, "L", false, 0, "")
	}
	p.SetXY(pageMargin, y+tall+6)
}

// facts are names in the left column and values in the right.
func (p *sheet) facts(list Facts) {
	const names = 120.
	for _, f := range list {
		p.SetFont("text", "", textSize)
		lines := p.SplitText(clean(f.Value), textWidth-names)
		p.keep(lineHeight * float64(min(len(lines), 5)))
		p.ink(Grey)
		p.CellFormat(names, lineHeight, clean(f.Name), "", 0, "L", false, 0, "")
		p.ink(Black)
		for i, l := range lines {
			if i > 0 {
				p.SetX(pageMargin + names)
			}
			p.CellFormat(textWidth-names, lineHeight, l, "", 1, "L", false, 0, "")
		}
	}
	p.Ln(4)
}

// table writes a table; its header stands again on each page.
func (p *sheet) table(t Table) {
	if len(t.Rows) == 0 {
		return
	}
	const size, high, gap = 8.5, 11.5, 6.
	p.SetFont("text", "B", size) // the wider
	widths := columns(t, textWidth, func(text string) float64 { return p.GetStringWidth(clean(text)) + gap })
	row := func(cells []string, style string) {
		p.SetFont("text", style, size)
		var split [][]string
		most := 1
		for i, c := range cells {
			lines := p.SplitText(clean(c), widths[i]-gap+0.1)
			split = append(split, lines)
			most = max(most, len(lines))
		}
		y, x := p.GetY(), pageMargin
		for i, lines := range split {
			for n, l := range lines {
				p.SetXY(x, y+2+high*float64(n))
				p.CellFormat(widths[i], high, l, "", 0, "L", false, 0, "")
			}
			x += widths[i]
		}
		y += high*float64(most) + 4
		p.ink(Grey)
		p.SetLineWidth(0.4)
		p.Line(pageMargin, y, pageMargin+textWidth, y)
		p.ink(Black)
		p.SetXY(pageMargin, y)
	}
	tall := func(cells []string) float64 {
		most := 1
		for i, c := range cells {
			most = max(most, len(p.SplitText(clean(c), widths[i]-gap+0.1)))
		}
		return high*float64(most) + 4
	}
	p.ink(Black)
	row(t.Header, "B")
	for _, r := range t.Rows {
		p.SetFont("text", "", size)
		if h := tall(r); p.GetY()+h > pageHeight-pageMargin && h < pageHeight-3*pageMargin {
			p.AddPage()
			row(t.Header, "B")
		}
		row(r, "")
	}
	if t.Caption != "" {
		p.ink(Grey)
		p.SetFont("text", "", size)
		p.Ln(2)
		p.MultiCell(textWidth, high, clean(t.Caption), "", "L", false)
	}
	p.ink(Black)
	p.Ln(6)
}

// columns shares a width among the columns of a table: each gets what its widest
// cell needs, and where that is too much the widest give way, down to their
// longest word.
func columns(t Table, width float64, measure func(string) float64) []float64 {
	wide, least := make([]float64, len(t.Header)), make([]float64, len(t.Header))
	for _, row := range append([][]string{t.Header}, t.Rows...) {
		for i, cell := range row {
			wide[i] = max(wide[i], measure(cell))
			for word := range strings.FieldsSeq(cell) {
				least[i] = max(least[i], measure(word))
			}
		}
	}
	for {
		total, widest := 0.0, -1
		for i, w := range wide {
			total += w
			if w > least[i]+0.01 && (widest < 0 || w > wide[widest]) {
				widest = i
			}
		}
		switch {
		case total <= width+0.01:
			wide[len(wide)-1] += width - total
			return wide
		case widest < 0: // even the longest words do not fit: they are broken
			for i := range wide {
				wide[i] *= width / total
			}
			return wide
		}
		wide[widest] = max(least[widest], wide[widest]-min(total-width, 4))
	}
}

// figure draws a figure with its caption.
func (p *sheet) figure(f Figure) {
	s := p.shrink(&f.Drawing)
	p.keep(f.Drawing.Height*s + 24)
	x, y := pageMargin, p.GetY()+4
	p.draw(&f.Drawing, x, y, s)
	p.SetXY(pageMargin, y+f.Drawing.Height*s+2)
	p.under(f.Caption)
}

// under writes a caption.
func (p *sheet) under(caption string) {
	if caption != "" {
		p.ink(Grey)
		p.SetFont("text", "", 8.5)
		p.MultiCell(textWidth, 11.5, clean(caption), "", "L", false)
	}
	p.ink(Black)
	p.Ln(8)
}

// draw draws at a place of the page.
func (p *sheet) draw(d *Drawing, x, y, s float64) {
	for _, shape := range d.Shapes {
		switch shape := shape.(type) {
		case Stroke:
			p.ink(shape.Ink)
			p.SetLineWidth(shape.Thick * s)
			if shape.Dashed {
				p.SetDashPattern([]float64{4 * s, 3 * s}, 0)
			}
			for i := 1; i < len(shape.Points); i++ {
				a, b := shape.Points[i-1], shape.Points[i]
				p.Line(x+a.X*s, y+a.Y*s, x+b.X*s, y+b.Y*s)
			}
			if shape.Dashed {
				p.SetDashPattern(nil, 0)
			}
		case Area:
			p.ink(shape.Ink)
			p.Rect(x+shape.At.X*s, y+shape.At.Y*s, shape.Width*s, shape.Height*s, "F")
		case Label:
			p.ink(shape.Ink)
			p.SetFont("text", "", shape.Size*s)
			text := clean(shape.Text)
			at := x + shape.At.X*s - p.GetStringWidth(text)*float64(shape.Anchor+1)/2
			p.Text(at, y+shape.At.Y*s, text)
		}
	}
}

// fit is the size of a photo on the page.
func fit(f Photo) (width, height float64) {
	width = textWidth
	height = width * float64(f.Height) / float64(f.Width)
	if most := 300.0; height > most {
		width, height = width*most/height, most
	}
	return width, height
}

// photo puts a photo with its marks on the page.
func (p *sheet) photo(f Photo) {
	if f.Width < 1 || f.Height < 1 {
		return
	}
	w, h := fit(f)
	p.keep(h + 24)
	p.photos++
	name := fmt.Sprintf("photo %d", p.photos)
	kind := strings.ToUpper(strings.TrimPrefix(f.Media, "image/"))
	options := fpdf.ImageOptions{ImageType: kind}
	p.RegisterImageOptionsReader(name, options, bytes.NewReader(f.Data))
	x, y := pageMargin, p.GetY()+4
	p.ImageOptions(name, x, y, w, h, false, options, 0, "")
	for _, s := range f.Spots {
		p.spot(x+s.X*w, y+s.Y*h, s.Name)
	}
	p.SetXY(pageMargin, y+h+2)
	p.under(f.Caption)
}

// spot is a ring with a name on white, to be seen on any picture.
func (p *sheet) spot(x, y float64, name string) {
	p.SetDrawColor(255, 255, 255)
	p.SetLineWidth(3)
	p.Circle(x, y, 6, "D")
	p.ink(Accent)
	p.SetLineWidth(1.4)
	p.Circle(x, y, 6, "D")
	p.SetFont("text", "B", 8)
	wide := p.GetStringWidth(clean(name))
	p.SetFillColor(255, 255, 255)
	p.Rect(x+8, y-6, wide+4, 11, "F")
	p.ink(Accent)
	p.Text(x+10, y+2.5, clean(name))
	p.ink(Black)
}
