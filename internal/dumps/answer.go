package dumps

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"halfsplit/internal/prose"
	"halfsplit/memory"
	"halfsplit/quantity"
)

// Answer is what dumps show.
type Answer struct {
	Dumps []Dump       `json:"dumps"`
	Vote  *memory.Vote `json:"vote,omitempty"`
	// Majority are the sums of the image of the majority.
	Majority *memory.Checksums `json:"majority_sums,omitempty"`
	Doubts   []memory.Doubt    `json:"doubtful_bytes,omitempty"`
	Best     *bool             `json:"majority_as_expected,omitempty"`
	Expected string            `json:"expected,omitempty"`
}

// Dump is one dump.
type Dump struct {
	File     string                `json:"file"`
	First    uint32                `json:"from"`
	Bytes    int                   `json:"bytes"`
	Missing  int                   `json:"bytes_not_in_the_file,omitempty"`
	Sums     memory.Checksums      `json:"sums"`
	Findings []memory.ImageFinding `json:"findings,omitempty"`
	// As tells whether one of its sums is the one expected; nil when none is.
	As *bool `json:"as_expected,omitempty"`
}

// mostDoubts is how many doubtful bytes are listed for programs.
const mostDoubts = 10_000

// Ask looks at dumps. Expected is a sum or hash that the right image has, in
// hexadecimal, or empty: it is looked for among all sums of its length. The
// error says which dump does not fit.
func Ask(images []memory.Image, expected string) (*Answer, error) {
	a := &Answer{Expected: strings.ToLower(strings.TrimPrefix(strings.TrimPrefix(strings.TrimSpace(expected), "0x"), "$"))}
	switch len(a.Expected) {
	case 0, 4, 8, 32, 40, 64:
	default:
		return nil, fmt.Errorf("%.70q is no sum that is reckoned here; write a CRC-16 or sum of 4 hexadecimal digits, a CRC-32 of 8, an MD5 of 32, a SHA-1 of 40 or a SHA-256 of 64", expected)
	}
	if strings.Trim(a.Expected, "0123456789abcdef") != "" {
		return nil, fmt.Errorf("%.70q is not hexadecimal", expected)
	}
	for i := range images {
		one := &images[i]
		d := Dump{File: one.Name, First: one.First, Bytes: len(one.Data), Sums: memory.Sum(one.Data), Findings: memory.Inspect(*one)}
		for _, filled := range one.Filled {
			if !filled {
				d.Missing++
			}
		}
		d.As = a.as(d.Sums)
		a.Dumps = append(a.Dumps, d)
	}
	if len(images) < 2 {
		return a, nil
	}
	v, err := memory.Compare(images)
	if err != nil {
		return nil, err
	}
	sums := memory.Sum(v.Majority)
	a.Vote, a.Majority, a.Doubts = v, &sums, v.Doubts(mostDoubts)
	a.Best = a.as(sums)
	return a, nil
}

// as tells whether any sum is the expected one.
func (a *Answer) as(s memory.Checksums) *bool {
	if a.Expected == "" {
		return nil
	}
	is := a.Expected == s.MD5 || a.Expected == s.SHA1 || a.Expected == s.SHA256 || a.Expected == fmt.Sprintf("%04x", s.Sum16)
	for _, crc := range s.CRC {
		is = is || a.Expected == crc
	}
	return &is
}

// Text prints an answer for people.
func Text(out io.Writer, a *Answer) error {
	t := prose.New(out)
	for i := range a.Dumps {
		d := &a.Dumps[i]
		from := ""
		if d.First > 0 {
			from = fmt.Sprintf(" from %04X", d.First)
		}
		t.Line("%s: %d bytes%s", d.File, d.Bytes, from)
		if d.Missing > 0 {
			t.Line("  %d of them are not in the file, and stand as FF", d.Missing)
		}
		sums(t, d.Sums, len(a.Dumps) > 3)
		expected(t, d.As)
		for _, f := range d.Findings {
			t.Fold("  ! ", "    ", f.What+": "+f.Why)
		}
	}
	if v := a.Vote; v != nil {
		vote(t, a, v)
	}
	return t.Err()
}

func expected(t *prose.Writer, as *bool) {
	switch {
	case as == nil:
	case *as:
		t.Line("  as expected")
	default:
		t.Line("  NOT as expected")
	}
}

func sums(t *prose.Writer, s memory.Checksums, short bool) {
	t.Line("  CRC-32 %s  sum %04X  SHA-1 %s", s.CRC["CRC-32"], s.Sum16, s.SHA1)
	if short {
		return
	}
	t.Line("  CRC-16 %s (CCITT-FALSE), %s (XMODEM), %s (ARC); to zero %02X, xor %02X", s.CRC["CRC-16 CCITT-FALSE"], s.CRC["CRC-16 XMODEM"], s.CRC["CRC-16 ARC"], s.Minus8, s.Xor8)
	t.Line("  MD5 %s", s.MD5)
	t.Line("  SHA-256 %s", s.SHA256)
}

func vote(t *prose.Writer, a *Answer, v *memory.Vote) {
	t.Section(fmt.Sprintf("%d DUMPS TOGETHER", v.Dumps))
	if v.Unsteady == 0 {
		t.Fold("  ", "  ", "All are the same. That they were read the same way each time is no proof that they are right: compare the sums with those of others.")
		return
	}
	t.Fold("  ", "  ", fmt.Sprintf("%d of %d bits are not the same in all dumps, in %d bytes. Later dumps differ from the first in %s bits.", v.Unsteady, 8*v.Bytes, v.InBytes, numbers(v.Changed)))
	t.Fold("  ", "  ", fmt.Sprintf("A single reading of a bit is wrong with about %s; %d bits have a majority that is right with less than 99.9 %%, and %d stand even.", quantity.FormatDigits(v.Error, quantity.Percent, 2), v.Doubtful, v.Ties))
	lines := []string{}
	for bit, n := range v.Lines {
		lines = append(lines, fmt.Sprintf("D%d %d", bit, n))
	}
	t.Fold("  ", "  ", "By data line: "+strings.Join(lines, ", ")+".")
	oneLine := -1 // that nearly all of them are on: cells do not decay by lines
	for bit, n := range v.Lines {
		if v.Unsteady >= 20 && 20*n >= 19*v.Unsteady {
			oneLine = bit
		}
		if v.Unsteady >= 20 && 2*n > v.Unsteady {
			t.Fold("  ! ", "    ", fmt.Sprintf("most are on D%d: look at that output, its socket pin and line before reading again", bit))
		}
	}
	way := "to 1, as an erasable memory loses its charge"
	if v.Set > v.Erased {
		way = "to 0"
	}
	t.Fold("  ", "  ", fmt.Sprintf("From one dump to the next %d bits went to 1 and %d to 0.", v.Erased, v.Set))
	switch {
	case oneLine >= 0 && v.Drift > 0.1:
		t.Fold("  ! ", "    ", fmt.Sprintf("They go one way, but nearly all on D%d: cells do not decay by lines. The output, its pin or the line was held in some of the dumps; those count for nothing.", oneLine))
	case v.Drift >= 0.9:
		t.Fold("  ! ", "    ", fmt.Sprintf("They decay, with %s: they go one way, %s. The first dump is the best; the majority is not. Read no more than needed, at the lowest supply and the slowest speed at which it still reads, and copy it.", prose.Percent(v.Drift), way))
	case v.Drift > 0.1:
		t.Fold("  ? ", "    ", fmt.Sprintf("Whether they decay or are misread is not clear (decay %s); one more dump would tell.", prose.Percent(v.Drift)))
	default:
		t.Fold("  ", "  ", "They go both ways: misread, not decayed. Clean the pins, check the supply, and read again.")
	}
	t.Line("  The majority:")
	sums(t, *a.Majority, true)
	expected(t, a.Best)
	const most = 16
	least := slices.Clone(a.Doubts)
	slices.SortStableFunc(least, func(a, b memory.Doubt) int { return cmp.Compare(a.Sure, b.Sure) })
	for i, d := range least {
		if i == most {
			t.Line("    ... and %d more bytes", v.InBytes-most)
			break
		}
		t.Line("    %06X  majority %02X, unsteady bits %08b, sure %s", d.At, d.Value, d.Bits, quantity.FormatDigits(d.Sure, quantity.Percent, 4))
	}
}

func numbers(list []int) string {
	var words []string
	for _, n := range list {
		words = append(words, fmt.Sprint(n))
	}
	return strings.Join(words, ", ")
}
