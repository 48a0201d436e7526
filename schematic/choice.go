package schematic

import (
	"cmp"
	"math"
	"slices"
)

// choices gives the figures that a part may be drawn as, the usual first.
func (p *plan) choices(i int, room bool) []figure {
	part := &p.circuit.Parts[i]
	m := markOf(part, p.near[i])
	on := p.nodes[i]
	grounds := make([]bool, len(on))
	grounded := false
	for k, n := range on {
		grounds[k] = n == p.ground
		grounded = grounded || grounds[k]
	}
	var list []figure
	add := func(way Way, mirror bool, cost float64) {
		f := dress(m, way, mirror, part, grounds, room)
		f.cost = cost
		list = append(list, f)
	}
	if s := part.Spot; s != nil && s.Way != AnyWay {
		add(s.Way, s.Mirror, 0)
		return list
	}
	first, last := on[0], on[len(on)-1]
	if len(on) == 3 && (m.pins[1].dx == 0) { // the third pin is the gate
		last = on[1]
	}
	kind := p.kinds[i]
	switch {
	case m.natural == Down && len(on) == 2:
		high, low := Down, Up // the ways with the higher node on top
		if p.volts[first] < p.volts[last] {
			high, low = Up, Down
		}
		with, against := Right, Left // the ways with the flow
		if p.rank[first] > p.rank[last] {
			with, against = Left, Right
		}
		upright, lying := 1.5, 0.0
		switch {
		case isSource(kind) || kind == "load":
			upright, lying = 0, 25
		case grounded:
			upright, lying = 0, 15
		case isSeries(kind):
			upright, lying = 4, 0
		case p.rail[first] || p.rail[last]:
			upright, lying = 0, 4
		case isCapacitor(kind):
			upright, lying = 3, 0
		case math.Abs(p.volts[first]-p.volts[last]) > 0.2*p.span:
			upright, lying = 0, 3
		}
		add(high, false, upright)
		turned := 10.0
		switch {
		case grounded && p.volts[first] <= 0 && p.volts[last] <= 0:
			turned = 7
		case grounded || isSource(kind):
			turned = 25
		}
		add(low, false, upright+turned)
		add(with, false, lying)
		add(against, false, lying+12)
	case m.natural == Down:
		high, low := Down, Up
		if p.volts[first] < p.volts[last] {
			high, low = Up, Down
		}
		with, against := Right, Left
		if p.rank[first] > p.rank[last] {
			with, against = Left, Right
		}
		left, right := high == Up, high != Up // mirrored, so that the third pin is on the left, on the right
		lying := 7.0
		if kind == "power transistor" {
			lying = 4
		}
		if grounded {
			lying = 15
		}
		add(high, left, 0)
		add(high, right, 2)
		add(low, !left, 8)
		add(low, !right, 9)
		add(with, false, lying)
		add(with, true, lying)
		add(against, false, lying+4)
		add(against, true, lying+4)
	default:
		turn := 2.0
		switch kind {
		case "op-amp", "comparator":
			turn = 0.5
		case "transformer", "bridge", "regulator":
			turn = 12 // the dots and the plus belong on top, the common pin below
		}
		add(Right, false, 0)
		add(Right, true, turn)
		add(Left, false, 20)
		add(Left, true, 20)
	}
	if s := part.Spot; s != nil && s.Mirror {
		for k := range list {
			if !list[k].mirror {
				list[k].cost += 100
			}
		}
	}
	slices.SortStableFunc(list, func(a, b figure) int { return cmp.Compare(a.cost, b.cost) })
	return list
}
