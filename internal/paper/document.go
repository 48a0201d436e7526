package paper

import "time"

// Document is something to print.
type Document struct {
	Title    string
	Subtitle string
	Workshop string
	Made     time.Time
	Blocks   []Block
}

// Block is a piece of a document: Heading, Text, Facts, Table, Figure, Photo or
// Caution.
type Block interface{ block() }

// Heading begins a section.
type Heading string

// Text is a paragraph.
type Text string

// Caution is a paragraph that must not be overlooked.
type Caution string

// Fact is a name with what is known of it.
type Fact struct{ Name, Value string }

// Facts are a list of them.
type Facts []Fact

// Table is a table; every row has as many cells as the header.
type Table struct {
	Caption string
	Header  []string
	Rows    [][]string
}

// Figure is a drawing with what it shows in words.
type Figure struct {
	Drawing Drawing
	Caption string
}

// Photo is a picture with its marks.
type Photo struct {
	Name    string // of a file, without a folder
	Media   string // image/jpeg or image/png
	Data    []byte
	Width   int // pixels
	Height  int
	Caption string
	Spots   []Spot
}

// Spot is a mark on a photo, at shares of its width and height from the upper
// left corner.
type Spot struct {
	Name string
	X, Y float64
}

func (Heading) block() {}
func (Text) block()    {}
func (Caution) block() {}
func (Facts) block()   {}
func (Table) block()   {}
func (Figure) block()  {}
func (Photo) block()   {}
