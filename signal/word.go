package signal

import (
	"slices"
	"strings"
)

// Slip is the chance that a reading, in words or in numbers, is simply wrong:
// the probe on the wrong pin, the wrong range, a misheard hum. Common
// practice, no source.
const Slip = 0.04

// PlainSlip is the same for what anybody can see or hear from outside, such as
// the symptom that brought the unit to the bench. Common practice, no source.
const PlainSlip = 0.01

// ComplaintSlip is the same for the symptom for which the unit was brought: it
// is seldom imagined. Common practice, no source.
const ComplaintSlip = 0.002

// meaning is one word of the bench: the words that say the same, and how
// likely a person says so in each state.
type meaning struct {
	words []string
	says  Spread // not a distribution: chance of the word, per state
	text  string // for the documentation
}

// meanings are common practice, no source. The first word of each line is the
// one halfsplit prints.
var meanings = []meaning{
	{[]string{"good", "ok", "okay", "fine", "right", "normal", "present", "correct", "as twin", "like twin", "healthy", "yes", "comes right", "came right", "cured", "restored"},
		Spread{Good: 1, Noisy: 0.12, Wrong: 0.06, Low: 0.03, High: 0.03},
		"as it should be"},
	{[]string{"bad", "not right", "unlike twin", "not good", "faulty", "odd", "strange", "no good", "still wrong", "still bad", "no change", "no help", "unchanged", "same as before"},
		Spread{Absent: 1, Low: 1, High: 1, StuckLow: 1, StuckHigh: 1, Floating: 1, Clamped: 1, Wrong: 1, Noisy: 0.8},
		"not as it should be, without saying how"},
	{[]string{"absent", "none", "nothing", "dead", "missing", "no signal", "no voltage", "no", "blank", "silent", "gone"},
		Spread{Absent: 1, StuckLow: 0.6, StuckHigh: 0.4, Floating: 0.4, Clamped: 0.3, Low: 0.15},
		"nothing there"},
	{[]string{"idle", "static", "not moving", "no activity", "stuck", "frozen"},
		Spread{StuckLow: 1, StuckHigh: 1, Absent: 0.9, Floating: 0.6, Clamped: 0.7},
		"a line that should move does not"},
	{[]string{"low", "weak", "too low", "much too low", "sagging", "dim", "small", "droops", "faint"},
		Spread{Low: 1, Clamped: 0.3, StuckLow: 0.3, Absent: 0.15, Noisy: 0.1},
		"there, but too small"},
	{[]string{"high", "too high", "much too high", "far too high", "excessive", "overvoltage", "over-voltage"},
		Spread{High: 1, StuckHigh: 0.4, Clamped: 0.1, Floating: 0.15},
		"too large"},
	{[]string{"stuck low", "held low", "always low", "idle low", "shorted low"},
		Spread{StuckLow: 1, Absent: 0.6, Clamped: 0.2, Floating: 0.05},
		"held at the low level"},
	{[]string{"stuck high", "held high", "always high", "idle high"},
		Spread{StuckHigh: 1, Floating: 0.2, Clamped: 0.1, High: 0.2},
		"held at the high level"},
	{[]string{"floating", "open", "not driven", "tri-stated"},
		Spread{Floating: 1, Absent: 0.2, Clamped: 0.2},
		"driven by nobody"},
	{[]string{"half level", "in between", "mid level", "contention"},
		Spread{Clamped: 1, Floating: 0.7},
		"between the two logic levels"},
	{[]string{"clamped", "held", "squashed", "limited"},
		Spread{Clamped: 1, StuckLow: 0.4, StuckHigh: 0.3, Low: 0.2},
		"held near one level"},
	{[]string{"pulsing", "cycling", "hiccup", "chirping", "motorboating", "unstable", "jumping"},
		Spread{Wrong: 1, Noisy: 0.5, Low: 0.1},
		"comes and goes by itself where it should be steady (where the sheet expects pulses this word means good)"},
	{[]string{"wrong rate", "wrong", "garbled", "distorted", "wrong data", "wrong shape", "misshapen", "corrupt", "scrambled", "too fast", "too slow", "slow", "fast", "drifting", "out of tune", "blurred", "foggy", "smeared", "collapsed", "rolling", "torn", "out of focus", "jittery"},
		Spread{Wrong: 1, Noisy: 0.2, Clamped: 0.1, High: 0.1, Low: 0.1},
		"moves, but wrongly"},
	{[]string{"hum", "ripple", "noisy", "noise", "buzz", "crackling", "hiss", "oscillating"},
		Spread{Noisy: 1, Wrong: 0.3, Low: 0.15},
		"hum, ripple or noise on it"},
	{[]string{"clean", "smooth", "steady", "quiet"},
		Spread{Good: 1, Absent: 0.9, Low: 0.9, High: 0.9, StuckLow: 0.9, StuckHigh: 0.9, Floating: 0.6, Clamped: 0.8, Wrong: 0.3},
		"no hum, ripple or noise; says nothing of the level"},
}

// find returns the meaning of a word, or nil.
func find(word string) *meaning {
	word = strings.Join(strings.Fields(strings.ToLower(word)), " ")
	for i := range meanings {
		if slices.Contains(meanings[i].words, word) {
			return &meanings[i]
		}
	}
	return nil
}

// Known reports whether the word is one of the words of the bench.
func Known(word string) bool { return find(word) != nil }

// Canonical is the word halfsplit prints for the given one ("none" is
// "absent"); an unknown word comes back as it is.
func Canonical(word string) string {
	if m := find(word); m != nil {
		return m.words[0]
	}
	return word
}

// Words lists every known word.
func Words() []string {
	var all []string
	for _, m := range meanings {
		all = append(all, m.words...)
	}
	return all
}

// Headwords lists the first word of each meaning: the ones to suggest.
func Headwords() []string {
	var all []string
	for _, m := range meanings {
		all = append(all, m.words[0])
	}
	return all
}

// Glossary lists, for the documentation, each group of words that mean the
// same, with its meaning.
func Glossary() []struct{ Words, Meaning string } {
	var lines []struct{ Words, Meaning string }
	for _, m := range meanings {
		lines = append(lines, struct{ Words, Meaning string }{strings.Join(m.words, ", "), m.text})
	}
	return lines
}

// FromWord gives the likelihood of a reading in words, with a chance of slip
// that it is simply wrong. The second result is false for an unknown word.
func FromWord(word string, slip float64) (Likelihood, bool) {
	m := find(word)
	if m == nil {
		return Likelihood{}, false
	}
	return said(m.says, slip), true
}

// said turns the chance of a word per state into a likelihood that allows for
// a slip.
func said(says Spread, slip float64) Likelihood {
	var l Likelihood
	for s := range l {
		l[s] = (1-slip)*says[s] + slip
	}
	return l
}

// Answers are the words a probe reading can come to, one for each state, and
// the chance of each word in each true state: Answers()[i][s]. The columns add
// up to one. They serve to foresee what a reading might say.
func Answers() [States]Likelihood {
	var table [States]Likelihood
	for truth := State(0); truth < States; truth++ {
		sum := 0.0
		for word := State(0); word < States; word++ {
			m := find(word.String())
			table[word][truth] = (1-Slip)*m.says[truth] + Slip/States
			sum += table[word][truth]
		}
		for word := range table {
			table[word][truth] /= sum
		}
	}
	return table
}
