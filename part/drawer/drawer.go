package drawer

import (
	"fmt"
	"regexp"
	"strconv"

	"halfsplit/form"
	"halfsplit/part/replacement"
)

// Version is the version of the format that this package reads.
const Version = 1

// Drawer is a list of parts at hand.
type Drawer struct {
	_ struct{} `doc:"A drawer lists the parts at hand."`

	Version int        `form:"drawer,required" like:"1" doc:"Version of the format: 1."`
	Parts   []Entry    `form:"parts,required" doc:"The parts."`
	Place   form.Place `form:"-"`
}

// Begins says how a drawer begins, for the message about an empty file.
func (*Drawer) Begins() string { return `a list of parts at hand begins with the line "drawer: 1"` }

// Entry is one kind of part, and how many there are.
type Entry struct {
	_ struct{} `doc:"A part at hand. In short, its text alone will do, with the number before it: 4 x 2200 uF 35 V electrolytic."`

	Text  form.Word  `form:"part,required" like:"2200 uF 35 V electrolytic" doc:"What it is, as on a label: value, tolerance, ratings, kind, class."`
	Count int        `form:"count" like:"4" doc:"How many there are; 1 when not given."`
	Where string     `form:"where" like:"box 7" doc:"Where it lies."`
	Note  string     `form:"note" doc:"Anything worth knowing."`
	Place form.Place `form:"-"`
}

// counted matches a number of parts before their text.
var counted = regexp.MustCompile(`^(\d{1,6}) *[x×] +(.+)$`)

// Short takes the text of a part, with a number before it or not.
func (e *Entry) Short(text form.Word) error {
	e.Text, e.Place, e.Count = text, text.Place, 1
	if found := counted.FindStringSubmatch(text.Text); found != nil {
		e.Count, _ = strconv.Atoi(found[1])
		e.Text.Text = found[2]
	}
	return nil
}

// Brief gives the entry in short, or "" when it says more than that or would be
// read as something else.
func (e Entry) Brief() string {
	brief := e.Text.Text
	if e.Count != 1 {
		brief = fmt.Sprintf("%d x %s", e.Count, brief)
	}
	again := Entry{Where: e.Where, Note: e.Note}
	if err := again.Short(form.Word{Text: brief}); err != nil || again.Count != e.Count || again.Text.Text != e.Text.Text || e.Where+e.Note != "" {
		return ""
	}
	return brief
}

// Written says how an entry is written in short.
func (Entry) Written() string { return "a part as on a label, such as 4 x 2200 uF 35 V electrolytic" }

// Label reads one part with a number before it, as an entry in short.
func Label(text string, like replacement.Part) (replacement.Stocked, error) {
	var e Entry
	if err := e.Short(form.Word{Text: text}); err != nil {
		return replacement.Stocked{}, err
	}
	return e.stocked(like)
}

// stocked gives the entry as package replacement takes it.
func (e *Entry) stocked(like replacement.Part) (replacement.Stocked, error) {
	if e.Count < 0 || e.Count == 0 && e.Text.Text != "" && e.Place == (form.Place{}) {
		return replacement.Stocked{}, fmt.Errorf("%d of %q; write how many there are, 1 or more", e.Count, e.Text.Text)
	}
	p, err := replacement.Parse(e.Text.Text, like)
	p.Name = e.Where
	return replacement.Stocked{Part: p, Count: max(e.Count, 1)}, err
}

// Parse reads a drawer. File is only a name for the messages. The error is
// form.Problems that name every mistake with line and column. An entry that does
// not say its kind, "2200 uF 35 V", takes the kind of the part it is looked through
// for.
func Parse(file string, text []byte, like replacement.Part) ([]replacement.Stocked, error) {
	var d Drawer
	if err := form.Read(file, text, &d); err != nil {
		return nil, err
	}
	var problems form.Problems
	if d.Version != Version {
		problems.Add(d.Place, fmt.Sprintf("version %d of the format is not known", d.Version), "write drawer: 1")
	}
	var stock []replacement.Stocked
	for i := range d.Parts {
		e := &d.Parts[i]
		if e.Count < 0 {
			problems.Add(e.Place, fmt.Sprintf("%d of them", e.Count), "write how many there are, 1 or more")
			continue
		}
		s, err := e.stocked(like)
		if err != nil {
			problems.Add(e.Text.Place, err.Error(), "")
			continue
		}
		stock = append(stock, s)
	}
	if err := problems.In(file).Err(); err != nil {
		return nil, err
	}
	return stock, nil
}

// Load reads a drawer from a file. Errors are those of [Parse], or an
// *fs.PathError.
func Load(path string, like replacement.Part) ([]replacement.Stocked, error) {
	text, err := form.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return Parse(path, text, like)
}
