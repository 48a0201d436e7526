package memory

import (
	"fmt"
	"math"
	"math/bits"
)

// weighing is the state of a diagnosis. Weights are natural logarithms.
type weighing struct {
	*Tally
	known    bool // whether the test's reads are known
	patterns []pattern
	crowding crowding
	fraction float64 // bits wrong in a failing word that independent chips would show, as a share
	states   [][]float64
	alone    float64 // that chips alone are bad
	outside  []Cause // Probability holds the weight
}

// measure looks at the array as a whole.
func (w *weighing) measure() {
	none, sum := 0.0, 0.0
	w.crowding = w.Tally.crowding()
	for i := range w.patterns {
		p := float64(w.patterns[i].failing) / float64(w.patterns[i].cells)
		sum += p
		none += math.Log1p(-min(p, 1-1e-12))
	}
	bank := float64(len(w.array.Banks))
	if any := -math.Expm1(none / bank); any > 0 {
		w.fraction = min(sum/bank/any/float64(len(w.array.Banks[0].Chips)), 0.999)
	}
}

// steady is the weight of how steadily the cells of some chips fail, by one law
// for all of them.
func (w *weighing) steady(weights [3]float64, chips ...pattern) float64 {
	var n [3]int
	for i := range chips {
		n[0], n[1], n[2] = n[0]+chips[i].full, n[1]+chips[i].partial, n[2]+chips[i].both
	}
	if !w.known {
		weights = [3]float64{weights[0] + weights[1], 1e-9, weights[2]}
		n[0], n[1] = n[0]+n[1], 0
	}
	return dirichlet(n, weights)
}

// held is the weight of the cells that fail when an output or a data line is
// held: all of them, or, in a test that is not known and may try each cell with
// one value only, a good part.
func (w *weighing) held(p *pattern) float64 {
	if w.known {
		return touched(p.failing, p.cells)
	}
	return logSum(math.Log(0.5)+touched(p.failing, p.cells), math.Log(0.5)+betaBinomial(p.failing, p.cells, 5, 5))
}

// oneWay is the weight of the directions in which cells fail that fail at one
// value only, by one law for all of some chips; sharp when all should agree.
func oneWay(sharp bool, chips ...pattern) float64 {
	a, low, n := 1.0, 0, 0
	if sharp {
		a = 0.1
	}
	for i := range chips {
		low, n = low+chips[i].low, n+chips[i].full+chips[i].partial
	}
	return betaBinomial(low, n, a, a)
}

// Laws of how many cells fail: those that a fault touches, and those it does
// not.
func touched(k, n int) float64 { return betaBinomial(k, n, 60, 1) }
func sound(k, n int) float64   { return betaBinomial(k, n, 0.02, 2e4) }
func few(k, n int) float64 {
	if k == 0 {
		return math.Log(missed)
	}
	return betaBinomial(k, n, 0.5, 0.5*float64(n))
}
func anyShare(k, n int) float64 { return betaBinomial(k, n, 0.5, 0.5) }

// Weights of how steadily cells fail: at every read of one value, at some, at
// reads of both.
var (
	steadyStuck    = [3]float64{40, 1, 0.2}
	steadyCoupled  = [3]float64{0.2, 3, 3}
	steadyDecoder  = [3]float64{1, 1, 1.5}
	steadyRefresh  = [3]float64{3, 5, 0.2}
	steadySupply   = [3]float64{0.3, 3, 3}
	steadyAnything = [3]float64{1, 1, 1}
	steadyMisread  = [3]float64{0.1, 4, 0.2}
)

// quiet is the weight of a chip that should not fail: what fails there was misread,
// which does not repeat from read to read.
func (w *weighing) quiet(p *pattern) float64 {
	return sound(p.failing, p.cells) + w.steady(steadyMisread, *p)
}

// chip is the weight of what one chip shows, for each of chipClasses.
func (w *weighing) chip(p *pattern) []float64 {
	list := make([]float64, len(chipClasses))
	for i, c := range chipClasses {
		x := 0.0
		switch c.class {
		case StuckCells:
			x = few(p.failing, p.cells) + w.steady(steadyStuck, *p) + oneWay(false, *p)
		case StuckOutput:
			x = w.held(p) + w.steady(steadyStuck, *p) + oneWay(true, *p)
		case StuckLine:
			row := touched(p.row, p.columns) + sound(p.failing-p.row, p.cells-p.columns) - math.Log(2*float64(p.rows))
			column := touched(p.column, p.rows) + sound(p.failing-p.column, p.cells-p.rows) - math.Log(2*float64(p.columns))
			x = logSum(row, column) + w.steady(steadyStuck, *p) + oneWay(true, *p)
		case Coupling:
			x = few(p.failing, p.cells) + w.steady(steadyCoupled, *p) + oneWay(false, *p)
		case ChipDecoder:
			x = w.decoder(p) + w.steady(steadyDecoder, *p) + oneWay(false, *p)
		}
		list[i] = math.Log(c.share) + x
	}
	return list
}

// onlyChip reports whether all that failed failed in that chip, so that the runs
// of addresses speak of it.
func (w *weighing) onlyChip(p *pattern) bool {
	for i := range w.patterns {
		if q := &w.patterns[i]; q != p && q.failing > 0 {
			return false
		}
	}
	return true
}

// lines is the number of address lines that the array uses.
func (w *weighing) lines() int {
	most := uint64(0)
	for i := range w.array.Banks {
		most = max(most, w.array.Banks[i].Last)
	}
	return max(1, bits.Len64(most))
}

// line is the weight of which cells of some chips fail when an address line does
// not work: all of them, each run of addresses on one side, or in a plainer test
// those on one side only. Runs speak only where told. It is −Inf when all these
// chips lie on one side of the line.
func (w *weighing) line(line int, chips []pattern, runs bool) float64 {
	cells, above, failing, up := 0, 0, 0, 0
	for i := range chips {
		p := &chips[i]
		cells, above = cells+p.cells, above+p.cellsHigh[line]
		failing, up = failing+p.failing, up+p.high[line]
	}
	below, down := cells-above, failing-up
	all := math.Log(0.5) + touched(failing, cells)
	high := math.Log(0.25) + touched(up, above) + sound(down, below)
	low := math.Log(0.25) + touched(down, below) + sound(up, above)
	if above == 0 || above == cells {
		return math.Inf(-1)
	}
	if runs {
		all += logSum(math.Log(0.7)+w.side(line), math.Log(0.3))
	}
	return logSum(all, high, low)
}

// decoder is the weight of the cells of one chip when an address line inside it
// does not work, whichever it is.
func (w *weighing) decoder(p *pattern) float64 {
	n, runs := w.lines(), w.onlyChip(p)
	var list []float64
	for line := range n {
		list = append(list, w.line(line, []pattern{*p}, runs)-math.Log(float64(n)))
	}
	return logSum(list...)
}

// side is the weight of the failures within each run lying on one side of an
// address line, against their lying on either side as often as they do over all.
func (w *weighing) side(line int) float64 {
	const stray = 0.01
	n, sided := float64(w.inRuns), float64(w.sided[line])
	if n == 0 {
		return 0
	}
	chance := 0.0
	for _, share := range []float64{float64(w.highs[line]) / n, 1 - float64(w.highs[line])/n} {
		if share > 0 {
			chance += n * share * math.Log(share)
		}
	}
	return sided*math.Log(1-stray) + (n-sided)*math.Log(stray) - float64(w.segments)*math.Ln2 - chance
}

// anySide is the weight of failures lying on one side of some line for another
// reason: rows of opposite polarity that lose their charge, or a dip that
// catches a few addresses in a row.
func (w *weighing) anySide() float64 {
	n := float64(w.lines())
	list := []float64{math.Log(0.5)}
	for line := range w.lines() {
		list = append(list, math.Log(0.5/n)+w.side(line))
	}
	return logSum(list...)
}

// chipsAlone weighs chips that are bad by themselves, each in its own way.
func (w *weighing) chipsAlone() {
	w.alone = math.Log(priorChips) + w.crowd(1, 1) + w.bitsWrong(1, 1)
	for i := range w.patterns {
		p := &w.patterns[i]
		state := []float64{math.Log(1-chipBad) + w.quiet(p)}
		for _, x := range w.chip(p) {
			state = append(state, math.Log(chipBad)+x)
		}
		w.alone += logSum(state...)
		w.states = append(w.states, state)
	}
}

// crowd is the weight of how often a failure lies beside the one before.
func (w *weighing) crowd(a, b float64) float64 {
	return betaBinomial(min(w.adjacent, w.counted()), w.counted(), a, b)
}

// bitsWrong is the weight of how many bits of failing words are wrong.
func (w *weighing) bitsWrong(a, b float64) float64 {
	return betaBinomial(w.wrongBits, w.counted()*w.array.width, a, b)
}

func (w *weighing) add(class Class, what string, prior, weight float64) {
	w.outside = append(w.outside, Cause{class, what, math.Log(prior) + weight})
}

// addressLines weighs each address line: every chip fails, and within a run of
// rising or falling addresses on one side of it only.
func (w *weighing) addressLines() {
	base := w.crowd(1, 1) + w.bitsWrong(1, 1) + w.steady(steadyDecoder, w.patterns...) + oneWay(false, w.patterns...)
	n := w.lines()
	for line := range n {
		w.add(AddressLine, fmt.Sprintf("A%d", line), priorAddress/float64(n), base+w.line(line, w.patterns, true))
	}
}

// selects weighs each bank: all its chips fail everywhere, the others nowhere.
func (w *weighing) selects() {
	n := len(w.array.Banks[0].Chips)
	for bank := range w.array.Banks {
		in := w.patterns[bank*n : (bank+1)*n]
		x := w.crowd(1, 1) + w.bitsWrong(1, 1)
		failing, cells := 0, 0
		for i := range w.patterns {
			if i/n == bank {
				failing, cells = failing+w.patterns[i].failing, cells+w.patterns[i].cells
			} else {
				x += w.quiet(&w.patterns[i])
			}
		}
		// The data lines float to one value, or are somebody else's.
		float := math.Log(0.7) + w.steady(steadyStuck, in...) + oneWay(true, in...)
		other := math.Log(0.3) + w.steady(steadyAnything, in...) + oneWay(false, in...)
		x += touched(failing, cells) + logSum(float, other)
		w.add(BankSelect, "bank "+w.array.Banks[bank].Name, priorSelect/float64(len(w.array.Banks)), x)
	}
}

// dataLines weighs each chip position: in every bank the chip there fails
// everywhere, one way, and no other.
func (w *weighing) dataLines() {
	n := len(w.array.Banks[0].Chips)
	for at := range n {
		x := w.crowd(1, 1) + w.bitsWrong(1, 1)
		var on []pattern
		for i := range w.patterns {
			if i%n == at {
				x += w.held(&w.patterns[i])
				on = append(on, w.patterns[i])
			} else {
				x += w.quiet(&w.patterns[i])
			}
		}
		x += w.steady(steadyStuck, on...) + oneWay(true, on...)
		w.add(DataLine, w.bitsOf(at), priorData/float64(n), x)
	}
}

// bitsOf names the bits that a chip of a bank holds.
func (w *weighing) bitsOf(chip int) string { return w.array.bitsOf(chip) }

func (a *Array) bitsOf(chip int) string {
	if a.PerChip == 1 {
		return fmt.Sprintf("bit %d", chip)
	}
	return fmt.Sprintf("bits %d-%d", chip*a.PerChip, (chip+1)*a.PerChip-1)
}

// everywhere weighs what makes cells of all chips fail here and there: lost
// charge, a supply that dips, and anything else.
func (w *weighing) everywhere() {
	failing, cells := 0, 0
	for i := range w.patterns {
		failing, cells = failing+w.patterns[i].failing, cells+w.patterns[i].cells
	}
	common := w.anySide() + oneWay(false, w.patterns...)
	// Charge is lost in all chips alike, or in some more than in others; some cells
	// hold theirs whatever happens.
	const alike = 20
	lost := min(max(float64(failing)/float64(cells), 1e-9), 0.95)
	each := -0.5 * math.Log(float64(max(cells, 2))) // the share was taken from the failures themselves
	for i := range w.patterns {
		each += betaBinomial(w.patterns[i].failing, w.patterns[i].cells, alike*lost, alike*(1-lost))
	}
	refresh := logSum(each, anyShare(failing, cells)) - math.Ln2 + w.steady(steadyRefresh, w.patterns...)
	w.add(RefreshFault, "", priorRefresh, refresh+common+w.crowd(1, 1)+w.bitsWrong(6*w.fraction+0.5, 6*(1-w.fraction)+0.5))
	// A dip catches words that follow each other, and about half of their bits.
	c := w.crowding
	supply := betaBinomial(c[1][1], c[1][1]+c[1][0], 8, 1) + betaBinomial(c[0][1], c[0][1]+c[0][0], 0.5, 50) +
		betaBinomial(failing, c.failing()*w.array.width, 5, 5) + w.steady(steadySupply, w.patterns...)
	w.add(SupplyFault, "", priorSupply, supply+common+w.crowd(8, 1)+w.bitsWrong(5, 5))
	// Anything else: the cells of all chips alike, which suits no pattern well and
	// so has to pay for the one it shows. It keeps a great many chips from being
	// called bad at once.
	const anyPattern = 20
	other := anyShare(failing, cells) + w.steady(steadyAnything, w.patterns...) - anyPattern
	w.add(Undescribed, "", priorOther, other+common+w.crowd(1, 1)+w.bitsWrong(1, 1))
}
