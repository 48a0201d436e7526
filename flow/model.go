package flow

import (
	"fmt"
	"slices"
	"strings"

	"halfsplit/fault"
	"halfsplit/signal"
)

// Item is something that can be bad and be replaced or mended.
type Item struct {
	Name  string
	Kind  fault.Kind
	Block string // the block it is, or is in; empty for a shunt
	Net   string // the net a shunt lies across, else empty
	Rest  bool   // stands for whatever else is in the block
}

// Candidate is one way in which one item can be bad. Candidates are numbered;
// the numbers are those of diagnosis.Problem.Faults.
type Candidate struct {
	Item  int
	Mode  fault.Mode
	Name  string // the mode's name, with the output it concerns
	Prior float64
	mode  int // index among the kind's modes
	block int // −1 for a shunt
	only  int // the one output concerned, −1 for all
	net   int // the net a shunt lies across
	drags bool
	pulls bool         // whether the mode drags inputs, pulls the supply
	act   *failingPart // what it does in a section; nil outside of sections
}

// Model is a compiled description.
type Model struct {
	Items      []Item
	Candidates []Candidate
	nets       []string
	number     map[string]int
	blocks     []block
	drivers    [][]driver // for each net
	readers    [][]int    // blocks for each net
	itemNumber map[string]int
	order      [][]int // blocks in the order of signal flow, feedback loops together
	looped     []bool  // for each net, whether it is in a feedback loop
	whole      []int   // for each item the block that it is, −1 for parts and shunts
	sections   []section
	sectionOf  []int  // for each net the section that makes it, −1 for none
	simulated  []bool // for each item whether it is a part of a section
}

type block struct {
	name                      string
	follow                    fault.Follow
	inputs, supplies, outputs []int
	looped                    bool // it is in a feedback loop
	section                   bool // it stands for a section, which makes its outputs by itself
}

type driver struct{ block, output int }

// Compile checks a description and prepares it. Every net that is read must
// be driven by a block or be a source.
func Compile(d Description) (*Model, error) {
	m := &Model{number: map[string]int{}, itemNumber: map[string]int{}}
	for _, s := range d.Sources {
		name := s.Name
		if name == "" {
			name = s.Net
		}
		m.addBlock(Block{Name: name, Kind: s.Kind, Outputs: []string{s.Net}, Odds: s.Odds})
	}
	for _, b := range d.Blocks {
		if len(b.Outputs) == 0 {
			return nil, fmt.Errorf("block %q has no output", b.Name)
		}
		m.addBlock(b)
	}
	for _, s := range d.Shunts {
		m.addShunt(s)
	}
	for _, s := range d.Sections {
		if err := m.addSection(s); err != nil {
			return nil, err
		}
	}
	m.simulated = make([]bool, len(m.Items))
	for _, c := range m.Candidates {
		m.simulated[c.Item] = m.simulated[c.Item] || c.act != nil
	}
	m.connect()
	m.order = m.flowOrder()
	m.findLoops()
	for n, drivers := range m.drivers {
		if len(drivers) == 0 && m.sectionOf[n] < 0 {
			return nil, fmt.Errorf("nothing drives %q: no block has it as an output and it is not a source", m.nets[n])
		}
	}
	seen := map[string]bool{}
	for _, b := range m.blocks {
		if seen[b.name] {
			return nil, fmt.Errorf("two blocks are called %q", b.name)
		}
		seen[b.name] = true
	}
	clear(seen)
	for _, item := range m.Items {
		if seen[item.Name] {
			return nil, fmt.Errorf("two items are called %q", item.Name)
		}
		seen[item.Name] = true
	}
	m.setPriors()
	return m, nil
}

// net gives the number of a net, made on first use.
func (m *Model) net(name string) int {
	n, ok := m.number[name]
	if !ok {
		n = len(m.nets)
		m.number[name] = n
		m.nets = append(m.nets, name)
	}
	return n
}

// netNumbers gives the numbers of nets; one that is named twice counts once.
func (m *Model) netNumbers(names []string) []int {
	var numbers []int
	for _, name := range names {
		if n := m.net(name); !slices.Contains(numbers, n) {
			numbers = append(numbers, n)
		}
	}
	return numbers
}

func (m *Model) addBlock(b Block) {
	number := len(m.blocks)
	m.blocks = append(m.blocks, block{
		name: b.Name, follow: b.Kind.Follow,
		inputs: m.netNumbers(b.Inputs), supplies: m.netNumbers(b.Supplies), outputs: m.netNumbers(b.Outputs),
	})
	for _, part := range b.Parts {
		item := m.addItem(Item{Name: part.Name, Kind: part.Kind, Block: b.Name})
		m.addModes(item, number, -1, odds(part.Kind, part.Odds))
	}
	share := odds(b.Kind, b.Odds)
	name := b.Name
	if len(b.Parts) > 0 {
		share *= elsewhere
		name = "rest of " + b.Name
	}
	item := m.addItem(Item{Name: name, Kind: b.Kind, Block: b.Name, Rest: len(b.Parts) > 0})
	if len(b.Parts) == 0 {
		m.whole[item] = number
	}
	m.addModes(item, number, -1, share)
}

func (m *Model) addShunt(s Shunt) {
	item := m.addItem(Item{Name: s.Part.Name, Kind: s.Part.Kind, Net: s.Net})
	m.addModes(item, -1, m.net(s.Net), odds(s.Part.Kind, s.Part.Odds))
}

func (m *Model) addItem(item Item) int {
	m.Items = append(m.Items, item)
	m.whole = append(m.whole, -1)
	m.itemNumber[item.Name] = len(m.Items) - 1
	return len(m.Items) - 1
}

func odds(kind fault.Kind, factor float64) float64 {
	if factor == 0 {
		return kind.Odds
	}
	return kind.Odds * factor
}

// mostOutputs is the number of outputs up to which each may be bad alone.
const mostOutputs = 16

// leastState is the share of a mode's output below which a state of it is not
// weighed by itself.
const leastState = 0.08

// addModes enters the candidates of an item; Prior holds the unscaled odds for
// now. What a faulty output does does not change from one reading to the next,
// so each state that a mode may put it in is a candidate of its own. In a chip
// with several outputs, a mode of "output …" is either all of them or one
// alone. A state of good means that the output is left to the inputs. A part
// across a net can pull it down, but not up unless it regulates.
func (m *Model) addModes(item, blockNumber, net int, share float64) {
	for number, mode := range m.Items[item].Kind.Modes {
		output := mode.Output
		if inside := blockNumber >= 0 && m.whole[item] < 0 && !m.Items[item].Rest; inside && mode.Within.Said() {
			output = mode.Within
		}
		if blockNumber < 0 && m.Items[item].Kind.Follow == fault.Passes {
			output[signal.High], output[signal.StuckHigh] = 0, 0
		}
		if !output.Said() {
			output = signal.Pure(signal.Good)
		}
		whole := 0.0
		for _, p := range output {
			if p >= leastState {
				whole += p
			}
		}
		for state, p := range output {
			if p < leastState {
				continue
			}
			one := mode
			if one.Output = signal.Pure(signal.State(state)); state == int(signal.Good) {
				one.Output = signal.Spread{}
			}
			m.addCandidate(Candidate{
				Item: item, mode: number, Mode: one, Name: mode.Name, Prior: share * mode.Share * p / whole,
				block: blockNumber, only: -1, net: net, drags: mode.Input.Said(), pulls: mode.Supply.Said(),
			})
		}
	}
}

// addCandidate enters a candidate, and, where it concerns the outputs of a chip
// that has several, each output alone.
func (m *Model) addCandidate(c Candidate) {
	outputs := 0
	if c.block >= 0 && strings.HasPrefix(c.Name, "output") {
		outputs = len(m.blocks[c.block].outputs)
	}
	if outputs < 2 || outputs > mostOutputs {
		m.Candidates = append(m.Candidates, c)
		return
	}
	all := c
	all.Name, all.Prior = strings.Replace(c.Name, "output", "all outputs", 1), c.Prior/2
	m.Candidates = append(m.Candidates, all)
	for i, out := range m.blocks[c.block].outputs {
		one := c
		one.only, one.Prior = i, c.Prior/2/float64(outputs)
		one.Name = strings.Replace(c.Name, "output", "output "+m.nets[out], 1)
		m.Candidates = append(m.Candidates, one)
	}
}

// connect records who drives and who reads each net. A section stands beside the
// blocks that drive its nets.
func (m *Model) connect() {
	m.sectionOf = make([]int, len(m.nets))
	for n := range m.sectionOf {
		m.sectionOf[n] = -1
	}
	for i := range m.sections {
		for _, n := range m.sections[i].outputs {
			m.sectionOf[n] = i
		}
	}
	m.drivers = make([][]driver, len(m.nets))
	m.readers = make([][]int, len(m.nets))
	for b := range m.blocks {
		if m.blocks[b].section {
			continue
		}
		for i, n := range m.blocks[b].outputs {
			m.drivers[n] = append(m.drivers[n], driver{b, i})
		}
		for _, n := range slices.Concat(m.blocks[b].inputs, m.blocks[b].supplies) {
			if !slices.Contains(m.readers[n], b) {
				m.readers[n] = append(m.readers[n], b)
			}
		}
	}
}

// flowOrder groups the blocks so that each group comes after those it depends
// on; a group of several blocks is a feedback loop. Depending both on drivers
// of the nets it reads and on readers that may drag its outputs would make
// everything one loop, so drags, which act on a net at once, do not count.
// Strongly connected components (Tarjan, "Depth-first search and linear graph
// algorithms", SIAM Journal on Computing 1, 1972).
func (m *Model) flowOrder() [][]int {
	n := len(m.blocks)
	index, low := make([]int, n), make([]int, n)
	onStack := make([]bool, n)
	var stack []int
	var groups [][]int
	next := 1
	var visit func(b int)
	visit = func(b int) {
		index[b], low[b] = next, next
		next++
		stack = append(stack, b)
		onStack[b] = true
		for _, net := range slices.Concat(m.blocks[b].inputs, m.blocks[b].supplies) {
			for _, d := range m.drivers[net] {
				if index[d.block] == 0 {
					visit(d.block)
					low[b] = min(low[b], low[d.block])
				} else if onStack[d.block] {
					low[b] = min(low[b], index[d.block])
				}
			}
		}
		if low[b] != index[b] {
			return
		}
		var group []int
		for {
			top := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			onStack[top] = false
			group = append(group, top)
			if top == b {
				break
			}
		}
		slices.Reverse(group)
		groups = append(groups, group)
	}
	for b := range m.blocks {
		if index[b] == 0 {
			visit(b)
		}
	}
	return groups
}

// findLoops marks the blocks and nets that depend on themselves: a net by way of
// a block that both drives and follows it.
func (m *Model) findLoops() {
	group := make([]int, len(m.blocks))
	for i, blocks := range m.order {
		for _, b := range blocks {
			group[b] = i
		}
	}
	m.looped = make([]bool, len(m.nets))
	for number := range m.blocks {
		b := &m.blocks[number]
		for _, n := range slices.Concat(b.inputs, b.supplies) {
			for _, d := range m.drivers[n] {
				if group[d.block] == group[number] {
					m.looped[n], b.looped = true, true
				}
			}
		}
	}
}

// setPriors turns odds into probabilities.
func (m *Model) setPriors() {
	sum := make([]float64, len(m.Items))
	total := 0.0
	for _, c := range m.Candidates {
		sum[c.Item] += c.Prior
		total += c.Prior
	}
	for i := range m.Candidates {
		c := &m.Candidates[i]
		scale := expectedBad / total
		if prior := sum[c.Item] * scale; prior > mostPrior {
			scale *= mostPrior / prior
		}
		c.Prior *= scale
	}
}

// Nets lists the names of all nets.
func (m *Model) Nets() []string { return m.nets }

// Net gives the number of a net; false when there is none of that name.
func (m *Model) Net(name string) (int, bool) {
	n, ok := m.number[name]
	return n, ok
}

// Item gives the number of an item; false when there is none of that name.
// The name of a block whose parts are listed gives the item that stands for
// the rest of it.
func (m *Model) Item(name string) (int, bool) {
	if i, ok := m.itemNumber[name]; ok {
		return i, true
	}
	i, ok := m.itemNumber["rest of "+name]
	return i, ok
}

// Around tells what surrounds an item: the nets that feed it, the rails it
// lives on, and the nets it drives (for a shunt, the net it lies across).
func (m *Model) Around(item int) (inputs, supplies, outputs []string) {
	it := m.Items[item]
	if it.Block == "" {
		return nil, nil, []string{it.Net}
	}
	for _, b := range m.blocks {
		if b.name == it.Block {
			return m.names(b.inputs), m.names(b.supplies), m.names(b.outputs)
		}
	}
	return nil, nil, nil
}

func (m *Model) names(nets []int) []string {
	names := make([]string, len(nets))
	for i, n := range nets {
		names[i] = m.nets[n]
	}
	return names
}

// Block gives the number of a block; false when there is none of that name.
func (m *Model) Block(name string) (int, bool) {
	i := slices.IndexFunc(m.blocks, func(b block) bool { return b.name == name })
	return i, i >= 0
}

// ItemsOf lists the items that are a block or are in it.
func (m *Model) ItemsOf(blockName string) []int {
	var items []int
	for i, item := range m.Items {
		if item.Block == blockName {
			items = append(items, i)
		}
	}
	return items
}

// Digital reports whether a net is made by something that decides: logic,
// memory, a processor.
func (m *Model) Digital(net int) bool {
	for _, d := range m.drivers[net] {
		if m.blocks[d.block].follow == fault.Decides {
			return true
		}
	}
	return false
}
