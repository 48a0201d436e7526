package experience

import (
	"strings"

	"halfsplit/fault"
)

// Tally is what a book says, counted up by kind, family, maker and batch. It is not
// changed once it is made, and may be used by many at a time.
type Tally struct {
	nodes   map[Key]*node
	kinds   []*node
	seen    map[Key][2]int // failed and not, by kind, family and maker as fault asks
	records []Record
}

var _ fault.Record = (*Tally)(nil)

// node is a sort of part, with what was seen of it and of all sorts below it.
type node struct {
	key    Key // as first written
	parent *node
	below  []*node
	own    evidence // of records that say no more than this sort
	all    Count    // with all below
	usual  float64  // failures expected of all
	sum    evidence // own, and what those below tell of it
	tells  evidence // what it tells the one above
}

// evidence is what counts of a sort say of its factor: failures, and failures
// expected.
type evidence struct{ failed, expected float64 }

func (e evidence) plus(f evidence) evidence {
	return evidence{e.failed + f.failed, e.expected + f.expected}
}

// Tally counts the book up.
func (b *Book) Tally() *Tally {
	counted, _ := b.Counted()
	t := &Tally{nodes: map[Key]*node{}, seen: map[Key][2]int{}, records: counted}
	for _, r := range counted {
		usual := r.usual()
		n := t.node(r.Key)
		n.own = n.own.plus(evidence{float64(r.Failed), usual})
		for ; n != nil; n = n.parent {
			n.all, n.usual = n.all.Plus(r.Count), n.usual+usual
		}
		t.see(r)
	}
	for _, n := range t.kinds {
		n.add()
	}
	return t
}

// node gives the node of a key, and makes it and those above it where there is none.
func (t *Tally) node(k Key) *node {
	f := k.folded()
	if n, ok := t.nodes[f]; ok {
		return n
	}
	n := &node{key: k}
	t.nodes[f] = n
	if up, ok := k.above(); ok {
		n.parent = t.node(up)
		n.parent.below = append(n.parent.below, n)
	} else {
		t.kinds = append(t.kinds, n)
	}
	return n
}

// above is the key of the sort that this one belongs to; false for a kind.
func (k Key) above() (Key, bool) {
	blank := func(text string) bool { return strings.TrimSpace(text) == "" }
	switch {
	case !blank(k.Batch):
		k.Batch = ""
	case !blank(k.Maker):
		k.Maker = ""
	case !blank(k.Family):
		k.Family = ""
	default:
		return k, false
	}
	return k, true
}

// The shapes of the priors: of the factor of a kind beside the usual odds, and of the
// factor of a family beside its kind, a maker beside the family, a batch beside the
// maker. Families of a kind, and batches of a maker, are closer together than the usual
// odds are sure: twice the strength. Common practice, no source.
const (
	strength = fault.Steadiness
	kinship  = 2 * fault.Steadiness
)

// add sums up what the sorts below say, and what this one says to the one above.
func (n *node) add() {
	n.sum = n.own
	for _, b := range n.below {
		b.add()
		n.sum = n.sum.plus(b.tells)
	}
	mean := (kinship + n.sum.failed) / (kinship + n.sum.expected)
	weight := 1 / (1 + mean*n.sum.expected/kinship)
	n.tells = evidence{weight * n.sum.failed, weight * n.sum.expected}
}

// see adds a record to the counts by kind, family and maker.
func (t *Tally) see(r Record) {
	k := r.folded()
	keys := map[Key]bool{{Kind: k.Kind}: true, {Kind: k.Kind, Family: k.Family}: true, {Kind: k.Kind, Maker: k.Maker}: true, {Kind: k.Kind, Family: k.Family, Maker: k.Maker}: true}
	for key := range keys {
		n := t.seen[key]
		t.seen[key] = [2]int{n[0] + r.Failed, n[1] + r.Good + r.Replaced}
	}
}

// Seen is what package fault asks of a bench's own record: how many parts of a kind,
// family and maker had failed, and how many had not (found good, or replaced
// while they worked). An empty family or maker means all. Give the tally as
// fault.Life.Record, or the factor of an [Estimate] as Override, not both: they
// rest on the same counts.
func (t *Tally) Seen(kind, family, maker string) (failed, good int) {
	n := t.seen[Key{Kind: kind, Family: family, Maker: maker}.folded()]
	return n[0], n[1]
}

// Sorts lists every sort of part that was seen, kinds before their families and so
// on, in the order of their records.
func (t *Tally) Sorts() []Key {
	var list []Key
	var put func(nodes []*node)
	put = func(nodes []*node) {
		for _, n := range nodes {
			list = append(list, n.key)
			put(n.below)
		}
	}
	put(t.kinds)
	return list
}

// AtAge is what was seen of a sort in one band of age.
type AtAge struct {
	Age Band
	Count
	Usual float64 // failures expected
}

// Ages lists what was seen of a sort by bands of age, youngest first; the first is
// the band not known, where there is such.
func (t *Tally) Ages(key Key) []AtAge {
	want := key.folded()
	var bands [lastBand + 1]AtAge
	for _, r := range t.records {
		k, ok := r.Key.folded(), true
		for k != want && ok {
			k, ok = k.above()
		}
		if k == want {
			b := &bands[r.Age]
			b.Count, b.Usual = b.Count.Plus(r.Count), b.Usual+r.usual()
		}
	}
	var list []AtAge
	for age, b := range bands {
		if b.Count != (Count{}) {
			b.Age = Band(age)
			list = append(list, b)
		}
	}
	return list
}
