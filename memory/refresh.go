package memory

import (
	"fmt"
	"strconv"
	"strings"
)

// Refresh says how a dynamic memory is kept alive: every row once in a period.
type Refresh struct {
	Rows   int
	Period float64 // seconds
}

// Interval is the time in seconds between two refreshed rows when they are
// spread evenly: 15.6 µs for 128 rows in 2 ms.
func (r Refresh) Interval() float64 { return r.Period / float64(r.Rows) }

// Load is the share of time that refresh takes when one row takes a cycle of so
// many seconds.
func (r Refresh) Load(cycle float64) float64 { return float64(r.Rows) * cycle / r.Period }

// ServedBy reports whether a refresh counter of so many bits reaches every row.
// A counter of seven bits, as in the Z80, does not keep a 64K chip of the
// 256-row kind.
func (r Refresh) ServedBy(counterBits int) bool {
	return counterBits >= 0 && counterBits < 31 && r.Rows <= 1<<counterBits
}

// Organisation is that of a dynamic memory chip.
type Organisation struct {
	Type    string
	Words   int
	Bits    int
	Row     int // address bits that come with the row strobe
	Column  int // address bits that come with the column strobe
	Refresh Refresh
}

// Organisations lists usual dynamic memory chips. 4116: Museo de los 8 bits,
// "4116 DRAM"; 4164 in both kinds: A. Duell, "Using 4164 for 4116" (2010), and a
// data sheet of NTE; the others from memory.
func Organisations() []Organisation {
	return []Organisation{
		{"4116", 16384, 1, 7, 7, Refresh{128, 2e-3}},
		{"4164, 128-row kind", 65536, 1, 8, 8, Refresh{128, 2e-3}},
		{"4164, 256-row kind", 65536, 1, 8, 8, Refresh{256, 4e-3}},
		{"41256", 262144, 1, 9, 9, Refresh{256, 4e-3}},
		{"4416", 16384, 4, 8, 6, Refresh{256, 4e-3}},
		{"41464", 65536, 4, 8, 8, Refresh{256, 4e-3}},
	}
}

// ParseOrganisation reads the organisation of a memory chip: "16K×1", "64Kx4",
// "1024*4", or a type such as 4116. The error says what would be right.
func ParseOrganisation(text string) (words uint64, bits int, err error) {
	plain := strings.ToUpper(strings.ReplaceAll(strings.TrimSpace(text), " ", ""))
	for _, o := range Organisations() {
		if name, _, _ := strings.Cut(o.Type, ","); plain == name {
			return uint64(o.Words), o.Bits, nil
		}
	}
	first, last := plain, ""
	for _, by := range []string{"×", "X", "*"} {
		if a, b, ok := strings.Cut(plain, by); ok {
			first, last = a, b
			break
		}
	}
	scale := uint64(1)
	for letter, size := range map[string]uint64{"K": 1 << 10, "M": 1 << 20} {
		if rest, ok := strings.CutSuffix(first, letter); ok {
			first, scale = rest, size
		}
	}
	n, err := strconv.ParseUint(first, 10, 32)
	width, err2 := strconv.Atoi(last)
	if err != nil || err2 != nil || n == 0 || width < 1 || width > mostWidth || n*scale > mostCells {
		return 0, 0, fmt.Errorf("%.40q is no organisation of a memory chip; write it as in 16K×1 or 64K×4", text)
	}
	return n * scale, width, nil
}

// EPROMBytes is the size in bytes of an erasable memory of the 27 series by its
// number: 2708, 2716 ... 27512. Common practice, no source.
func EPROMBytes(number int) (int, error) {
	kilobits := number - 2700
	if number >= 27000 {
		kilobits = number - 27000
	}
	if kilobits < 8 || kilobits > 512 || kilobits&(kilobits-1) != 0 {
		return 0, fmt.Errorf("%d is no type of the series 2708, 2716, 2732, 2764, 27128, 27256, 27512", number)
	}
	return kilobits * 128, nil
}
