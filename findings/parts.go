package findings

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/logbook"
	"halfsplit/metrology"
	"halfsplit/quantity"
)

// results are the words for what a test of a part shows, each with the words
// of package fault (Mode.Reads) that it stands for. Common practice, no source.
var results = []struct {
	words []string
	shows []string // empty: bad without saying how
	good  bool
}{
	{words: []string{"good", "ok", "okay", "fine", "passes", "two good diode drops", "two diode drops", "right", "sound", "normal", "healthy", "correct", "within tolerance"}, good: true},
	{words: []string{"bad", "faulty", "fails", "wrong", "spent", "dead", "no good", "not right", "no output", "stuck low", "stuck high", "clamped", "stuck"}},
	{words: []string{"not shorted", "none shorted", "no short", "no shorts"}, good: true, shows: []string{"short"}},
	{words: []string{"not open", "continuity", "beeps", "has continuity"}, good: true, shows: []string{"open", "cracked"}},
	{words: []string{"open", "ol", "over range", "no continuity", "infinite", "blown", "broken"}, shows: []string{"open"}},
	{words: []string{"short", "shorted", "zero ohms", "dead short"}, shows: []string{"short"}},
	{words: []string{"leaky", "low gain"}, shows: []string{"leaky"}},
	{words: []string{"high", "drifted high", "too high", "high resistance"}, shows: []string{"high"}},
	{words: []string{"low", "drifted low", "too low", "flat", "weak"}, shows: []string{"low"}},
	{words: []string{"noisy", "crackles", "scratchy"}, shows: []string{"noisy"}},
	{words: []string{"esr high", "high esr", "dried out", "dry"}, shows: []string{"esr high"}},
	{words: []string{"cracked", "loose", "crack", "ring crack", "corroded", "cold joint", "dry joint", "unsoldered", "torn", "intermittent", "moves"}, shows: []string{"cracked", "open"}},
	{words: []string{"burnt", "burned", "charred", "discoloured", "scorched", "smoked"}, shows: []string{"open", "short", "high"}},
	{words: []string{"bulged", "leaked", "leaking", "vented"}, shows: []string{"esr high", "leaky", "cracked"}},
	{words: []string{"hot", "too hot", "runs hot"}, shows: []string{"short", "leaky"}},
	{words: []string{"cold", "stays cold"}, shows: []string{"dead", "open"}},
}

// resultOf finds a result by its word.
func resultOf(word string) (good bool, shows []string, ok bool) {
	word = strings.Join(strings.Fields(strings.ToLower(word)), " ")
	for _, r := range results {
		if slices.Contains(r.words, word) {
			return r.good, r.shows, true
		}
	}
	return false, nil, false
}

// ResultWords lists the words for what a test of a part shows, one group a
// line, for the documentation.
func ResultWords() []string {
	lines := make([]string, len(results))
	for i, r := range results {
		lines[i] = strings.Join(r.words, ", ")
	}
	return lines
}

func chiefResults() []string {
	var words []string
	for _, r := range results {
		words = append(words, r.words[0])
	}
	return words
}

func resultWords() []string {
	var words []string
	for _, r := range results {
		words = append(words, r.words...)
	}
	return words
}

// Chances of a test of a part misleading, by how it was made. Common practice,
// no source.
var testQuality = map[logbook.How]struct{ falseAlarm, sees float64 }{
	logbook.OutOfCircuit: {0.02, 1},
	logbook.InCircuit:    {0.12, 0.75}, // parallel paths hide and feign faults
	logbook.InOperation:  {0.08, 0.95},
	logbook.ByEye:        {0.04, 0.35}, // most faults cannot be seen
	logbook.Compared:     {0.02 * stillBad, 1},
}

// test takes in the test of a part.
func (w *work) test(e *logbook.Entry, name string) {
	how := e.How
	if how == "" {
		how = logbook.InCircuit
	}
	if e.Capacity != nil || e.ESR != nil || e.Loss != nil || e.Leakage != nil || len(e.Seen) > 0 {
		w.capacitor(e, name, how)
		return
	}
	w.partReading(e, name, how)
}

// partReading takes in what was read on a part, in words or as its value.
func (w *work) partReading(e *logbook.Entry, name string, how logbook.How) {
	for _, read := range e.Reads {
		if good, shows, ok := resultOf(read.Text); ok {
			w.partResult(e, name, how, good, shows, read.Text)
			continue
		}
		if celsius, ok := temperature(read.Text); ok {
			w.partTemperature(e, name, how, celsius, read.Text)
			continue
		}
		nominal, limits, ok, err := w.partLimits(name, e)
		if err != nil {
			w.fail(e, err)
			return
		}
		r, isNumber, err := parseReading(read.Text, limits.Unit)
		switch {
		case err != nil:
			w.failAt(read, err)
			return
		case isNumber && !ok && r.quantity.Unit == quantity.Ohm && r.quantity.Value < 2:
			w.partResult(e, name, how, false, []string{"short"}, read.Text)
			continue
		case !isNumber:
			w.failAt(read, fmt.Errorf("%q is no word for what a test of a part shows; %s", read.Text, suggest(read.Text, resultWords(), chiefResults())))
			return
		case !ok:
			w.unused(e, "the sheet gives no value for %s; add expect to the entry", name)
			return
		}
		w.partValue(e, name, how, r, nominal, limits)
	}
}

// partLimits gives what a part should read: from the entry, or its value and
// tolerance in the sheet.
func (w *work) partLimits(name string, e *logbook.Entry) (nominal float64, limits quantity.Interval, ok bool, err error) {
	p := w.sheet.Part(name)
	if p != nil {
		nominal, limits, ok = p.Limits()
	}
	if e.Expect.Text == "" {
		return nominal, limits, ok, nil
	}
	text, _ := quantity.SplitMode(e.Expect.Text)
	var q quantity.Quantity
	if limits.Unit != quantity.None {
		q, err = quantity.ParseAs(text, limits.Unit)
	} else if q, err = quantity.Parse(text); err == nil && q.Unit == quantity.None {
		q, err = quantity.ParseAs(text, quantity.Ohm)
	}
	if err != nil {
		return 0, limits, false, err
	}
	tolerance := quantity.Tolerance{Low: -0.1, High: 0.1, Unit: quantity.Percent}
	if p != nil && p.Tolerance != nil {
		tolerance = *p.Tolerance
	}
	limits = tolerance.Around(q.Value)
	limits.Unit = q.Unit
	if e.Limits.Text != "" {
		t, err := quantity.ParseTolerance(e.Limits.Text)
		if err != nil {
			return 0, limits, false, err
		}
		limits = t.Around(q.Value)
		limits.Unit = q.Unit
	}
	return q.Value, limits, true, nil
}

// partValue judges the value read on a part.
func (w *work) partValue(e *logbook.Entry, name string, how logbook.How, r reading, nominal float64, limits quantity.Interval) {
	if r.quantity.Unit == quantity.Farad && w.sheet.Part(name) != nil {
		c := *e
		c.Capacity = &r.quantity
		w.capacitor(&c, name, how)
		return
	}
	m, meter, err := w.measure(e.With.Text, []reading{r}, 0)
	if err != nil { // a reading beyond the ranges of the meter is still a reading
		m, meter = metrology.FromBound(r.quantity.Value, 0.05*math.Abs(r.quantity.Value)), "accuracy not known, 5 % assumed"
	}
	v, err := metrology.Judge(m, metrology.Limit{Low: limits.Low, High: limits.High, Source: "the part's value and tolerance"})
	if err != nil {
		w.fail(e, err)
		return
	}
	w.verdict(e, name, []reading{r}, v, meter)
	x := r.quantity.Value
	switch {
	case v.Word == metrology.TooClose:
		w.unused(e, "%s is too close to its limit to speak for or against it", name)
	case v.Word != metrology.Outside:
		w.partResult(e, name, how, true, nil, r.text)
	case x > 30*nominal:
		w.partResult(e, name, how, false, []string{"open"}, r.text)
	case x < 0.02*nominal:
		w.partResult(e, name, how, false, []string{"short"}, r.text)
	case x > limits.High:
		// in circuit, parallel paths only lower a resistance: above is proof
		if r.quantity.Unit == quantity.Ohm {
			how = logbook.OutOfCircuit
		}
		w.partResult(e, name, how, false, []string{"high"}, r.text)
	case how == logbook.InCircuit && r.quantity.Unit == quantity.Ohm:
		w.unused(e, "%s reads low in circuit, as parallel paths make it: no proof; lift a leg", name)
	default:
		w.partResult(e, name, how, false, []string{"low"}, r.text)
	}
}

// partResult adds the result of a test of a part to the evidence.
func (w *work) partResult(e *logbook.Entry, name string, how logbook.How, good bool, shows []string, read string) {
	said := e.How // how is how far it proves, which may be more than how it was made
	if said == "" {
		said = how
	}
	items := w.itemsNamed(name)
	if len(items) == 0 {
		w.unused(e, "%s is placed in no block and across no rail or signal: it does not rank suspects", name)
		return
	}
	text := fmt.Sprintf("%s tests %s (%s", name, read, said)
	if extra := sceneText(e); extra != "" {
		text += ", " + extra
	}
	text += ")"
	warm := w.warm(e.State) == flow.Yes
	for _, item := range items {
		if contains(w.replaced, item) {
			w.unused(e, "%s was replaced or mended before: this speaks of it as it is now", name)
			return
		}
		if w.told(item, how, warm, good, shows) {
			w.unused(e, "the same test of %s once more: one part tested twice the same way counts once", name)
			return
		}
	}
	// A section is good when everything in it is; it is bad when anything is,
	// which says little of each part alone.
	if !good && len(items) > 1 {
		items = items[len(items)-1:]
	}
	for _, item := range items {
		if how == logbook.Compared && w.provedBad(item) > 0 {
			w.evidence.Tested(oncemore(item, w.model.Items[item].Kind, good))
		} else {
			w.evidence.Tested(likelihoodOfTest(item, w.model.Items[item].Kind, how, w.warm(e.State), w.testedCold(item, how) && warm, good, shows))
		}
		w.observations = append(w.observations, observation{entry: e, text: text, epoch: w.epoch, place: place{name: name}, part: item, good: math.NaN()})
		w.tests = append(w.tests, tested{item: item, how: how, warm: warm, good: good, shows: strings.Join(shows, ","), line: e.Place.Line})
	}
}

// tested is a test of a part that was taken in.
type tested struct {
	item  int
	how   logbook.How
	warm  bool // while it was warm
	good  bool
	shows string
	line  int
}

func outOfCircuit(how logbook.How) bool {
	return how == logbook.OutOfCircuit || how == logbook.Compared
}

// told reports whether that was said before. A part that is warm may say something
// new.
func (w *work) told(item int, how logbook.How, warm, good bool, shows []string) bool {
	return slices.ContainsFunc(w.tests, func(t tested) bool {
		return t.item == item && t.how == how && t.good == good && t.shows == strings.Join(shows, ",") && (t.warm || !warm)
	})
}

// testedCold reports whether an item was tested good in that way without being warm.
func (w *work) testedCold(item int, how logbook.How) bool {
	return slices.ContainsFunc(w.tests, func(t tested) bool { return t.item == item && t.how == how && t.good && !t.warm })
}

// testedAlone reports whether an item was tested out of circuit, or tested so while it
// was warm.
func (w *work) testedAlone(item int, warm bool) bool {
	return slices.ContainsFunc(w.tests, func(t tested) bool {
		return t.item == item && outOfCircuit(t.how) && (t.warm || !warm)
	})
}

// likelihoodOfTest gives the chance of a test's result for a good item and for
// each of its ways to be bad. When a part that tested good is tested again while it is
// warm, that says something new only of what shows when warm.
func likelihoodOfTest(item int, kind fault.Kind, how logbook.How, warm flow.Answer, again, good bool, shows []string) flow.PartReading {
	quality := testQuality[how]
	r := flow.PartReading{Item: item, Healthy: quality.falseAlarm, Modes: make([]float64, len(kind.Modes))}
	switch {
	case good:
		r.Healthy = 1 - quality.falseAlarm
	case len(shows) > 0 && how == logbook.ByEye:
		r.Healthy = visible // a crack or a burn that was seen is there
	case len(shows) > 0 && proof(kind, how, shows):
		r.Healthy = proven
	case len(shows) > 0:
		r.Healthy /= 2
	}
	for i, mode := range kind.Modes {
		seen := mode.Shows * quality.sees
		switch {
		case how == logbook.InOperation:
			seen = quality.sees * conditionMet(mode.When, warm)
		case mode.When == fault.WhenWarm && warm == flow.Yes:
			seen = math.Max(seen, showsWarmed*quality.sees)
		}
		switch {
		case again && mode.When != fault.WhenWarm:
			r.Modes[i] = r.Healthy
		case good && len(shows) > 0 && !slices.Contains(shows, mode.Reads):
			r.Modes[i] = r.Healthy // it clears only what it names
		case good:
			r.Modes[i] = 1 - seen
		case len(shows) == 0:
			r.Modes[i] = seen
		case slices.Contains(shows, mode.Reads):
			r.Modes[i] = math.Max(0.8*seen, 0.4)
		case mode.Reads == "dead":
			r.Modes[i] = 0.4 * seen
		default:
			r.Modes[i] = 0.06 * seen
		}
		r.Modes[i] = math.Max(r.Modes[i], 0.005)
	}
	return r
}

// The chance that a good part shows plainly bad: misread, or the wrong part.
// Common practice, no source.
const (
	proven  = 0.0001
	visible = 0.006
)

// partTest says how a test of a part by itself, out of circuit, speaks when it says
// bad, how it is bad included, and good. While the part is warmed, only faults that
// show warm are looked for.
func partTest(item int, kind fault.Kind, warm bool) []flow.PartReading {
	bad := flow.PartReading{Item: item, Healthy: testQuality[logbook.OutOfCircuit].falseAlarm, Modes: make([]float64, len(kind.Modes))}
	if kind.Follow == fault.Passes {
		bad.Healthy = proven
	}
	good := flow.PartReading{Item: item, Healthy: 1 - bad.Healthy, Modes: make([]float64, len(kind.Modes))}
	for i, mode := range kind.Modes {
		switch {
		case !warm:
			bad.Modes[i] = mode.Shows
		case mode.When == fault.WhenWarm:
			bad.Modes[i] = math.Max(mode.Shows, showsWarmed)
		default:
			bad.Modes[i] = bad.Healthy
		}
		good.Modes[i] = 1 - bad.Modes[i]
	}
	return []flow.PartReading{bad, good}
}

// showsWarmed is the chance that a part which fails when warm shows it in a test by
// itself while it is warm. Common practice, no source.
const showsWarmed = 0.85

// oncemore says how a test speaks of a part that tested bad before, when it is made
// again beside a good one.
func oncemore(item int, kind fault.Kind, good bool) flow.PartReading {
	r := flow.PartReading{Item: item, Healthy: stillBad, Modes: make([]float64, len(kind.Modes))}
	for i := range r.Modes {
		r.Modes[i] = badAgain
	}
	if good {
		r.Healthy = 1 - r.Healthy
		for i := range r.Modes {
			r.Modes[i] = 1 - r.Modes[i]
		}
	}
	return r
}

// stillBad is the chance that a good part which tested bad does so again beside a
// part that tests good in the same way, and badAgain that of a bad one. Common
// practice, no source.
const (
	stillBad = 0.3
	badAgain = 0.97
)

// proof reports whether a result proves the part bad. Out of circuit, open,
// shorted or far off does, for a part of two legs. In circuit, parallel paths
// can make it read low or shorted, but never open or high.
func proof(kind fault.Kind, how logbook.How, shows []string) bool {
	if kind.Follow != fault.Passes {
		return false
	}
	return outOfCircuit(how) || how == logbook.InCircuit && (slices.Contains(shows, "open") || slices.Contains(shows, "high"))
}

// conditionMet is the chance that a mode shows in operation.
func conditionMet(when fault.When, warm flow.Answer) float64 {
	switch {
	case when == fault.Always:
		return 1
	case when == fault.WhenWarm && warm == flow.No, when == fault.WhenCold && warm == flow.Yes:
		return 0.06
	case when == fault.WhenWarm && warm == flow.Yes, when == fault.WhenCold && warm == flow.No:
		return 0.93
	}
	return 0.6
}
