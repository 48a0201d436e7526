package findings

import (
	"maps"
	"slices"

	"halfsplit/diagnosis"
	"halfsplit/flow"
	"halfsplit/signal"
)

// How many times likelier an item is bad when a fault is there that is apt to
// take it along. Common practice, no source; that about four in ten units have
// more than one bad item is counted over forty published repairs.
const (
	overvoltage = 8  // it lives on a rail that went too high
	missingRail = 6  // a dynamic memory chip one of whose several rails is missing
	beforeShort = 15 // the fuse before a short
	strained    = 4  // what else a short's current flows through
)

// mostTaken is the chance above which nothing is taken along: most of what sees an
// overvoltage survives it. Common practice, no source.
const mostTaken = 0.25

// surely is the chance from which on a fault is taken to do something to a rail.
const surely = 0.5

// casualties lists what faults are apt to take along: an overvoltage what lives
// on the rail, a missing rail the memory chips that need several, a short what
// its current flows through.
func (w *work) casualties() []diagnosis.Casualty {
	var list []diagnosis.Casualty
	state := w.model.NewState()
	lives := w.livesOn()
	bad := make([]float64, len(w.model.Items))
	for _, c := range w.model.Candidates {
		bad[c.Item] += c.Prior
	}
	for f, c := range w.model.Candidates {
		add := func(item int, times float64) {
			b := bad[item]
			times = min(times, mostTaken/(1-mostTaken)*(1-b)/b) // odds of what is most likely
			if item != c.Item && times > 1 {
				list = append(list, diagnosis.Casualty{Cause: f, Item: item, Times: times})
			}
		}
		state.Foretell([]int{f}, &flow.Scene{})
		for _, net := range slices.Sorted(maps.Keys(lives)) {
			items := lives[net]
			switch spread := &state.Nets[net]; {
			case spread[signal.High] >= surely:
				for _, item := range items {
					add(item, overvoltage)
				}
			case spread[signal.Absent]+spread[signal.Low] >= surely:
				for _, item := range items {
					if _, supplies, _ := w.model.Around(item); len(supplies) > 1 && w.model.Items[item].Kind.Name == "dynamic ram" {
						add(item, missingRail)
					}
				}
			}
		}
		if rail := w.sheet.Rail(w.model.Items[c.Item].Net); rail != nil && c.Mode.Reads == "short" {
			for _, name := range rail.Through {
				for _, item := range w.itemsNamed(name.Text) {
					if w.model.Items[item].Kind.Name == "fuse" {
						add(item, beforeShort)
					} else {
						add(item, strained)
					}
				}
			}
		}
	}
	return list
}

// livesOn lists the items that live on each rail: those that it supplies and
// those that lie across it, but not what makes it.
func (w *work) livesOn() map[int][]int {
	lives := map[int][]int{}
	for i, item := range w.model.Items {
		_, supplies, _ := w.model.Around(i)
		if item.Net != "" {
			supplies = []string{item.Net}
		}
		for _, name := range supplies {
			if net, ok := w.model.Net(name); ok && w.sheet.Rail(name) != nil {
				lives[net] = append(lives[net], i)
			}
		}
	}
	return lives
}
