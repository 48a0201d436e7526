package circuit

// groups joins nodes into groups (union and find, with path halving: R. E.
// Tarjan, "Efficiency of a good but not linear set union algorithm", J. ACM 22
// (1975) 215-225).
type groups []int

func newGroups(n int) groups {
	g := make(groups, n)
	g.reset()
	return g
}

func (g groups) reset() {
	for i := range g {
		g[i] = i
	}
}

func (g groups) root(u int) int {
	for g[u] != u {
		g[u] = g[g[u]]
		u = g[u]
	}
	return u
}

// join reports whether the two were apart.
func (g groups) join(a, b int) bool {
	ra, rb := g.root(a), g.root(b)
	if ra == rb {
		return false
	}
	g[max(ra, rb)] = min(ra, rb)
	return true
}

// A gap is a device of which some links may be open in its present mode.
type gap interface{ open(number int) bool }

// checkTopology finds nodes that nothing ties to ground and loops of parts
// that each fix a voltage.
func (s *Solver) checkTopology() error {
	g := newGroups(len(s.unknowns))
	for _, l := range s.links {
		g.join(l.a, l.b)
	}
	for u := 1; u < len(s.names); u++ {
		if root := g.root(u); root != 0 {
			e := &Floating{Ground: s.names[0]}
			for v := 1; v < len(s.names); v++ {
				if g.root(v) == root {
					e.Nodes = append(e.Nodes, s.names[v])
				}
			}
			return e
		}
	}
	return s.checkLoops(false)
}

// checkLoops looks for a loop of links that fix a voltage; at rest windings
// do so too.
func (s *Solver) checkLoops(atRest bool) error {
	g := newGroups(len(s.unknowns))
	var kept []link
	for _, l := range s.links {
		if l.kind != fixes && (!atRest || l.kind != winds) || s.isOpen(l) {
			continue
		}
		if !g.join(l.a, l.b) {
			return &ShortedLoop{Parts: s.loop(kept, l), AtRest: atRest}
		}
		kept = append(kept, l)
	}
	return nil
}

// A breaker is a switching part that gives way rather than short a loop: a
// diode that conducts is turned off by whatever else fixes its voltage.
type breaker interface{ breakLoop() bool }

// breakLoop opens a part in a loop of closed links, and reports whether it
// found one.
func (s *Solver) breakLoop() bool {
	g := newGroups(len(s.unknowns))
	var kept []link
	for _, l := range s.links {
		if l.kind != fixes || s.isOpen(l) {
			continue
		}
		if g.join(l.a, l.b) {
			kept = append(kept, l)
			continue
		}
		for _, name := range s.loop(kept, l) {
			if d, ok := s.devices[s.deviceOf[name]].(breaker); ok && d.breakLoop() {
				s.restamp()
				return true
			}
		}
	}
	return false
}

// breakAll opens every part that gives way: windings may fix a voltage too.
func (s *Solver) breakAll() bool {
	broke := false
	for _, d := range s.devices {
		if b, ok := d.(breaker); ok && b.breakLoop() {
			broke = true
		}
	}
	if broke {
		s.restamp()
	}
	return broke
}

// isOpen reports whether the link is open in the present mode of its part.
func (s *Solver) isOpen(l link) bool {
	d, ok := s.devices[l.device].(gap)
	return ok && d.open(l.number)
}

// loop names the parts on the path between the ends of the closing link.
func (s *Solver) loop(links []link, closing link) []string {
	from := map[int]link{}
	queue := []int{closing.a}
	seen := map[int]bool{closing.a: true}
	for len(queue) > 0 {
		u := queue[0]
		queue = queue[1:]
		for _, l := range links {
			for _, way := range [2][2]int{{l.a, l.b}, {l.b, l.a}} {
				if way[0] == u && !seen[way[1]] {
					seen[way[1]] = true
					from[way[1]] = link{a: u, device: l.device}
					queue = append(queue, way[1])
				}
			}
		}
	}
	parts := []string{s.nameOf(closing.device)}
	for u := closing.b; u != closing.a; u = from[u].a {
		parts = append(parts, s.nameOf(from[u].device))
	}
	return parts
}

// nameOf returns the name of the part of a device.
func (s *Solver) nameOf(device int) string { return s.partOf[device] }

// tie holds one node of each group to ground that, in the present modes,
// nothing else holds: at rest a capacitor does not.
func (s *Solver) tie(atRest bool) {
	if s.groups == nil {
		s.groups = newGroups(len(s.unknowns))
	}
	s.groups.reset()
	for _, l := range s.links {
		if atRest && l.kind == stores || s.isOpen(l) {
			continue
		}
		s.groups.join(l.a, l.b)
	}
	s.ties = s.ties[:0]
	for u := 1; u < len(s.names); u++ {
		if s.groups.root(u) == u {
			s.ties = append(s.ties, u)
		}
	}
	s.factored = nan
}
