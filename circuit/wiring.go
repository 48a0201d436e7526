package circuit

import (
	"fmt"
	"math"
)

// nature is what kind of quantity an unknown is; it decides how closely it is
// solved for.
type nature uint8

const (
	voltage nature = iota
	current
	temperature
	other
)

// unknown is one column of the equations.
type unknown struct {
	nature nature
	label  string // node name, or what and of which part
	part   string // the part it belongs to, empty for a node
	diag   int    // slot on the diagonal
}

// kind of a link between two nodes, as far as the topology is concerned.
type kind uint8

const (
	conducts kind = iota // direct current can pass
	stores               // only changing current can pass: a capacitance
	fixes                // fixes the voltage: a source, a closed contact
	winds                // a winding without resistance: fixes it at rest
)

// link says that a part ties two nodes together.
type link struct {
	a, b   int
	kind   kind
	device int
	number int // counts the links of one device
}

// wiring hands out unknowns and slots to one part while it is being connected.
type wiring struct {
	s     *Solver
	name  string
	pin   []int
	links int
	mine  []int // unknowns of the part
}

// unknown makes one more unknown.
func (w *wiring) unknown(n nature, what string) int {
	w.s.unknowns = append(w.s.unknowns, unknown{nature: n, label: what + " of " + w.name, part: w.name})
	u := len(w.s.unknowns) - 1
	w.mine = append(w.mine, u)
	w.s.unknowns[u].diag = w.slot(u, u)
	return u
}

// inner makes a node inside the part.
func (w *wiring) inner(what string) int { return w.unknown(voltage, what) }

// slot returns the slot of a row and column, 0 when either is ground.
func (w *wiring) slot(row, col int) int {
	if row == 0 || col == 0 {
		return 0
	}
	key := [2]int{row, col}
	if slot, ok := w.s.slotOf[key]; ok {
		return slot
	}
	w.s.row = append(w.s.row, int32(row))
	w.s.col = append(w.s.col, int32(col))
	slot := len(w.s.row) - 1
	w.s.slotOf[key] = slot
	return slot
}

// pair returns the slots of something between two unknowns.
func (w *wiring) pair(a, b int) pair {
	return pair{a, b, w.slot(a, a), w.slot(a, b), w.slot(b, a), w.slot(b, b)}
}

// rigid makes a branch with a current of its own between two nodes.
func (w *wiring) rigid(a, b int, what string) rigid {
	i := w.unknown(current, what)
	return rigid{a, b, i, w.slot(a, i), w.slot(b, i), w.slot(i, a), w.slot(i, b), w.slot(i, i)}
}

// store makes an element of charge whose rate enters one equation and leaves
// another.
func (w *wiring) store(plus, minus int) store {
	k := len(w.s.stores)
	st := store{k: k, plus: plus, minus: minus}
	w.s.stores = append(w.s.stores, st)
	return st
}

// bentStore makes an element whose charge bends with the unknowns named last;
// the part writes its derivatives by them into point.bows.
func (w *wiring) bentStore(plus, minus int, of [3]int) store {
	st := w.store(plus, minus)
	st.bent, st.of = true, of
	w.s.stores[st.k] = st
	return st
}

// link notes that the part ties two nodes together. Links are numbered from
// zero in the order of the calls.
func (w *wiring) link(k kind, a, b int) {
	w.s.links = append(w.s.links, link{a, b, k, len(w.s.devices), w.links})
	w.links++
}

// want is one condition on a value of a part.
type want struct {
	name  string
	value float64
	ok    bool
	right string
}

// above wants the value over a bound.
func above(name string, value, bound float64) want {
	return want{name, value, value > bound, fmt.Sprintf("greater than %g", bound)}
}

// least wants the value at or over a bound.
func least(name string, value, bound float64) want {
	return want{name, value, value >= bound, fmt.Sprintf("at least %g", bound)}
}

// within wants the value between two bounds, both allowed.
func within(name string, value, low, high float64) want {
	return want{name, value, value >= low && value <= high, fmt.Sprintf("between %g and %g", low, high)}
}

// anything wants a finite number and no more.
func anything(name string, value float64) want {
	return want{name, value, true, "a finite number"}
}

// check reports the first condition that does not hold.
func (w *wiring) check(wants ...want) error {
	for _, c := range wants {
		if !c.ok || math.IsNaN(c.value) || math.IsInf(c.value, 0) {
			return fmt.Errorf("%s is %g, it must be %s", c.name, c.value, c.right)
		}
	}
	return nil
}

// fallback gives the default where a value was left zero.
func fallback(value *float64, standard float64) {
	if *value == 0 {
		*value = standard
	}
}
