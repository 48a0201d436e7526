package record

import "time"

// Sheet is one version of a service sheet. Versions are never changed; saving
// a sheet makes the next one.
type Sheet struct {
	ID      ID        `json:"id"`
	Name    string    `json:"name"`    // "vt9"
	Version int       `json:"version"` // from 1
	Title   string    `json:"title"`   // maker and model as the sheet says
	Text    string    `json:"text"`
	Note    string    `json:"note,omitempty"` // what is new in this version
	Created time.Time `json:"created"`
}

// LongestSheet is the most bytes that the text of a sheet, or what a bench has
// learned, may have.
const LongestSheet = 8 << 20

// Check finds what cannot be right in a sheet, its text apart; the error is
// Invalid.
func (s *Sheet) Check() error {
	var wrong Invalid
	line("name", s.Name, true, &wrong)
	line("title", s.Title, false, &wrong)
	prose("note", s.Note, &wrong)
	if s.Text == "" {
		wrong.add("text", "must be given")
	}
	if len(s.Text) > LongestSheet {
		wrong.add("text", "has %d bytes; a sheet may have %d", len(s.Text), LongestSheet)
	}
	readable("text", s.Text, &wrong)
	return wrong.err()
}

// Instrument is a meter, bridge or scope of the workshop.
type Instrument struct {
	ID       ID     `json:"id"`
	Revision int    `json:"revision"`
	Name     string `json:"name"` // what it is called in entries, unique
	// Line is its accuracy as a meter of a case file in short form (docs/case.md):
	// {like: bench 6½-digit multimeter, dc volts: 0.01 % + 3 digits}.
	Line       string `json:"line,omitempty"`
	Calibrated Day    `json:"calibrated,omitempty"`
	Due        Day    `json:"due,omitempty"`     // when calibration is due
	Address    string `json:"address,omitempty"` // for live readings (docs/meters.md)
	Note       string `json:"note,omitempty"`
}

// Check finds what cannot be right in an instrument, its line apart; the error
// is Invalid.
func (i *Instrument) Check() error {
	var wrong Invalid
	line("name", i.Name, true, &wrong)
	line("line", i.Line, false, &wrong)
	line("address", i.Address, false, &wrong)
	prose("note", i.Note, &wrong)
	i.Calibrated.check("calibrated", &wrong)
	i.Due.check("due", &wrong)
	return wrong.err()
}

// Device is a phone, tablet or browser that was let in.
type Device struct {
	ID       ID        `json:"id"`
	Revision int       `json:"revision"`
	Name     string    `json:"name"`
	Token    Hash      `json:"-"` // SHA-256 of the token, never the token
	Created  time.Time `json:"created"`
	Seen     time.Time `json:"seen,omitzero"`
	Revoked  time.Time `json:"revoked,omitzero"`
}

// Settings are those of the workshop.
type Settings struct {
	Revision int    `json:"revision"`
	Workshop string `json:"workshop"` // its name, on reports and labels
	Prefix   string `json:"prefix"`   // of the codes of units: "SSA-"
	// Mains, V and Hz.
	Mains     float64 `json:"mains_volts"`
	Frequency float64 `json:"mains_hertz"`
	Currency  string  `json:"currency"`
	// Temperature of the place where units stand, °C.
	Temperature float64  `json:"temperature_celsius"`
	HoursPerDay float64  `json:"hours_per_day"` // that a unit is on, when it does not say
	People      []string `json:"people,omitempty"`
	Caution     string   `json:"caution,omitempty"` // local rules to print on reports
}

// Check finds what cannot be right in the settings; the error is Invalid.
func (s *Settings) Check() error {
	var wrong Invalid
	line("workshop", s.Workshop, false, &wrong)
	line("prefix", s.Prefix, false, &wrong)
	line("currency", s.Currency, false, &wrong)
	prose("caution", s.Caution, &wrong)
	if !(s.Mains >= 80 && s.Mains <= 480) {
		wrong.add("mains_volts", "%g V is no mains voltage; 230 and 120 are usual", s.Mains)
	}
	if !(s.Frequency >= 16 && s.Frequency <= 400) {
		wrong.add("mains_hertz", "%g Hz is no mains frequency; 50 and 60 are usual", s.Frequency)
	}
	if !(s.Temperature >= -40 && s.Temperature <= 90) {
		wrong.add("temperature_celsius", "%g °C is no place for a unit", s.Temperature)
	}
	if !(s.HoursPerDay >= 0 && s.HoursPerDay <= 24) {
		wrong.add("hours_per_day", "%g h; a day has 24", s.HoursPerDay)
	}
	return wrong.err()
}

// DefaultSettings are those of new records.
func DefaultSettings() Settings {
	return Settings{Workshop: "", Prefix: "U-", Mains: 230, Frequency: 50, Currency: "EUR", Temperature: 20, HoursPerDay: 2}
}

// Report is what another bench has learned: its counts (package experience), as
// it sent them.
type Report struct {
	ID    ID        `json:"id"`
	Bench string    `json:"bench"` // the identity of the bench
	Text  string    `json:"text"`
	Taken time.Time `json:"taken"`
}

// Change tells that a record was changed.
type Change struct {
	Number int64     `json:"number"` // counts changes from 1
	Kind   Kind      `json:"kind"`
	ID     ID        `json:"id"`
	Unit   ID        `json:"unit,omitempty"` // that it belongs to
	Job    ID        `json:"job,omitempty"`  // that it belongs to
	At     time.Time `json:"at"`
}
