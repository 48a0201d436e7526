package fault

import (
	"slices"

	"halfsplit/signal"
)

// When says under which condition a mode shows itself.
type When int

// The conditions.
const (
	Always     When = iota // whenever the unit is on
	WhenWarm               // after some minutes, or in a warm case
	WhenCold               // only until it has warmed up
	WhenMoved              // comes and goes with pressure, tapping, movement
	Conditions = 4
)

// String gives the condition in words.
func (w When) String() string {
	return [Conditions]string{"always", "when warm", "when cold", "when moved"}[w]
}

// Mode is one way in which a kind of part fails, as the circuit around it sees
// it.
type Mode struct {
	Name string
	// Share is the part of this kind's failures that this mode makes up. The
	// shares of a kind add up to one.
	Share float64
	// Output is what the part's own output then does; the zero Spread leaves
	// the output to the inputs.
	Output signal.Spread
	// Within is what a block's output does when such a part inside it fails in
	// this way; zero: as Output. A dry capacitor across a rail lets it hum; in a
	// stage it weakens or silences it.
	Within signal.Spread
	// Input is what the part's inputs are dragged to; zero: not dragged.
	Input signal.Spread
	// Supply is what the part's own supply rail is dragged to; zero: not.
	Supply signal.Spread
	When   When
	// Reads is what a tester or meter says of the part when it shows the
	// fault: "open", "short", "leaky", "high", "low", "dead", "noisy", "cracked".
	Reads string
	// Shows is the chance that an ordinary test of the part, out of circuit,
	// cold and unpowered, shows the fault.
	Shows float64
}

// Kind describes a kind of part, stage or joint.
type Kind struct {
	Name string // as the sheet writes it
	Text string // one line for the documentation
	// Odds is the chance that one such item is the bad one, relative to a
	// plain logic chip (1). Common practice, no source.
	Odds  float64
	Modes []Mode
	// Follow is how a healthy one answers to a wrong input.
	Follow Follow
	// Replace and Measure are the minutes it takes to change one and to test
	// one out of circuit, once the unit is open. Common practice, no source.
	Replace, Measure float64
	// Socketed items can be reseated.
	Socketed bool
}

// Capacitor reports whether it is a capacitor: one that can dry out or lose
// contact, and then does again with a good one across it.
func (k *Kind) Capacitor() bool {
	return slices.ContainsFunc(k.Modes, func(m Mode) bool { return m.Reads == "esr high" })
}

// Missing reports whether the mode leaves out what the part should do, so that a good
// part beside it makes up for it: an open or dried-out capacitor.
func (m *Mode) Missing() bool { return m.Reads == "open" || m.Reads == "esr high" }

// Follow says what a healthy item does with a wrong input.
type Follow int

// How an item follows its input.
const (
	Passes    Follow = iota // hands on what it gets: wire, joint, fuse, filter
	Decides                 // logic: any wrong input makes the output wrong
	Amplifies               // analogue stage: hands on what it gets, changed
	Regulates               // supply: evens out small errors, cannot mend absence
)

// Out gives what a healthy item's output does when one input has the given
// spread and all else is right.
func (f Follow) Out(in *signal.Spread) signal.Spread {
	var out signal.Spread
	pass(in, &follows[f], &out)
	return out
}

// mask is the chance that a healthy item's output looks right although an
// input is wrong. Common practice, no source: "a wrong input makes the output
// wrong nearly always".
const mask = 0.05

// follows holds, for each way to follow and each input state, the output's
// spread. Common practice, no source.
var follows = [4][signal.States]signal.Spread{
	Passes: {
		signal.Good:      {signal.Good: 1},
		signal.Absent:    {signal.Absent: 0.9, signal.Floating: 0.1},
		signal.Low:       {signal.Low: 0.95, signal.Absent: 0.05},
		signal.High:      {signal.High: 1},
		signal.StuckLow:  {signal.StuckLow: 0.9, signal.Absent: 0.1},
		signal.StuckHigh: {signal.StuckHigh: 1},
		signal.Floating:  {signal.Floating: 0.8, signal.Absent: 0.2},
		signal.Clamped:   {signal.Clamped: 1},
		signal.Wrong:     {signal.Wrong: 1},
		signal.Noisy:     {signal.Noisy: 1},
	},
	Decides: {
		signal.Good:      {signal.Good: 1},
		signal.Absent:    {signal.Good: mask, signal.StuckLow: 0.35, signal.StuckHigh: 0.3, signal.Wrong: 0.1, signal.Absent: 0.2},
		signal.Low:       {signal.Good: 0.2, signal.StuckLow: 0.25, signal.StuckHigh: 0.2, signal.Wrong: 0.35},
		signal.High:      {signal.Good: 0.3, signal.StuckHigh: 0.3, signal.StuckLow: 0.2, signal.Wrong: 0.2},
		signal.StuckLow:  {signal.Good: mask, signal.StuckLow: 0.45, signal.StuckHigh: 0.35, signal.Wrong: 0.15},
		signal.StuckHigh: {signal.Good: mask, signal.StuckLow: 0.4, signal.StuckHigh: 0.4, signal.Wrong: 0.15},
		signal.Floating:  {signal.Good: mask, signal.StuckLow: 0.3, signal.StuckHigh: 0.25, signal.Wrong: 0.4},
		signal.Clamped:   {signal.Good: mask, signal.StuckLow: 0.3, signal.StuckHigh: 0.25, signal.Wrong: 0.4},
		signal.Wrong:     {signal.Good: mask, signal.Wrong: 0.85, signal.StuckLow: 0.05, signal.StuckHigh: 0.05},
		signal.Noisy:     {signal.Good: 0.5, signal.Wrong: 0.5},
	},
	Amplifies: {
		signal.Good:      {signal.Good: 1},
		signal.Absent:    {signal.Good: mask / 2, signal.Absent: 0.7, signal.Low: 0.1, signal.High: 0.1, signal.Noisy: 0.075},
		signal.Low:       {signal.Good: mask, signal.Low: 0.6, signal.Absent: 0.15, signal.High: 0.1, signal.Wrong: 0.1},
		signal.High:      {signal.Good: mask, signal.High: 0.55, signal.Low: 0.15, signal.Absent: 0.05, signal.Wrong: 0.2},
		signal.StuckLow:  {signal.Good: mask / 2, signal.Absent: 0.5, signal.Low: 0.15, signal.High: 0.2, signal.StuckLow: 0.125},
		signal.StuckHigh: {signal.Good: mask / 2, signal.Absent: 0.4, signal.High: 0.25, signal.Low: 0.2, signal.StuckHigh: 0.125},
		signal.Floating:  {signal.Good: mask, signal.Absent: 0.4, signal.Noisy: 0.3, signal.Wrong: 0.15, signal.Low: 0.1},
		signal.Clamped:   {signal.Good: mask, signal.Low: 0.3, signal.Absent: 0.3, signal.Wrong: 0.3, signal.Clamped: 0.05},
		signal.Wrong:     {signal.Good: mask, signal.Wrong: 0.9, signal.Low: 0.05},
		signal.Noisy:     {signal.Good: mask, signal.Noisy: 0.9, signal.Wrong: 0.05},
	},
	Regulates: {
		signal.Good:      {signal.Good: 1},
		signal.Absent:    {signal.Absent: 0.9, signal.Low: 0.1},
		signal.Low:       {signal.Good: 0.25, signal.Low: 0.5, signal.Absent: 0.1, signal.Noisy: 0.1, signal.Wrong: 0.05},
		signal.High:      {signal.Good: 0.6, signal.High: 0.4},
		signal.StuckLow:  {signal.Absent: 0.8, signal.Low: 0.2},
		signal.StuckHigh: {signal.Good: 0.2, signal.High: 0.5, signal.Low: 0.15, signal.Absent: 0.15},
		signal.Floating:  {signal.Absent: 0.4, signal.Low: 0.3, signal.High: 0.3},
		signal.Clamped:   {signal.Low: 0.5, signal.Absent: 0.3, signal.High: 0.2},
		signal.Wrong:     {signal.Good: 0.1, signal.Wrong: 0.5, signal.Low: 0.25, signal.Absent: 0.15},
		signal.Noisy:     {signal.Good: 0.3, signal.Noisy: 0.6, signal.Low: 0.1},
	},
}

// Starved gives what the output of a healthy item does when its own supply
// pin has the given spread.
func Starved(supply *signal.Spread) signal.Spread {
	var out signal.Spread
	pass(supply, &starved, &out)
	return out
}

// pass adds up what each state of in leads to by the table.
func pass(in *signal.Spread, table *[signal.States]signal.Spread, out *signal.Spread) {
	for s, p := range in {
		if p == 0 {
			continue
		}
		row := &table[s]
		for t := range out {
			out[t] += p * row[t]
		}
	}
}

// starved is the output's spread for each state of the supply. Common
// practice, no source.
var starved = [signal.States]signal.Spread{
	signal.Good:      {signal.Good: 1},
	signal.Absent:    {signal.Absent: 0.6, signal.StuckLow: 0.15, signal.Floating: 0.2, signal.Wrong: 0.05},
	signal.Low:       {signal.Good: 0.15, signal.Low: 0.3, signal.Absent: 0.15, signal.Wrong: 0.3, signal.Noisy: 0.05, signal.StuckLow: 0.05},
	signal.High:      {signal.Good: 0.6, signal.High: 0.2, signal.Wrong: 0.2},
	signal.StuckLow:  {signal.Absent: 0.6, signal.StuckLow: 0.15, signal.Floating: 0.2, signal.Wrong: 0.05},
	signal.StuckHigh: {signal.Good: 0.4, signal.High: 0.3, signal.Wrong: 0.3},
	signal.Floating:  {signal.Absent: 0.6, signal.Floating: 0.2, signal.Wrong: 0.2},
	signal.Clamped:   {signal.Low: 0.4, signal.Absent: 0.2, signal.Wrong: 0.4},
	signal.Wrong:     {signal.Good: 0.1, signal.Wrong: 0.7, signal.Absent: 0.1, signal.Noisy: 0.1},
	signal.Noisy:     {signal.Good: 0.35, signal.Noisy: 0.5, signal.Wrong: 0.15},
}
