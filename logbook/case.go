package logbook

import (
	"fmt"

	"halfsplit/form"
	"halfsplit/quantity"
)

// Version is the version of the format that this package reads.
const Version = 1

// Case is a case file.
type Case struct {
	_ struct{} `doc:"A case is the logbook of one unit on the bench."`

	Version int        `form:"case,required" like:"1" doc:"Version of the format: 1."`
	Unit    Unit       `form:"unit" doc:"The unit on the bench."`
	Sheet   form.Word  `form:"sheet,required" like:"vt9.yaml" doc:"The service sheet, as a file beside the case."`
	Meters  []Meter    `form:"meters" doc:"The instruments used, with their accuracy."`
	Log     []Entry    `form:"log" doc:"What was seen and done, in order."`
	Proof   Proof      `form:"proof" doc:"What counts as done."`
	Place   form.Place `form:"-"`

	file string
}

// Begins says how a case begins, for the message about an empty file.
func (*Case) Begins() string { return `a case begins with the line "case: 1"` }

// File is the name under which the case was read.
func (c *Case) File() string { return c.file }

// Unit is the unit on the bench.
type Unit struct {
	_ struct{} `doc:"The unit on the bench."`

	Model   string             `form:"model" like:"Ostrel VT-9" doc:"Maker and model."`
	Serial  string             `form:"serial" like:"004417" doc:"Serial number."`
	Year    int                `form:"year" like:"1981" doc:"Year of make."`
	Owner   string             `form:"owner" doc:"Whose it is, or where it came from."`
	History string             `form:"history" doc:"What is known of earlier repairs, storage, use."`
	Mains   *quantity.Quantity `form:"mains" unit:"V" like:"230 V" doc:"The mains it is run on."`
	Note    string             `form:"note" doc:"Anything else worth knowing."`
	Place   form.Place         `form:"-"`
}

// Meter is an instrument with its accuracy.
type Meter struct {
	_ struct{} `doc:"An instrument with its accuracy, as its manual states it: a share of the reading and a number of digits."`

	Name       form.Word          `form:"meter,required" like:"bench meter" doc:"What you call it."`
	Like       string             `form:"like" like:"handheld 3½-digit multimeter" doc:"A usual instrument to take the accuracies from that are not given."`
	VoltsDC    *Accuracy          `form:"dc volts" like:"0.5 % + 2 digits" doc:"Accuracy on DC volts."`
	VoltsAC    *Accuracy          `form:"ac volts" like:"1 % + 4 digits" doc:"Accuracy on AC volts."`
	Ohms       *Accuracy          `form:"ohms" like:"0.8 % + 2 digits" doc:"Accuracy on resistance."`
	Farads     *Accuracy          `form:"capacitance" like:"2 % + 4 digits" doc:"Accuracy on capacitance."`
	Hertz      *Accuracy          `form:"frequency" like:"0.1 % + 1 digit" doc:"Accuracy on frequency."`
	Amps       *Accuracy          `form:"current" like:"1.2 % + 2 digits" doc:"Accuracy on current."`
	Resistance *quantity.Quantity `form:"input resistance" unit:"Ω" like:"10 Mohm" doc:"Input resistance on volts; 10 MΩ when not given."`
	Calibrated string             `form:"calibrated" like:"2024-05" doc:"When it was last calibrated."`
	Place      form.Place         `form:"-"`
}

// Entry is one entry of the log. Exactly one of the keys that say what was
// done stands in it.
type Entry struct {
	_ struct{} `doc:"One entry of the log. Each has exactly one of the first keys, down to photo; the others go with it."`

	Symptom   string             `form:"symptom" like:"no picture after ten minutes" doc:"What the unit does wrong, in words. With at and reads it counts as a reading."`
	Measure   []form.Word        `form:"measure,lone" like:"TP3" doc:"A test point, signal or rail that was probed or looked at; a list when several read the same."`
	Test      []form.Word        `form:"test,lone" like:"R493" doc:"A part or block that was tested by itself; a list when several tested the same."`
	Look      string             `form:"look" like:"a ring crack around a pin of D3" doc:"What was seen by eye or felt by hand. With at (a part or block) and reads it counts as a test."`
	Check     form.Word          `form:"check" like:"self-test" doc:"A check of the sheet."`
	Memory    form.Word          `form:"memory" like:"main" doc:"A memory of the sheet of which a self-test or a tester said something, under says or failures."`
	Chill     []form.Word        `form:"chill,lone" like:"Q5" doc:"Parts or blocks cooled with freeze spray while watching at."`
	Heat      []form.Word        `form:"heat,lone" like:"Q5" doc:"Parts or blocks warmed while watching at."`
	Press     []form.Word        `form:"press,lone" like:"J2" doc:"Parts or blocks pressed, tapped, wiggled or reseated while watching at."`
	Piggyback []form.Word        `form:"piggyback,lone" like:"U12" doc:"Chips with a good one pressed on top, or capacitors with a good one held across, while watching at."`
	Swap      []form.Word        `form:"swap,lone" like:"U12" doc:"Parts or blocks replaced by good ones."`
	Mend      []form.Word        `form:"mend,lone" like:"joint of D3" doc:"Parts or blocks put right without replacing: resoldered, cleaned, reseated for good, readjusted."`
	Failed    *quantity.Quantity `form:"failed" unit:"s" like:"30 min" doc:"A run that ended in the fault: how long it ran before."`
	Soak      *quantity.Quantity `form:"soak" unit:"s" like:"45 min" doc:"A run without the fault: how long it ran."`
	Cycles    *int               `form:"cold starts" like:"5" doc:"Cold starts made without the fault."`
	Safe      form.Word          `form:"safe" like:"primary reservoir" doc:"A hazard of the unit that has been answered: one of its sheet, or one that follows from its parts."`
	Accept    form.Word          `form:"accept" like:"hot chassis" doc:"A hazard that was left unanswered when the unit was powered, so that the log can say so; give the reason under why. It does not count as answered."`
	Decide    string             `form:"decide" doc:"A decision, with its reason."`
	Note      string             `form:"note,last" doc:"Anything else."`
	Photo     string             `form:"photo" like:"board.jpg" doc:"A photo that was taken."`

	At        form.Word          `form:"at" like:"picture" doc:"Where the effect was watched: a test point or signal; for look, a part or block. The first symptom's when not given."`
	Reads     []form.Word        `form:"reads,lone" like:"4.62 V" doc:"What it read: a value, or a word such as good, absent, stuck low, hum, open, shorted; a check's answer. A list when read several times."`
	Expect    form.Word          `form:"expect" like:"-75 V" doc:"What it should read, where the sheet does not say or does not fit."`
	Limits    form.Word          `form:"limits" like:"±5 %" doc:"What is still right, where the sheet does not say."`
	Doubtful  bool               `form:"doubtful" like:"yes" doc:"Whether the reader doubts it; it then counts half."`
	Says      []form.Word        `form:"says,lone" like:"bit 3 at 4000-7FFF" doc:"For a memory: what a self-test said, such as bit 3 at 4000-7FFF, mask 08 bank 1, first at 4A37 expected 55 read 54, or passes."`
	Failures  []form.Word        `form:"failures,lone" like:"4A37 55 54" doc:"For a memory: failing accesses in the order of the test: address, expected, read, in hexadecimal."`
	March     form.Word          `form:"march" like:"March C-" doc:"For a memory: the march test that found the failures."`
	With      form.Word          `form:"with" like:"bench meter" doc:"The meter used."`
	How       How                `form:"how" doc:"For a test: how the part was tested; in circuit when not given."`
	Capacity  *quantity.Quantity `form:"capacitance" unit:"F" like:"3900 uF" doc:"For the test of a capacitor."`
	ESR       *quantity.Quantity `form:"esr" unit:"Ω" like:"0.31 ohm" doc:"For the test of a capacitor: series resistance."`
	Loss      *quantity.Quantity `form:"loss" unit:"%" like:"12 %" doc:"For the test of a capacitor: loss, tan δ."`
	Frequency *quantity.Quantity `form:"frequency" unit:"Hz" like:"100 kHz" doc:"For the test of a capacitor: the frequency of esr or loss."`
	Leakage   *quantity.Quantity `form:"leakage" unit:"A" like:"2 mA" doc:"For the test of a capacitor: leakage current."`
	Volts     *quantity.Quantity `form:"volts" unit:"V" like:"25 V" doc:"For the test of a capacitor: the voltage of the leakage."`
	Seen      []Look             `form:"seen,lone" doc:"For the test of a capacitor: what the eye sees."`
	State     State              `form:"state" doc:"State of the unit at the time."`
	New       string             `form:"new" like:"4164 dated 8309, tested" doc:"For a swap: the part put in."`
	Old       string             `form:"old" like:"dated 8112" doc:"For a swap: the part taken out."`
	When      string             `form:"when" like:"2026-03-02 10:40" doc:"When."`
	Took      *quantity.Quantity `form:"took" unit:"s" like:"20 min" doc:"Time spent."`
	Who       string             `form:"who" like:"Ines" doc:"Who did it."`
	Name      form.Word          `form:"entry" like:"a3" doc:"A name for this entry, so that a later one can correct it."`
	Corrects  form.Word          `form:"corrects" like:"a3" doc:"The entry that this one replaces; it is kept, but no longer counts."`
	Why       string             `form:"why" doc:"Why it was done, or what follows from it."`
	Place     form.Place         `form:"-"`

	corrected bool
}

// Corrected reports whether a later entry replaced this one.
func (e *Entry) Corrected() bool { return e.corrected }

// How says how a part was tested.
type How string

// The ways to test a part.
const (
	InCircuit    How = "in circuit"     // power off, parallel paths there
	OutOfCircuit How = "out of circuit" // lifted, pulled or in a tester
	InOperation  How = "in operation"   // power on: right output for its inputs or not
	ByEye        How = "by eye"
	Compared     How = "beside a good one" // out of circuit, and a good one tests good the same way
)

// Words lists the ways.
func (How) Words() []string {
	return []string{string(InCircuit), string(OutOfCircuit), string(InOperation), string(ByEye), string(Compared)}
}

// Look is what the eye sees of a capacitor.
type Look string

// Words lists what the eye can see.
func (Look) Words() []string { return []string{"bulged", "leaked", "cracked", "burnt", "residue"} }

// State is the state of the unit at the time of an entry.
type State struct {
	_ struct{} `doc:"State of the unit at the time of a reading. A reading means little without it."`

	Power       Power              `form:"power" doc:"Whether it was on; on for a measurement when not given."`
	Warm        *bool              `form:"warm" like:"yes" doc:"Whether it was warm; from minutes when not given."`
	Minutes     *quantity.Quantity `form:"on for" unit:"s" like:"12 min" doc:"Time since power-on."`
	Temperature *quantity.Quantity `form:"temperature" unit:"°C" like:"38 °C" doc:"Temperature in the case or at the place concerned."`
	Load        Loading            `form:"load" doc:"Load on the supply."`
	Mode        Mode               `form:"meter on" doc:"What the meter was set to; DC when not given."`
	Without     []form.Word        `form:"without,lone" like:"video board" doc:"Boards or blocks that were pulled or disconnected."`
	Lifted      []form.Word        `form:"lifted,lone" like:"C7" doc:"Parts that were lifted."`
	Injected    []form.Word        `form:"injected,lone" like:"audio in" doc:"Signals that were fed with a known good one."`
	Place       form.Place         `form:"-"`
}

// Short takes a state in one word: warm, cold, on, off, or the time since
// power-on.
func (s *State) Short(word form.Word) error {
	s.Place = word.Place
	yes, no := true, false
	switch word.Text {
	case "warm", "hot":
		s.Warm = &yes
	case "cold":
		s.Warm = &no
	case string(PowerOn), string(PowerOff):
		s.Power = Power(word.Text)
	default:
		q, err := quantity.Parse(word.Text)
		if err != nil || q.Unit != quantity.Second {
			return &form.Mistake{Message: fmt.Sprintf("%q is no state", word.Text), Hint: "write warm, cold, on, off or a time since power-on, or the keys in braces, as in {on for: 12 min, load: none}"}
		}
		s.Minutes = &q
	}
	return nil
}

// Written says how a state is written in short.
func (State) Written() string { return "warm, cold, on, off, a time such as 12 min, or the keys below" }

// Power says whether the unit was on.
type Power string

// The states of power.
const (
	PowerOn  Power = "on"
	PowerOff Power = "off"
)

// Words lists the states of power.
func (Power) Words() []string { return []string{string(PowerOn), string(PowerOff)} }

// Loading is the load on a supply.
type Loading string

// The loads.
const (
	LoadNormal Loading = "normal"
	LoadDummy  Loading = "dummy"
	LoadNone   Loading = "none"
)

// Words lists the loads.
func (Loading) Words() []string {
	return []string{string(LoadNormal), string(LoadDummy), string(LoadNone)}
}

// Mode is what a meter was set to.
type Mode string

// The modes.
const (
	ModeDC    Mode = "DC"
	ModeAC    Mode = "AC"
	ModeScope Mode = "scope"
)

// Words lists the modes.
func (Mode) Words() []string { return []string{string(ModeDC), string(ModeAC), string(ModeScope)} }

// Proof says what counts as done.
type Proof struct {
	_ struct{} `doc:"What counts as done. Better written before the repair than after."`

	Sure  *quantity.Quantity `form:"sure" unit:"%" like:"95 %" doc:"How sure one wants to be that the fault is gone; 95 % when not given."`
	Right *quantity.Quantity `form:"repair right" unit:"%" like:"80 %" doc:"How likely the repair was the right one, before the proof; from the suspects when not given."`
	Done  string             `form:"done when" like:"three hours in the closed case, hot, controls moved" doc:"In words."`
	Place form.Place         `form:"-"`
}
