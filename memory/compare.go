package memory

import (
	"errors"
	"fmt"
	"math"
	"math/bits"
)

// mostDumps is the largest number of dumps that are compared.
const mostDumps = 255

// Vote is what several dumps of one memory say together.
type Vote struct {
	Dumps    int   `json:"dumps"`
	Bytes    int   `json:"bytes"`
	Unsteady int   `json:"unsteady_bits"`  // not the same in every dump
	InBytes  int   `json:"unsteady_bytes"` // bytes with such a bit
	Always1  int   `json:"always_one"`
	Always0  int   `json:"always_zero"`
	Changed  []int `json:"differ_from_first"` // bits of each later dump that differ from the first
	// Error is the estimated chance that one reading of one bit is wrong.
	Error float64 `json:"reading_error"`
	// Doubtful are the bits whose majority is right with less than 99.9 %.
	Doubtful int `json:"doubtful_bits"`
	Ties     int `json:"ties"`
	// Erased and Set count, over all pairs of a dump and the next, the bits that
	// went from 0 to 1 (as an erasing memory's do) and from 1 to 0.
	Erased int `json:"went_to_one"`
	Set    int `json:"went_to_zero"`
	// Lines counts the unsteady bits of each data line.
	Lines [8]int `json:"unsteady_by_data_line"`
	// Drift is the probability that bits decay one way between reads rather
	// than being misread either way; of use when dumps stand in order of time.
	Drift float64 `json:"decay"`
	// Majority is the image of the majority; a tie is the last reading.
	Majority []byte `json:"-"`
	ones     []uint8
	a, b     float64 // beta law of the error of one bit
}

// Compare votes over dumps of the same memory, in the order in which they were
// read. The error says which dump does not fit the others.
func Compare(dumps []Image) (*Vote, error) {
	switch {
	case len(dumps) < 2:
		return nil, errors.New("a vote needs two dumps or more")
	case len(dumps) > mostDumps:
		return nil, fmt.Errorf("%d dumps; at most %d", len(dumps), mostDumps)
	}
	first := &dumps[0]
	v := &Vote{Dumps: len(dumps), Bytes: len(first.Data), ones: make([]uint8, 8*len(first.Data)), Majority: make([]byte, len(first.Data))}
	if v.Bytes == 0 {
		return nil, fmt.Errorf("%s is empty", first.Name)
	}
	for n := range dumps {
		d := &dumps[n]
		if len(d.Data) != v.Bytes || d.First != first.First {
			return nil, fmt.Errorf("%s holds %d bytes from %04X, and %s %d bytes from %04X; dumps of one memory have one size", d.Name, len(d.Data), d.First, first.Name, v.Bytes, first.First)
		}
		differ := 0
		for i, b := range d.Data {
			differ += bits.OnesCount8(b ^ first.Data[i])
			for x := b; x != 0; x &= x - 1 {
				v.ones[8*i+bits.TrailingZeros8(x)]++
			}
			if n > 0 {
				before := dumps[n-1].Data[i]
				v.Erased += bits.OnesCount8(b &^ before)
				v.Set += bits.OnesCount8(before &^ b)
			}
		}
		if n > 0 {
			v.Changed = append(v.Changed, differ)
		}
	}
	v.count(dumps[len(dumps)-1].Data)
	v.weigh()
	return v, nil
}

// count counts bits and takes the majority.
func (v *Vote) count(last []byte) {
	for i := range v.Majority {
		unsteady := false
		for bit := range 8 {
			ones := int(v.ones[8*i+bit])
			switch ones {
			case 0:
				v.Always0++
			case v.Dumps:
				v.Always1++
			default:
				v.Unsteady++
				v.Lines[bit]++
				unsteady = true
			}
			switch {
			case 2*ones == v.Dumps:
				v.Ties++
				v.Majority[i] |= last[i] & (1 << bit)
			case 2*ones > v.Dumps:
				v.Majority[i] |= 1 << bit
			}
		}
		if unsteady {
			v.InBytes++
		}
	}
}

// weigh estimates how often a reading is wrong, and what changes mean.
//
// Bits differ in how often they are misread: most never, a few often. Their
// error follows a beta law whose mean is that of all readings in the minority and
// whose width is the one that makes the counts of minorities likeliest. Bits that
// truly changed count as misread too, so that the error is rather too large than
// too small.
//
// Of the bits that changed from one dump to the next, so many went one way:
// decay takes them one way nearly always (beta law 20, 1), misreading either
// way. Misread bits come back, so that equal numbers go each way.
func (v *Vote) weigh() {
	minorities := make([]int, v.Dumps/2+1)
	wrong := 0
	for _, k := range v.ones {
		m := min(int(k), v.Dumps-int(k))
		minorities[m]++
		wrong += m
	}
	v.Error = (float64(wrong) + 0.5) / (float64(len(v.ones)*v.Dumps) + 1)
	best := math.Inf(-1)
	for step := range 81 {
		a := math.Pow(10, float64(step)/20-3.5) // up to √10
		b := a * (1 - v.Error) / v.Error
		fits := 0.0
		for m, n := range minorities {
			fits += float64(n) * logSum(betaBinomial(m, v.Dumps, a, b), betaBinomial(v.Dumps-m, v.Dumps, a, b))
		}
		if fits > best {
			best, v.a, v.b = fits, a, b
		}
	}
	for _, k := range v.ones {
		if v.Confidence(int(k)) < 0.999 {
			v.Doubtful++
		}
	}
	n := v.Erased + v.Set
	if n == 0 {
		return
	}
	up := betaBinomial(v.Erased, n, 20, 1)
	down := betaBinomial(v.Set, n, 20, 1)
	noise := betaBinomial(v.Erased, n, 20, 20)
	const decays = 0.2 // beforehand; common practice, no source
	decay := math.Log(decays) + logSum(up, down) - math.Ln2
	v.Drift = math.Exp(decay - logSum(decay, math.Log(1-decays)+noise))
}

// Confidence is the probability that the majority of a bit that was read 1 in so
// many of the dumps is right: against its minority, by the law of errors that
// the dumps show.
func (v *Vote) Confidence(ones int) float64 {
	m := min(ones, v.Dumps-ones)
	right, wrong := betaBinomial(m, v.Dumps, v.a, v.b), betaBinomial(v.Dumps-m, v.Dumps, v.a, v.b)
	return math.Exp(right - logSum(right, wrong))
}

// Ones is in how many dumps a bit was read 1.
func (v *Vote) Ones(at, bit int) int { return int(v.ones[8*at+bit]) }

// Doubt is a byte with bits that are not steady.
type Doubt struct {
	At    int     `json:"offset"`
	Value byte    `json:"majority"`
	Bits  byte    `json:"unsteady"`
	Sure  float64 `json:"sure"` // of the least sure of these bits
}

// Doubts lists the bytes with unsteady bits, by address, at most so many.
func (v *Vote) Doubts(most int) []Doubt {
	var list []Doubt
	for at := 0; at < v.Bytes && len(list) < most; at++ {
		d := Doubt{At: at, Value: v.Majority[at], Sure: 1}
		for bit := range 8 {
			if k := v.Ones(at, bit); k > 0 && k < v.Dumps {
				d.Bits |= 1 << bit
				d.Sure = min(d.Sure, v.Confidence(k))
			}
		}
		if d.Bits != 0 {
			list = append(list, d)
		}
	}
	return list
}
