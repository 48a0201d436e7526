package fault

import (
	"slices"
	"strings"

	"halfsplit/signal"
)

// The spreads that many modes share.
var (
	nothing    = signal.Spread{signal.Absent: 0.85, signal.Low: 0.1, signal.Floating: 0.05}
	weak       = signal.Spread{signal.Low: 0.7, signal.Wrong: 0.15, signal.Absent: 0.1, signal.Noisy: 0.05}
	off        = signal.Spread{signal.Wrong: 0.55, signal.Low: 0.25, signal.High: 0.2}
	hum        = signal.Spread{signal.Noisy: 0.85, signal.Low: 0.08, signal.Wrong: 0.07}
	silenced   = signal.Spread{signal.Low: 0.35, signal.Absent: 0.25, signal.Noisy: 0.2, signal.Wrong: 0.2}
	anything   = signal.Spread{signal.Absent: 0.35, signal.Low: 0.15, signal.High: 0.1, signal.Wrong: 0.2, signal.Noisy: 0.05, signal.StuckLow: 0.05, signal.StuckHigh: 0.05, signal.Clamped: 0.05}
	logicWrong = signal.Spread{signal.Wrong: 0.45, signal.StuckLow: 0.2, signal.StuckHigh: 0.15, signal.Clamped: 0.1, signal.Floating: 0.1}
	pulled     = signal.Spread{signal.Absent: 0.5, signal.Low: 0.5}
	dragged    = signal.Spread{signal.StuckLow: 0.4, signal.StuckHigh: 0.15, signal.Clamped: 0.45}
	biased     = signal.Spread{signal.High: 0.35, signal.Low: 0.4, signal.Absent: 0.1, signal.Wrong: 0.15}
)

// Modes shared by families of kinds.
//
// An electrolytic that is nearly dry may work only cold or only warm; others
// leak when warm.
func capacitorModes(dry, short, leaky, open, warm, cold float64) []Mode {
	modes := []Mode{
		{Name: "dried out", Share: dry, Output: hum, Within: silenced, Reads: "esr high", Shows: 0.93},
		{Name: "shorted", Share: short, Output: pulled, Reads: "short", Shows: 0.95},
		{Name: "leaky", Share: leaky, Output: signal.Spread{signal.Low: 0.55, signal.Wrong: 0.2, signal.High: 0.15, signal.Noisy: 0.1}, Reads: "leaky", Shows: 0.6},
		{Name: "open", Share: open, Output: hum, Within: silenced, Reads: "open", Shows: 0.97},
		{Name: "gives up when warm", Share: warm, Output: signal.Spread{signal.Noisy: 0.35, signal.Low: 0.3, signal.Absent: 0.2, signal.Wrong: 0.15}, Within: silenced, When: WhenWarm, Reads: "leaky", Shows: 0.3},
	}
	if cold > 0 {
		modes[4].Reads, modes[4].Shows = "esr high", 0.75
		modes = append(modes, Mode{Name: "bad until warm", Share: cold, Output: signal.Spread{signal.Noisy: 0.65, signal.Low: 0.1, signal.Absent: 0.1, signal.Wrong: 0.15}, Within: silenced, When: WhenCold, Reads: "esr high", Shows: 0.9})
	}
	return modes
}

func transistorModes() []Mode {
	return []Mode{
		{Name: "open", Share: 0.27, Output: signal.Spread{signal.Absent: 0.55, signal.Low: 0.2, signal.High: 0.15, signal.Floating: 0.1}, Reads: "open", Shows: 0.95},
		{Name: "shorted", Share: 0.3, Output: signal.Spread{signal.High: 0.35, signal.Absent: 0.3, signal.Low: 0.2, signal.Clamped: 0.15}, Input: signal.Spread{signal.Good: 0.55, signal.Clamped: 0.2, signal.Low: 0.15, signal.Wrong: 0.1}, Supply: signal.Spread{signal.Good: 0.7, signal.Low: 0.2, signal.Absent: 0.1}, Reads: "short", Shows: 0.97},
		{Name: "leaky or low gain", Share: 0.18, Output: signal.Spread{signal.Low: 0.4, signal.High: 0.15, signal.Wrong: 0.35, signal.Noisy: 0.1}, Reads: "leaky", Shows: 0.6},
		{Name: "noisy", Share: 0.05, Output: signal.Pure(signal.Noisy), Reads: "noisy", Shows: 0.15},
		{Name: "fails when warm", Share: 0.2, Output: anything, When: WhenWarm, Reads: "dead", Shows: 0.1},
	}
}

func logicModes(stuck, wrong float64) []Mode {
	rest := 1 - stuck - wrong
	return []Mode{
		{Name: "output stuck low", Share: 0.4 * stuck, Output: signal.Spread{signal.StuckLow: 0.9, signal.Absent: 0.1}, Reads: "dead", Shows: 0.85},
		{Name: "output stuck high", Share: 0.32 * stuck, Output: signal.Pure(signal.StuckHigh), Reads: "dead", Shows: 0.85},
		{Name: "output clamped", Share: 0.28 * stuck, Output: signal.Spread{signal.Clamped: 0.75, signal.StuckLow: 0.25}, Reads: "dead", Shows: 0.8},
		{Name: "output open", Share: 0.25 * rest, Output: signal.Spread{signal.Floating: 0.75, signal.Absent: 0.25}, Reads: "open", Shows: 0.85},
		{Name: "works wrongly", Share: wrong, Output: logicWrong, Reads: "dead", Shows: 0.75},
		{Name: "input shorted", Share: 0.22 * rest, Output: logicWrong, Input: dragged, Reads: "short", Shows: 0.8},
		{Name: "input loads its line when warm", Share: 0.08 * rest, Output: logicWrong, Input: dragged, When: WhenWarm, Reads: "short", Shows: 0.2},
		{Name: "supply shorted", Share: 0.08 * rest, Output: nothing, Supply: pulled, Reads: "short", Shows: 0.95},
		{Name: "fails when warm", Share: 0.37 * rest, Output: logicWrong, When: WhenWarm, Reads: "dead", Shows: 0.1},
	}
}

func contactModes(always, moved, warm float64) []Mode {
	const cold = 0.04
	broken := signal.Spread{signal.Absent: 0.75, signal.Floating: 0.2, signal.Low: 0.05}
	return []Mode{
		{Name: "open", Share: always, Output: broken, Reads: "open", Shows: 0.85},
		{Name: "comes and goes when moved", Share: moved, Output: signal.Spread{signal.Absent: 0.6, signal.Noisy: 0.2, signal.Low: 0.1, signal.Floating: 0.1}, When: WhenMoved, Reads: "cracked", Shows: 0.5},
		{Name: "opens when warm", Share: warm, Output: broken, When: WhenWarm, Reads: "cracked", Shows: 0.3},
		{Name: "bad when cold", Share: cold, Output: signal.Spread{signal.Low: 0.5, signal.Absent: 0.4, signal.Noisy: 0.1}, When: WhenCold, Reads: "high", Shows: 0.5},
		{Name: "high resistance", Share: 1 - always - moved - warm - cold, Output: weak, Reads: "high", Shows: 0.6},
	}
}

func stageModes() []Mode {
	return []Mode{
		{Name: "dead", Share: 0.36, Output: signal.Spread{signal.Absent: 0.75, signal.Low: 0.1, signal.Clamped: 0.1, signal.High: 0.05}, Reads: "dead", Shows: 0.8},
		{Name: "weak or shifted", Share: 0.2, Output: biased, Reads: "low", Shows: 0.6},
		{Name: "distorts or misbehaves", Share: 0.16, Output: signal.Pure(signal.Wrong), Reads: "dead", Shows: 0.6},
		{Name: "noisy", Share: 0.1, Output: signal.Pure(signal.Noisy), Reads: "noisy", Shows: 0.4},
		{Name: "loads its supply", Share: 0.04, Output: nothing, Supply: pulled, Reads: "short", Shows: 0.8},
		{Name: "fails when warm", Share: 0.14, Output: anything, When: WhenWarm, Reads: "dead", Shows: 0.15},
	}
}

// Kinds lists every kind, grouped as the documentation shows them. Weights and
// shares are common practice, no source.
func Kinds() []Kind { return kinds }

var kinds = []Kind{
	// Passive parts.
	{Name: "resistor", Text: "film or wirewound resistor", Odds: 0.35, Replace: 8, Measure: 4, Follow: Passes, Modes: []Mode{
		{Name: "open", Share: 0.4, Output: signal.Spread{signal.Absent: 0.4, signal.Low: 0.25, signal.High: 0.25, signal.Floating: 0.1}, Reads: "open", Shows: 0.98},
		{Name: "drifted high", Share: 0.5, Output: biased, Reads: "high", Shows: 0.97},
		{Name: "drifted low", Share: 0.03, Output: biased, Reads: "low", Shows: 0.97},
		{Name: "opens when warm", Share: 0.07, Output: signal.Spread{signal.Absent: 0.5, signal.Low: 0.25, signal.High: 0.25}, When: WhenWarm, Reads: "open", Shows: 0.2},
	}},
	{Name: "carbon resistor", Text: "carbon composition resistor: drifts up with age", Odds: 0.8, Replace: 8, Measure: 4, Follow: Passes, Modes: []Mode{
		{Name: "open", Share: 0.22, Output: signal.Spread{signal.Absent: 0.4, signal.Low: 0.25, signal.High: 0.25, signal.Floating: 0.1}, Reads: "open", Shows: 0.98},
		{Name: "drifted high", Share: 0.73, Output: biased, Reads: "high", Shows: 0.97},
		{Name: "noisy", Share: 0.05, Output: signal.Pure(signal.Noisy), Reads: "noisy", Shows: 0.1},
	}},
	{Name: "power resistor", Text: "resistor that runs hot: dropper, start-up, emitter resistor", Odds: 0.9, Replace: 8, Measure: 4, Follow: Passes, Modes: []Mode{
		{Name: "open", Share: 0.7, Output: signal.Spread{signal.Absent: 0.6, signal.Low: 0.2, signal.High: 0.1, signal.Floating: 0.1}, Reads: "open", Shows: 0.98},
		{Name: "drifted high", Share: 0.2, Output: biased, Reads: "high", Shows: 0.97},
		{Name: "opens when warm", Share: 0.1, Output: signal.Spread{signal.Absent: 0.6, signal.Low: 0.4}, When: WhenWarm, Reads: "open", Shows: 0.2},
	}},
	{Name: "potentiometer", Text: "potentiometer or trimmer", Odds: 1.2, Replace: 12, Measure: 4, Follow: Passes, Modes: []Mode{
		{Name: "wiper noisy", Share: 0.5, Output: signal.Spread{signal.Noisy: 0.5, signal.Wrong: 0.3, signal.Absent: 0.2}, When: WhenMoved, Reads: "noisy", Shows: 0.7},
		{Name: "wiper open", Share: 0.25, Output: signal.Spread{signal.Absent: 0.4, signal.High: 0.2, signal.Low: 0.2, signal.Floating: 0.2}, Reads: "open", Shows: 0.9},
		{Name: "set wrongly", Share: 0.25, Output: biased, Reads: "high", Shows: 0.3},
	}},
	{Name: "electrolytic", Text: "aluminium electrolytic capacitor", Odds: 2.2, Replace: 8, Measure: 4, Follow: Passes, Modes: capacitorModes(0.5, 0.1, 0.12, 0.06, 0.14, 0.08)},
	{Name: "tantalum", Text: "tantalum capacitor: shorts", Odds: 2.5, Replace: 8, Measure: 4, Follow: Passes, Modes: capacitorModes(0.06, 0.66, 0.14, 0.06, 0.08, 0)},
	{Name: "film capacitor", Text: "film capacitor", Odds: 0.3, Replace: 8, Measure: 4, Follow: Passes, Modes: capacitorModes(0.22, 0.24, 0.2, 0.28, 0.06, 0)},
	{Name: "ceramic capacitor", Text: "ceramic capacitor, decoupling", Odds: 0.3, Replace: 8, Measure: 4, Follow: Passes, Modes: capacitorModes(0.05, 0.5, 0.23, 0.12, 0.1, 0)},
	{Name: "paper capacitor", Text: "paper or metallised-paper capacitor, mains filter", Odds: 2, Replace: 10, Measure: 5, Follow: Passes, Modes: capacitorModes(0.05, 0.42, 0.38, 0.1, 0.05, 0)},
	{Name: "inductor", Text: "coil or choke", Odds: 0.3, Replace: 15, Measure: 4, Follow: Passes, Modes: []Mode{
		{Name: "open", Share: 0.55, Output: nothing, Reads: "open", Shows: 0.98},
		{Name: "shorted turns", Share: 0.35, Output: weak, Reads: "low", Shows: 0.4},
		{Name: "opens when warm", Share: 0.1, Output: nothing, When: WhenWarm, Reads: "open", Shows: 0.2},
	}},
	{Name: "transformer", Text: "transformer: mains, signal, line output", Odds: 0.5, Replace: 40, Measure: 5, Follow: Passes, Modes: []Mode{
		{Name: "winding opens when warm", Share: 0.1, Output: nothing, When: WhenWarm, Reads: "open", Shows: 0.2},
		{Name: "winding open", Share: 0.5, Output: nothing, Reads: "open", Shows: 0.97},
		{Name: "shorted turns", Share: 0.4, Output: signal.Spread{signal.Low: 0.6, signal.Absent: 0.3, signal.Wrong: 0.1}, Supply: signal.Spread{signal.Good: 0.6, signal.Low: 0.4}, Reads: "low", Shows: 0.4},
	}},
	{Name: "fuse", Text: "fuse or fusible resistor", Odds: 0.9, Replace: 2, Measure: 1, Follow: Passes, Modes: []Mode{
		{Name: "blown", Share: 0.9, Output: nothing, Reads: "open", Shows: 0.99},
		{Name: "bad contact", Share: 0.1, Output: signal.Spread{signal.Absent: 0.6, signal.Low: 0.4}, When: WhenMoved, Reads: "cracked", Shows: 0.4},
	}},
	// Semiconductors.
	{Name: "diode", Text: "signal diode", Odds: 0.5, Replace: 8, Measure: 4, Follow: Passes, Modes: []Mode{
		{Name: "open", Share: 0.35, Output: signal.Spread{signal.Absent: 0.5, signal.Low: 0.2, signal.High: 0.2, signal.Wrong: 0.1}, Reads: "open", Shows: 0.97},
		{Name: "shorted", Share: 0.45, Output: signal.Spread{signal.Absent: 0.3, signal.Low: 0.3, signal.Clamped: 0.2, signal.Wrong: 0.2}, Reads: "short", Shows: 0.97},
		{Name: "leaky", Share: 0.12, Output: off, Reads: "leaky", Shows: 0.6},
		{Name: "fails when warm", Share: 0.08, Output: off, When: WhenWarm, Reads: "leaky", Shows: 0.15},
	}},
	{Name: "rectifier", Text: "rectifier diode or bridge", Odds: 1, Replace: 10, Measure: 4, Follow: Passes, Modes: []Mode{
		{Name: "open", Share: 0.35, Output: signal.Spread{signal.Absent: 0.4, signal.Low: 0.35, signal.Noisy: 0.25}, Reads: "open", Shows: 0.97},
		{Name: "shorted", Share: 0.5, Output: signal.Spread{signal.Absent: 0.6, signal.Low: 0.3, signal.Noisy: 0.1}, Input: signal.Spread{signal.Good: 0.3, signal.Absent: 0.5, signal.Low: 0.2}, Reads: "short", Shows: 0.97},
		{Name: "fails when warm", Share: 0.15, Output: signal.Spread{signal.Low: 0.5, signal.Absent: 0.3, signal.Noisy: 0.2}, When: WhenWarm, Reads: "leaky", Shows: 0.15},
	}},
	{Name: "zener", Text: "zener or voltage reference", Odds: 1, Replace: 8, Measure: 4, Follow: Regulates, Modes: []Mode{
		{Name: "open", Share: 0.4, Output: signal.Spread{signal.High: 0.9, signal.Noisy: 0.1}, Reads: "open", Shows: 0.95},
		{Name: "shorted", Share: 0.35, Output: signal.Spread{signal.Absent: 0.85, signal.Low: 0.15}, Reads: "short", Shows: 0.97},
		{Name: "drifts when warm", Share: 0.07, Output: signal.Spread{signal.Low: 0.4, signal.High: 0.4, signal.Noisy: 0.2}, When: WhenWarm, Reads: "leaky", Shows: 0.15},
		{Name: "drifted or noisy", Share: 0.18, Output: signal.Spread{signal.Low: 0.35, signal.High: 0.3, signal.Noisy: 0.35}, Reads: "leaky", Shows: 0.4},
	}},
	{Name: "transistor", Text: "small transistor", Odds: 1, Replace: 10, Measure: 4, Follow: Amplifies, Modes: transistorModes()},
	{Name: "power transistor", Text: "output, series-pass or switching transistor", Odds: 2, Replace: 15, Measure: 5, Follow: Amplifies, Modes: transistorModes()},
	{Name: "mosfet", Text: "field-effect transistor", Odds: 1.3, Replace: 12, Measure: 5, Follow: Amplifies, Modes: transistorModes()},
	{Name: "thyristor", Text: "thyristor or triac, crowbar", Odds: 0.8, Replace: 10, Measure: 5, Follow: Passes, Modes: []Mode{
		{Name: "shorted", Share: 0.5, Output: pulled, Reads: "short", Shows: 0.97},
		{Name: "fires too early", Share: 0.3, Output: signal.Spread{signal.Absent: 0.5, signal.Low: 0.1, signal.Wrong: 0.4}, When: WhenWarm, Reads: "leaky", Shows: 0.2},
		{Name: "open", Share: 0.2, Output: signal.Spread{signal.Good: 0.7, signal.Absent: 0.3}, Reads: "open", Shows: 0.9},
	}},
	{Name: "optocoupler", Text: "optocoupler", Odds: 1.1, Replace: 10, Measure: 5, Follow: Amplifies, Modes: []Mode{
		{Name: "leaks", Share: 0.13, Output: signal.Spread{signal.High: 0.5, signal.StuckLow: 0.15, signal.Low: 0.15, signal.Wrong: 0.2}, Reads: "leaky", Shows: 0.5},
		{Name: "weak", Share: 0.3, Output: signal.Spread{signal.Low: 0.4, signal.High: 0.4, signal.Absent: 0.2}, Reads: "low", Shows: 0.6},
		{Name: "gives up when warm", Share: 0.12, Output: signal.Spread{signal.Low: 0.4, signal.High: 0.3, signal.Absent: 0.3}, When: WhenWarm, Reads: "low", Shows: 0.3},
		{Name: "dead", Share: 0.45, Output: signal.Spread{signal.Absent: 0.6, signal.High: 0.4}, Reads: "dead", Shows: 0.9},
	}},
	{Name: "regulator", Text: "three-terminal or integrated regulator, controller", Odds: 1.5, Replace: 12, Measure: 6, Follow: Regulates, Modes: []Mode{
		{Name: "dead", Share: 0.42, Output: nothing, Reads: "dead", Shows: 0.9},
		{Name: "passes too much", Share: 0.18, Output: signal.Pure(signal.High), Reads: "short", Shows: 0.9},
		{Name: "low", Share: 0.15, Output: signal.Spread{signal.Low: 0.85, signal.Noisy: 0.15}, Reads: "low", Shows: 0.8},
		{Name: "oscillates", Share: 0.05, Output: signal.Spread{signal.Noisy: 0.7, signal.Wrong: 0.3}, Reads: "noisy", Shows: 0.3},
		{Name: "shuts down when warm", Share: 0.2, Output: signal.Spread{signal.Absent: 0.5, signal.Low: 0.3, signal.Wrong: 0.2}, When: WhenWarm, Reads: "dead", Shows: 0.1},
	}},
	{Name: "op-amp", Text: "operational amplifier or comparator", Odds: 1.1, Replace: 10, Measure: 5, Follow: Amplifies, Socketed: true, Modes: []Mode{
		{Name: "output at a rail", Share: 0.4, Output: signal.Spread{signal.High: 0.4, signal.Low: 0.25, signal.Absent: 0.2, signal.Clamped: 0.15}, Reads: "dead", Shows: 0.85},
		{Name: "dead", Share: 0.2, Output: nothing, Reads: "dead", Shows: 0.85},
		{Name: "drifts, distorts or is noisy", Share: 0.2, Output: signal.Spread{signal.Wrong: 0.5, signal.Noisy: 0.5}, Reads: "noisy", Shows: 0.4},
		{Name: "loads its supply", Share: 0.05, Output: nothing, Supply: pulled, Reads: "short", Shows: 0.9},
		{Name: "fails when warm", Share: 0.15, Output: anything, When: WhenWarm, Reads: "dead", Shows: 0.1},
	}},
	// Logic.
	{Name: "chip", Text: "logic chip: gates, counters, registers, multiplexers", Odds: 1, Replace: 18, Measure: 18, Follow: Decides, Modes: logicModes(0.42, 0.18)},
	{Name: "driver", Text: "bus or line driver, open collector, interface to the outside", Odds: 1.6, Replace: 18, Measure: 18, Follow: Decides, Modes: logicModes(0.5, 0.1)},
	{Name: "dynamic ram", Text: "dynamic memory chip", Odds: 4, Replace: 15, Measure: 15, Follow: Decides, Modes: logicModes(0.3, 0.4)},
	{Name: "static ram", Text: "static memory chip", Odds: 2, Replace: 15, Measure: 15, Follow: Decides, Modes: logicModes(0.3, 0.4)},
	{Name: "rom", Text: "ROM, EPROM, PROM", Odds: 1.5, Replace: 12, Measure: 10, Follow: Decides, Socketed: true, Modes: logicModes(0.2, 0.6)},
	{Name: "programmed logic", Text: "PAL, PLA, gate array, custom chip", Odds: 1.7, Replace: 25, Measure: 25, Follow: Decides, Modes: logicModes(0.4, 0.25)},
	{Name: "processor", Text: "microprocessor or large peripheral chip", Odds: 0.8, Replace: 15, Measure: 15, Follow: Decides, Socketed: true, Modes: logicModes(0.35, 0.3)},
	{Name: "oscillator", Text: "crystal or clock oscillator", Odds: 0.7, Replace: 10, Measure: 5, Follow: Passes, Modes: []Mode{
		{Name: "does not start", Share: 0.6, Output: signal.Spread{signal.Absent: 0.5, signal.StuckLow: 0.25, signal.StuckHigh: 0.25}, Reads: "dead", Shows: 0.8},
		{Name: "wrong rate", Share: 0.2, Output: signal.Pure(signal.Wrong), Reads: "dead", Shows: 0.8},
		{Name: "stops when warm", Share: 0.2, Output: nothing, When: WhenWarm, Reads: "dead", Shows: 0.1},
	}},
	// Contacts.
	{Name: "connector", Text: "connector, edge connector, plug", Odds: 1.8, Replace: 20, Measure: 3, Follow: Passes, Socketed: true, Modes: contactModes(0.35, 0.45, 0.08)},
	{Name: "socket", Text: "chip or tube socket", Odds: 1.5, Replace: 20, Measure: 3, Follow: Passes, Socketed: true, Modes: contactModes(0.3, 0.5, 0.1)},
	{Name: "cable", Text: "cable, harness, ribbon", Odds: 0.9, Replace: 20, Measure: 3, Follow: Passes, Modes: contactModes(0.45, 0.45, 0.03)},
	{Name: "joint", Text: "solder joint, via", Odds: 1.2, Replace: 3, Measure: 2, Follow: Passes, Modes: contactModes(0.4, 0.35, 0.2)},
	{Name: "track", Text: "board track, bodge wire", Odds: 0.6, Replace: 6, Measure: 2, Follow: Passes, Modes: contactModes(0.75, 0.15, 0.05)},
	{Name: "switch", Text: "switch, key, selector", Odds: 1.4, Replace: 15, Measure: 2, Follow: Passes, Modes: contactModes(0.3, 0.45, 0.02)},
	{Name: "relay", Text: "relay: coil and contacts", Odds: 1.3, Replace: 12, Measure: 4, Follow: Passes, Modes: contactModes(0.45, 0.3, 0.05)},
	{Name: "solder bridge", Text: "solder bridge, whisker, spill: a short that may have got there", Odds: 0.3, Replace: 3, Measure: 2, Follow: Passes, Modes: []Mode{
		{Name: "shorts", Share: 0.8, Output: signal.Spread{signal.Clamped: 0.3, signal.Low: 0.3, signal.StuckLow: 0.2, signal.Absent: 0.2}, Reads: "short", Shows: 0.97},
		{Name: "shorts when moved", Share: 0.2, Output: signal.Spread{signal.Clamped: 0.3, signal.Low: 0.3, signal.StuckLow: 0.2, signal.Absent: 0.2}, When: WhenMoved, Reads: "short", Shows: 0.5},
	}},
	// Things that move, glow or store.
	{Name: "lamp", Text: "lamp or indicator", Odds: 1, Replace: 6, Measure: 2, Follow: Passes, Modes: contactModes(0.8, 0.1, 0.02)},
	{Name: "battery", Text: "battery or cell", Odds: 3, Replace: 6, Measure: 2, Follow: Passes, Modes: []Mode{
		{Name: "flat", Share: 0.7, Output: signal.Spread{signal.Low: 0.5, signal.Absent: 0.5}, Reads: "low", Shows: 0.98},
		{Name: "leaked", Share: 0.3, Output: anything, Reads: "cracked", Shows: 0.9},
	}},
	{Name: "picture tube", Text: "picture tube", Odds: 0.7, Replace: 120, Measure: 20, Follow: Amplifies, Modes: stageModes()},
	{Name: "motor", Text: "motor, solenoid, mechanism", Odds: 1, Replace: 30, Measure: 5, Follow: Passes, Modes: stageModes()},
	{Name: "transducer", Text: "loudspeaker, tape head, sensor, keyboard matrix", Odds: 0.8, Replace: 20, Measure: 5, Follow: Passes, Modes: contactModes(0.5, 0.3, 0.05)},
	// Whole sections whose inside is not described.
	{Name: "stage", Text: "analogue section whose parts are not listed", Odds: 1.6, Replace: 30, Measure: 15, Follow: Amplifies, Modes: stageModes()},
	{Name: "supply", Text: "supply section whose parts are not listed", Odds: 2.5, Replace: 40, Measure: 20, Follow: Regulates, Modes: []Mode{
		{Name: "dead", Share: 0.4, Output: nothing, Reads: "dead", Shows: 0.9},
		{Name: "low", Share: 0.2, Output: signal.Spread{signal.Low: 0.85, signal.Absent: 0.15}, Reads: "low", Shows: 0.8},
		{Name: "high", Share: 0.1, Output: signal.Pure(signal.High), Reads: "high", Shows: 0.8},
		{Name: "hum or ripple", Share: 0.15, Output: signal.Pure(signal.Noisy), Reads: "noisy", Shows: 0.7},
		{Name: "shuts down when warm", Share: 0.15, Output: signal.Spread{signal.Absent: 0.6, signal.Low: 0.2, signal.Wrong: 0.2}, When: WhenWarm, Reads: "dead", Shows: 0.15},
	}},
	{Name: "logic", Text: "logic section whose chips are not listed", Odds: 2, Replace: 40, Measure: 30, Follow: Decides, Modes: logicModes(0.4, 0.25)},
	{Name: "board", Text: "plug-in board or module taken as one", Odds: 2, Replace: 10, Measure: 30, Follow: Decides, Socketed: true, Modes: logicModes(0.35, 0.25)},
}

// Find returns the kind of that name. Names are compared without regard to
// case.
func Find(name string) (Kind, bool) {
	name = strings.ToLower(strings.TrimSpace(name))
	if alias, ok := aliases[name]; ok {
		name = alias
	}
	i := slices.IndexFunc(kinds, func(k Kind) bool { return k.Name == name })
	if i < 0 {
		return Kind{}, false
	}
	return kinds[i], true
}

// aliases are other names the trade uses for a kind.
var aliases = map[string]string{
	"aluminium electrolytic": "electrolytic", "aluminum electrolytic": "electrolytic", "capacitor": "film capacitor",
	"film": "film capacitor", "ceramic": "ceramic capacitor", "paper": "paper capacitor", "metallised paper": "paper capacitor",
	"class x": "paper capacitor", "class y": "paper capacitor", "choke": "inductor", "coil": "inductor",
	"trimmer": "potentiometer", "pot": "potentiometer", "bridge": "rectifier", "rectifier diode": "rectifier",
	"reference": "zener", "triac": "thyristor", "crowbar": "thyristor", "pass transistor": "power transistor",
	"fet": "mosfet", "controller": "regulator", "comparator": "op-amp", "opamp": "op-amp",
	"gate": "chip", "counter": "chip", "register": "chip", "multiplexer": "chip", "buffer": "driver", "open collector": "driver",
	"ram": "static ram", "dram": "dynamic ram", "sram": "static ram", "eprom": "rom", "prom": "rom",
	"pal": "programmed logic", "pla": "programmed logic", "gate array": "programmed logic", "custom chip": "programmed logic",
	"cpu": "processor", "microprocessor": "processor", "peripheral": "processor", "crystal": "oscillator", "clock": "oscillator",
	"plug": "connector", "edge connector": "connector", "harness": "cable", "wire": "cable", "ribbon": "cable",
	"solder joint": "joint", "via": "joint", "trace": "track", "key": "switch", "indicator": "lamp", "cell": "battery",
	"led": "diode", "bridge rectifier": "rectifier", "shunt reference": "zener", "shunt regulator": "zener", "scr": "thyristor",
	"jfet": "mosfet", "junction fet": "mosfet",
	"crt": "picture tube", "solenoid": "motor", "loudspeaker": "transducer", "speaker": "transducer", "head": "transducer",
	"sensor": "transducer", "amplifier": "stage", "filter": "stage", "module": "board",
}

// Names lists the names of all kinds and their other names, sorted.
func Names() []string {
	var names []string
	for _, k := range kinds {
		names = append(names, k.Name)
	}
	for alias := range aliases {
		names = append(names, alias)
	}
	slices.Sort(names)
	return names
}

// Aliases lists the other names, each with the kind it stands for, sorted:
// "crowbar (thyristor)".
func Aliases() []string {
	var list []string
	for alias, kind := range aliases {
		list = append(list, alias+" ("+kind+")")
	}
	slices.Sort(list)
	return list
}
