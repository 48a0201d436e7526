package flow_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/signal"

	"pgregory.net/rapid"
)

// piece is one piece of evidence.
type piece struct {
	scene   flow.Scene
	reading *flow.Reading
	check   *flow.CheckReading
	part    *flow.PartReading
}

// enter adds pieces to evidence.
func enter(e *flow.Evidence, pieces ...piece) {
	for _, p := range pieces {
		switch {
		case p.reading != nil:
			e.Read(p.scene, *p.reading)
		case p.check != nil:
			e.Checked(p.scene, *p.check)
		default:
			e.Tested(*p.part)
		}
	}
}

// drawEvidence draws readings, checks and tests of parts in a few scenes.
func drawEvidence(t *rapid.T, m *flow.Model, blocks, most int) []piece {
	scenes := []flow.Scene{{}, {Warm: flow.No}, {Warm: flow.Yes}}
	for range 3 {
		scenes = append(scenes, drawScene(t, m, blocks))
	}
	var pieces []piece
	for range rapid.IntRange(1, most).Draw(t, "pieces") {
		p := piece{scene: rapid.SampledFrom(scenes).Draw(t, "scene")}
		net := rapid.IntRange(0, len(m.Nets())-1).Draw(t, "net")
		switch rapid.IntRange(0, 11).Draw(t, "piece") {
		case 0:
			p.reading = &flow.Reading{Net: net, Fitful: true}
		case 1, 2:
			p.check = &flow.CheckReading{Check: drawCheck(t, m), Answer: rapid.IntRange(0, 2).Draw(t, "answer")}
		case 3:
			item := rapid.IntRange(0, len(m.Items)-1).Draw(t, "tested")
			p.part = &flow.PartReading{Item: item, Healthy: rapid.Float64Range(0.02, 1).Draw(t, "healthy")}
			for range m.Items[item].Kind.Modes {
				p.part.Modes = append(p.part.Modes, rapid.Float64Range(0.02, 1).Draw(t, "mode"))
			}
		case 4, 5: // a number: a density in any unit
			e := signal.Expectation{Nominal: 5, Low: 4.75, High: 5.25}
			l := signal.FromNumber(rapid.Float64Range(-1, 9).Draw(t, "volts"), 0.02, e)
			unit := math.Pow(10, float64(rapid.IntRange(-6, 6).Draw(t, "unit")))
			for s := range l {
				l[s] *= unit
			}
			p.reading = &flow.Reading{Net: net, Likelihood: l}
		default:
			l, _ := signal.FromWord(rapid.SampledFrom(signal.Headwords()).Draw(t, "word"), signal.Slip)
			p.reading = &flow.Reading{Net: net, Likelihood: l}
		}
		pieces = append(pieces, p)
	}
	return pieces
}

// drawCheck draws a table of causes and effects with three answers.
func drawCheck(t *rapid.T, m *flow.Model) *flow.Check {
	chances := func() []float64 {
		a, b := rapid.Float64Range(0, 1).Draw(t, "chance"), rapid.Float64Range(0, 1).Draw(t, "chance")
		return []float64{a * b, a * (1 - b), 1 - a}
	}
	check := &flow.Check{Otherwise: chances()}
	for range rapid.IntRange(1, 3).Draw(t, "rows") {
		cause := flow.Cause{Item: -1, Net: rapid.IntRange(0, len(m.Nets())-1).Draw(t, "net"), NotGood: rapid.Bool().Draw(t, "not good")}
		if !cause.NotGood {
			cause.State = signal.State(rapid.IntRange(0, signal.States-1).Draw(t, "state"))
		}
		if rapid.Bool().Draw(t, "an item") {
			cause = flow.Cause{Item: rapid.IntRange(0, len(m.Items)-1).Draw(t, "item")}
			if rapid.Bool().Draw(t, "in one mode") {
				cause.Mode = rapid.SampledFrom(m.Items[cause.Item].Kind.Modes).Draw(t, "mode").Name
			}
		}
		check.Rows = append(check.Rows, flow.Row{Cause: cause, Chance: chances()})
	}
	return check
}

// active is the chance that a fault shows itself in a scene.
func (r reference) active(f int, s flow.Scene) float64 {
	c := r.m.Candidates[f]
	warm, known := s.Warm == flow.Yes, s.Warm != flow.Unknown
	if slices.Contains(s.Heated, c.Item) {
		warm, known = true, true
	}
	if slices.Contains(s.Chilled, c.Item) {
		warm, known = false, true
	}
	switch {
	case c.Mode.When == fault.Always:
		return 1
	case c.Mode.When == fault.WhenMoved && slices.Contains(s.Pressed, c.Item):
		return flow.WhenDisturbed
	case c.Mode.When == fault.WhenMoved || !known:
		return flow.AsFound
	case warm == (c.Mode.When == fault.WhenWarm):
		return flow.Shows
	}
	return flow.Hides
}

// subsets calls do with every subset of the faults and its chance, when each is
// in it with its own.
func subsets(faults []int, chance func(f int) float64, do func(weight float64, showing []int)) {
	for bits := range 1 << len(faults) {
		weight := 1.0
		var showing []int
		for i, f := range faults {
			if p := chance(f); bits>>i&1 == 1 {
				weight *= p
				showing = append(showing, f)
			} else {
				weight *= 1 - p
			}
		}
		if weight > 0 {
			do(weight, showing)
		}
	}
}

// read is what is known of a net once it was read.
type read struct {
	net              string
	foretold, reread signal.Spread
}

// readings is the chance of what was read on nets and by checks in one scene
// when these faults show, given what is known of nets, to which it adds. A net
// that was read and of which the same is foretold is in the same state still,
// and a reading that bears out the first counts less; outputs of the same block
// of which the same is foretold go together in part of the cases.
func (r reference) readings(pieces []piece, scene flow.Scene, showing []int, known []read) (float64, []read) {
	nets := r.foretell(showing, scene)
	known = slices.Clone(known)
	chance := 1.0
	for _, p := range pieces {
		if p.check != nil {
			chance *= r.answers(p.check.Check, nets, showing)[p.check.Answer]
		}
		if p.reading == nil || p.reading.Fitful {
			continue
		}
		name := r.m.Nets()[p.reading.Net]
		l := p.reading.Likelihood
		now := nets[name]
		before := slices.IndexFunc(known, func(k read) bool { return k.net == name && alike(k.foretold, now) })
		if before >= 0 {
			now = known[before].reread
			if l.Of(&now) >= l.Best()/2 {
				l = l.Again()
			}
		} else {
			before = len(known)
			if sister := slices.IndexFunc(known, func(k read) bool { return k.net != name && r.sisters(k.net, name) && alike(k.foretold, now) }); sister >= 0 && now[signal.Good] < 1 {
				now = known[sister].reread.Mix(flow.Together, now)
			}
			known = append(known, read{net: name, foretold: nets[name]})
		}
		p := l.Of(&now)
		chance *= p
		for s := range now {
			now[s] *= l[s] / p
		}
		known[before].reread = now
	}
	return chance, known
}

func alike(a, b signal.Spread) bool {
	for s := range a {
		if math.Abs(a[s]-b[s]) > 1e-6 {
			return false
		}
	}
	return true
}

// sisters tells whether two nets are outputs of one block and of no other.
func (r reference) sisters(a, b string) bool {
	var drivers [2][]string
	for _, block := range r.blocks() {
		for i, n := range []string{a, b} {
			if slices.Contains(block.Outputs, n) {
				drivers[i] = append(drivers[i], block.Name)
			}
		}
	}
	return len(drivers[0]) == 1 && len(drivers[1]) == 1 && drivers[0][0] == drivers[1][0]
}

// answers: each cause that holds has its say in proportion, what is left goes to
// the answer when none does, and any answer may be a slip.
func (r reference) answers(c *flow.Check, nets map[string]signal.Spread, showing []int) []float64 {
	none, all := 1.0, 0.0
	sum := make([]float64, len(c.Otherwise))
	for _, row := range c.Rows {
		holds := 0.0
		switch net := row.Cause; {
		case row.Cause.Item >= 0:
			for _, f := range showing {
				k := r.m.Candidates[f]
				if k.Item == row.Cause.Item && (row.Cause.Mode == "" || row.Cause.Mode == k.Mode.Name) {
					holds = 1
				}
			}
		case net.NotGood:
			holds = 1 - nets[r.m.Nets()[net.Net]][signal.Good]
		default:
			holds = nets[r.m.Nets()[net.Net]][net.State]
		}
		none *= 1 - holds
		all += holds
		for a := range sum {
			sum[a] += holds * row.Chance[a]
		}
	}
	for a := range sum {
		if all > 0 {
			sum[a] *= (1 - none) / all
		}
		sum[a] = (1-signal.Slip)*(sum[a]+none*c.Otherwise[a]) + signal.Slip/float64(len(sum))
	}
	return sum
}

// logLikelihood sums over all ways in which the faults may show, scene by scene.
// Scenes of the same warmth and moment differ in what was done to parts: what
// shows in the first of them mostly still does in the others, but for the parts
// that are chilled, heated or pressed there.
func (r reference) logLikelihood(pieces []piece, faults []int) float64 {
	sum := 0.0
	type group struct {
		warm   flow.Answer
		moment int
	}
	var groups []group
	scenes := map[group][]flow.Scene{}
	of := map[string][]piece{}
	for _, p := range pieces {
		if p.part != nil {
			chance := p.part.Healthy
			for _, f := range faults {
				c := r.m.Candidates[f]
				if c.Item == p.part.Item {
					chance = p.part.Modes[slices.IndexFunc(r.m.Items[c.Item].Kind.Modes, func(m fault.Mode) bool { return m.Name == c.Mode.Name })]
				}
			}
			sum += math.Log(chance)
			continue
		}
		g, key := group{p.scene.Warm, p.scene.Moment}, fmt.Sprintf("%+v", p.scene)
		if scenes[g] == nil {
			groups = append(groups, g)
		}
		if of[key] == nil {
			scenes[g] = append(scenes[g], p.scene)
		}
		of[key] = append(of[key], p)
		if p.reading != nil && p.reading.Fitful {
			net := r.m.Nets()[p.reading.Net]
			var steady []int
			for _, f := range faults {
				if r.active(f, p.scene) == 1 {
					steady = append(steady, f)
				}
			}
			comes, goes := r.foretell(faults, p.scene)[net], r.foretell(steady, p.scene)[net]
			sum += math.Log(signal.Slip + (1-signal.Slip)*comes.Bad()*goes[signal.Good])
		}
	}
	for _, g := range groups {
		first := scenes[g][0]
		first.Chilled, first.Heated, first.Pressed, first.Piggybacked = nil, nil, nil, nil
		total := 0.0
		subsets(faults, func(f int) float64 { return r.active(f, first) }, func(weight float64, before []int) {
			var known []read
			chance := 1.0
			key := fmt.Sprintf("%+v", first)
			if of[key] != nil {
				chance, known = r.readings(of[key], first, before, nil)
			}
			for _, scene := range scenes[g] {
				if fmt.Sprintf("%+v", scene) == key {
					continue
				}
				in := 0.0
				subsets(faults, func(f int) float64 {
					item := r.m.Candidates[f].Item
					switch {
					case r.m.Candidates[f].Mode.When == fault.Always:
						return 1
					case slices.Contains(scene.Chilled, item) || slices.Contains(scene.Heated, item) || slices.Contains(scene.Pressed, item):
						return r.active(f, scene)
					case slices.Contains(before, f):
						return flow.Stays
					}
					return 1 - flow.Stays
				}, func(weight float64, showing []int) {
					chance, _ := r.readings(of[fmt.Sprintf("%+v", scene)], scene, showing, known)
					in += weight * chance
				})
				chance *= in
			}
			total += weight * chance
		})
		sum += math.Log(total)
	}
	return sum
}

// TestLogLikelihoodIsTheSumOverPatterns: the model weighs evidence as going
// naively through every way in which the faults may show does.
func TestLogLikelihoodIsTheSumOverPatterns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawNetwork(t, 5, false)
		m, err := flow.Compile(d)
		if err != nil {
			t.Fatal(err)
		}
		r := reference{d, m}
		pieces := drawEvidence(t, m, len(r.blocks()), 7)
		e := m.NewEvidence()
		enter(e, pieces...)
		complained := rapid.Bool().Draw(t, "complained")
		if complained {
			e.Complained()
		}
		for range 3 {
			faults := drawSet(t, m, 3)
			got, want := e.LogLikelihood(faults), r.logLikelihood(pieces, faults)
			if complained && len(faults) == 0 {
				want += math.Log(flow.Complaint)
			}
			if math.Abs(got-want) > 1e-8 {
				t.Fatalf("%v: ln likelihood %v, want %v", names(m, faults), got, want)
			}
		}
	})
}
