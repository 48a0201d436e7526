package findings

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"halfsplit/diagnosis"
	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/sheet"
)

// The costs of tests in minutes, beyond what kinds and points say. Common
// practice, no source.
const (
	pinMinutes    = 1.5 // probing a signal that the sheet names no point for
	chillMinutes  = 3
	pressMinutes  = 2
	backMinutes   = 3   // piggybacking
	bridgeMinutes = 5   // discharging, clipping a capacitor across another, power on and off
	warmMinutes   = 3   // warming a part by hand and measuring it so
	checkMinutes  = 2.0 // a check whose time the sheet does not give
	liftHarm      = 2   // lifting a leg wears board and part: counted as minutes
	swapWaste     = 8   // a part thrown away for nothing: counted as minutes
	lostMinutes   = 60  // looking beyond the sheet
	setUp         = 1   // finding the place and thinking, for any test
)

// The suspicion from which an item is worth measuring, and worth chilling,
// pressing or replacing.
const (
	worthMeasuring = 0.005
	worthTrying    = 0.015
)

// candidate is a test with its cost and its words.
type candidate struct {
	test    flow.Test
	minutes float64
	what    string
	at      string
	where   string
	probing bool // without touching the unit's parts
	again   bool // once it tested bad
}

// swapCosts gives the cost of replacing each item, waste included.
func (w *work) swapCosts() []float64 {
	costs := make([]float64, len(w.model.Items))
	for i, item := range w.model.Items {
		costs[i] = item.Kind.Replace + swapWaste
		if item.Kind.Name == "joint" || item.Kind.Name == "track" {
			costs[i] = item.Kind.Replace // nothing is thrown away
		}
	}
	return costs
}

// now is the state of the unit in which the next test would be made.
func (w *work) now() flow.Scene {
	scene := w.last
	scene.Replaced = slices.Clone(w.replaced)
	if open := w.openSymptom(); open != nil && open.scene.Warm != flow.Unknown {
		scene.Warm = open.scene.Warm // test it while it fails
	}
	return scene
}

// when says in which state a test is to be made, where that is not the state in
// which the last reading was taken.
func (w *work) when(scene *flow.Scene) string {
	switch {
	case scene.Warm == w.last.Warm:
		return ""
	case scene.Warm == flow.Yes:
		return ", once it is warm and fails"
	case scene.Warm == flow.No:
		return ", while it is cold and fails"
	}
	return ""
}

// candidates lists every test that can be afforded and was not made yet.
func (w *work) candidates() []candidate {
	scene := w.now()
	var list []candidate
	for n, name := range w.model.Nets() {
		if at, solved := w.spot(place{net: n, ok: true}); solved {
			list = append(list, w.numberTests(n, name, at, scene)...)
			continue
		}
		if w.readSince(name, scene.Warm) {
			continue
		}
		c := candidate{test: flow.Test{Kind: flow.Probe, Net: n, Scene: scene, Level: !w.model.Digital(n)}, minutes: pinMinutes, what: "read " + name, at: name, probing: true}
		if !w.probe(&c, name) {
			continue
		}
		c.what += w.when(&scene)
		list = append(list, c)
	}
	suspicion := diagnosis.Suspicion(w.explanations, len(w.model.Items))
	for i, item := range w.model.Items {
		if suspicion[i] < worthMeasuring || contains(w.replaced, i) {
			continue
		}
		list = append(list, w.itemTests(i, item, scene, w.place(w.cures(i)), suspicion[i] >= worthTrying)...)
	}
	for i := range w.sheet.Checks {
		c := &w.sheet.Checks[i]
		if w.readSince(c.Name.Text, scene.Warm) {
			continue
		}
		minutes := checkMinutes
		if c.Time != nil {
			minutes = c.Time.Value / 60
		}
		what := "make the check " + c.Name.Text
		list = append(list, candidate{test: flow.Test{Kind: flow.Ask, Check: w.checks[c.Name.Text], Scene: scene}, minutes: minutes, what: what, at: c.Name.Text, where: c.Ask, probing: true})
	}
	return list
}

// probe fills in where a signal is probed and how long that takes. It reports
// false where it cannot or should not be.
func (w *work) probe(c *candidate, name string) bool {
	points := w.sheet.PointsOf(name)
	if len(points) == 0 {
		return !mains(name)
	}
	best := slices.MinFunc(points, func(a, b *sheet.Point) int { return cmp.Compare(pointMinutes(a), pointMinutes(b)) })
	if c.minutes = pointMinutes(best); math.IsInf(c.minutes, 1) {
		return false
	}
	c.at, c.where = best.Name.Text, best.Where
	c.what = "read " + best.Name.Text
	if best.Name.Text != name {
		c.what += " (" + name + ")"
	}
	if best.Twin.Text != "" {
		c.what += ", and compare with " + best.Twin.Text
	}
	return true
}

// mains reports whether a signal is by its name at mains potential. Such a place
// is never proposed for probing unless the sheet names a test point there.
func mains(name string) bool {
	name = strings.ToLower(name)
	return strings.Contains(name, "mains") || strings.Contains(name, "primary")
}

// contact reports whether an item is tested with a beeper, without lifting it.
func contact(kind fault.Kind) bool {
	switch kind.Name {
	case "joint", "track", "connector", "cable", "socket", "switch", "fuse", "lamp":
		return true
	}
	return false
}

// itemTests lists the tests of one item.
func (w *work) itemTests(i int, item flow.Item, scene flow.Scene, watched place, try bool) []candidate {
	rehearsed := watched.name == complained
	var list []candidate
	where := w.whereIs(item.Name)
	alone := func(what string, minutes float64, warm bool) {
		list = append(list, candidate{test: flow.Test{Kind: flow.Measure, Item: i, Scene: scene, Results: partTest(i, item.Kind, warm)}, minutes: minutes, what: what, at: item.Name, where: where})
	}
	verb, minutes := "lift and measure ", item.Kind.Measure+liftHarm
	switch {
	case item.Rest:
		verb = "go over, part by part, the "
	case item.Kind.Follow == fault.Decides:
		verb = "take out and test "
	case contact(item.Kind):
		verb, minutes = "with power off, beep out and inspect ", item.Kind.Measure
	}
	first := !w.testedAlone(i, false)
	if first {
		alone(verb+item.Name, minutes, false)
	}
	if item.Kind.Follow != fault.Passes && !item.Rest && (rehearsed || w.provedBad(i) > 0 && !w.compared(i)) {
		list = append(list, candidate{test: flow.Test{Kind: flow.Measure, Item: i, Scene: scene, Results: []flow.PartReading{oncemore(i, item.Kind, false), oncemore(i, item.Kind, true)}}, minutes: item.Kind.Measure / 2, what: "test it again beside a good one: " + item.Name, at: item.Name, where: where, again: true})
	}
	if hasMode(item.Kind, fault.WhenWarm) && (rehearsed || !first && !w.testedAlone(i, true)) {
		alone("warm and then "+verb+item.Name, minutes+warmMinutes, true)
	}
	if !watched.ok || !try {
		return list
	}
	at := " and watch " + watched.name
	condition := func(what string, minutes float64, change func(*flow.Scene), lists func(*flow.Scene) []int) {
		if w.conditionTried(i, lists) {
			return
		}
		s := scene
		change(&s)
		list = append(list, candidate{test: flow.Test{Kind: flow.Condition, Item: i, Net: watched.net, Scene: s}, minutes: minutes, what: what + item.Name + at + w.when(&s), at: item.Name, where: where})
	}
	if hasMode(item.Kind, fault.WhenWarm) && scene.Warm != flow.No {
		condition("chill ", chillMinutes, func(s *flow.Scene) { s.Chilled = []int{i} }, func(s *flow.Scene) []int { return s.Chilled })
	}
	if w.conditionTried(i, func(s *flow.Scene) []int { return s.Chilled }) {
		condition("warm ", chillMinutes, func(s *flow.Scene) { s.Heated = []int{i} }, func(s *flow.Scene) []int { return s.Heated })
	}
	if hasMode(item.Kind, fault.WhenMoved) {
		condition("press and wiggle ", pressMinutes, func(s *flow.Scene) { s.Pressed = []int{i} }, func(s *flow.Scene) []int { return s.Pressed })
	}
	if item.Kind.Follow == fault.Decides && !item.Rest && item.Kind.Name != "board" && item.Kind.Name != "logic" {
		condition("piggyback a good one on ", backMinutes, func(s *flow.Scene) { s.Piggybacked = []int{i} }, func(s *flow.Scene) []int { return s.Piggybacked })
	}
	if item.Kind.Capacitor() && !item.Rest && !w.live(w.reach(i)) {
		condition("with power off, clip a good one across ", bridgeMinutes, func(s *flow.Scene) { s.Piggybacked = []int{i} }, func(s *flow.Scene) []int { return s.Piggybacked })
	}
	if !item.Rest {
		s := scene
		s.Replaced = append(slices.Clone(scene.Replaced), i)
		verb := "replace "
		if item.Kind.Name == "joint" {
			verb = "resolder "
		}
		list = append(list, candidate{test: flow.Test{Kind: flow.Replace, Item: i, Net: watched.net, Scene: s}, minutes: w.swapCosts()[i], what: verb + item.Name + at, at: item.Name, where: where})
	}
	return list
}

func hasMode(kind fault.Kind, when fault.When) bool {
	return slices.ContainsFunc(kind.Modes, func(m fault.Mode) bool { return m.When == when })
}

// conditionTried reports whether the item was already chilled, pressed or
// piggybacked since the last replacement.
func (w *work) conditionTried(item int, lists func(*flow.Scene) []int) bool {
	return slices.ContainsFunc(w.observations, func(o observation) bool {
		return o.epoch == w.epoch && contains(lists(&o.scene), item)
	})
}

// readSince reports whether a net or check was read since the last replacement,
// as warm as that and with nothing being done.
func (w *work) readSince(name string, warm flow.Answer) bool {
	return slices.ContainsFunc(w.observations, func(o observation) bool {
		return o.epoch == w.epoch && !o.special() && sameWarmth(o.scene.Warm, warm) && (o.place.signal == name || o.place.name == name)
	})
}

func (w *work) whereIs(name string) string {
	if p := w.sheet.Part(name); p != nil {
		return p.Where
	}
	if b := w.sheet.Block(name); b != nil {
		return b.Where
	}
	return ""
}

// pointMinutes is the time a reading at a point takes; +Inf when it cannot be
// reached.
func pointMinutes(p *sheet.Point) float64 {
	if p.Time != nil {
		return math.Max(p.Time.Value/60, 0.1)
	}
	if m := p.Reach.Minutes(); m > 0 {
		return m
	}
	return math.Inf(1)
}
