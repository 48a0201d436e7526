package diagnosis

import (
	"fmt"
	"math"
	"slices"
)

// spread is a test whose answer is a number: under each hypothesis normally
// distributed about a mean. What it tells is worked out over nodes, values that
// stand closely enough for the narrowest spread near them: a mixture of normal
// densities known at every half of a standard deviation is known
// everywhere, to better than one in a hundred. Hypotheses under which the
// reading is foretold alike share one row of chances.
type spread struct {
	mean, sd []float64
	slip     float64
	width    float64 // what a slip may read
	nodes    []float64
	member   []int32 // the row of each hypothesis
	rows     []nodeRow
}

// nodeRow is the chance that a reading comes out near each node, from one node
// on, and the entropy of that in bits.
type nodeRow struct {
	first  int
	chance []float32 // there may be many: half the memory
	noise  float64
}

const (
	reach     = 5.0 // a reading farther off than so many standard deviations is not weighed in a gain
	nodeStep  = 0.5 // distance of nodes in standard deviations
	mostNodes = 512 // of one test
	fewAlone  = 256 // up to so many hypotheses each have a row of their own
)

// AddReadings enters a test whose answer is a number: under hypothesis h it is
// normally distributed about mean[h] with standard deviation sd[h], which is
// above zero and holds the tolerances of the unit and the uncertainty of the
// meter. With the chance slip, from 0 to below 1, the reading is wrong and may
// be anything in the range of what is foretold: that keeps one wrong reading
// from killing the truth. The number of the test is returned; the table keeps
// the slices.
//
// Gain treats the test as if it were made with a meter that tells at most a
// few hundred readings apart, and leaves slips out.
func (t *Table) AddReadings(mean, sd []float64, slip float64) (int, error) {
	if len(mean) != len(t.weights) || len(sd) != len(t.weights) {
		return 0, fmt.Errorf("diagnosis: %d means and %d standard deviations for %d hypotheses", len(mean), len(sd), len(t.weights))
	}
	if !(slip >= 0 && slip < 1) {
		return 0, fmt.Errorf("diagnosis: chance %v of a slip must lie in 0 to below 1", slip)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for h := range mean {
		if math.IsNaN(mean[h]) || math.IsInf(mean[h], 0) {
			return 0, fmt.Errorf("diagnosis: the reading under hypothesis %d is foretold as %v", h, mean[h])
		}
		if !(sd[h] > 0) || math.IsInf(sd[h], 1) {
			return 0, fmt.Errorf("diagnosis: standard deviation %v of the reading under hypothesis %d must be above zero", sd[h], h)
		}
		low, high = min(low, mean[h]-reach*sd[h]), max(high, mean[h]+reach*sd[h])
	}
	r := &spread{mean: mean, sd: sd, slip: slip, width: high - low}
	groups := r.gather()
	r.place(groups)
	noise := make([]float64, len(mean))
	for h, row := range r.member {
		noise[h] = r.rows[row].noise
	}
	return t.enter(foretold{noise: noise, readings: r}), nil
}

// normalShape is a mean with a standard deviation.
type normalShape struct{ mean, sd float64 }

// gather joins hypotheses under which the reading is foretold alike: of many,
// those whose standard deviations differ by less than two fifths and whose means
// by less than half of one.
func (r *spread) gather() []normalShape {
	r.member = make([]int32, len(r.mean))
	if len(r.mean) <= fewAlone {
		shapes := make([]normalShape, len(r.mean))
		for h := range shapes {
			r.member[h] = int32(h)
			shapes[h] = normalShape{r.mean[h], r.sd[h]}
		}
		return shapes
	}
	const perOctave = 2
	type cell struct {
		size int
		at   float64
	}
	number := map[cell]int32{}
	var shapes []normalShape
	var count []float64
	for h := range r.mean {
		size := int(math.Round(perOctave * math.Log2(r.sd[h])))
		c := cell{size, math.Round(r.mean[h] / (math.Exp2(float64(size)/perOctave) / 2))}
		i, known := number[c]
		if !known {
			i = int32(len(shapes))
			number[c] = i
			shapes, count = append(shapes, normalShape{}), append(count, 0)
		}
		r.member[h] = i
		count[i]++
		shapes[i].mean += (r.mean[h] - shapes[i].mean) / count[i]
		shapes[i].sd += (r.sd[h] - shapes[i].sd) / count[i]
	}
	return shapes
}

// place lays the nodes and works out the rows. Where too many nodes would be
// needed, the reading is blurred as by a coarser meter.
func (r *spread) place(shapes []normalShape) {
	least := math.Inf(1)
	for _, s := range shapes {
		least = min(least, s.sd)
	}
	for blur := 0.0; ; blur = max(least, 1.25*blur) {
		blurred := slices.Clone(shapes)
		for i := range blurred {
			blurred[i].sd = math.Hypot(blurred[i].sd, blur)
		}
		if nodes, widths := layNodes(blurred); nodes != nil {
			r.nodes = nodes
			r.fill(blurred, widths)
			return
		}
	}
}

// layNodes gives values at a distance that suits the narrowest shape within
// reach, and the width that each stands for; nil when there would be too many.
func layNodes(shapes []normalShape) (nodes, widths []float64) {
	order := make([]int, len(shapes)) // by where they begin
	begin := func(i int) float64 { return shapes[i].mean - reach*shapes[i].sd }
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		switch x, y := begin(a), begin(b); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	var here []int // the shapes within reach
	x := begin(order[0])
	fresh := true // nothing lies between the node before and this one
	for next := 0; next < len(order) || len(here) > 0; {
		if len(here) == 0 && next < len(order) && begin(order[next]) > x {
			x, fresh = begin(order[next]), true
		}
		for next < len(order) && begin(order[next]) <= x {
			here = append(here, order[next])
			next++
		}
		step := math.Inf(1)
		here = slices.DeleteFunc(here, func(i int) bool { return shapes[i].mean+reach*shapes[i].sd < x })
		for _, i := range here {
			step = min(step, nodeStep*shapes[i].sd)
		}
		if len(here) == 0 {
			continue
		}
		for _, i := range order[next:] { // narrower ones that begin before the next node
			gap := begin(i) - x
			if gap >= step {
				break
			}
			step = min(step, max(gap, nodeStep*shapes[i].sd))
		}
		if len(nodes) == mostNodes {
			return nil, nil
		}
		if n := len(nodes); n > 0 && !fresh {
			between := x - nodes[n-1]
			widths[n-1] += between / 2
			widths = append(widths, between/2)
		} else {
			widths = append(widths, 0)
		}
		nodes = append(nodes, x)
		fresh = false
		if x+step == x { // narrower than the numbers of the machine
			return nil, nil
		}
		x += step
	}
	return nodes, widths
}

// fill works out the chance of each node under each shape.
func (r *spread) fill(shapes []normalShape, widths []float64) {
	r.rows = make([]nodeRow, len(shapes))
	var near []float64
	for i, s := range shapes {
		first, _ := slices.BinarySearch(r.nodes, s.mean-(reach+nodeStep)*s.sd)
		row := nodeRow{first: first}
		sum := 0.0
		near = near[:0]
		for j := first; j < len(r.nodes) && r.nodes[j] <= s.mean+(reach+nodeStep)*s.sd; j++ {
			z := (r.nodes[j] - s.mean) / s.sd
			p := widths[j] * math.Exp(-z*z/2)
			near = append(near, p)
			sum += p
		}
		row.chance = make([]float32, len(near))
		for j, p := range near {
			row.chance[j] = float32(p / sum)
			row.noise -= plogp(p / sum)
		}
		r.rows[i] = row
	}
}

// mix gives the chance of each node when the hypotheses have the given weights;
// scratch has a place for each row.
func (r *spread) mix(weights, scratch, into []float64) {
	clear(scratch)
	for h, row := range r.member {
		scratch[row] += weights[h]
	}
	clear(into)
	for i, w := range scratch {
		if w == 0 {
			continue
		}
		row := &r.rows[i]
		out := into[row.first : row.first+len(row.chance)]
		for j, p := range row.chance {
			out[j] += w * float64(p)
		}
	}
}

// row is the chance of one node under each hypothesis.
func (r *spread) row(node int) []float64 {
	row := make([]float64, len(r.member))
	for h, i := range r.member {
		if s := &r.rows[i]; node >= s.first && node < s.first+len(s.chance) {
			row[h] = float64(s.chance[node-s.first])
		}
	}
	return row
}

// alike reports whether the reading is foretold alike under two hypotheses, to
// within a tolerance in chance: the chance of any range of readings differs by
// no more.
func (r *spread) alike(h, g int, tolerance float64) bool {
	if r.mean[h] == r.mean[g] && r.sd[h] == r.sd[g] {
		return true
	}
	apart := 0.0
	for _, j := range []int{h, g} {
		for k := -40; k <= 40; k++ {
			x := r.mean[j] + float64(k)/8*r.sd[j]
			apart = max(apart, math.Abs(below(x, r.mean[h], r.sd[h])-below(x, r.mean[g], r.sd[g])))
		}
	}
	return apart <= tolerance
}

// below is the chance that a normally distributed reading is below x.
func below(x, mean, sd float64) float64 { return math.Erfc((mean-x)/(sd*math.Sqrt2)) / 2 }

// Nodes are the values near which the answers of a reading lie, in ascending
// order, one for each answer; nil for a test with answers in words. The slice
// is the table's own.
func (t *Table) Nodes(test int) []float64 {
	if r := t.tests[test].readings; r != nil {
		return r.nodes
	}
	return nil
}

// Read takes a reading in. A reading that no hypothesis could give (so far off
// that its chance is no number of the machine, and no slip is allowed for) is
// an error and changes nothing, as is a test whose answers are no numbers.
func (t *Table) Read(test int, value float64) error {
	r := t.tests[test].readings
	if r == nil {
		return fmt.Errorf("diagnosis: test %d is answered in words, not by the number %v", test, value)
	}
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return fmt.Errorf("diagnosis: test %d read %v, which is no reading", test, value)
	}
	// Relative to the best, so that what is far off everywhere still counts.
	best := math.Inf(-1)
	for h, w := range t.weights {
		if w > 0 {
			z := (value - r.mean[h]) / r.sd[h]
			best = max(best, -z*z/2-math.Log(r.sd[h]))
		}
	}
	anything := 0.0
	if r.slip > 0 {
		anything = r.slip / r.width
		best = max(best, math.Log(anything))
		anything *= math.Exp(-best)
	}
	if math.IsInf(best, -1) {
		return fmt.Errorf("diagnosis: the reading %v of test %d is impossible under every hypothesis", value, test)
	}
	const root = 0.3989422804014327 // 1/√(2π)
	for h := range t.weights {
		z := (value - r.mean[h]) / r.sd[h]
		t.weights[h] *= (1-r.slip)*root*math.Exp(-z*z/2-best)/r.sd[h] + anything
	}
	return t.normalise()
}
