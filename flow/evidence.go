package flow

import (
	"math"
	"slices"
	"sync"

	"halfsplit/signal"
)

// Reading is what was read on a net.
type Reading struct {
	Net        int
	Likelihood signal.Likelihood
	// Fitful marks a signal that comes and goes by itself; the likelihood is
	// then not used.
	Fitful bool
	again  signal.Likelihood // how it speaks once the net was read before
	best   float64           // the best it was; it is kept relative to that
	piece  int               // its number among all evidence
}

// PartReading is what a test of one item said: the chance of that result for
// a healthy item, and for each of the item's modes in the order of its kind's
// Modes.
type PartReading struct {
	Item    int
	Healthy float64
	Modes   []float64
}

// Evidence is all that was read, scene by scene. It is a diagnosis.Model.
type Evidence struct {
	model  *Model
	scenes []sceneEvidence
	groups []group
	parts  []PartReading
	order  []item
	wrong  bool    // somebody says that something is wrong
	scale  float64 // ln of the best that all readings were
	byKey  map[string]int
	pool   sync.Pool
	once   sync.Once
	most   []float64   // the most that Each can give
	sound  []float64   // what it gives when nothing is wrong
	single [][]float64 // and for each candidate alone
}

type sceneEvidence struct {
	scene    Scene
	readings []Reading
	checks   []CheckReading
	numbers  []NumberReading
	isFirst  bool // nothing was done since the group began
}

// item says where one piece of evidence is kept, in the order of arrival.
type item struct {
	kind         byte // 'r' reading, 'c' check, 'n' number, 'p' part
	scene, index int
}

// NewEvidence starts with nothing read.
func (m *Model) NewEvidence() *Evidence {
	e := &Evidence{model: m, byKey: map[string]int{}}
	e.Anew()
	return e
}

func (e *Evidence) at(scene Scene) (int, *sceneEvidence) {
	key := scene.key()
	i, ok := e.byKey[key]
	if !ok {
		i = len(e.scenes)
		e.byKey[key] = i
		e.scenes = append(e.scenes, sceneEvidence{scene: scene})
		calm := scene.calm()
		g := e.groupOf(calm.key())
		if g < 0 {
			g = len(e.groups)
			e.groups = append(e.groups, group{key: calm.key(), first: scene.undone()})
		}
		e.scenes[i].isFirst = !scene.changed(&e.groups[g].first)
		e.groups[g].scenes = append(e.groups[g].scenes, i)
	}
	return i, &e.scenes[i]
}

// next is the number of the next piece of evidence. What the sieve worked out so
// far no longer holds.
func (e *Evidence) next() int {
	e.once = sync.Once{}
	return len(e.order)
}

// Read adds a reading of a net.
func (e *Evidence) Read(scene Scene, r Reading) {
	r.best = 1
	if best := r.Likelihood.Best(); best > 0 && !r.Fitful {
		r.best = best
		for s := range r.Likelihood {
			r.Likelihood[s] /= best
		}
	}
	e.scale += math.Log(r.best)
	r.again = r.Likelihood.Again()
	r.piece = e.next()
	i, at := e.at(scene)
	e.order = append(e.order, item{'r', i, len(at.readings)})
	at.readings = append(at.readings, r)
}

// Checked adds the answer of a check.
func (e *Evidence) Checked(scene Scene, r CheckReading) {
	r.piece = e.next()
	i, at := e.at(scene)
	e.order = append(e.order, item{'c', i, len(at.checks)})
	at.checks = append(at.checks, r)
}

// Anew lets everything be foretold anew, because the solver of a section has
// learned more.
func (e *Evidence) Anew() {
	e.pool = sync.Pool{New: func() any { return e.model.NewState() }}
	e.once = sync.Once{}
}

// Numbered adds a number that was read in a section.
func (e *Evidence) Numbered(scene Scene, r NumberReading) {
	r.piece = e.next()
	i, at := e.at(scene)
	e.order = append(e.order, item{'n', i, len(at.numbers)})
	at.numbers = append(at.numbers, r)
}

// Tested adds the result of a test of an item. A test of an item after it was
// replaced speaks of the new one and must not be added.
func (e *Evidence) Tested(r PartReading) {
	e.next()
	e.order = append(e.order, item{'p', 0, len(e.parts)})
	e.parts = append(e.parts, r)
}

// Complained notes that somebody says the unit does not work as it should,
// which with a sound unit happens seldom.
func (e *Evidence) Complained() { e.wrong = true }

// complaint is the chance that a unit with nothing wrong is brought to the
// bench. Common practice, no source.
const complaint = 0.03

// Pieces is the number of pieces of evidence: readings, checks, part tests.
func (e *Evidence) Pieces() int { return len(e.order) }

// group is the scenes that differ only in what was done to parts. A fault that
// comes and goes mostly stays as it was while another part is chilled, pressed
// or replaced.
type group struct {
	key    string
	first  Scene // as it was before anything was done
	scenes []int
}

func (e *Evidence) groupOf(key string) int {
	return slices.IndexFunc(e.groups, func(g group) bool { return g.key == key })
}
