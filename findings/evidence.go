package findings

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfsplit/flow"
	"halfsplit/internal/form"
	"halfsplit/logbook"
	"halfsplit/metrology"
	"halfsplit/quantity"
	"halfsplit/sheet"
	"halfsplit/signal"
)

// observation is one piece of evidence with what the report says of it.
type observation struct {
	entry *logbook.Entry
	text  string // "TP3 reads 4.62 V"
	scene flow.Scene
	epoch int // number of swaps and mends before it
	place place
	part  int     // the item that was tested by itself, else −1
	noise bool    // it speaks of noise only
	good  float64 // how far it shows a net good: 0 bad … 1 good; NaN for others
}

func scalar(w form.Word) form.Scalar { return form.Scalar{Text: w.Text, Place: w.Place} }

// readLog goes through the log and gathers evidence.
func (w *work) readLog() {
	for i := range w.logCase.Log {
		e := &w.logCase.Log[i]
		if e.Corrected() {
			continue
		}
		switch e.Verb() {
		case "symptom":
			w.symptom(e)
		case "measure":
			for _, at := range e.Measure {
				w.observe(e, at, flow.Scene{})
			}
		case "test":
			for _, name := range e.Test {
				w.test(e, name.Text)
			}
		case "look":
			if e.At.Text != "" && len(e.Reads) > 0 {
				w.partReading(e, e.At.Text, logbook.ByEye)
			}
		case "check":
			w.check(e)
		case "chill":
			w.watch(e, flow.Scene{Chilled: w.itemNumbers(e.Chill)})
		case "heat":
			w.watch(e, flow.Scene{Heated: w.itemNumbers(e.Heat)})
		case "press":
			w.watch(e, flow.Scene{Pressed: w.itemNumbers(e.Press)})
		case "piggyback":
			w.watch(e, flow.Scene{Piggybacked: w.itemNumbers(e.Piggyback)})
		case "swap":
			w.replace(e.Swap)
		case "mend":
			w.replace(e.Mend)
		}
	}
}

// replace notes that items were replaced or mended.
func (w *work) replace(names []form.Word) {
	w.epoch++
	for _, item := range w.itemNumbers(names) {
		if !contains(w.replaced, item) {
			w.replaced = append(w.replaced, item)
		}
	}
}

// itemNumbers gives the items that names stand for; a block whose parts are
// listed stands for all of them.
func (w *work) itemNumbers(names []form.Word) []int {
	var items []int
	for _, name := range names {
		items = append(items, w.itemsNamed(name.Text)...)
	}
	return items
}

func (w *work) itemsNamed(name string) []int {
	if w.sheet.Block(name) != nil {
		return w.model.ItemsOf(name)
	}
	if item, ok := w.model.Item(name); ok {
		return []int{item}
	}
	return nil
}

// scene completes a scene with the state that an entry gives.
func (w *work) scene(e *logbook.Entry, scene flow.Scene) flow.Scene {
	if warm := w.warm(e.State); warm != flow.Unknown {
		scene.Warm = warm
	}
	scene.Replaced = append([]int(nil), w.replaced...)
	scene.Lifted = w.itemNumbers(e.State.Lifted)
	for _, name := range e.State.Without {
		for i := range w.sheet.Blocks {
			b := &w.sheet.Blocks[i]
			if b.Board == name.Text || b.Name.Text == name.Text {
				if number, ok := w.model.Block(b.Name.Text); ok {
					scene.Without = append(scene.Without, number)
				}
			}
		}
	}
	for _, name := range e.State.Injected {
		if net, ok := w.model.Net(name.Text); ok {
			scene.Injected = append(scene.Injected, net)
		}
	}
	return scene
}

func (w *work) symptom(e *logbook.Entry) {
	w.evidence.Complained()
	if e.At.Text == "" || len(e.Reads) == 0 {
		w.unused(e, "the symptom is in words only; with at (a signal) and reads it would rank suspects")
		return
	}
	if w.watched == "" {
		w.watched = e.At.Text
	}
	w.observe(e, e.At, flow.Scene{})
}

// watch reads the effect of chilling, pressing and the like.
func (w *work) watch(e *logbook.Entry, scene flow.Scene) {
	at := e.At
	if at.Text == "" {
		at.Text = w.watched
	}
	if at.Text == "" {
		w.unused(e, "it is not said where the effect was watched; add at, a test point or signal")
		return
	}
	if w.warm(e.State) == flow.Unknown && e.State.Temperature == nil {
		scene.Warm = w.last.Warm // as it was just before
	}
	w.wrongBefore(e, at, scene.Warm)
	w.observe(e, at, scene)
}

// suggest names the known word that was probably meant, or else the chief ones.
func suggest(word string, known, chief []string) string {
	if near := form.Nearest(word, known); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return form.Suggest(word, chief)
}

// wrongBefore takes it that what was watched while something was done to a part
// was wrong before, when nothing else was read there in that state: why else
// would one try.
func (w *work) wrongBefore(e *logbook.Entry, at form.Word, warm flow.Answer) {
	p := w.place(at.Text)
	scene := w.scene(e, flow.Scene{Warm: warm})
	read := slices.ContainsFunc(w.observations, func(o observation) bool {
		return o.place.signal == p.signal && o.epoch == w.epoch && sameScene(&o.scene, &scene)
	})
	if read || !p.ok {
		return
	}
	bad, _ := signal.FromWord("bad", signal.PlainSlip)
	w.evidence.Read(scene, flow.Reading{Net: p.net, Likelihood: bad})
	w.note(e, at.Text+" was wrong before", scene, p, goodness(bad))
}

func (w *work) unused(e *logbook.Entry, format string, values ...any) {
	w.report.Unused = append(w.report.Unused, Unused{Line: e.Place.Line, Why: fmt.Sprintf(format, values...)})
}

// observe takes in a reading of a net.
func (w *work) observe(e *logbook.Entry, at form.Word, scene flow.Scene) {
	p := w.place(at.Text)
	if e.State.Power == logbook.PowerOff {
		w.unused(e, "taken with the power off: it says nothing of the signal; record it as a test of the part concerned")
		return
	}
	x, err := w.expect(p, e)
	if err != nil {
		w.fail(e, err)
		return
	}
	var numbers []reading
	var readings []signal.Likelihood
	fitful := false
	for _, read := range e.Reads {
		unit := quantity.None
		if x.value != nil {
			unit = x.value.Unit
		}
		r, isNumber, err := parseReading(read.Text, quantity.None)
		if isNumber && err == nil && r.quantity.Unit == quantity.None && unit != quantity.None {
			r, isNumber, err = parseReading(read.Text, unit)
		}
		switch {
		case err != nil:
			w.failAt(read, err)
			return
		case isNumber:
			numbers = append(numbers, r)
		case fitfulWord(read.Text):
			fitful = true
		case compared(read.Text) != "":
			l, err := w.comparison(x, read.Text, slipOf(e, p))
			if err != nil {
				w.failAt(read, err)
				return
			}
			readings = append(readings, l)
		default:
			l, ok := w.wordLikelihood(p, x, read.Text, slipOf(e, p))
			if !ok {
				w.failAt(read, fmt.Errorf("%q is no word for what a signal does; %s", read.Text, suggest(read.Text, signal.Words(), signal.Headwords())))
				return
			}
			readings = append(readings, l)
		}
	}
	if len(numbers) > 0 {
		l, ok := w.numberLikelihood(e, p, x, numbers)
		if ok {
			readings = append(readings, l)
		}
	}
	if !p.ok {
		w.unused(e, "%s is in a circuit that is not simulated; the reading is judged but does not rank suspects", at.Text)
		return
	}
	scene = w.scene(e, scene)
	text := fmt.Sprintf("%s reads %s", at.Text, joined(e.Reads))
	if extra := sceneText(e); extra != "" {
		text += " (" + extra + ")"
	}
	noise := len(numbers) > 0 && x.rail && numbers[0].ac()
	for _, l := range readings {
		if e.State.Load == logbook.LoadNone {
			l = l.Unloaded()
		}
		w.evidence.Read(scene, flow.Reading{Net: p.net, Likelihood: l})
		w.note(e, text, scene, p, goodness(l))
		w.observations[len(w.observations)-1].noise = noise
	}
	if fitful {
		w.evidence.Read(scene, flow.Reading{Net: p.net, Fitful: true})
		w.note(e, text, scene, p, math.NaN())
	}
}

// compared gives "above" or "below" for a reading such as "above 5 V", "far
// below 3 V", "> 5 V", and "" for any other.
func compared(text string) string {
	lower := strings.TrimPrefix(strings.ToLower(strings.TrimSpace(text)), "far ")
	for _, w := range []struct{ begins, means string }{
		{"above ", "above"}, {"over ", "above"}, {"more than ", "above"}, {">", "above"}, {"at least ", "above"},
		{"below ", "below"}, {"under ", "below"}, {"less than ", "below"}, {"<", "below"}, {"at most ", "below"},
	} {
		if rest, ok := strings.CutPrefix(lower, w.begins); ok && startsWithNumber(rest) {
			return w.means
		}
	}
	return ""
}

// comparison judges a reading that only says above or below what it lay.
func (w *work) comparison(x expected, text string, slip float64) (signal.Likelihood, error) {
	means := compared(text)
	lower := strings.ToLower(text)
	number := lower[strings.IndexAny(lower, "+-−.0123456789"):]
	unit := quantity.None
	if x.value != nil {
		unit = x.value.Unit
	}
	r, _, err := parseReading(number, quantity.None)
	if err == nil && r.quantity.Unit == quantity.None {
		r, _, err = parseReading(number, unit)
	}
	if err != nil {
		return signal.Likelihood{}, err
	}
	good, _ := signal.FromWord("good", slip)
	high, _ := signal.FromWord("high", slip)
	low, _ := signal.FromWord("low", slip)
	if x.value == nil || x.value.Unit != r.quantity.Unit {
		return signal.Likelihood{}, fmt.Errorf("%q can only be judged where a value is expected; give the entry expect, or read high or low", text)
	}
	far := strings.HasPrefix(lower, "far ")
	magnitude := x.value.Value < 0 // on a negative rail, "below -75 V" is more of it
	beyond := (means == "above") != magnitude
	edge := x.limit.High
	if means == "below" {
		edge = x.limit.Low
	}
	outside := far || (means == "above" && r.quantity.Value >= edge) || (means == "below" && r.quantity.Value <= edge)
	side := low
	if beyond {
		side = high
	}
	if outside {
		return side, nil
	}
	for s := range good {
		good[s] = (good[s] + side[s]) / 2
	}
	return good, nil
}

func fitfulWord(word string) bool {
	switch strings.ToLower(word) {
	case "intermittent", "comes and goes", "sometimes", "fails sometimes":
		return true
	}
	return false
}

// goodness is the chance that the net was good, judged by this reading alone.
func goodness(l signal.Likelihood) float64 {
	agnostic := signal.Agnostic()
	return agnostic[signal.Good] * l[signal.Good] / l.Of(&agnostic)
}

func (w *work) note(e *logbook.Entry, text string, scene flow.Scene, p place, good float64) {
	w.observations = append(w.observations, observation{entry: e, text: text, scene: scene, epoch: w.epoch, place: p, part: -1, good: good})
	w.last = scene
	w.last.Chilled, w.last.Heated, w.last.Pressed, w.last.Piggybacked, w.last.Injected, w.last.Lifted, w.last.Without = nil, nil, nil, nil, nil, nil, nil
}

// slipOf is the chance that a reading in words is simply wrong: small for what
// anybody sees or hears from outside.
func slipOf(e *logbook.Entry, p place) float64 {
	if e.Verb() == "symptom" || (p.point != nil && p.point.Reach == sheet.ReachOutside) {
		return signal.PlainSlip
	}
	return signal.Slip
}

// wordLikelihood judges a reading in words against what was expected.
func (w *work) wordLikelihood(p place, x expected, word string, slip float64) (signal.Likelihood, bool) {
	lower := strings.ToLower(strings.TrimSpace(word))
	good, _ := signal.FromWord("good", slip)
	switch {
	case x.word != "" && strings.EqualFold(lower, strings.ToLower(x.word)):
		return good, true
	case w.digital(p, x):
		moving := x.word == "" || movingWord(x.word)
		switch {
		case moving && (movingWord(lower) || lower == "pulsing"):
			return good, true
		case lower == "high":
			return signal.FromWord("stuck high", slip)
		case lower == "low":
			return signal.FromWord("stuck low", slip)
		case lower == "pulsing" && !moving:
			return signal.FromWord("wrong", slip)
		case signal.Canonical(lower) == "wrong rate": // wrong data may come from a line that is stuck
			return signal.FromWord("bad", slip)
		}
	}
	return signal.FromWord(lower, slip)
}

// Logic levels of TTL inputs, in volts: at most 0.8 V is low, at least 2.0 V is
// high (any TTL data book, recommended operating conditions).
const (
	logicLow  = 0.8
	logicHigh = 2.0
)

// numberLikelihood judges readings in numbers, and adds their verdict to the
// report.
func (w *work) numberLikelihood(e *logbook.Entry, p place, x expected, numbers []reading) (signal.Likelihood, bool) {
	first := numbers[0]
	if e.State.Mode == logbook.ModeAC && first.mode == "" && first.quantity.Unit == quantity.Volt {
		for i := range numbers {
			numbers[i].mode = "AC"
		}
		first = numbers[0]
	}
	if first.ac() && x.rail {
		return w.ripple(e, p, x, numbers)
	}
	if x.value == nil && x.word != "" && first.quantity.Unit == quantity.Volt {
		return logicLevel(first.quantity.Value, x.word), true
	}
	if x.value == nil {
		w.unused(e, "the sheet does not say what %s should read; give the point expect, or the entry", p.name)
		return signal.Likelihood{}, false
	}
	if x.value.Unit != first.quantity.Unit {
		w.fail(e, fmt.Errorf("%s is expected to read in %s, as in %s, not %s", p.name, x.value.Unit.Name(), x.value, first.text))
		return signal.Likelihood{}, false
	}
	m, meter, err := w.measure(e.With.Text, numbers, x.source)
	if err != nil {
		w.fail(e, err)
		return signal.Likelihood{}, false
	}
	v, err := metrology.Judge(m, x.limit)
	if err != nil {
		w.fail(e, err)
		return signal.Likelihood{}, false
	}
	w.verdict(e, p.name, numbers, v, meter)
	if v.Word == metrology.Outside && x.limit.Contains(-m.Value) {
		w.report.Disputes = append(w.report.Disputes, Dispute{[]int{e.Place.Line}, fmt.Sprintf(
			"%s reads %s where %s is expected: is the sign missing, or were the leads the wrong way round?", p.name, first.text, x.value)})
	}
	l := signal.FromNumber(v.Estimate.Value, v.Estimate.U, signal.Expectation{Nominal: x.value.Value, Low: x.limit.Low, High: x.limit.High})
	if first.quantity.Unit == quantity.Hertz { // a wrong rate is neither low nor high but wrong
		l[signal.Wrong] = math.Max(l[signal.Wrong], math.Max(l[signal.Low], l[signal.High]))
	}
	return l, true
}

// logicLevel judges a DC reading on a logic signal.
func logicLevel(volts float64, word string) signal.Likelihood {
	level := "half level"
	switch {
	case volts <= logicLow:
		level = "low"
	case volts >= logicHigh:
		level = "high"
	}
	good, _ := signal.FromWord("good", signal.Slip)
	if level == word {
		return good
	}
	if movingWord(word) && level == "half level" { // a DC meter averages a moving signal
		bad, _ := signal.FromWord("half level", signal.Slip)
		for s := range bad {
			bad[s] = 0.5*bad[s] + 0.5*good[s]
		}
		return bad
	}
	stuck := map[string]string{"low": "stuck low", "high": "stuck high", "half level": "half level"}
	l, _ := signal.FromWord(stuck[level], signal.Slip)
	return l
}

// ripple judges an AC reading on a rail.
func (w *work) ripple(e *logbook.Entry, p place, x expected, numbers []reading) (signal.Likelihood, bool) {
	limit := metrology.Limit{Low: math.Inf(-1), High: x.ripple, Source: "the sheet"}
	if math.IsNaN(x.ripple) {
		if x.value == nil {
			w.unused(e, "no ripple limit is known for %s", p.name)
			return signal.Likelihood{}, false
		}
		var err error
		if limit, err = metrology.CommonPracticeRipple(x.value.Value); err != nil {
			w.fail(e, err)
			return signal.Likelihood{}, false
		}
	}
	m, meter, err := w.measure(e.With.Text, numbers, x.source)
	if err != nil {
		w.fail(e, err)
		return signal.Likelihood{}, false
	}
	if numbers[0].mode != "p-p" { // an RMS reading of a triangular ripple: p-p is 2√3 times as much
		for i := range m.Components {
			m.Components[i].U *= 2 * math.Sqrt(3)
		}
		m.Value *= 2 * math.Sqrt(3)
		m.Components = append(m.Components, metrology.Component{Origin: metrology.FromInstrument, U: metrology.Rectangular(0.2 * math.Abs(m.Value))})
	}
	v, err := metrology.Judge(m, limit)
	if err != nil {
		w.fail(e, err)
		return signal.Likelihood{}, false
	}
	if numbers[0].mode != "p-p" {
		meter += "; RMS taken as a triangle, 3.46 times as much peak to peak"
	}
	w.verdict(e, p.name+" ripple", numbers, v, meter)
	return signal.FromRipple(v.Conformity.Above), true
}

func joined(words []form.Word) string {
	list := make([]string, len(words))
	for i, word := range words {
		list[i] = word.Text
	}
	return strings.Join(list, ", ")
}

func contains(list []int, x int) bool {
	for _, y := range list {
		if x == y {
			return true
		}
	}
	return false
}

// sceneText says in what state a reading was taken.
func sceneText(e *logbook.Entry) string {
	var parts []string
	s := &e.State
	switch {
	case s.Warm != nil && *s.Warm:
		parts = append(parts, "warm")
	case s.Warm != nil:
		parts = append(parts, "cold")
	}
	if s.Minutes != nil {
		parts = append(parts, "on for "+quantity.FormatDuration(s.Minutes.Value))
	}
	if s.Temperature != nil {
		parts = append(parts, s.Temperature.String())
	}
	if s.Load != "" && s.Load != logbook.LoadNormal {
		parts = append(parts, "load "+string(s.Load))
	}
	if s.Mode != "" && s.Mode != logbook.ModeDC {
		parts = append(parts, "meter on "+string(s.Mode))
	}
	for _, l := range []struct {
		word  string
		names []form.Word
	}{
		{"without", s.Without}, {"lifted", s.Lifted}, {"fed with a good", s.Injected},
		{"chilled", e.Chill}, {"heated", e.Heat}, {"pressed", e.Press}, {"piggybacked", e.Piggyback},
	} {
		if len(l.names) > 0 {
			parts = append(parts, l.word+" "+joined(l.names))
		}
	}
	return strings.Join(parts, ", ")
}
