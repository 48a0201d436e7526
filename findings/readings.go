package findings

import (
	"fmt"
	"math"
	"strings"

	"halfsplit/logbook"
	"halfsplit/metrology"
	"halfsplit/quantity"
	"halfsplit/sheet"
	"halfsplit/signal"
)

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

// The goodness from which a reading shows a net good, and down to which it
// shows it bad; between them it shows neither. A point that belongs at zero
// volts, where absence looks like health, reaches about 0.75.
const (
	shownGood = 0.7
	shownBad  = 0.3
)

// goodness is the chance that the net was good, judged by this reading alone.
func goodness(l signal.Likelihood) float64 {
	agnostic := signal.Agnostic()
	return agnostic[signal.Good] * l[signal.Good] / l.Of(&agnostic)
}

// slipOf is the chance that a reading in words is simply wrong: small for what
// anybody sees or hears from outside.
func slipOf(e *logbook.Entry, p place) float64 {
	switch {
	case e.Verb() == "symptom":
		return signal.ComplaintSlip
	case p.point != nil && p.point.Reach == sheet.ReachOutside:
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

// Logic levels of TTL inputs, in volts: at most 0.8 V is low, at least 2.0 V is
// high (any TTL data book, recommended operating conditions).
const (
	logicLow  = 0.8
	logicHigh = 2.0
)

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
