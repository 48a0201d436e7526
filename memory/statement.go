package memory

import (
	"errors"
	"fmt"
	"math"
	"math/bits"
	"slices"
	"strconv"
	"strings"
)

// Statement is what a self-test says: which bits are wrong, and where.
type Statement struct {
	Bits        uint64 // mask of wrong bits; 0 when it names a place only
	First, Last uint64 // addresses, both inside
	Placed      bool   // whether addresses were named
	Banks       []string
	Chips       []string
	// FirstOnly tells that the test stops at its first failure, so that what it
	// does not name may be bad too.
	FirstOnly bool
	// Passes tells that the test found nothing wrong; then all else is zero.
	Passes bool
}

// ParseStatement reads what a self-test says, in words of the bench, each of
// which may be left out: "bit 3", "bits 0,3", "mask 08" (hexadecimal), "chip U23",
// "bank 1", "at 4A37", "4000-7FFF", "expected 55 read 54", and "first" when the
// test stops at its first failure; or "passes" alone. The order does not matter. The error names
// the word that says nothing.
func ParseStatement(text string) (Statement, error) {
	var s Statement
	words := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" \t\n\r;", r) })
	if len(words) > 64 {
		return s, errors.New("a statement of more than 64 words; write what is wrong and where, as in bit 3 at 4000-7FFF")
	}
	var want, got uint64
	compared := 0
	for i := 0; i < len(words); i++ {
		word := strings.ToLower(strings.Trim(words[i], ",:."))
		next := func() (string, error) {
			if i++; i == len(words) {
				return "", fmt.Errorf("%q says nothing without what follows it", word)
			}
			return strings.Trim(words[i], ",:."), nil
		}
		var value string
		var err error
		switch word {
		case "", "and", "is", "in", "from", "fails", "bad", "wrong", "error", "to":
			continue
		case "first", "only":
			s.FirstOnly = true
			continue
		case "passes", "passed":
			s.Passes = true
			continue
		case "bit", "bits", "mask", "bank", "chip", "at", "address", "expected", "wrote", "read", "got":
			if value, err = next(); err != nil {
				return s, err
			}
		}
		switch word {
		case "bit", "bits":
			for _, one := range strings.Split(value, ",") {
				n, err := strconv.Atoi(one)
				if err != nil || n < 0 || n >= mostWidth {
					return s, fmt.Errorf("%.20q is no bit; write 0 to %d", one, mostWidth-1)
				}
				s.Bits |= 1 << n
			}
			for i+1 < len(words) && allDigits(strings.Trim(words[i+1], ",:.")) { // bits 0, 3
				i++
				n, _ := strconv.Atoi(strings.Trim(words[i], ",:."))
				if n < 0 || n >= mostWidth {
					return s, fmt.Errorf("%.20q is no bit; write 0 to %d", words[i], mostWidth-1)
				}
				s.Bits |= 1 << n
			}
		case "mask":
			mask, err := hexadecimal(value)
			if err != nil {
				return s, err
			}
			s.Bits |= mask
		case "bank":
			s.Banks = append(s.Banks, value)
		case "chip":
			s.Chips = append(s.Chips, value)
		case "expected", "wrote", "read", "got":
			v, err := hexadecimal(value)
			if err != nil {
				return s, err
			}
			if compared++; word == "expected" || word == "wrote" {
				want = v
			} else {
				got = v
			}
		case "at", "address":
			if err := s.place(value); err != nil {
				return s, err
			}
		default:
			if err := s.place(word); err != nil {
				return s, fmt.Errorf("%.20q says nothing here; write it as in bit 3 at 4000-7FFF, mask 08 bank 1, at 4A37 expected 55 read 54, or passes", words[i])
			}
		}
	}
	if compared == 1 {
		return s, errors.New("write both what was expected and what was read, as in expected 55 read 54")
	}
	s.Bits |= want ^ got
	if s.Passes {
		if s.FirstOnly || s.Bits != 0 || s.Placed || len(s.Chips)+len(s.Banks) > 0 {
			return s, errors.New("a test that passes names nothing bad; write passes alone, or what is wrong, as in bit 3 at 4000-7FFF")
		}
		return s, nil
	}
	if s.Bits == 0 && len(s.Chips) == 0 && !s.Placed && len(s.Banks) == 0 {
		return s, errors.New("the statement names no bit, chip, bank or address; write it as in bit 3 at 4000-7FFF")
	}
	return s, nil
}

func allDigits(text string) bool {
	for _, c := range []byte(text) {
		if c < '0' || c > '9' {
			return false
		}
	}
	return text != "" && len(text) <= 2
}

// place reads an address or a range of them.
func (s *Statement) place(text string) error {
	first, last, ranged := strings.Cut(text, "-")
	if !ranged {
		first, last, ranged = strings.Cut(text, "..")
	}
	if !ranged {
		last = first
	}
	from, err := hexadecimal(first)
	if err != nil {
		return err
	}
	to, err := hexadecimal(last)
	switch {
	case err != nil:
		return err
	case s.Placed:
		return fmt.Errorf("%.20q is a second address; write one range, or two statements", text)
	case to < from:
		return fmt.Errorf("%.40q runs downwards", text)
	}
	s.First, s.Last, s.Placed = from, to, true
	return nil
}

// hexadecimal reads "4A37", "0x4A37", "$4A37" or "4A37h", of at most eight
// digits.
func hexadecimal(text string) (uint64, error) {
	digits := strings.ToLower(text)
	for _, mark := range []string{"0x", "$"} {
		if rest, ok := strings.CutPrefix(digits, mark); ok {
			digits = rest
			break
		}
	}
	digits = strings.TrimSuffix(digits, "h")
	value, err := strconv.ParseUint(digits, 16, 64)
	if err != nil || len(digits) > 8 {
		return 0, fmt.Errorf("%.20q is no hexadecimal number of at most eight digits, such as 4A37", text)
	}
	return value, nil
}

// Named lists the chips that a statement names, as numbers counted through the
// banks. The error says which name or address the array does not have.
func (a *Array) Named(s Statement) ([]int, error) {
	if s.Passes {
		return nil, nil
	}
	n := len(a.Banks[0].Chips)
	in := make([]bool, len(a.Banks))
	for bank := range a.Banks {
		b := &a.Banks[bank]
		in[bank] = !s.Placed || b.First <= s.Last && s.First <= b.Last && (s.First != s.Last || b.holds(s.First))
		if len(s.Banks) > 0 {
			in[bank] = in[bank] && slices.Contains(s.Banks, b.Name)
		}
	}
	for _, name := range s.Banks {
		if !slices.ContainsFunc(a.Banks, func(b Bank) bool { return b.Name == name }) {
			return nil, fmt.Errorf("the array has no bank %q", name)
		}
	}
	if s.Bits>>a.width != 0 {
		return nil, fmt.Errorf("bit %d is wrong, but a word has %d bits", bits.Len64(s.Bits)-1, a.width)
	}
	var list []int
	for bank := range a.Banks {
		for i := range n {
			mask := uint64(1<<a.PerChip-1) << (i * a.PerChip)
			if in[bank] && (s.Bits == 0 && len(s.Chips) == 0 || s.Bits&mask != 0) {
				list = append(list, bank*n+i)
			}
		}
	}
	for _, name := range s.Chips {
		found := false
		for i := range a.ChipCount() {
			if a.ChipName(i) == name {
				found = true
				if !slices.Contains(list, i) {
					list = append(list, i)
				}
			}
		}
		if !found {
			return nil, fmt.Errorf("the array has no chip %q", name)
		}
	}
	if len(list) == 0 {
		return nil, errors.New("no bank holds what the statement names")
	}
	slices.Sort(list)
	return list, nil
}

// The chances that a self-test names a bad chip, and that it names a good one.
// Common practice, no source.
const (
	namesBad  = 0.95
	namesGood = 0.002
)

// chance is that of a chip being named or not. One that stops at its first
// failure may not have come to a bad chip.
func (s *Statement) chance(bad, named bool) float64 {
	p := namesGood
	switch {
	case bad && s.FirstOnly && !named:
		return 0.5
	case bad:
		p = namesBad
	}
	if named {
		return p
	}
	return 1 - p
}

// DiagnoseStatement weighs what a self-test says. It says less than a list of
// failures: which class outside the chips it is, among address lines, refresh
// and supply, cannot be told.
func (a *Array) DiagnoseStatement(s Statement) (Diagnosis, error) {
	if s.Passes {
		return Diagnosis{}, errors.New("the test passed: there is nothing to diagnose")
	}
	named, err := a.Named(s)
	if err != nil {
		return Diagnosis{}, err
	}
	n, total := len(a.Banks[0].Chips), a.ChipCount()
	says := func(bad func(chip int) bool) float64 { // logarithm of the chance of what it says
		x := 0.0
		for i := range total {
			is := slices.Contains(named, i)
			x += math.Log(s.chance(bad(i), is))
		}
		return x
	}
	type hypothesis struct {
		Cause
		weight float64
	}
	var list []hypothesis
	add := func(class Class, what string, prior float64, bad func(chip int) bool) {
		list = append(list, hypothesis{Cause{Class: class, What: what}, math.Log(prior) + says(bad)})
	}
	everything := func(int) bool { return true }
	add(AddressLine, "", priorAddress, everything)
	add(RefreshFault, "", priorRefresh, everything)
	add(SupplyFault, "", priorSupply, everything)
	for bank := range a.Banks {
		add(BankSelect, "bank "+a.Banks[bank].Name, priorSelect/float64(len(a.Banks)), func(i int) bool { return i/n == bank })
	}
	for at := range n {
		if len(a.Banks) > 1 {
			add(DataLine, a.bitsOf(at), priorData/float64(n), func(i int) bool { return i%n == at })
		}
	}
	list = append(list, hypothesis{Cause{Class: Undescribed}, math.Log(priorOther) - float64(total)*math.Ln2})
	// Chips by themselves: each good or bad.
	alone := math.Log(priorChips)
	bad := make([]float64, total)
	for i := range total {
		is := slices.Contains(named, i)
		good, broken := math.Log((1-chipBad)*s.chance(false, is)), math.Log(chipBad*s.chance(true, is))
		sum := logSum(good, broken)
		alone += sum
		bad[i] = math.Exp(broken - sum)
	}
	weights := []float64{alone}
	for _, h := range list {
		weights = append(weights, h.weight)
	}
	sum := logSum(weights...)
	d := Diagnosis{Remarks: []string{"a self-test's statement cannot tell one cell from a whole chip, nor an address line from refresh or supply; a list of failing addresses can"}}
	for _, h := range list {
		h.Probability = math.Exp(h.weight - sum)
		d.Outside += h.Probability
		d.Causes = append(d.Causes, h.Cause)
	}
	for i := range total {
		p := math.Exp(alone-sum) * bad[i]
		d.Chips = append(d.Chips, ChipVerdict{Chip: a.ChipName(i), Bank: a.Banks[i/n].Name, Bits: a.bitsOf(i % n), Bad: p, Cells: int(a.Banks[i/n].Words()) * a.PerChip})
		d.Causes = append(d.Causes, Cause{BadChip, a.ChipName(i), p})
	}
	d.sort()
	return d, nil
}
