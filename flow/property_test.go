package flow_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"halfsplit/diagnosis"
	"halfsplit/flow"
	"halfsplit/signal"

	"pgregory.net/rapid"
)

// drawn is a random unit with evidence.
type drawn struct {
	d      flow.Description
	m      *flow.Model
	pieces []piece
	e      *flow.Evidence
}

func drawUnit(t *rapid.T, mostBlocks, mostPieces int) drawn {
	var u drawn
	u.d = drawNetwork(t, mostBlocks, rapid.IntRange(0, 3).Draw(t, "loops") == 0)
	m, err := flow.Compile(u.d)
	if err != nil {
		t.Fatal(err)
	}
	u.m = m
	u.pieces = drawEvidence(t, m, len(u.d.Sources)+len(u.d.Blocks), mostPieces)
	u.e = m.NewEvidence()
	enter(u.e, u.pieces...)
	return u
}

// everySet calls do with every set of faults with at most so many items bad.
func everySet(m *flow.Model, most int, do func(set []int)) {
	var grow func(set []int, from int)
	grow = func(set []int, from int) {
		do(set)
		if len(set) == most {
			return
		}
		for f := from; f < len(m.Candidates); f++ {
			if slices.ContainsFunc(set, func(g int) bool { return m.Candidates[g].Item == m.Candidates[f].Item }) {
				continue
			}
			grow(append(slices.Clone(set), f), f+1)
		}
	}
	grow(nil, 0)
}

// TestCeiling: no set explains the evidence better than the ceiling says, and
// nothing is impossible.
func TestCeiling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := drawUnit(t, 5, 8)
		ceiling := u.e.Ceiling()
		check := func(what string, l float64) {
			if l > ceiling+1e-9 {
				t.Fatalf("%s: ln likelihood %v, above the ceiling %v", what, l, ceiling)
			}
			if math.IsNaN(l) || math.IsInf(l, 0) {
				t.Fatalf("%s: ln likelihood %v", what, l)
			}
		}
		if l := u.e.Undescribed(); math.IsNaN(l) || math.IsInf(l, 0) {
			t.Fatalf("not described: ln likelihood %v", l)
		}
		everySet(u.m, 1, func(set []int) { check(fmt.Sprint(names(u.m, set)), u.e.LogLikelihood(set)) })
		for range 5 {
			set := drawSet(t, u.m, 4)
			check(fmt.Sprint(names(u.m, set)), u.e.LogLikelihood(set))
		}
	})
}

// TestPriors: one bad item is expected, none is nearly sure to be bad, and the
// odds of items hold wherever the bound leaves them.
func TestPriors(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, err := flow.Compile(drawNetwork(t, 6, false))
		if err != nil {
			t.Fatal(err)
		}
		total := 0.0
		bad := make([]float64, len(m.Items))
		for _, c := range m.Candidates {
			if !(c.Prior > 0) {
				t.Fatalf("%s %s has prior %v", m.Items[c.Item].Name, c.Name, c.Prior)
			}
			total += c.Prior
			bad[c.Item] += c.Prior
		}
		most := slices.Max(bad)
		if total > 1+1e-9 || (most < 0.59 && total < 1-1e-9) || most > 0.6+1e-9 {
			t.Fatalf("%v bad items expected, the worst with %v", total, most)
		}
	})
	u := onBench(t, flow.Description{
		Sources: []flow.Source{source("supply", "+5")},
		Blocks: []flow.Block{
			block("U1", "chip", "", "a", "+5"), block("U2", "chip", "", "b", "+5"), block("U3", "chip", "", "c", "+5"),
		},
	})
	d := flow.Description{Sources: []flow.Source{source("supply", "+5")}, Blocks: []flow.Block{
		block("U1", "chip", "", "a", "+5"), block("U2", "chip", "", "b", "+5"), block("U3", "chip", "", "c", "+5"),
	}}
	d.Blocks[1].Odds = 3
	hot := onBench(t, d)
	prior := func(u *unit, name string) float64 {
		sum := 0.0
		for _, c := range u.m.Candidates {
			if c.Item == u.item(name) {
				sum += c.Prior
			}
		}
		return sum
	}
	if a, b := prior(u, "U1"), prior(u, "U2"); math.Abs(a-b) > 1e-12 {
		t.Errorf("two chips alike have priors %v and %v", a, b)
	}
	if ratio := prior(hot, "U2") / prior(hot, "U1"); math.Abs(ratio-3) > 1e-9 {
		t.Errorf("three times likelier than usual comes to %v times", ratio)
	}
}

// TestEach: a piece of evidence taken by itself counts as if it were all there
// is.
func TestEach(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := drawUnit(t, 5, 6)
		if u.e.Pieces() != len(u.pieces) {
			t.Fatalf("%d pieces, %d were entered", u.e.Pieces(), len(u.pieces))
		}
		for range 3 {
			set := drawSet(t, u.m, 3)
			for n, got := range u.e.Each(set) {
				p := u.pieces[n]
				if s := p.scene; len(s.Replaced)+len(s.Lifted)+len(s.Without)+len(s.Chilled)+len(s.Heated)+len(s.Pressed)+len(s.Piggybacked)+len(s.Injected) > 0 {
					continue // counts as a change of the scene before it
				}
				if slices.ContainsFunc(u.pieces[:n], func(q piece) bool {
					return q.part == nil && q.scene.Warm == p.scene.Warm && fmt.Sprintf("%+v", q.scene) != fmt.Sprintf("%+v", p.scene)
				}) {
					continue // a scene that something was done in came first
				}
				alone := u.m.NewEvidence()
				enter(alone, p)
				if want := alone.LogLikelihood(set); math.Abs(got-want) > 1e-9 {
					t.Fatalf("piece %d under %v: %v, alone %v", n, names(u.m, set), got, want)
				}
			}
		}
	})
}

// TestChancesAreConditional: what is foretold of a test is how its answers would
// change the likelihood, given all that was read.
func TestChancesAreConditional(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := drawUnit(t, 5, 6)
		scene := drawScene(t, u.m, len(u.d.Sources)+len(u.d.Blocks))
		if rapid.Bool().Draw(t, "in a scene that was") {
			scene = rapid.SampledFrom(u.pieces).Draw(t, "scene").scene
		}
		// A net that was read before keeps its state, which a test on it does not
		// count: take one that was not, nor a sister of it.
		r := reference{u.d, u.m}
		var free []int
		for n, name := range u.m.Nets() {
			if !slices.ContainsFunc(u.pieces, func(p piece) bool {
				return p.reading != nil && (p.reading.Net == n || r.sisters(u.m.Nets()[p.reading.Net], name))
			}) {
				free = append(free, n)
			}
		}
		net := 0
		if len(free) > 0 {
			net = rapid.SampledFrom(free).Draw(t, "net")
		}
		check := drawCheck(t, u.m)
		item := rapid.IntRange(0, len(u.m.Items)-1).Draw(t, "item")
		if slices.ContainsFunc(u.pieces, func(p piece) bool { return p.part != nil && p.part.Item == item }) {
			item = -1
		}
		var tests []flow.Test
		var answers [][]piece
		add := func(test flow.Test, pieces []piece) {
			tests, answers = append(tests, test), append(answers, pieces)
		}
		read := func(l signal.Likelihood) piece {
			return piece{scene: scene, reading: &flow.Reading{Net: net, Likelihood: l}}
		}
		if len(free) > 0 {
			var words, levels []piece
			sums := make([]signal.Likelihood, len(flow.Levels()))
			for word, l := range signal.Answers() {
				words = append(words, read(l))
				for s := range l {
					sums[flow.LevelOf[word]][s] += l[s]
				}
			}
			for _, l := range sums {
				levels = append(levels, read(l))
			}
			var right, wrong signal.Likelihood
			for s := range right {
				right[s], wrong[s] = signal.Slip/2, 1-signal.Slip/2
			}
			right[signal.Good], wrong[signal.Good] = wrong[signal.Good], right[signal.Good]
			add(flow.Test{Kind: flow.Probe, Net: net, Scene: scene}, words)
			add(flow.Test{Kind: flow.Probe, Net: net, Scene: scene, Level: true}, levels)
			add(flow.Test{Kind: flow.Condition, Net: net, Scene: scene}, []piece{read(right), read(wrong)})
			add(flow.Test{Kind: flow.Replace, Net: net, Scene: scene}, []piece{read(right), read(wrong)})
		}
		var asked []piece
		for a := range check.Otherwise {
			asked = append(asked, piece{scene: scene, check: &flow.CheckReading{Check: check, Answer: a}})
		}
		add(flow.Test{Kind: flow.Ask, Check: check, Scene: scene}, asked)
		if item >= 0 {
			bad := flow.PartReading{Item: item, Healthy: flow.FalseAlarm, Modes: shows(u.m.Items[item].Kind)}
			good := flow.PartReading{Item: item, Healthy: 1 - bad.Healthy}
			for _, p := range bad.Modes {
				good.Modes = append(good.Modes, 1-p)
			}
			add(flow.Test{Kind: flow.Measure, Item: item}, []piece{{part: &bad}, {part: &good}})
		}
		foreteller := u.e.Foreteller(tests)
		for range 2 {
			set := drawSet(t, u.m, 3)
			before := u.e.LogLikelihood(set)
			for i, chances := range foreteller.Chances(set) {
				if len(chances) != tests[i].Answers() || len(chances) != len(answers[i]) {
					t.Fatalf("test %d has %d answers", tests[i].Kind, len(chances))
				}
				sum := 0.0
				for a, got := range chances {
					sum += got
					after := u.m.NewEvidence()
					enter(after, append(slices.Clone(u.pieces), answers[i][a])...)
					if want := math.Exp(after.LogLikelihood(set) - before); math.Abs(got-want) > 1e-7 {
						t.Fatalf("%v: test of kind %d, answer %d has chance %v, want %v", names(u.m, set), tests[i].Kind, a, got, want)
					}
				}
				if math.Abs(sum-1) > 1e-6 {
					t.Fatalf("the answers of a test of kind %d add up to %v", tests[i].Kind, sum)
				}
				undescribed := 0.0
				for _, p := range foreteller.Undescribed(&tests[i]) {
					undescribed += p
				}
				if math.Abs(undescribed-1) > 1e-9 {
					t.Fatalf("the answers under something not described add up to %v", undescribed)
				}
			}
		}
	})
}

// TestSearchIsEnumeration: through diagnosis.Search, the posterior of a small
// unit is that of going through every set with the slow reference.
func TestSearchIsEnumeration(t *testing.T) {
	for _, c := range []struct {
		name     string
		d        flow.Description
		readings []string
		scene    func(u *unit) flow.Scene
		then     []string
	}{
		{"a cable and an amplifier", flow.Description{
			Sources: []flow.Source{source("oscillator", "clock")},
			Blocks:  []flow.Block{block("cable", "cable", "clock", "x", ""), block("U1", "op-amp", "x", "y", "")},
		}, []string{"y: absent", "x: good"}, func(u *unit) flow.Scene { return flow.Scene{Warm: flow.Yes} }, []string{"y: bad", "clock: good"}},
		{"fuse, rectifier, reservoir", flow.Description{
			Sources: []flow.Source{source("transformer", "secondary")},
			Blocks:  []flow.Block{block("D1", "rectifier", "secondary", "raw", "")},
			Shunts:  []flow.Shunt{across("C1", "electrolytic", "raw")},
		}, []string{"raw: hum", "secondary: good"}, func(u *unit) flow.Scene { return flow.Scene{Lifted: []int{u.item("C1")}} }, []string{"raw: hum"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			u := onBench(t, c.d)
			var pieces []piece
			read := func(scene flow.Scene, readings []string) {
				u.reads(scene, readings...)
				for _, r := range readings {
					net, word, _ := strings.Cut(r, ": ")
					pieces = append(pieces, piece{scene: scene, reading: &flow.Reading{Net: u.net(net), Likelihood: likelihood(t, word)}})
				}
			}
			read(flow.Scene{}, c.readings)
			read(c.scene(u), c.then)
			p := u.problem()
			r := reference{c.d, u.m}
			bad := make([]float64, len(u.m.Items))
			for _, f := range p.Faults {
				bad[f.Item] += f.Prior
			}
			want := map[string]float64{}
			total := p.Undescribed * math.Exp(u.e.Undescribed())
			everySet(u.m, len(u.m.Items), func(set []int) {
				joint := (1 - p.Undescribed) * math.Exp(r.logLikelihood(pieces, set))
				if len(set) == 0 {
					joint *= flow.Complaint
				}
				for item, b := range bad {
					at := slices.IndexFunc(set, func(f int) bool { return u.m.Candidates[f].Item == item })
					if at < 0 {
						joint *= 1 - b
					} else {
						joint *= u.m.Candidates[set[at]].Prior
					}
				}
				want[fmt.Sprint(set)] = joint
				total += joint
			})
			posterior, err := diagnosis.Search(context.Background(), p, diagnosis.Limits{Sets: 1 << 20})
			if err != nil {
				t.Fatal(err)
			}
			if !posterior.Exact || len(posterior.Sets) != len(want) {
				t.Fatalf("exact %v with %d sets, want %d", posterior.Exact, len(posterior.Sets), len(want))
			}
			for _, set := range posterior.Sets {
				if w := want[fmt.Sprint(set.Faults)] / total; math.Abs(set.Probability-w) > 1e-9 {
					t.Errorf("%v: probability %v, want %v", names(u.m, set.Faults), set.Probability, w)
				}
			}
		})
	}
}
