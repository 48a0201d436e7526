package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"halfsplit/form"
	"halfsplit/quantity"
)

func (c *checker) memories() {
	for i := range c.Memories {
		m := &c.Memories[i]
		c.kind(m.Kind, false)
		for _, in := range m.Inputs {
			c.known(in, &c.signals, "signal or rail")
		}
		for _, s := range m.Supply {
			c.known(s, &c.signals, "rail")
		}
		if len(m.Banks) == 0 && c.whole(m.Place) {
			c.add(m.Place, "list its banks, each with its chips", "memory %q has no banks", m.Name.Text)
		}
		if m.Bits < 0 || m.Bits > 32 {
			c.add(m.Place, "write how many bits of a word one chip holds, such as 1, 4 or 8", `"bits per chip" is %d`, m.Bits)
		}
		for _, lines := range [][]form.Word{m.Row, m.Column} {
			for _, line := range lines {
				if _, err := AddressLines(line.Text); err != nil {
					c.add(line.Place, "write A3 for one line, or A0-A6 for several", "%s", err)
				}
			}
		}
		like := usualBank(m.Banks)
		banks := seen{}
		for _, b := range m.Banks {
			c.once(banks, b.Name, "bank")
			if n := len(b.Chips); (n == 0 || n != len(like.Chips)) && c.whole(b.Place) && c.whole(like.Place) {
				c.add(b.Place, "list every chip, bit 0 first", "bank %q has %s, and bank %q has %d", b.Name.Text, count(n, "chip"), like.Name.Text, len(like.Chips))
			}
			from, okFrom := c.address(b.From)
			to, okTo := c.address(b.To)
			if b.Every < 0 || b.Every > 64 {
				c.add(b.Place, "write 2 for banks that take addresses in turn by two", `"every" is %d`, b.Every)
			}
			if okFrom && okTo && to < from {
				c.add(b.To.Place, "write the first address under from and the last under to", "bank %q runs from %s down to %s", b.Name.Text, b.From.Text, b.To.Text)
			}
		}
	}
}

// count gives a number of things in words.
func count(n int, what string) string {
	switch n {
	case 0:
		return "no " + what + "s"
	case 1:
		return "one " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// usualBank gives the first of the banks that have the number of chips which
// most of them have.
func usualBank(banks []Bank) *Bank {
	count := map[int]int{}
	for _, b := range banks {
		count[len(b.Chips)]++
	}
	var usual *Bank
	for i := range banks {
		if usual == nil || count[len(banks[i].Chips)] > count[len(usual.Chips)] {
			usual = &banks[i]
		}
	}
	return usual
}

// AddressLines reads one address line or a run of them: "A3", "A0-A6", "A6-A0".
func AddressLines(text string) ([]int, error) {
	first, last, run := strings.Cut(text, "-")
	if !run {
		last = first
	}
	var ends [2]int
	for i, end := range []string{first, last} {
		n, ok := strings.CutPrefix(strings.ToUpper(strings.TrimSpace(end)), "A")
		line, err := strconv.Atoi(n)
		if !ok || err != nil || line < 0 || line > 31 {
			return nil, fmt.Errorf("%.40q names no address lines", text)
		}
		ends[i] = line
	}
	step := 1
	if ends[1] < ends[0] {
		step = -1
	}
	var lines []int
	for line := ends[0]; ; line += step {
		lines = append(lines, line)
		if line == ends[1] {
			return lines, nil
		}
	}
}

// address checks a hexadecimal address.
func (c *checker) address(word form.Word) (uint64, bool) {
	if word.Text == "" {
		return 0, false
	}
	value, ok := Address(word.Text)
	if !ok {
		c.add(word.Place, "write it in hexadecimal, as in 3FFF", "%.40q is no address", word.Text)
	}
	return value, ok
}

// Address reads a hexadecimal address of at most eight digits: "3FFF",
// "0x3FFF", "$3FFF" or "3FFFh".
func Address(text string) (uint64, bool) {
	digits := strings.ToLower(text)
	for _, mark := range []string{"0x", "$"} {
		if rest, ok := strings.CutPrefix(digits, mark); ok {
			digits = rest
			break
		}
	}
	digits = strings.TrimSuffix(digits, "h")
	const most = 8
	value, ok := uint64(0), len(digits) > 0 && len(digits) <= most
	for _, d := range digits {
		i := strings.IndexRune("0123456789abcdef", d)
		if i < 0 || !ok {
			ok = false
			break
		}
		value = value<<4 | uint64(i)
	}
	return value, ok
}

func (c *checker) checks() {
	once := seen{}
	c.causes = newCauses(c.Sheet)
	for i := range c.Checks {
		check := &c.Checks[i]
		c.once(once, check.Name, "check")
		c.notNegative(check.Place, amount{"takes", check.Time})
		var answers names
		given := seen{}
		for _, a := range check.Answers {
			c.once(given, a, "answer")
			answers.add(a)
		}
		whole := c.whole(check.Place)
		if n := len(answers.list); n < 2 && whole {
			c.add(check.Place, "a check tells something only if it can come out in two ways or more", "check %q has %s", check.Name.Text, count(n, "answer"))
		}
		c.chances(check.Otherwise, &answers, whole)
		for _, cause := range check.Causes {
			whole := c.whole(cause.Place)
			if whole && (len(cause.If) == 0 || len(cause.Then) == 0) {
				c.add(cause.Place, "write what is bad under if, and the chance of each answer under then", "this line of check %q says nothing", check.Name.Text)
			}
			c.chances(cause.Then, &answers, whole)
			for _, word := range cause.If {
				c.cause(word)
			}
		}
	}
}

// cause checks one cause of a check's table.
func (c *checker) cause(word form.Word) {
	if word.Text == "" {
		return
	}
	if _, err := c.causes.read(word.Text); err != nil {
		if first, _, _ := strings.Cut(word.Text, " "); err.begins && (c.lost(word.Text, true) || c.lost(first, true)) {
			return
		}
		c.add(word.Place, err.suggest(c), "%s", err.message)
	}
}

// chances checks a list of answers with their chances; whole tells whether all
// of it could be read.
func (c *checker) chances(list form.Pairs[quantity.Quantity], answers *names, whole bool) {
	sum := 0.0
	for answer, q := range list.All() {
		if len(answers.list) > 0 {
			c.known(answer, answers, "answer")
		}
		if q.Value < 0 || q.Value > 1 {
			c.add(answer.Place, "write a chance from 0 % to 100 %", "the chance of %q is %s", answer.Text, q)
			whole = false
		}
		sum += q.Value
	}
	if len(list) > 0 && whole && math.Abs(sum-1) > 0.005 {
		hint := "they must add up to 100 %"
		if math.Abs(100*sum-1) < 0.005 {
			hint += "; write 90 %, not 0.9"
		}
		c.add(list[0].Key.Place, hint, "the chances add up to %s", quantity.FormatDigits(sum, quantity.Percent, 3))
	}
}

func (c *checker) hazards() {
	once := seen{}
	for i := range c.Hazards {
		h := &c.Hazards[i]
		c.once(once, h.Name, "hazard")
		c.notNegative(h.Place, amount{"capacitance", h.Capacity}, amount{"bleeder", h.Bleeder})
		for _, part := range h.Parts {
			c.known(part, &c.items, "part or block")
		}
		for _, at := range h.At {
			c.known(at, &c.signals, "signal or rail")
		}
	}
}

func (c *checker) photos() {
	if len(c.Photos) == 0 {
		return
	}
	var marks names
	for _, name := range c.points.list {
		marks.addText(name)
	}
	for _, name := range c.items.list {
		marks.addText(name)
	}
	for i := range c.Photos {
		for _, spot := range c.Photos[i].Spots {
			c.known(spot.Name, &marks, "test point, part or block")
			for _, along := range []struct {
				key   string
				value float64
			}{{"x", spot.X}, {"y", spot.Y}} {
				if along.value < 0 || along.value > 1 {
					c.add(spot.Place, "x and y are fractions of the width and height, 0 to 1", "spot %q lies outside the picture: %s is %v", spot.Name.Text, along.key, along.value)
				}
			}
		}
	}
}

// ChipSignal is the name of the signal that chip number i of a bank puts out,
// counted from 0: of its bit, or of its first and last bit.
func (m *Memory) ChipSignal(bank string, i int) string {
	if m.Bits <= 1 {
		return BitSignal(m.Name.Text, bank, i)
	}
	return fmt.Sprintf("%s bank %s bits %d-%d", m.Name.Text, bank, i*m.Bits, (i+1)*m.Bits-1)
}

// BitSignal is the name of the signal that a memory chip puts out.
func BitSignal(memory, bank string, bit int) string {
	return fmt.Sprintf("%s bank %s bit %d", memory, bank, bit)
}
