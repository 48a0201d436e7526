package paper

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"halfsplit/findings"
	"halfsplit/internal/record"
	"halfsplit/quantity"
)

// Source is what a hand-back report is made of.
type Source struct {
	Settings record.Settings
	Unit     record.Unit
	Job      record.Job
	// Log is the whole logbook; Said tells each entry in words.
	Log  []record.Entry
	Said map[record.ID]string
	// Findings are what follows from the log; nil when the job has no sheet.
	// EntryAt gives the entry that stands on a line of the case.
	Findings *findings.Report
	EntryAt  func(line int) record.ID
	Photos   []Photo
	Made     time.Time
}

// standing are the usual cautions, printed when the workshop has none of its own.
const standing = "Old electronics can hurt even after repair: mains parts may be bare inside, capacitors may hold charge after the plug is out, and insulation ages. Have it opened only by those who are practised in it, and follow the rules for electrical safety where it is used; they come before anything in this report."

// Report makes the hand-back report of a job.
func Report(s Source) *Document {
	d := &Document{Title: s.Unit.Name() + ": " + s.Job.Title, Subtitle: result(&s.Job), Workshop: s.Settings.Workshop, Made: s.Made}
	d.add(s.facts())
	s.before(d)
	s.found(d)
	s.parts(d)
	s.readings(d)
	s.safety(d)
	s.proof(d)
	s.photos(d)
	s.lesson(d)
	s.logbook(d)
	caution := s.Settings.Caution
	if caution == "" {
		caution = standing
	}
	d.add(Heading("Before it is used again"), Caution(caution))
	return d
}

func (d *Document) add(b ...Block) { d.Blocks = append(d.Blocks, b...) }

// result is how a job ended, in a sentence.
func result(j *record.Job) string {
	if j.IsOpen() {
		return "Work in progress, at " + string(j.Stage)
	}
	text := capital(string(j.Outcome))
	if j.Reason != "" {
		text += ": " + j.Reason
	}
	return text
}

// facts are what is known of the unit and the work.
func (s *Source) facts() Facts {
	var list Facts
	add := func(name, value string) {
		if value != "" {
			list = append(list, Fact{name, value})
		}
	}
	add("Unit", strings.Join(compact(s.Unit.Code, s.Unit.Name()), ", "))
	add("Serial number", s.Unit.Serial)
	if s.Unit.Year != 0 {
		add("Made", fmt.Sprint(s.Unit.Year))
	}
	add("Owner", s.Unit.Owner)
	add("Came from", s.Unit.Source)
	if s.Unit.Mains != 0 {
		add("Mains", number(s.Unit.Mains, quantity.Volt))
	}
	for _, f := range s.Unit.Fitted {
		add("Fitted", strings.Join(compact(f.Name, f.Marking, dated(f.DateCode), string(f.Original)), ", "))
	}
	add("Opened", s.Job.Opened.Format("2006-01-02"))
	if !s.Job.Closed.IsZero() {
		add("Handed back", s.Job.Closed.Format("2006-01-02"))
	}
	var seconds float64
	var cost int64
	for i := range s.Log {
		if s.Log[i].CorrectedBy == 0 {
			seconds += s.Log[i].Seconds
			cost += s.Log[i].Cost
		}
	}
	if seconds > 0 {
		add("Time noted", minutes(seconds))
	}
	if cost > 0 {
		add("Parts and costs", money(cost, s.Settings.Currency))
	}
	return list
}

// dated is a date code in words.
func dated(code string) string {
	if code == "" {
		return ""
	}
	return "date code " + code
}

// before tells the complaint and the history.
func (s *Source) before(d *Document) {
	if s.Job.Complaint == "" && s.Unit.History == "" {
		return
	}
	d.add(Heading("What was wrong"))
	if s.Job.Complaint != "" {
		d.add(Text(s.Job.Complaint))
	}
	if s.Unit.History != "" {
		d.add(Text("Known before: " + s.Unit.History))
	}
}

// found tells what the readings say was or is bad.
func (s *Source) found(d *Document) {
	f := s.Findings
	if f == nil {
		return
	}
	d.add(Heading("What was found"))
	if f.Covers != "" {
		d.add(Text("Judged with the service sheet " + f.Sheet + ", which describes: " + f.Covers + "."))
	}
	for _, r := range f.Replaced {
		d.add(Text(fmt.Sprintf("%s was replaced or mended; by all that was read it was bad with %s.", r.Name, percent(r.Needed))))
	}
	if s.Job.IsOpen() || s.Job.Outcome == record.BeyondRepair || s.Job.Outcome == record.NotWorthIt || s.Job.Outcome == record.Unrepaired {
		table := Table{Header: []string{"May still be bad", "chance", "most likely how", "where"}}
		for _, x := range f.Suspects {
			if x.Probability >= 0.02 && len(table.Rows) < 8 {
				table.Rows = append(table.Rows, []string{x.Name, percent(x.Probability), x.Mode, x.In})
			}
		}
		d.add(table)
		if f.Beyond >= 0.02 {
			d.add(Text(fmt.Sprintf("Something that the sheet does not describe: %s.", percent(f.Beyond))))
		}
	}
}

// parts lists what was changed.
func (s *Source) parts(d *Document) {
	table := Table{Header: []string{"Part", "taken out", "it was", "put in", "entry"}}
	for i := range s.Log {
		e := &s.Log[i]
		if e.CorrectedBy != 0 {
			continue
		}
		for _, w := range e.Swaps {
			out := strings.Join(compact(w.OutMaker, w.OutMarking, dated(w.OutBatch)), ", ")
			was := strings.Join(compact(string(w.Condition), w.Mode, w.Measured), ", ")
			in := strings.Join(compact(w.InMaker, w.InMarking, dated(w.InBatch)), ", ")
			table.Rows = append(table.Rows, []string{w.Part, out, was, in, e.Name()})
		}
	}
	if len(table.Rows) > 0 {
		d.add(Heading("Parts"), table)
	}
}

// place is what was read at a place: first and last.
type place struct {
	first, last *findings.Verdict
}

// readings compares before with after.
func (s *Source) readings(d *Document) {
	if s.Findings == nil || len(s.Findings.Verdicts) == 0 {
		return
	}
	var order []string
	places := map[string]*place{}
	for i := range s.Findings.Verdicts {
		v := &s.Findings.Verdicts[i]
		p := places[v.At]
		if p == nil {
			p = &place{first: v}
			places[v.At], order = p, append(order, v.At)
		}
		p.last = v
	}
	table := Table{Header: []string{"Place", "before", "after", "should be", "verdict", "meter, state"},
		Caption: "Uncertainties are expanded, for about 95 %. A place that was read once stands under after."}
	var before, after []Reading
	for _, name := range order {
		p := places[name]
		first := ""
		r := Reading{}
		if p.first != p.last {
			first = uncertain(p.first)
			r = reading(p.first)
		}
		limits := p.last.Limits()
		table.Rows = append(table.Rows, []string{name, first, uncertain(p.last), between(limits, p.last.Unit) + source(p.last.Source), p.last.Word,
			strings.Join(compact(p.last.Meter, p.last.State), ", ")})
		if !math.IsInf(limits.Low, 0) || !math.IsInf(limits.High, 0) {
			before, after = append(before, r), append(after, reading(p.last))
		}
	}
	d.add(Heading("Readings, before and after"), table)
	if len(after) > 0 {
		d.add(Figure{Bands(before, after), "Each reading against the band that is right there, with its uncertainty as a whisker; the upper mark is the first reading, the lower the last."})
	}
}

// source is where limits come from, in brackets.
func source(text string) string {
	if text == "" {
		return ""
	}
	return " (" + text + ")"
}

// reading is a verdict as a mark.
func reading(v *findings.Verdict) Reading {
	limits := v.Limits()
	return Reading{Name: v.At, Value: v.Value, Uncertainty: v.Uncertainty, Low: limits.Low, High: limits.High, Unit: v.Unit}
}

// uncertain is a value with its uncertainty.
func uncertain(v *findings.Verdict) string {
	if v.Uncertainty <= 0 || math.IsNaN(v.Uncertainty) {
		return number(v.Value, v.Unit)
	}
	return quantity.FormatUncertain(v.Value, v.Uncertainty, v.Unit)
}

// between is a pair of limits in words.
func between(i quantity.Interval, unit quantity.Unit) string {
	switch low, high := math.IsInf(i.Low, 0), math.IsInf(i.High, 0); {
	case low && high:
		return ""
	case low:
		return "up to " + number(i.High, unit)
	case high:
		return "from " + number(i.Low, unit)
	}
	return number(i.Low, unit) + " to " + number(i.High, unit)
}

// safety tells how each hazard was answered.
func (s *Source) safety(d *Document) {
	if s.Findings == nil || len(s.Findings.Hazards) == 0 {
		return
	}
	said := map[string]string{}
	for i := range s.Log {
		if e := &s.Log[i]; e.CorrectedBy == 0 && (e.Verb == "safe" || e.Verb == "accept") {
			for _, h := range s.Findings.Hazards {
				if strings.Contains(s.Said[e.ID], h.Name) {
					said[h.Name] = e.Name() + ": " + s.Said[e.ID]
				}
			}
		}
	}
	table := Table{Header: []string{"Hazard", "kind", "state", "entry"}}
	open := false
	for _, h := range s.Findings.Hazards {
		state := "answered"
		switch {
		case h.Accepted:
			state, open = "left unanswered, as the log owns", true
		case !h.Answered:
			state, open = "not answered", true
		}
		table.Rows = append(table.Rows, []string{h.Name, h.Kind, state, said[h.Name]})
	}
	d.add(Heading("Safety"), table)
	if open {
		d.add(Caution("Not every hazard of this unit was answered; see the table."))
	}
}

// proof tells how far the repair is proved.
func (s *Source) proof(d *Document) {
	f := s.Findings
	if f == nil || f.Proof == nil {
		return
	}
	p := f.Proof
	d.add(Heading("Proof"))
	if s.Job.DoneWhen != "" {
		d.add(Text("What was to count as done, written before: " + s.Job.DoneWhen))
	}
	switch {
	case p.Again:
		d.add(Text("The fault has come back since the repair."))
	case !p.Repaired:
		d.add(Text("Nothing was repaired yet that could be proved."))
	case p.Steady:
		d.add(Text("The fault was there whenever the unit was on; now it is gone, which proves the repair."))
	default:
		d.add(Text(fmt.Sprintf("Before the repair it failed %s; since then it has run %s without the fault that count. That it is fixed: %s (wanted: %s). An unrepaired unit would have done that with %s.",
			times(p.Failures), minutes(p.Clean), percent(p.Fixed), percent(p.Sure), percent(p.Survival))))
	}
	for _, n := range p.Needs {
		if n.Level == p.Sure && n.Further > 0 && !p.Again {
			d.add(Text(fmt.Sprintf("For %s a further %s of hot running are needed.", percent(n.Level), minutes(n.Further))))
		}
	}
	if curve := p.Assessment.Curve; len(curve) > 1 && p.Repaired && !p.Steady && !p.Again {
		var at, sure []float64
		for _, c := range curve {
			at, sure = append(at, c.Time/60), append(sure, c.Fixed)
		}
		d.add(Figure{Curve(at, sure, p.Clean/60, p.Sure), fmt.Sprintf("How sure it is that the fault is gone, against hot running since the repair; %s were run.", minutes(p.Clean))})
	}
	for _, c := range p.Cautions {
		d.add(Text(capital(c) + "."))
	}
}

// times is a count in words.
func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

// photos adds the pictures.
func (s *Source) photos(d *Document) {
	if len(s.Photos) == 0 {
		return
	}
	d.add(Heading("Pictures"))
	for _, p := range s.Photos {
		d.add(p)
	}
}

// lesson adds what makes the next one easier.
func (s *Source) lesson(d *Document) {
	if s.Job.Lesson != "" {
		d.add(Heading("For the next one"), Text(s.Job.Lesson))
	}
}

// logbook adds every entry.
func (s *Source) logbook(d *Document) {
	if len(s.Log) == 0 {
		return
	}
	table := Table{Header: []string{"No.", "when", "who", "what"}, Caption: "Written in ink: an entry that turned out wrong stays, and a later one corrects it."}
	names := map[record.ID]string{}
	for i := range s.Log {
		names[s.Log[i].ID] = s.Log[i].Name()
	}
	for i := range s.Log {
		e := &s.Log[i]
		what := s.Said[e.ID]
		if e.Corrects != 0 {
			what = "corrects " + names[e.Corrects] + ": " + what
		}
		if e.CorrectedBy != 0 {
			what += " (corrected by " + names[e.CorrectedBy] + ")"
		}
		table.Rows = append(table.Rows, []string{e.Name(), e.At.Format("2006-01-02 15:04"), e.Who, what})
	}
	d.add(Heading("Logbook"), table)
}

// Leave removes what should not be given away, such as the logbook or the
// pictures: every section under one of the given headings.
func (d *Document) Leave(headings ...string) {
	var kept []Block
	skip := false
	for _, b := range d.Blocks {
		if h, ok := b.(Heading); ok {
			skip = slices.Contains(headings, string(h))
		}
		if !skip {
			kept = append(kept, b)
		}
	}
	d.Blocks = kept
}
