package memory

import (
	"math"
	"math/bits"
)

// pattern is what the failures of one chip look like.
type pattern struct {
	cells   int // that the chip has
	failing int // distinct cells that failed
	full    int // failing at every read of one value, never at the other
	partial int // failing at some reads of one value, never at the other
	both    int // failing at reads of either value
	low     int // of full and partial: that read 0 for 1
	row     int // most failing cells in one row
	rows    int // rows of the chip
	column  int
	columns int
	high    [32]int // failing cells with that address line high
	// cellsHigh are all its cells with that address line high.
	cellsHigh [32]int
}

// patterns looks at every chip. Reads are the reads of 0 and of 1 that the test
// makes of each cell; 0 when not known, and full then counts all that fail at
// one value only.
func (t *Tally) patterns(readsOf0, readsOf1 int) []pattern {
	list := make([]pattern, len(t.chips))
	n := len(t.array.Banks[0].Chips)
	var highs [][32]int
	for bank := range t.array.Banks {
		highs = append(highs, t.array.highs(bank))
	}
	full0, full1 := min(readsOf1, 15), min(readsOf0, 15) // reading 0 where 1 was expected, and the reverse
	for i := range t.chips {
		p := &list[i]
		bank := i / n
		per := uint64(t.array.PerChip)
		words := t.array.Banks[bank].Words()
		p.cells = int(words * per)
		for line, h := range highs[bank] {
			p.cellsHigh[line] = h * int(per)
		}
		lines := t.array.rowLines(bank)
		p.rows = 1 << lines
		p.columns = max(1, int(words)>>lines)
		cells := t.chips[i].cells
		if cells == nil {
			continue
		}
		rows, columns := map[uint64]int{}, map[uint64]int{}
		for at, c := range cells {
			if c == 0 {
				continue
			}
			p.failing++
			zero, one := int(c&0x0f), int(c>>4)
			switch {
			case zero > 0 && one > 0:
				p.both++
			case zero > 0:
				p.low++
				if zero >= full0 {
					p.full++
				} else {
					p.partial++
				}
			default:
				if one >= full1 {
					p.full++
				} else {
					p.partial++
				}
			}
			word := uint64(at) / per
			row, column := t.array.cell(bank, word)
			plane := uint64(at) % per << 40 // each bit of a wide chip has rows and columns of its own
			rows[row|plane]++
			columns[column|plane]++
			p.row, p.column = max(p.row, rows[row|plane]), max(p.column, columns[column|plane])
			for a := t.array.Address(bank, word); a != 0; a &= a - 1 {
				p.high[bits.TrailingZeros32(uint32(a))]++
			}
		}
	}
	return list
}

// highs counts, for each address line, the words of a bank at whose address it
// is high.
func (a *Array) highs(bank int) (list [32]int) {
	b := &a.Banks[bank]
	if b.Every == 1 { // up to an address n, a line is high in whole periods and in what is left
		below := func(n uint64, line int) int {
			period := uint64(2) << line
			whole, left := n/period, n%period
			return int(whole*period/2 + max(left, period/2) - period/2)
		}
		for line := range list {
			list[line] = below(b.Last+1, line) - below(b.First, line)
		}
		return list
	}
	for word := range b.Words() {
		for at := a.Address(bank, word); at != 0; at &= at - 1 {
			list[bits.TrailingZeros32(uint32(at))]++
		}
	}
	return list
}

// crowding says how failing words lie beside each other, in the order of their
// addresses: words by whether the one before failed and whether they do.
type crowding [2][2]int

// crowding looks at the words of all banks in which any chip failed.
func (t *Tally) crowding() (c crowding) {
	n := len(t.array.Banks[0].Chips)
	for bank := range t.array.Banks {
		chips := t.chips[bank*n : (bank+1)*n]
		before := 0
		for word := range t.array.Banks[bank].Words() {
			now := 0
			for i := range chips {
				if cells := chips[i].cells; cells != nil && anyCell(cells, word, uint64(t.array.PerChip)) {
					now = 1
					break
				}
			}
			c[before][now]++
			before = now
		}
	}
	return c
}

// failing is the number of failing words.
func (c crowding) failing() int { return c[0][1] + c[1][1] }

func anyCell(cells []uint8, word, per uint64) bool {
	for _, c := range cells[word*per : (word+1)*per] {
		if c != 0 {
			return true
		}
	}
	return false
}

// betaBinomial is the natural logarithm of the chance that so many of n things,
// each named, happen, when their common chance follows a beta law:
// B(a+k, b+n−k)/B(a, b).
func betaBinomial(k, n int, a, b float64) float64 {
	return logBeta(a+float64(k), b+float64(n-k)) - logBeta(a, b)
}

func logBeta(a, b float64) float64 {
	x, _ := math.Lgamma(a)
	y, _ := math.Lgamma(b)
	z, _ := math.Lgamma(a + b)
	return x + y - z
}

// dirichlet is the natural logarithm of the chance of counts in named things
// when the chances of the kinds follow a Dirichlet law.
func dirichlet(counts [3]int, weights [3]float64) float64 {
	n, total, sum := 0, 0.0, 0.0
	for i, w := range weights {
		n += counts[i]
		total += w
		a, _ := math.Lgamma(w + float64(counts[i]))
		b, _ := math.Lgamma(w)
		sum += a - b
	}
	a, _ := math.Lgamma(total)
	b, _ := math.Lgamma(total + float64(n))
	return sum + a - b
}

// logSum adds numbers that are given by their logarithms.
func logSum(list ...float64) float64 {
	most := math.Inf(-1)
	for _, x := range list {
		most = math.Max(most, x)
	}
	if math.IsInf(most, -1) {
		return most
	}
	sum := 0.0
	for _, x := range list {
		sum += math.Exp(x - most)
	}
	return most + math.Log(sum)
}
