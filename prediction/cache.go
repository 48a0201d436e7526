package prediction

import (
	"bytes"
	"crypto/sha256"
	"encoding/gob"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
	"sync"

	"halfsplit/fault"
	"halfsplit/wiring"
)

// Cache keeps forecasts. It may lose them at any time, must not mix them up, and
// must bear being used from many goroutines.
type Cache interface {
	Get(key [32]byte) (value []byte, ok bool)
	Put(key [32]byte, value []byte)
}

// models counts up whenever a model of a part, an act or the way in which a
// forecast is made changes what comes out, so that nothing old is taken from a
// cache.
const models = 1

// Memory is a Cache that lasts as long as the program. The zero value is empty and
// ready for use.
type Memory struct {
	mutex  sync.RWMutex
	values map[[32]byte][]byte
}

// Get gives what was put under a key.
func (m *Memory) Get(key [32]byte) ([]byte, bool) {
	m.mutex.RLock()
	defer m.mutex.RUnlock()
	value, ok := m.values[key]
	return value, ok
}

// Put keeps a value.
func (m *Memory) Put(key [32]byte, value []byte) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	if m.values == nil {
		m.values = map[[32]byte][]byte{}
	}
	m.values[key] = value
}

// Len is the number of values kept.
func (m *Memory) Len() int {
	m.mutex.RLock()
	defer m.mutex.RUnlock()
	return len(m.values)
}

// digest sums up the circuit and the settings: the parts of the solver with all
// their figures, and what was said of tolerances and ratings.
func (p *Predictor) digest() [32]byte {
	h := sha256.New()
	set := p.set
	set.Cache = nil
	fmt.Fprintf(h, "%d %q %+v\n", models, p.set.Version, set)
	for _, c := range []*wiring.Circuit{p.drawn, p.cold} {
		for _, name := range c.Names() {
			part, nodes, _ := c.Circuit.Part(name)
			fmt.Fprintf(h, "%q %T %+v %q\n", name, part, part, nodes)
		}
		fmt.Fprintln(h)
	}
	for _, part := range p.drawn.Parts {
		fmt.Fprintf(h, "%q %q %q %+v %q", part.Name, part.Is.Name, part.Type, part.Rated, part.Part.Rated)
		if part.Value != nil {
			fmt.Fprintf(h, " %+v", *part.Value)
		}
		if part.Tolerance != nil {
			fmt.Fprintf(h, " %+v", *part.Tolerance)
		}
		fmt.Fprintln(h)
	}
	fmt.Fprintf(h, "%q", p.drawn.Ground)
	return [32]byte(h.Sum(nil))
}

// key sums up a case of this predictor. The order of lists in it does not count.
func (p *Predictor) key(c Case) [32]byte {
	h := sha256.New()
	h.Write(p.content[:])
	fmt.Fprintln(h, benchName(c.Bench))
	troubles := make([]string, len(c.Troubles))
	for i, t := range c.Troubles {
		// What an act does counts, not how likely it is.
		troubles[i] = fmt.Sprintf("%q %q %v %+v", t.Part, t.Node, t.Ohms, t.Act.Changes)
	}
	slices.Sort(troubles)
	fmt.Fprint(h, strings.Join(troubles, "\n"))
	return [32]byte(h.Sum(nil))
}

// benchName writes a state of the bench so that like states are written alike.
func benchName(b Bench) string {
	sorted := func(list []string) []string {
		list = slices.Clone(list)
		slices.Sort(list)
		return slices.Compact(list)
	}
	var sources []string
	for name, share := range b.Sources {
		sources = append(sources, fmt.Sprintf("%q %v", name, share))
	}
	sort.Strings(sources)
	return fmt.Sprintf("off %v, lifted %q, without %q, sources %q", b.Off, sorted(b.Lifted), sorted(b.Without), sources)
}

// kept is a forecast as it is kept.
type kept struct {
	Dead bool
	Ways []keptWay
}

type keptWay struct {
	Weight      float64
	Behaviour   Behaviour
	Period      float64
	Why         string
	Blown       []string
	Hot         []Hot
	Bears       map[string]fault.Stress
	Mean, Floor []float64
	Factor      [][]float64
}

// store keeps a forecast.
func (p *Predictor) store(key [32]byte, f *Forecast) {
	if p.set.Cache == nil {
		return
	}
	var k kept
	for i := range f.Ways {
		w := &f.Ways[i]
		k.Dead = w.layout == p.dead
		one := keptWay{Weight: w.Weight, Behaviour: w.Behaviour, Period: w.Period, Why: w.Why, Blown: w.Blown, Hot: w.Hot, Bears: w.Bears, Mean: w.mean, Floor: w.floor, Factor: w.factor}
		k.Ways = append(k.Ways, one)
	}
	var b bytes.Buffer
	if gob.NewEncoder(&b).Encode(k) == nil {
		p.set.Cache.Put(key, b.Bytes())
	}
}

// stored gives the forecast that was kept, or nil when there is none or what is
// there cannot be one.
func (p *Predictor) stored(key [32]byte) *Forecast {
	if p.set.Cache == nil {
		return nil
	}
	value, ok := p.set.Cache.Get(key)
	if !ok {
		return nil
	}
	var k kept
	if gob.NewDecoder(bytes.NewReader(value)).Decode(&k) != nil || len(k.Ways) == 0 {
		return nil
	}
	l := p.live
	if k.Dead {
		l = p.dead
	}
	f := &Forecast{Ways: make([]Way, len(k.Ways))}
	for i, one := range k.Ways {
		if len(one.Mean) != len(l.Of) || len(one.Floor) != len(l.Of) || math.IsNaN(one.Weight) {
			return nil
		}
		w := Way{Weight: one.Weight, Behaviour: one.Behaviour, Period: one.Period, Why: one.Why, Blown: one.Blown, Hot: one.Hot, Bears: one.Bears,
			layout: l, ground: p.drawn.Ground, mean: one.Mean, floor: one.Floor, factor: one.Factor}
		if slices.ContainsFunc(w.factor, func(column []float64) bool { return len(column) != len(l.Of) }) {
			return nil
		}
		f.Ways[i] = w
	}
	return f
}
