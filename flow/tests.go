package flow

import (
	"math"
	"slices"

	"halfsplit/signal"
)

// Test is something that could be done next. Exactly one of the fields that
// say what it is about is used, by Kind.
type Test struct {
	Kind  TestKind
	Net   int // Probe, and where the effect of Condition or Replace is looked for
	Item  int // Measure, Condition, Replace
	Check *Check
	Scene Scene // the state of the unit while the test is made
	// Results, of a Measure, say how bad and good speak, in this order, for the item
	// itself and each of its modes. Without them a good item tests bad seldom, and a
	// mode shows as often as its kind says.
	Results []PartReading
	// Level marks a Probe of something that is no logic signal: its answers are
	// those of Levels.
	Level bool
	// Edges, when there are any, part the numbers that a Probe in a section may
	// read: the answers are the ranges between them, rising. Number says what is
	// measured, with the standard uncertainty of the meter.
	Edges   []float64
	Section int
	Number  Number
}

// Levels are the answers of a probe where there is no logic: a stuck line reads
// as absent or high there, and one that floats or is held as low.
func Levels() []signal.State {
	return []signal.State{signal.Good, signal.Absent, signal.Low, signal.High, signal.Wrong, signal.Noisy}
}

// levelOf is the answer of Levels that a state reads as.
var levelOf = [signal.States]int{
	signal.Good: 0, signal.Absent: 1, signal.StuckLow: 1, signal.Low: 2, signal.Clamped: 2, signal.Floating: 2,
	signal.High: 3, signal.StuckHigh: 3, signal.Wrong: 4, signal.Noisy: 5,
}

// TestKind tells tests apart.
type TestKind int

// The kinds of test.
const (
	Probe     TestKind = iota // read a net: the answers are the signal states
	Measure                   // test an item out of circuit: bad, good
	Condition                 // change the scene (chill, press, piggyback …) and read a net: right, still wrong
	Replace                   // replace an item and read a net: right, still wrong
	Ask                       // make a check: its answers
)

// falseAlarm is the chance that a good item tests bad out of circuit. Common
// practice, no source.
const falseAlarm = 0.03

// Answers is the number of answers the test can give.
func (t *Test) Answers() int {
	switch t.Kind {
	case Probe:
		if len(t.Edges) > 0 {
			return len(t.Edges) + 1
		}
		if t.Level {
			return len(Levels())
		}
		return signal.States
	case Ask:
		return len(t.Check.Otherwise)
	}
	return 2
}

// answer is the number of the answer that a word comes to.
func (t *Test) answer(word int) int {
	if t.Level {
		return levelOf[word]
	}
	return word
}

// Foreteller foretells the answers of tests under sets of faults, given what
// was read so far. It is not safe for concurrent use.
type Foreteller struct {
	evidence *Evidence
	state    *State
	words    [signal.States]signal.Likelihood
	tests    []Test
	scenes   []testScene
	before   []pattern // scratch
	now      []pattern // scratch
}

// testScene is a scene in which some of the tests would be made.
type testScene struct {
	scene   *Scene
	tests   []int
	group   *group          // of the scenes read so far, those that it belongs to; nil when there are none
	first   Scene           // the first of them
	changed bool            // something was done since then
	read    int             // itself among the scenes read so far, when something was done; else −1
	numbers []NumberReading // read in it so far
}

// Foreteller makes one for the given tests over the evidence as it stands.
func (e *Evidence) Foreteller(tests []Test) *Foreteller {
	f := &Foreteller{evidence: e, state: e.model.NewState(), words: signal.Answers(), tests: tests}
	number := map[string]int{}
	for i := range tests {
		if tests[i].Kind == Measure {
			continue // by itself, in no scene
		}
		key := tests[i].Scene.key()
		n, known := number[key]
		if !known {
			n = len(f.scenes)
			number[key] = n
			f.scenes = append(f.scenes, e.testScene(&tests[i].Scene, key))
		}
		f.scenes[n].tests = append(f.scenes[n].tests, i)
	}
	return f
}

func (e *Evidence) testScene(scene *Scene, key string) testScene {
	t := testScene{scene: scene, first: scene.undone(), read: -1}
	calm := scene.calm()
	if g := e.groupOf(calm.key()); g >= 0 {
		t.group = &e.groups[g]
		t.first = t.group.first
	}
	t.changed = scene.changed(&t.first)
	if i, read := e.byKey[key]; read {
		t.numbers = e.scenes[i].numbers
		if t.changed {
			t.read = i
		}
	}
	return t
}

// Chances gives the chance of each answer of each test, when exactly these
// faults are present: chances[t][a]. A test in a scene in which something was
// read before takes into account whether the faults showed then.
func (f *Foreteller) Chances(faults []int) [][]float64 {
	chances := make([][]float64, len(f.tests))
	for i := range f.tests {
		chances[i] = make([]float64, f.tests[i].Answers())
		if f.tests[i].Kind == Measure {
			f.measured(&f.tests[i], faults, chances[i])
		}
	}
	for i := range f.scenes {
		s := &f.scenes[i]
		for _, way := range f.ways(faults, s) {
			f.state.Foretell(way.showing, s.scene)
			for _, i := range s.tests {
				if len(f.tests[i].Edges) > 0 {
					f.state.addRange(&f.tests[i], way.weight, s.numbers, chances[i])
					continue
				}
				f.add(&f.tests[i], way, chances[i])
			}
		}
	}
	return chances
}

// ways are the patterns in which the faults may show in a scene, weighed by
// what was read in it and in those that differ only in what was done to parts.
func (f *Foreteller) ways(faults []int, s *testScene) []pattern {
	f.before = f.state.spread(f.before, faults, s.first.active)
	if len(f.before) == 1 && len(s.scene.Piggybacked) == 0 { // all are there always
		return f.before
	}
	f.now = f.now[:0]
	for _, before := range f.before {
		weight, known := math.Log(before.weight), []netState(nil)
		if s.group != nil {
			shown, nets := f.evidence.logShown(f.state, s.group, faults, before.showing, s.read)
			weight, known = weight+shown, nets
		}
		if !s.changed {
			f.now = enter(f.now, weight, before.showing)
			continue
		}
		for _, way := range f.state.disturbed(faults, before.showing, s.scene) {
			shown := 0.0
			if s.read >= 0 {
				f.state.Foretell(way.showing, s.scene)
				shown, f.state.knownNow = f.evidence.scenes[s.read].log(f.state, way.showing, known, f.state.knownNow[:0])
			}
			same := slices.IndexFunc(f.now, func(now pattern) bool { return slices.Equal(now.showing, way.showing) })
			if same < 0 {
				same = len(f.now)
				f.now = enter(f.now, math.Inf(-1), way.showing)
			}
			f.now[same].weight = logAdd(f.now[same].weight, weight+math.Log(way.weight)+shown)
		}
	}
	sum := math.Inf(-1)
	for _, way := range f.now {
		sum = logAdd(sum, way.weight)
	}
	for w := range f.now {
		f.now[w].weight = math.Exp(f.now[w].weight - sum)
	}
	return f.now
}

// measured fills in the answers of a test of an item by itself: bad, good.
func (f *Foreteller) measured(t *Test, faults []int, chances []float64) {
	if len(t.Results) > 0 {
		bad, good := t.Results[0].chance(f.evidence.model, faults), t.Results[1].chance(f.evidence.model, faults)
		chances[0], chances[1] = bad/(bad+good), good/(bad+good)
		return
	}
	bad := falseAlarm
	for _, i := range faults {
		if c := &f.evidence.model.Candidates[i]; c.Item == t.Item {
			bad = c.Mode.Shows
		}
	}
	chances[0], chances[1] = bad, 1-bad
}

// add adds what one pattern gives for a test; the state has been foretold.
func (f *Foreteller) add(t *Test, way pattern, chances []float64) {
	switch t.Kind {
	case Probe:
		for word := range f.words {
			chances[t.answer(word)] += way.weight * f.words[word].Of(&f.state.Nets[t.Net])
		}
	case Condition, Replace:
		right := seenRight(f.state.Nets[t.Net][signal.Good])
		chances[0] += way.weight * right
		chances[1] += way.weight * (1 - right)
	case Ask:
		for a, p := range t.Check.Answers(f.state, way.showing) {
			chances[a] += way.weight * p
		}
	}
}

// seenRight is the chance that a net is taken for right when it is so with the given
// chance.
func seenRight(good float64) float64 { return (1-signal.Slip)*good + signal.Slip/2 }

// Undescribed gives the chance of each answer when the trouble is something
// the model does not describe. A replaced or chilled item then changes nothing.
func (f *Foreteller) Undescribed(t *Test) []float64 {
	chances := make([]float64, t.Answers())
	switch t.Kind {
	case Probe:
		if len(t.Edges) > 0 {
			f.state.Foretell(nil, &t.Scene)
			f.state.addRange(t, 0.5, nil, chances)
			for a := range chances {
				chances[a] += 0.5 / float64(len(chances))
			}
			return chances
		}
		agnostic := signal.Agnostic()
		for word := range f.words {
			chances[t.answer(word)] += f.words[word].Of(&agnostic)
		}
	case Measure:
		f.measured(t, nil, chances)
	case Condition:
		chances[0], chances[1] = coincidence/2, 1-coincidence/2
	case Replace:
		chances[0], chances[1] = signal.Slip/2, 1-signal.Slip/2
	case Ask:
		for a := range chances {
			chances[a] = 1 / float64(len(chances))
		}
	}
	return chances
}
