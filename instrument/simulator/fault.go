package simulator

import "math/rand/v2"

// Fault is a way in which an answer goes wrong.
type Fault int

// The faults.
const (
	None             Fault = iota
	Silence                // no answer
	Garbage                // bytes that mean nothing, with an end of line
	HalfLine               // half of the answer, and then nothing
	LateHalf               // half of the answer, and the other half a little later
	Late                   // the whole answer, a little later
	Twice                  // the answer, and once more
	Disconnect             // the connection is closed instead
	HalfDisconnect         // half of the answer, then the connection is closed
	Flood                  // a long answer without an end
	Overload               // 9.9E37 in place of a reading
	NegativeOverload       // -9.9E37 in place of a reading
	NotANumber             // 9.91E37 in place of a reading
	FullQueue              // the answer, and the error queue fills up
)

// Faults lists all faults.
func Faults() []Fault {
	var all []Fault
	for f := Silence; f <= FullQueue; f++ {
		all = append(all, f)
	}
	return all
}

// String names the fault.
func (f Fault) String() string {
	return [...]string{"none", "silence", "garbage", "half a line", "half a line late", "late", "twice", "disconnect", "half a line, disconnect",
		"flood", "overload", "negative overload", "not a number", "full error queue"}[f]
}

// Plan decides what goes wrong with an answer. It is given the question, and how
// many questions were asked before.
type Plan func(query string, before int) Fault

// Once has a fault in the answer to the nth question of that header, counted
// from 1, and in no other.
func Once(header string, n int, fault Fault) Plan {
	asked := 0
	return func(query string, _ int) Fault {
		if query != header {
			return None
		}
		asked++
		if asked != n {
			return None
		}
		return fault
	}
}

// Always has a fault in every answer to that header.
func Always(header string, fault Fault) Plan {
	return func(query string, _ int) Fault {
		if query != header {
			return None
		}
		return fault
	}
}

// Random has one of the faults in that share of the readings, 0 to 1.
func Random(source *rand.Rand, share float64, faults ...Fault) Plan {
	return func(query string, _ int) Fault {
		if query != "READ?" || source.Float64() >= share {
			return None
		}
		return faults[source.IntN(len(faults))]
	}
}
