package flow

import (
	"math"
	"slices"
)

// Apart implements diagnosis.Apart: the faults of a block that shows on outputs of
// its own, of which nothing else makes or takes anything and which no table of
// causes speaks of, and that drag neither their inputs nor their supply.
func (e *Evidence) Apart() (faults []bool, lost float64) {
	m := e.model
	alone := make([]bool, len(m.blocks))
	for b := range m.blocks {
		alone[b] = !m.blocks[b].section && !slices.ContainsFunc(m.blocks[b].outputs, func(n int) bool {
			return len(m.readers[n]) > 0 || len(m.drivers[n]) > 1 || m.sectionOf[n] >= 0
		})
	}
	for _, c := range m.Candidates {
		if c.block < 0 { // it lies across a net
			for _, d := range m.drivers[c.net] {
				alone[d.block] = false
			}
		}
	}
	spoken := map[int]bool{} // items and, as −1 − net, nets
	for i := range e.scenes {
		for _, r := range e.scenes[i].checks {
			for _, row := range r.Check.Rows {
				if row.Cause.Item >= 0 {
					spoken[row.Cause.Item] = true
				} else {
					spoken[-1-row.Cause.Net] = true
				}
			}
		}
	}
	apart := make([]bool, len(m.Candidates))
	for f, c := range m.Candidates {
		whole := m.whole[c.Item]
		apart[f] = whole >= 0 && alone[whole] && !m.reaches(&c) && c.act == nil && !spoken[c.Item] &&
			!slices.ContainsFunc(m.blocks[whole].outputs, func(n int) bool { return spoken[-1-n] })
	}
	if e.wrong {
		lost = math.Log(complaint)
	}
	return apart, lost
}

// reaches reports whether a candidate drags a net that its block hangs on.
func (m *Model) reaches(c *Candidate) bool {
	b := &m.blocks[c.block]
	return c.drags && len(b.inputs) > 0 || c.pulls && len(b.supplies) > 0
}

// Disturbed implements diagnosis.Apart.
func (e *Evidence) Disturbed(faults []int, items []int) []bool {
	e.helped()
	now := e.Each(faults)
	disturbed := make([]bool, len(items))
	for i, item := range items {
		b := e.model.whole[item]
		for n, at := range e.order {
			if at.kind != 'r' || math.Abs(now[n]-e.sound[n]) < 1e-9 {
				continue
			}
			net := e.scenes[at.scene].readings[at.index].Net
			disturbed[i] = disturbed[i] || slices.Contains(e.model.blocks[b].outputs, net)
		}
	}
	return disturbed
}
