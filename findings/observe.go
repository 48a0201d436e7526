package findings

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfsplit/flow"
	"halfsplit/form"
	"halfsplit/logbook"
	"halfsplit/quantity"
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
	// number is what was read in a solved circuit, and section which that is.
	number  *flow.Number
	section int
}

// special reports whether something was being done to the unit.
func (o *observation) special() bool {
	s := &o.scene
	return len(s.Chilled)+len(s.Heated)+len(s.Pressed)+len(s.Piggybacked)+len(s.Without)+len(s.Lifted)+len(s.Injected) > 0 || s.Off || s.Unloaded
}

func (w *work) symptom(e *logbook.Entry) {
	w.evidence.Complained()
	if e.At.Text == "" || len(e.Reads) == 0 {
		w.unused(e, "the symptom is in words only; with at (a signal) and reads it would rank suspects")
		return
	}
	w.symptoms = append(w.symptoms, w.place(e.At.Text))
	w.observe(e, e.At, flow.Scene{})
}

// watch reads the effect of chilling, pressing and the like.
func (w *work) watch(e *logbook.Entry, scene flow.Scene) {
	at := e.At
	if at.Text == "" {
		if open := w.openSymptom(); open != nil {
			at.Text = open.place.name
		}
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

// wrongBefore takes it that what was watched while something was done to a part
// was wrong before, when nothing else was read there in that state: why else
// would one try.
func (w *work) wrongBefore(e *logbook.Entry, at form.Word, warm flow.Answer) {
	p := w.place(at.Text)
	scene := w.scene(e, flow.Scene{Warm: warm})
	read := slices.ContainsFunc(w.observations, func(o observation) bool {
		return o.place.signal == p.signal && o.scene.Warm == scene.Warm && o.scene.Moment == scene.Moment
	})
	if read || !p.ok {
		return
	}
	bad, _ := signal.FromWord("bad", signal.PlainSlip)
	w.evidence.Read(scene, flow.Reading{Net: p.net, Likelihood: bad})
	w.note(e, at.Text+" was wrong before", scene, p, goodness(bad))
}

// observe takes in a reading of a net.
func (w *work) observe(e *logbook.Entry, at form.Word, scene flow.Scene) {
	p := w.place(at.Text)
	if e.State.Power == logbook.PowerOff {
		if w.resistance(e, at, scene, p) {
			return
		}
		w.unused(e, "taken with the power off: it says nothing of the signal; record it as a test of the part concerned")
		return
	}
	x, err := w.expect(p, e)
	if err != nil {
		w.fail(e, err)
		return
	}
	w.orExpected(&x, p)
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
			if x.rail && onDC(e) {
				l = l.Averaged()
			}
			readings = append(readings, l)
		}
	}
	if w.jumps(numbers, x) {
		fitful = true
		w.report.Disputes = append(w.report.Disputes, Dispute{[]int{e.Place.Line}, fmt.Sprintf(
			"%s reads %s, one after the other: it comes and goes, so their mean would mean nothing", at.Text, joined(e.Reads))})
		numbers = nil
	}
	var l signal.Likelihood
	judged := false
	if len(numbers) > 0 {
		l, judged = w.numberLikelihood(e, p, x, numbers)
	}
	if judged {
		if _, solved := w.spot(p); solved {
			w.turn(e, p, scene, goodness(l))
			judged = !w.numbered(e, p, w.scene(e, scene), numbers, readingText(e, at))
		}
	}
	if judged {
		readings = append(readings, l)
	}
	if !p.ok {
		w.unused(e, "%s is in a circuit that is not simulated; the reading is judged but does not rank suspects", at.Text)
		return
	}
	if len(readings) > 0 {
		w.turn(e, p, scene, goodness(readings[0]))
	}
	scene = w.scene(e, scene)
	text := readingText(e, at)
	noise := judged && x.rail && numbers[0].ac()
	for _, l := range readings {
		if e.State.Load == logbook.LoadNone {
			l = l.Unloaded()
		}
		if e.Doubtful {
			l = l.Doubted()
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

// readingText is a reading in words, with the state it was taken in.
func readingText(e *logbook.Entry, at form.Word) string {
	text := fmt.Sprintf("%s reads %s", at.Text, joined(e.Reads))
	if extra := sceneText(e); extra != "" {
		text += " (" + extra + ")"
	}
	return text
}

// resistance takes in what an ohmmeter read in a solved circuit with the power
// off. It reports false where no circuit foretells it.
func (w *work) resistance(e *logbook.Entry, at form.Word, scene flow.Scene, p place) bool {
	if _, solved := w.spot(p); !solved {
		return false
	}
	var numbers []reading
	for _, read := range e.Reads {
		r, isNumber, err := parseReading(read.Text, quantity.Ohm)
		if err != nil {
			w.failAt(read, err)
			return true
		}
		if !isNumber {
			return false
		}
		numbers = append(numbers, r)
	}
	scene = w.scene(e, scene)
	scene.Off = true
	return len(numbers) > 0 && w.numbered(e, p, scene, numbers, readingText(e, at))
}

func (w *work) note(e *logbook.Entry, text string, scene flow.Scene, p place, good float64) {
	w.observations = append(w.observations, observation{entry: e, text: text, scene: scene, epoch: w.epoch, place: p, part: -1, good: good})
	w.last = scene
	w.last.Chilled, w.last.Heated, w.last.Pressed, w.last.Piggybacked, w.last.Injected, w.last.Lifted, w.last.Without = nil, nil, nil, nil, nil, nil, nil
	w.last.Off, w.last.Unloaded = false, false
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

// turn begins a new moment when a place reads the opposite of what it read last
// in the same state, with nothing done in between: the fault came or went by
// itself, or one of the two was misread.
func (w *work) turn(e *logbook.Entry, p place, scene flow.Scene, good float64) {
	now := w.scene(e, scene)
	for i := len(w.observations) - 1; i >= 0; i-- {
		o := &w.observations[i]
		if o.place.signal != p.signal || math.IsNaN(o.good) || o.noise {
			continue
		}
		if sameScene(&o.scene, &now) && opposed(o.good, good) {
			w.moment++
		}
		return
	}
}

// openSymptom is the observation that shows best what is still wrong: the last
// bad one at the place of the last symptom that was not seen good since, in the
// state in which it fails. It is nil when every symptom is gone.
func (w *work) openSymptom() *observation {
	for i := len(w.symptoms) - 1; i >= 0; i-- {
		var bad *observation
		for j := range w.observations {
			o := &w.observations[j]
			switch {
			case o.place.signal != w.symptoms[i].signal || o.noise || o.special() || math.IsNaN(o.good):
			case o.good <= shownBad:
				bad = o
			case bad != nil && o.good >= shownGood && sameWarmth(bad.scene.Warm, o.scene.Warm):
				bad = nil
			}
		}
		if bad != nil {
			return bad
		}
	}
	return nil
}

// sameWarmth reports whether two readings may have been taken equally warm.
func sameWarmth(a, b flow.Answer) bool {
	return a == b || a == flow.Unknown || b == flow.Unknown
}

// onDC reports whether a word for a rail came off a meter that shows an average:
// one set to DC, or one that is named and not set to anything else.
func onDC(e *logbook.Entry) bool {
	return e.State.Mode == logbook.ModeDC || e.State.Mode == "" && e.With.Text != ""
}

// jumps reports whether repeated readings differ by more than the width of the
// limits: that is no scatter of a meter.
func (w *work) jumps(numbers []reading, x expected) bool {
	if len(numbers) < 2 || x.value == nil {
		return false
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, n := range numbers {
		low, high = math.Min(low, n.quantity.Value), math.Max(high, n.quantity.Value)
	}
	width := x.limit.High - x.limit.Low
	return high-low > math.Min(width, math.Max(math.Abs(x.value.Value), width/2))
}
