package sheet

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"

	"halfsplit/fault"
	"halfsplit/internal/form"
	"halfsplit/metrology"
	"halfsplit/quantity"
	"halfsplit/signal"
)

// Load reads and checks the sheet in a file. The error is form.Problems when
// the page is at fault, else that of the file system.
func Load(path string) (*Sheet, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return Parse(path, text)
}

// Parse reads and checks a sheet. The error is form.Problems with every
// mistake; file is the name used in them.
func Parse(file string, text []byte) (*Sheet, error) {
	s := &Sheet{file: file}
	var problems form.Problems
	if err := form.Read(file, text, s); err != nil {
		found, ok := err.(form.Problems)
		if !ok {
			return nil, err
		}
		problems = found
	}
	c := checker{Sheet: s, declared: map[string]form.Place{}, users: map[string][]string{}}
	if s.Place.Line > 0 {
		c.all()
	}
	problems = append(problems, c.problems.In(file)...)
	if err := problems.Err(); err != nil {
		return nil, err
	}
	return s, nil
}

// checker checks what one value alone cannot show: names and their uses.
type checker struct {
	*Sheet
	problems form.Problems
	declared map[string]form.Place // designators of parts and blocks
	signals  names
	items    names
	points   names
	parts    names // those in the list of parts
	nodes    names // of all circuits
	users    map[string][]string
}

// names is a set of names that keeps their order, to look up and to suggest.
type names struct {
	list []string
	set  map[string]bool
}

func (n *names) add(all ...string) {
	if n.set == nil {
		n.set = map[string]bool{}
	}
	for _, name := range all {
		if name != "" && !n.set[name] {
			n.set[name] = true
			n.list = append(n.list, name)
		}
	}
}

func (n *names) has(name string) bool { return n.set[name] }

func (c *checker) add(at form.Place, hint, format string, values ...any) {
	c.problems.Add(at, fmt.Sprintf(format, values...), hint)
}

func (c *checker) all() {
	if c.Version != Version && c.Version != 0 {
		c.add(c.Place, fmt.Sprintf("this program reads version %d", Version), "the sheet is of version %d", c.Version)
	}
	if c.Model.Year != 0 && (c.Model.Year < 1900 || c.Model.Year > 2100) {
		c.add(c.Place, "write the year in four digits", "%d is no year of make", c.Model.Year)
	}
	c.collect()
	c.rails()
	c.testPoints()
	for i := range c.Parts {
		c.part(&c.Parts[i], nil)
	}
	c.blocks()
	for i := range c.Outside {
		if o := &c.Outside[i]; o.Kind.Text != "" {
			c.kind(o.Kind)
		}
	}
	for name, circuit := range c.Circuits.All() {
		c.circuit(name, circuit)
	}
	c.memories()
	c.checks()
	c.hazards()
	c.photos()
	c.driven()
}

// collect gathers every name that others may refer to, who uses each part,
// and reports names that are declared twice.
func (c *checker) collect() {
	rails := map[string]form.Place{}
	for _, r := range c.Rails {
		c.once(rails, r.Name, "rail")
		c.signals.add(r.Name.Text)
		c.signals.add(wordTexts(r.From)...)
		for _, part := range r.Through {
			c.users[part.Text] = append(c.users[part.Text], "rail "+r.Name.Text+" passes through it")
		}
	}
	for _, b := range c.Blocks {
		c.once(c.declared, b.Name, "block or part")
		c.items.add(b.Name.Text)
		c.signals.add(wordTexts(b.Outputs)...)
		for _, part := range b.Parts {
			c.users[part.Text] = append(c.users[part.Text], "block "+b.Name.Text+" lists it")
		}
	}
	outside := map[string]form.Place{}
	for _, o := range c.Outside {
		c.once(outside, o.Signal, "outside signal")
		c.signals.add(o.Signal.Text)
	}
	for i := range c.Parts {
		p := &c.Parts[i]
		c.once(c.declared, p.Name, "block or part")
		c.items.add(p.Name.Text)
		c.parts.add(p.Name.Text)
		if p.Across.Text != "" {
			c.users[p.Name.Text] = append(c.users[p.Name.Text], "it lies across "+p.Across.Text)
		}
	}
	for _, circuit := range c.Circuits.All() {
		if circuit == nil {
			continue
		}
		for i := range circuit.Parts {
			c.once(c.declared, circuit.Parts[i].Name, "block or part")
			c.items.add(circuit.Parts[i].Name.Text)
			c.nodes.add(wordTexts(circuit.Parts[i].Nodes)...)
		}
	}
	memories := map[string]form.Place{}
	for _, m := range c.Memories {
		c.once(memories, m.Name, "memory")
		for _, bank := range m.Banks {
			for bit, chip := range bank.Chips {
				c.once(c.declared, chip, "block or part")
				c.items.add(chip.Text)
				c.signals.add(BitSignal(m.Name.Text, bank.Name.Text, bit))
			}
		}
	}
	points := map[string]form.Place{}
	for _, p := range c.Points {
		c.once(points, p.Name, "test point")
		c.points.add(p.Name.Text)
	}
}

// BitSignal is the name of the signal that a memory chip puts out.
func BitSignal(memory, bank string, bit int) string {
	return fmt.Sprintf("%s bank %s bit %d", memory, bank, bit)
}

// once reports a name that stands twice.
func (c *checker) once(seen map[string]form.Place, name form.Word, what string) {
	if name.Text == "" {
		return
	}
	if first, twice := seen[name.Text]; twice {
		c.add(name.Place, "give each its own name", "%s %q is already on line %d", what, name.Text, first.Line)
		return
	}
	seen[name.Text] = name.Place
}

// known reports a name that is none of those declared.
func (c *checker) known(name form.Word, among *names, what string) {
	if name.Text != "" && !among.has(name.Text) {
		c.add(name.Place, form.Suggest(name.Text, among.list), "there is no %s %q", what, name.Text)
	}
}

func (c *checker) rails() {
	for _, r := range c.Rails {
		for _, from := range r.From {
			if from.Text == r.Name.Text {
				c.add(from.Place, "name what feeds it", "rail %q comes from itself", r.Name.Text)
			}
		}
		for _, through := range r.Through {
			c.known(through, &c.parts, "part")
		}
		if len(r.Through) > 0 && len(r.From) == 0 {
			c.add(r.Through[0].Place, `say where it comes from, as in "from: raw"`, "rail %q passes through parts but comes from nowhere", r.Name.Text)
		}
		if r.Family.Text != "" {
			if _, err := metrology.FamilyLimits(r.Family.Text); err != nil {
				c.add(r.Family.Place, form.Suggest(r.Family.Text, metrology.Families()), "unknown load family %q", r.Family.Text)
			} else if r.Nominal != nil {
				if _, err := metrology.FamilyLimit(r.Family.Text, r.Nominal.Value); err != nil {
					c.add(r.Family.Place, "give limits of your own", "%s", strings.TrimPrefix(err.Error(), "metrology: "))
				}
			}
		}
		c.limits(r.Name.Place, r.Nominal, r.Limits)
		if r.Trip != nil && r.Nominal != nil && math.Abs(r.Trip.Value) <= math.Abs(r.Nominal.Value) {
			c.add(r.Place, "the trip lies beyond the nominal voltage", "rail %q would trip at %s, within its nominal %s", r.Name.Text, r.Trip, r.Nominal)
		}
		c.positive(r.Place, "odds", r.Odds)
	}
}

// limits checks that a nominal value lies within its own limits.
func (c *checker) limits(at form.Place, nominal *quantity.Quantity, limits *Limits) {
	switch {
	case limits == nil:
	case limits.Tolerance != nil && nominal == nil:
		c.add(at, "give the nominal value too, or an interval such as 4.75..5.25 V", "limits %s are about a value that is not given", limits.Text)
	case limits.Tolerance != nil && limits.Tolerance.Unit == quantity.Percent && nominal.Value == 0:
		c.add(at, "give limits in volts, such as ±0.5 V", "%s of zero is zero", limits.Text)
	case nominal == nil:
	case limits.Tolerance != nil && limits.Tolerance.Unit != quantity.Percent && limits.Tolerance.Unit != nominal.Unit:
		c.add(at, "use the unit of the value", "limits %s are in another unit than %s", limits.Text, nominal)
	case limits.Interval != nil && limits.Interval.Unit != nominal.Unit:
		c.add(at, "use the unit of the value", "limits %s are in another unit than %s", limits.Text, nominal)
	case !limits.Around(nominal.Value).Contains(nominal.Value):
		c.add(at, "check sign and digits", "nominal %s lies outside its own limits %s", nominal, limits.Text)
	}
}

func (c *checker) positive(at form.Place, what string, value *float64) {
	if value != nil && !(*value > 0 && *value <= 1000) {
		c.add(at, "a number above 0; 1 means as usual", "%s of %v", what, *value)
	}
}

func (c *checker) testPoints() {
	for _, p := range c.Points {
		if p.Signal.Text != "" {
			c.known(p.Signal, &c.signals, "signal or rail")
		} else if !c.signals.has(p.Name.Text) && !c.nodes.has(p.Name.Text) {
			c.add(p.Name.Place, `say what is seen there, as in "signal: +5"; `+form.Suggest(p.Name.Text, c.signals.list), "test point %q has no signal", p.Name.Text)
		}
		if p.Expect != nil {
			c.limits(p.Expect.Place, p.Expect.Value, p.Limits)
			if p.Expect.Value == nil && p.Limits != nil && p.Limits.Tolerance != nil {
				c.add(p.Expect.Place, "give a value to expect", "limits %s need a value, not the word %q", p.Limits.Text, p.Expect.Word)
			}
			if w := p.Expect.Word; w != "" && signal.Known(w) && slices.Contains([]string{"absent", "bad", "wrong rate", "noisy"}, signal.Canonical(w)) {
				c.add(p.Expect.Place, "expect is what a healthy unit shows there", "a healthy unit does not show %q", w)
			}
		} else if p.Limits != nil && p.Limits.Tolerance != nil {
			c.limits(p.Name.Place, c.railNominal(c.SignalOf(&p)), p.Limits)
		}
		if p.Twin.Text != "" {
			c.known(p.Twin, &c.points, "test point")
		}
	}
}

func (c *checker) railNominal(name string) *quantity.Quantity {
	if r := c.Rail(name); r != nil {
		return r.Nominal
	}
	return nil
}

// circuitKinds are kinds that occur only in circuits.
var circuitKinds = []string{"dc source", "mains source", "pulse source", "current source", "load"}

func (c *checker) kind(kind form.Word) (fault.Kind, bool) {
	k, ok := fault.Find(kind.Text)
	if !ok {
		c.add(kind.Place, form.Suggest(kind.Text, fault.Names()), "unknown kind %q", kind.Text)
	}
	return k, ok
}

func kindOf(name string) fault.Kind {
	k, ok := fault.Find(name)
	if !ok {
		k.Name = strings.ToLower(name)
	}
	return k
}

// part checks one part; circuit is nil for one in the list of parts.
func (c *checker) part(p *Part, circuit *Circuit) {
	if circuit == nil || !slices.Contains(circuitKinds, strings.ToLower(p.Kind.Text)) {
		if _, ok := c.kind(p.Kind); !ok {
			return
		}
	}
	kind := kindOf(p.Kind.Text).Name
	if p.Value.Text != "" {
		c.value(p, kind)
	}
	if p.Across.Text != "" {
		c.known(p.Across, &c.signals, "signal or rail")
	}
	if p.Near.Text != "" {
		c.known(p.Near, &c.items, "part or block")
	}
	c.positive(p.Place, "odds", p.Odds)
	if circuit == nil {
		if users := c.users[p.Name.Text]; len(users) > 1 {
			c.add(p.Name.Place, "describe it in one place", "part %q is used twice: %s", p.Name.Text, strings.Join(users, ", "))
		}
		return
	}
	if len(p.Nodes) < 2 {
		c.add(p.Place, `name its nodes, as in "nodes: [raw, gnd]"`, "part %q connects %d nodes", p.Name.Text, len(p.Nodes))
	}
}

// value parses the value of a part in the unit of its kind.
func (c *checker) value(p *Part, kind string) {
	unit, ok := valueUnits[kind]
	if !ok {
		c.add(p.Value.Place, `use "type" for what is marked on it, as in "type: 2N3055"`, "a %s has no value", kind)
		return
	}
	text, _ := quantity.SplitMode(p.Value.Text)
	q, err := quantity.ParseAs(text, unit)
	if err != nil {
		// "2200 uF 25 V": value and rating together
		if list, asList := quantity.ParseList(text); asList == nil && len(list) > 1 && list[0].Unit == unit {
			p.value = &list[0]
			p.Rated = append(p.Rated, list[1:]...)
			return
		}
		c.add(placed(p.Value.Place, err), "", "%v", err)
		return
	}
	if q.Value <= 0 && unit != quantity.Volt {
		c.add(p.Value.Place, "a value above zero", "part %q has the value %s", p.Name.Text, p.Value.Text)
		return
	}
	p.value = &q
}

func (c *checker) blocks() {
	for _, b := range c.Blocks {
		c.kind(b.Kind)
		for _, in := range b.Inputs {
			c.known(in, &c.signals, "signal or rail")
			if slices.Contains(wordTexts(b.Outputs), in.Text) {
				c.add(in.Place, "a feedback loop passes through another block", "block %q has %q as input and output", b.Name.Text, in.Text)
			}
		}
		for _, supply := range b.Supply {
			c.known(supply, &c.signals, "rail")
		}
		for _, part := range b.Parts {
			c.known(part, &c.parts, "part")
		}
		if b.Twin.Text != "" {
			c.known(b.Twin, &c.items, "block")
		}
		for i, out := range b.Outputs {
			if slices.Contains(wordTexts(b.Outputs[:i]), out.Text) {
				c.add(out.Place, "name each output once", "block %q makes %q twice", b.Name.Text, out.Text)
			}
		}
		c.positive(b.Place, "odds", b.Odds)
	}
}

// circuit checks parts, ground and reachable nodes of a circuit.
func (c *checker) circuit(name form.Word, circuit *Circuit) {
	if circuit == nil {
		c.add(name.Place, "give it ground and parts", "circuit %q is empty", name.Text)
		return
	}
	var nodes names
	uses := map[string]int{}
	where := map[string]form.Place{}
	for i := range circuit.Parts {
		c.part(&circuit.Parts[i], circuit)
		for _, n := range circuit.Parts[i].Nodes {
			uses[n.Text]++
			where[n.Text] = n.Place
			nodes.add(n.Text)
		}
	}
	c.known(circuit.Ground, &nodes, "node")
	for _, n := range circuit.Reach {
		c.known(n, &nodes, "node")
	}
	reach := wordTexts(circuit.Reach)
	for _, n := range nodes.list {
		if uses[n] > 1 || c.signals.has(n) || slices.Contains(reach, n) {
			continue
		}
		others := slices.DeleteFunc(slices.Clone(nodes.list), func(o string) bool { return o == n || uses[o] < 2 })
		hint := "connect it to a second part, or list it under reach"
		if near := form.Nearest(n, others); near != "" {
			hint = fmt.Sprintf("did you mean %q?", near)
		}
		c.add(where[n], hint, "node %q of circuit %q is used only once", n, name.Text)
	}
}

func (c *checker) memories() {
	for _, m := range c.Memories {
		if m.Kind.Text != "" {
			c.kind(m.Kind)
		}
		for _, in := range m.Inputs {
			c.known(in, &c.signals, "signal or rail")
		}
		for _, s := range m.Supply {
			c.known(s, &c.signals, "rail")
		}
		banks := map[string]form.Place{}
		for _, b := range m.Banks {
			c.once(banks, b.Name, "bank")
			if len(b.Chips) != len(m.Banks[0].Chips) {
				c.add(b.Place, "list every chip, bit 0 first", "bank %q has %d chips and bank %q has %d", b.Name.Text, len(b.Chips), m.Banks[0].Name.Text, len(m.Banks[0].Chips))
			}
			from, okFrom := c.address(b.From)
			to, okTo := c.address(b.To)
			if okFrom && okTo && to < from {
				c.add(b.To.Place, "the last address is not below the first", "bank %q runs from %s down to %s", b.Name.Text, b.From.Text, b.To.Text)
			}
		}
	}
}

// address reads a hexadecimal address.
func (c *checker) address(word form.Word) (uint64, bool) {
	if word.Text == "" {
		return 0, false
	}
	digits := strings.TrimPrefix(strings.TrimSuffix(strings.ToLower(word.Text), "h"), "0x")
	digits = strings.TrimPrefix(digits, "$")
	var value uint64
	if len(digits) == 0 || len(digits) > 8 {
		c.add(word.Place, "write it in hexadecimal, as in 3FFF", "%q is no address", word.Text)
		return 0, false
	}
	for _, d := range digits {
		i := strings.IndexRune("0123456789abcdef", d)
		if i < 0 {
			c.add(word.Place, "write it in hexadecimal, as in 3FFF", "%q is no address", word.Text)
			return 0, false
		}
		value = value<<4 | uint64(i)
	}
	return value, true
}

func (c *checker) checks() {
	seen := map[string]form.Place{}
	for _, check := range c.Checks {
		c.once(seen, check.Name, "check")
		var answers names
		answers.add(wordTexts(check.Answers)...)
		if len(answers.list) < 2 {
			c.add(check.Place, "a check tells nothing unless it can come out in two ways", "check %q has %d different answers", check.Name.Text, len(answers.list))
		}
		c.chances(check.Otherwise, &answers, check.Place)
		for _, cause := range check.Causes {
			c.chances(cause.Then, &answers, cause.Place)
			for _, word := range cause.If {
				if _, err := c.Cause(word.Text); err != nil {
					c.add(word.Place, err.hint, "%s", err.message)
				}
			}
		}
	}
}

// chances checks a list of answers with their chances.
func (c *checker) chances(list form.Pairs[quantity.Quantity], answers *names, at form.Place) {
	if len(list) == 0 {
		return
	}
	sum := 0.0
	for answer, q := range list.All() {
		c.known(answer, answers, "answer")
		if q.Value < 0 || q.Value > 1 {
			c.add(answer.Place, "between 0 % and 100 %", "a chance of %s", q)
		}
		sum += q.Value
	}
	if math.Abs(sum-1) > 0.005 {
		c.add(at, "they must add up to 100 %", "the chances add up to %s", quantity.FormatDigits(sum, quantity.Percent, 3))
	}
}

func (c *checker) hazards() {
	seen := map[string]form.Place{}
	for _, h := range c.Hazards {
		c.once(seen, h.Name, "hazard")
	}
}

func (c *checker) photos() {
	var marks names
	marks.add(c.points.list...)
	marks.add(c.items.list...)
	for _, photo := range c.Photos {
		for _, spot := range photo.Spots {
			c.known(spot.Name, &marks, "test point, part or block")
			if spot.X < 0 || spot.X > 1 || spot.Y < 0 || spot.Y > 1 {
				c.add(spot.Place, "fractions of the picture, 0 to 1", "spot %q lies outside the picture", spot.Name.Text)
			}
		}
	}
}

// driven reports signals that are declared as coming from outside although a
// block makes them.
func (c *checker) driven() {
	for _, o := range c.Outside {
		for _, b := range c.Blocks {
			if slices.Contains(wordTexts(b.Outputs), o.Signal.Text) {
				c.add(o.Signal.Place, "drop one of the two", "%q comes from outside and from block %q", o.Signal.Text, b.Name.Text)
			}
		}
	}
}

func wordTexts(words []form.Word) []string {
	texts := make([]string, len(words))
	for i, w := range words {
		texts[i] = w.Text
	}
	return texts
}
