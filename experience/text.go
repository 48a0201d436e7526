package experience

import (
	"bytes"
	"encoding/json"
	"fmt"

	"halfsplit/fault"
	"halfsplit/form"
)

// Version is the version of the text form that this package reads and writes.
const Version = 1

// page is the text form of a book: JSON, which is also YAML.
type page struct {
	_ struct{} `doc:"What benches have seen of parts that failed and parts that did not."`

	Version int        `json:"experience" form:"experience,required" like:"1" doc:"Version of the format: 1."`
	Records []entry    `json:"records" form:"records,required" doc:"The records."`
	Place   form.Place `json:"-" form:"-"`
}

// Begins says how the page begins, for the message about an empty file.
func (*page) Begins() string {
	return `a book of experience begins with {"experience": 1, "records": [`
}

// entry is a record in the text form.
type entry struct {
	_ struct{} `doc:"What one bench saw of one sort of part on one occasion."`

	Bench    string     `json:"bench" form:"bench,required" like:"Saltmarsh Sound Archive" doc:"Who counted. No two benches bear the same name."`
	ID       string     `json:"id" form:"id,required" like:"job 17 electrolytics" doc:"The bench's own name of the record."`
	Revision int        `json:"revision" form:"revision,required" like:"1" doc:"1, and one more for each correction."`
	Kind     form.Word  `json:"kind" form:"kind,required" like:"electrolytic" doc:"Kind of part, as a sheet names it."`
	Family   string     `json:"family,omitempty" form:"family" like:"blue radial" doc:"Type or series marking."`
	Maker    string     `json:"maker,omitempty" form:"maker" like:"Norbel" doc:"Maker."`
	Batch    string     `json:"batch,omitempty" form:"batch" like:"8136" doc:"Date code or lot."`
	Age      form.Word  `json:"age,omitzero" form:"age" like:"40-50" doc:"Decade of age in years."`
	Failed   int        `json:"failed,omitempty" form:"failed" like:"1" doc:"How many were found bad."`
	Good     int        `json:"good,omitempty" form:"good" like:"8" doc:"How many were found good."`
	Replaced int        `json:"replaced,omitempty" form:"replaced" like:"2" doc:"How many were replaced as a precaution while they still worked."`
	Years    float64    `json:"years,omitempty" form:"years" like:"396" doc:"Years that all of these have lived together, or since they were counted before."`
	Place    form.Place `json:"-" form:"-"`
}

// MarshalJSON writes the book for exchange, in the order of its records, so that
// equal books make equal texts.
func (b *Book) MarshalJSON() ([]byte, error) {
	p := page{Version: Version, Records: []entry{}}
	for _, r := range b.Records() {
		p.Records = append(p.Records, entry{
			Bench: r.Bench, ID: r.ID, Revision: r.Revision, Kind: form.Word{Text: r.Kind}, Family: r.Family, Maker: r.Maker, Batch: r.Batch,
			Age: form.Word{Text: r.Age.String()}, Failed: r.Failed, Good: r.Good, Replaced: r.Replaced, Years: r.Years,
		})
	}
	return json.Marshal(p)
}

// Parse reads what MarshalJSON writes, or a person wrote in YAML with the same keys.
// File is only a name for the messages. The error is form.Problems that name every
// mistake with line and column: an unknown key, one given twice, a kind of part
// that there is not, a number that cannot be.
func Parse(file string, text []byte) (*Book, error) {
	if b, ok := written(text); ok {
		return b, nil
	}
	var p page
	if err := form.Read(file, text, &p); err != nil {
		return nil, err
	}
	var problems form.Problems
	if p.Version != Version {
		problems.Add(p.Place, fmt.Sprintf("version %d of the format is not known", p.Version), "write 1")
	}
	b := &Book{}
	for i := range p.Records {
		e := &p.Records[i]
		r, err := e.record()
		if err != nil {
			problems.Add(e.Age.Place, err.Error(), "")
			continue
		}
		if _, known := fault.Find(e.Kind.Text); !known {
			problems.Add(e.Kind.Place, fmt.Sprintf("%q is no kind of part", e.Kind.Text), form.Suggest(e.Kind.Text, fault.Names()))
			continue
		}
		if err := b.Add(r); err != nil {
			problems.Add(e.Place, err.Error(), "")
		}
	}
	if err := problems.In(file).Err(); err != nil {
		return nil, err
	}
	return b, nil
}

// record gives the record that an entry tells; the error is about its age.
func (e *entry) record() (Record, error) {
	age, err := ParseBand(e.Age.Text)
	return Record{
		Bench: e.Bench, ID: e.ID, Revision: e.Revision, Age: age,
		Key: Key{e.Kind.Text, e.Family, e.Maker, e.Batch}, Count: Count{e.Failed, e.Good, e.Replaced, e.Years},
	}, err
}

// written reads a text that is byte for byte what MarshalJSON writes, ten times
// as fast as any other; false when it is not such a text.
func written(text []byte) (*Book, bool) {
	var p page
	if json.Unmarshal(text, &p) != nil {
		return nil, false
	}
	b := &Book{}
	for i := range p.Records {
		r, err := p.Records[i].record()
		if err != nil || b.Add(r) != nil {
			return nil, false
		}
	}
	again, err := b.MarshalJSON()
	return b, err == nil && bytes.Equal(text, again)
}
