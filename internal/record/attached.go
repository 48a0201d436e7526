package record

import (
	"fmt"
	"regexp"
	"time"
)

// Hash names a file that is kept, by the SHA-256 of what is in it, in lower-case
// hexadecimal.
type Hash string

var hashForm = regexp.MustCompile(`^[0-9a-f]{64}$`)

// Valid reports whether it is the name of a kept file.
func (h Hash) Valid() bool { return hashForm.MatchString(string(h)) }

// File is a file that is kept.
type File struct {
	Hash  Hash   `json:"hash"`
	Size  int64  `json:"size"`
	Media string `json:"media"` // media type: "image/jpeg"
}

// Photo is a picture of a unit, taken in a job or not.
type Photo struct {
	ID       ID  `json:"id"`
	Revision int `json:"revision"`
	Unit     ID  `json:"unit"`
	Job      ID  `json:"job,omitempty"`

	File    Hash      `json:"file"`
	Media   string    `json:"media"`
	Width   int       `json:"width"` // pixels
	Height  int       `json:"height"`
	Caption string    `json:"caption,omitempty"`
	Taken   time.Time `json:"taken"`
	// Cover marks the picture that stands for the unit in lists.
	Cover bool   `json:"cover,omitempty"`
	Spots []Spot `json:"spots,omitempty"`
	// Hidden marks a picture that was taken off the pages; it is still kept.
	Hidden bool `json:"hidden,omitempty"`
}

// Spot marks a place on a photo.
type Spot struct {
	Name string  `json:"name"` // designator, test point, or what is to be seen
	X    float64 `json:"x"`    // share of the width, from the left
	Y    float64 `json:"y"`    // share of the height, from the top
	Note string  `json:"note,omitempty"`
}

// Check finds what cannot be right in a photo; the error is Invalid.
func (p *Photo) Check() error {
	var wrong Invalid
	if p.Unit <= 0 {
		wrong.add("unit", "a photo belongs to a unit")
	}
	if !p.File.Valid() {
		wrong.add("file", "is not the name of a kept file")
	}
	line("caption", p.Caption, false, &wrong)
	if p.Width < 1 || p.Height < 1 {
		wrong.add("width", "a picture has a width and a height")
	}
	for i, s := range p.Spots {
		at := fmt.Sprintf("spots[%d]", i)
		line(at+".name", s.Name, true, &wrong)
		line(at+".note", s.Note, false, &wrong)
		if !(s.X >= 0 && s.X <= 1 && s.Y >= 0 && s.Y <= 1) {
			wrong.add(at, "lies beside the picture")
		}
	}
	return wrong.err()
}

// Trace is a recording of a logger, scope or meter.
type Trace struct {
	ID       ID  `json:"id"`
	Revision int `json:"revision"`
	Job      ID  `json:"job"`

	Name     string    `json:"name"`
	File     Hash      `json:"file"`             // the recording, in the program's own form
	Source   Hash      `json:"source,omitempty"` // the file it was read from
	Channels []string  `json:"channels"`
	Rows     int64     `json:"rows"`
	Seconds  float64   `json:"seconds"`
	Taken    time.Time `json:"taken"`
	Note     string    `json:"note,omitempty"`
}

// Check finds what cannot be right in a trace; the error is Invalid.
func (t *Trace) Check() error {
	var wrong Invalid
	if t.Job <= 0 {
		wrong.add("job", "a trace belongs to a job")
	}
	line("name", t.Name, true, &wrong)
	prose("note", t.Note, &wrong)
	if !t.File.Valid() {
		wrong.add("file", "is not the name of a kept file")
	}
	if t.Source != "" && !t.Source.Valid() {
		wrong.add("source", "is not the name of a kept file")
	}
	return wrong.err()
}

// Soak is a soak run that was begun: the unit runs, and somebody or a meter
// waits for the fault. When it ends, an entry of the logbook tells how.
type Soak struct {
	ID       ID  `json:"id"`
	Revision int `json:"revision"`
	Job      ID  `json:"job"`

	Started     time.Time `json:"started"`
	Temperature *float64  `json:"temperature_celsius,omitempty"`
	Note        string    `json:"note,omitempty"`
	Ended       time.Time `json:"ended,omitzero"`
	Failed      bool      `json:"failed,omitempty"`
	Entry       ID        `json:"entry,omitempty"` // that tells how it ended
}

// Check finds what cannot be right in a soak run; the error is Invalid.
func (s *Soak) Check() error {
	var wrong Invalid
	if s.Job <= 0 {
		wrong.add("job", "a soak run belongs to a job")
	}
	prose("note", s.Note, &wrong)
	if s.Started.IsZero() {
		wrong.add("started", "must say when it began")
	}
	if !s.Ended.IsZero() && s.Ended.Before(s.Started) {
		wrong.add("ended", "it cannot end before it began")
	}
	return wrong.err()
}
