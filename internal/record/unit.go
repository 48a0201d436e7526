package record

import (
	"fmt"
	"time"
)

// Standing says where a unit stands in the collection.
type Standing string

// The standings.
const (
	Kept     Standing = "kept"      // in the collection or on the bench
	PassedOn Standing = "passed on" // handed back, sold, given away
	Donor    Standing = "donor"     // kept for its parts
	Gone     Standing = "gone"      // scrapped or lost
)

// Standings lists them.
func Standings() []Standing { return []Standing{Kept, PassedOn, Donor, Gone} }

// Unit is one piece of equipment.
type Unit struct {
	ID       ID  `json:"id"`
	Revision int `json:"revision"`

	// Code is what its label says, unique in the workshop: "SSA-0017". When it is
	// empty on creation the store gives the next free one.
	Code     string   `json:"code"`
	Maker    string   `json:"maker"`
	Model    string   `json:"model"`
	Serial   string   `json:"serial,omitempty"`
	Year     int      `json:"year,omitempty"` // of make; 0 not known
	Standing Standing `json:"standing"`

	Owner  string `json:"owner,omitempty"`
	Source string `json:"source,omitempty"` // provenance: where it came from
	Place  string `json:"place,omitempty"`  // where it stands

	Mains       float64  `json:"mains_volts,omitempty"` // V it is run on; 0 as in the settings
	HoursPerDay float64  `json:"hours_per_day,omitempty"`
	Temperature *float64 `json:"temperature_celsius,omitempty"` // of its place
	LastOn      Day      `json:"last_on,omitempty"`

	History string `json:"history,omitempty"`
	Note    string `json:"note,omitempty"`

	// Sheet is the name of the service sheet that describes it; "" none.
	Sheet string `json:"sheet,omitempty"`

	Fitted []Fitted `json:"fitted,omitempty"`

	Created time.Time `json:"created"`
	Changed time.Time `json:"changed"`
}

// Name is maker and model.
func (u *Unit) Name() string {
	if u.Maker == "" {
		return u.Model
	}
	return u.Maker + " " + u.Model
}

// Originality says whether a fitted thing came with the unit.
type Originality string

// What is known of that.
const (
	Original    Originality = "original"
	Replaced    Originality = "replaced"
	AddedLater  Originality = "added later"
	NotYetKnown Originality = "not known"
)

// Originalities lists them.
func Originalities() []Originality {
	return []Originality{Original, Replaced, AddedLater, NotYetKnown}
}

// Fitted is a board, card, option or part that is in a unit, as far as it is
// worth a line.
type Fitted struct {
	Name     string      `json:"name"`               // "video board", "battery", "C3"
	What     string      `json:"what,omitempty"`     // board, card, option, battery, or a kind of part
	Marking  string      `json:"marking,omitempty"`  // as printed
	Serial   string      `json:"serial,omitempty"`   //
	DateCode string      `json:"date,omitempty"`     // as printed
	Original Originality `json:"original,omitempty"` //
	Since    Day         `json:"since,omitempty"`    // when it was put in
	Note     string      `json:"note,omitempty"`
}

// Check finds what cannot be right in a unit; the error is Invalid.
func (u *Unit) Check() error {
	var wrong Invalid
	line("code", u.Code, false, &wrong)
	line("maker", u.Maker, false, &wrong)
	line("model", u.Model, true, &wrong)
	line("serial", u.Serial, false, &wrong)
	line("owner", u.Owner, false, &wrong)
	line("place", u.Place, false, &wrong)
	line("sheet", u.Sheet, false, &wrong)
	prose("source", u.Source, &wrong)
	prose("history", u.History, &wrong)
	prose("note", u.Note, &wrong)
	among("standing", u.Standing, Standings(), &wrong)
	if u.Year != 0 && (u.Year < 1880 || u.Year > 2200) {
		wrong.add("year", "%d is no year of make; write four digits, or leave it empty", u.Year)
	}
	if !(u.Mains >= 0 && u.Mains <= 1000) {
		wrong.add("mains_volts", "%g V is no mains voltage", u.Mains)
	}
	if !(u.HoursPerDay >= 0 && u.HoursPerDay <= 24) {
		wrong.add("hours_per_day", "%g h; a day has 24", u.HoursPerDay)
	}
	if t := u.Temperature; t != nil && !(*t >= -40 && *t <= 90) {
		wrong.add("temperature_celsius", "%g °C is no place for a unit", *t)
	}
	u.LastOn.check("last_on", &wrong)
	for i, f := range u.Fitted {
		at := func(name string) string { return fmt.Sprintf("fitted[%d].%s", i, name) }
		line(at("name"), f.Name, true, &wrong)
		for name, text := range map[string]string{"what": f.What, "marking": f.Marking, "serial": f.Serial, "date": f.DateCode} {
			line(at(name), text, false, &wrong)
		}
		prose(at("note"), f.Note, &wrong)
		if f.Original != "" {
			among(at("original"), f.Original, Originalities(), &wrong)
		}
		f.Since.check(at("since"), &wrong)
	}
	return wrong.err()
}
