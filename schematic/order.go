package schematic

import (
	"math"
	"slices"
)

// A plan is what is known of a circuit before anything is placed: its nodes by
// number, how high each lies, and how far along the flow each comes.
type plan struct {
	circuit *Circuit
	names   []string       // of the nodes, in the order of their first use
	byName  map[string]int // the number of each node
	ground  int            // its number; -1 when no part is connected to it
	nodes   [][]int        // of each part
	kinds   []string
	pins    [][]end   // of each node: where it is connected
	volts   []float64 // of each node, as far as it can be told
	span    float64   // between the highest and the lowest of them
	known   []bool    // nodes whose voltage is given
	rank    []float64 // of each node: 0 at the sources
	rail    []bool    // nodes with a known voltage that feed several parts
	near    [][]bool  // of each transformer: which windings stand on the side of the first
}

// An end is one connection: a part and the number of its pin.
type end struct{ part, pin int }

// survey numbers the nodes of a circuit and finds out what its layout follows.
func survey(c *Circuit) *plan {
	p := &plan{circuit: c, byName: map[string]int{}, ground: -1}
	for i := range c.Parts {
		var list []int
		for k, name := range c.Parts[i].Nodes {
			n, known := p.byName[name]
			if !known {
				n = len(p.names)
				p.byName[name] = n
				p.names = append(p.names, name)
				p.pins = append(p.pins, nil)
			}
			list = append(list, n)
			p.pins[n] = append(p.pins[n], end{i, k})
		}
		p.nodes = append(p.nodes, list)
		p.kinds = append(p.kinds, kindName(c.Parts[i].Kind))
	}
	if g, ok := p.byName[c.Ground]; ok {
		p.ground = g
	}
	p.levels()
	p.flow()
	p.near = make([][]bool, len(c.Parts))
	for i, kind := range p.kinds {
		if kind == "transformer" {
			p.near[i] = p.sides(i)
		}
	}
	return p
}

// A link says how strongly two pins of a kind hold each other's voltage, for an
// estimate that does no more than to tell higher from lower.
type link struct {
	from, to int
	strength float64
}

// links lists the links within a part.
func links(kind string, n int) []link {
	switch {
	case isSource(kind):
		return nil
	case kind == "transformer":
		var list []link
		for i := 0; i+1 < n; i += 2 {
			list = append(list, link{i, i + 1, 0.3})
		}
		return list
	case kind == "regulator" && n == 3:
		return []link{{0, 1, 3}}
	case kind == "potentiometer" && n == 3:
		return []link{{0, 1, 2}, {1, 2, 2}}
	case n == 3 && (kind == "transistor" || kind == "power transistor" || kind == "mosfet" || kind == "jfet"):
		return []link{{0, 2, 1}, {1, 2, 2}}
	case kind == "optocoupler" && n == 4:
		return []link{{0, 1, 3}, {2, 3, 1}}
	case kind == "bridge" && n == 4:
		return []link{{0, 1, 1}, {2, 3, 0.1}}
	case n == 2 && isCapacitor(kind):
		return []link{{0, 1, 0.02}}
	case n == 2 && isSeries(kind):
		return []link{{0, 1, 5}}
	case n >= 2 && kind != "op-amp" && kind != "comparator":
		return []link{{0, 1, 1}}
	}
	return nil
}

func isSource(kind string) bool {
	return slices.Contains([]string{"battery", "dc source", "mains source", "sine source", "pulse source", "current source"}, kind)
}

func isCapacitor(kind string) bool {
	return slices.Contains([]string{"electrolytic", "tantalum", "film capacitor", "ceramic capacitor", "paper capacitor"}, kind)
}

// isSeries tells whether a kind usually lies in the way of a current.
func isSeries(kind string) bool {
	return slices.Contains([]string{"fuse", "inductor", "diode", "rectifier", "switch", "connector", "socket", "cable", "joint", "track"}, kind)
}

// levels estimates how high each node lies, as a mean of its neighbours: known
// voltages and ground are held.
func (p *plan) levels() {
	p.volts = make([]float64, len(p.names))
	held := make([]bool, len(p.names))
	for n, name := range p.names {
		if v, ok := p.circuit.Volts[name]; ok && !math.IsNaN(v) && !math.IsInf(v, 0) {
			p.volts[n], held[n] = v, true
		}
	}
	if p.ground >= 0 {
		p.volts[p.ground], held[p.ground] = 0, true
	}
	p.rail = make([]bool, len(p.names))
	for n := range p.names {
		p.rail[n] = held[n] && n != p.ground && len(p.pins[n]) > 3
	}
	for i, kind := range p.kinds { // what a source of unknown voltage drives lies above its other end
		if on := p.nodes[i]; isSource(kind) && len(on) == 2 && !held[on[0]] && held[on[1]] {
			p.volts[on[0]], held[on[0]] = p.volts[on[1]]+1, true
		}
	}
	p.known = slices.Clone(held)
	p.polarities(held)
	type pull struct {
		node     int
		strength float64
	}
	pulls := make([][]pull, len(p.names))
	for i, kind := range p.kinds {
		for _, l := range links(kind, len(p.nodes[i])) {
			a, b := p.nodes[i][l.from], p.nodes[i][l.to]
			pulls[a] = append(pulls[a], pull{b, l.strength})
			pulls[b] = append(pulls[b], pull{a, l.strength})
		}
	}
	for range 40 {
		for n := range p.volts {
			if held[n] {
				continue
			}
			sum, weight := 0.0, 1e-9
			for _, l := range pulls[n] {
				sum += l.strength * p.volts[l.node]
				weight += l.strength
			}
			p.volts[n] = sum / weight
		}
	}
	if len(p.volts) > 0 {
		p.span = slices.Max(p.volts) - slices.Min(p.volts)
	}
}

// polarities guesses the sign of nodes that nothing tells the voltage of from the
// parts that know above and below: bridges, and electrolytics to ground.
func (p *plan) polarities(held []bool) {
	guess := func(n int, v float64) {
		if !held[n] {
			p.volts[n], held[n] = v, true
		}
	}
	const some = 10.0
	for i, kind := range p.kinds {
		if on := p.nodes[i]; kind == "bridge" && len(on) == 4 {
			guess(on[2], some)
			guess(on[3], -some)
		}
	}
	for i, kind := range p.kinds {
		on := p.nodes[i]
		switch {
		case (kind == "electrolytic" || kind == "tantalum") && len(on) == 2 && on[1] == p.ground:
			guess(on[0], some/2)
		case (kind == "electrolytic" || kind == "tantalum") && len(on) == 2 && on[0] == p.ground:
			guess(on[1], -some/2)
		}
	}
}

// inputs tells which pins of a kind take and which give; pins of both take and
// give. None at all means that the current may go either way.
func inputs(kind string, n int) (takes, gives []int) {
	switch {
	case kind == "transformer" && n >= 4:
		for i := 2; i < n; i++ {
			gives = append(gives, i)
		}
		return []int{0, 1}, gives
	case kind == "regulator" && n == 3:
		return []int{0}, []int{1}
	case (kind == "op-amp" || kind == "comparator") && n >= 3:
		return []int{0, 1}, []int{2}
	case n == 3 && (kind == "transistor" || kind == "power transistor" || kind == "mosfet" || kind == "jfet"):
		return []int{1}, []int{0, 2}
	case kind == "optocoupler" && n == 4:
		return []int{0, 1}, []int{2, 3}
	case kind == "bridge" && n == 4:
		return []int{0, 1}, []int{2, 3}
	case kind == "relay" && n >= 4:
		return []int{0, 1}, []int{2, 3}
	}
	return nil, nil
}

// flow ranks the nodes by their distance from the sources. Where signals come
// from a source of their own, supplies do not count as one.
func (p *plan) flow() {
	const far = math.MaxInt32
	rank := make([]int, len(p.names))
	for n := range rank {
		rank[n] = far
	}
	signal := slices.ContainsFunc(p.kinds, func(k string) bool { return k == "sine source" || k == "pulse source" })
	var queue []int
	reach := func(n, r int) {
		if n != p.ground && r < rank[n] {
			rank[n] = r
			queue = append(queue, n)
		}
	}
	walk := func() {
		for len(queue) > 0 {
			n := queue[0]
			queue = queue[1:]
			if p.rail[n] && signal {
				continue
			}
			for _, e := range p.pins[n] {
				kind, on := p.kinds[e.part], p.nodes[e.part]
				if isSource(kind) {
					continue
				}
				takes, gives := inputs(kind, len(on))
				if takes == nil {
					for _, m := range on {
						reach(m, rank[n]+1)
					}
					continue
				}
				if slices.Contains(takes, e.pin) {
					for _, g := range gives {
						reach(on[g], rank[n]+1)
					}
				}
			}
		}
	}
	for i, kind := range p.kinds {
		if on := p.nodes[i]; isSource(kind) && (!signal || kind == "sine source" || kind == "pulse source") {
			for _, n := range on {
				reach(n, 0)
			}
		}
	}
	walk()
	for n := range rank { // supplies, and what no source reaches
		if rank[n] == far && n != p.ground {
			least := far
			for _, e := range p.pins[n] {
				for _, m := range p.nodes[e.part] {
					least = min(least, rank[m])
				}
			}
			if least == far {
				least = 0
			}
			reach(n, least)
			walk()
		}
	}
	p.rank = make([]float64, len(rank))
	for n, r := range rank {
		if r != far {
			p.rank[n] = float64(r)
		}
	}
}

// sides finds the windings of a transformer that stand on the side of the first:
// those that other parts connect with it, by another way than ground. What parts
// the two sides elsewhere, such as an optocoupler, is no such way.
func (p *plan) sides(transformer int) []bool {
	on := p.nodes[transformer]
	near := make([]bool, len(on)/2)
	if len(near) < 2 {
		return near
	}
	near[0] = true
	seen := map[int]bool{}
	var visit func(n int)
	visit = func(n int) {
		if n == p.ground || seen[n] {
			return
		}
		seen[n] = true
		for _, e := range p.pins[n] {
			if kind := p.kinds[e.part]; kind != "transformer" && kind != "optocoupler" && kind != "relay" {
				for _, m := range p.nodes[e.part] {
					visit(m)
				}
			}
		}
	}
	visit(on[0])
	visit(on[1])
	others := 0
	for w := 1; w < len(near); w++ {
		near[w] = seen[on[2*w]] || seen[on[2*w+1]]
		if !near[w] {
			others++
		}
	}
	if others == 0 { // all hang together: the first alone on its side
		for w := 1; w < len(near); w++ {
			near[w] = false
		}
	}
	return near
}
