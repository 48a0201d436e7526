package findings

import (
	"fmt"
	"math"

	"halfsplit/experience"
	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/form"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// network describes the unit of a sheet to package flow. What a bench has learned
// may be nil.
func network(s *sheet.Sheet, learned *experience.Tally) flow.Description {
	b := builder{sheet: s, learned: learned, driven: map[string]bool{}, placed: map[string]bool{}}
	for i := range s.Blocks {
		b.block(&s.Blocks[i])
	}
	for i := range s.Memories {
		b.memory(&s.Memories[i])
	}
	for i := range s.Rails {
		b.rail(&s.Rails[i])
	}
	for i := range s.Parts {
		if p := &s.Parts[i]; p.Across.Text != "" {
			b.Shunts = append(b.Shunts, flow.Shunt{Part: partItem(p, b.learned), Net: p.Across.Text})
			b.placed[p.Name.Text] = true
		}
	}
	for _, o := range s.Outside {
		kind := kindNamed(o.Kind.Text, "stage")
		b.source(flow.Source{Net: o.Signal.Text, Kind: kind, Odds: value(o.Odds)})
	}
	b.sources()
	return b.Description
}

// builder collects a description and remembers what is driven and placed.
type builder struct {
	flow.Description
	sheet   *sheet.Sheet
	learned *experience.Tally
	driven  map[string]bool // nets that something makes
	placed  map[string]bool // parts that are suspects
	read    []string        // nets that something needs
}

func (b *builder) add(block flow.Block) {
	b.Blocks = append(b.Blocks, block)
	for _, out := range block.Outputs {
		b.driven[out] = true
	}
	b.read = append(b.read, block.Inputs...)
	b.read = append(b.read, block.Supplies...)
}

func (b *builder) source(source flow.Source) {
	if !b.driven[source.Net] {
		b.Sources = append(b.Sources, source)
		b.driven[source.Net] = true
	}
}

func (b *builder) block(k *sheet.Block) {
	kind := kindNamed(k.Kind.Text, "stage")
	kind.Replace = minutes(k.Replace, kind.Replace)
	kind.Measure = minutes(k.Measure, kind.Measure)
	block := flow.Block{
		Name: k.Name.Text, Kind: kind, Odds: value(k.Odds),
		Inputs: texts(k.Inputs), Outputs: texts(k.Outputs), Supplies: texts(k.Supply),
	}
	for _, name := range k.Parts {
		if p := b.sheet.Part(name.Text); p != nil {
			block.Parts = append(block.Parts, partItem(p, b.learned))
			b.placed[name.Text] = true
		}
	}
	if factor, _ := seen(nil, kind, b.learned); len(k.Parts) == 0 && factor != 1 {
		block.Odds = orOne(k.Odds) * factor
	}
	b.add(block)
}

func (b *builder) memory(m *sheet.Memory) {
	kind := kindNamed(m.ChipKind(), "dynamic ram")
	odds, _ := seen(nil, kind, b.learned)
	for _, bank := range m.Banks {
		for bit, chip := range bank.Chips {
			b.add(flow.Block{
				Name: chip.Text, Kind: kind, Odds: odds,
				Inputs: texts(m.Inputs), Supplies: texts(m.Supply),
				Outputs: []string{m.ChipSignal(bank.Name.Text, bit)},
			})
		}
	}
}

// rail lays the parts that a rail passes through between what feeds it and the
// rail itself.
func (b *builder) rail(r *sheet.Rail) {
	if len(r.From) == 0 {
		return
	}
	from := texts(r.From)
	if len(r.Through) == 0 {
		link := kindNamed("track", "")
		b.add(flow.Block{Name: "wiring of " + r.Name.Text, Kind: link, Inputs: from, Outputs: []string{r.Name.Text}, Odds: 0.5 * orOne(r.Odds)})
		return
	}
	for i, name := range r.Through {
		out := r.Name.Text
		if i+1 < len(r.Through) {
			out = fmt.Sprintf("%s after %s", r.Name.Text, name.Text)
		}
		p := b.sheet.Part(name.Text)
		if p == nil {
			continue
		}
		item := partItem(p, b.learned)
		b.add(flow.Block{Name: item.Name, Kind: item.Kind, Odds: item.Odds, Inputs: from, Outputs: []string{out}})
		b.placed[item.Name] = true
		from = []string{out}
	}
}

// sources gives every rail and signal that is used but that nothing makes a
// source of its own: what lies beyond it may be at fault too.
func (b *builder) sources() {
	for _, r := range b.sheet.Rails {
		b.source(flow.Source{Name: sheet.SourceOf(r.Name.Text), Net: r.Name.Text, Kind: kindNamed("supply", ""), Odds: value(r.Odds)})
	}
	for _, net := range b.read {
		b.source(flow.Source{Name: sheet.SourceOf(net), Net: net, Kind: kindNamed("supply", "")})
	}
	for _, shunt := range b.Shunts {
		b.source(flow.Source{Name: sheet.SourceOf(shunt.Net), Net: shunt.Net, Kind: kindNamed("stage", "")})
	}
}

// partItem gives a part of the sheet as an item.
func partItem(p *sheet.Part, learned *experience.Tally) flow.Part {
	kind := kindNamed(p.Kind.Text, "resistor")
	kind.Replace = minutes(p.Replace, kind.Replace)
	kind.Measure = minutes(p.Measure, kind.Measure)
	item := flow.Part{Name: p.Name.Text, Kind: kind, Odds: value(p.Odds)}
	if factor, _ := worn(p, kind, fault.Stress{}, learned); factor != 1 {
		item.Odds = orOne(p.Odds) * factor
	}
	return item
}

// besideHot is how warm a part beside a hot one sits, in kelvin. Common practice,
// no source.
const besideHot = 328

// worn is by how much age, warmth, what it bears and what was seen of its like
// change the odds of a part, and why.
func worn(p *sheet.Part, kind fault.Kind, stress fault.Stress, learned *experience.Tally) (factor float64, why []fault.Reason) {
	life := fault.Life{Stress: stress}
	if p != nil && p.Age != nil {
		life.Age = p.Age.Value / year
	}
	if p != nil && p.Near.Text != "" && stress.Temperature == 0 {
		life.Stress.Temperature = besideHot
	}
	odds, why := kind.OddsIn(life)
	factor, more := seen(p, kind, learned)
	return odds / kind.Odds * factor, append(why, more...)
}

// seen is by how much what a bench has learned of parts of a kind changes the odds
// of one, and why; 1 where nothing was learned. The part may be nil.
func seen(p *sheet.Part, kind fault.Kind, learned *experience.Tally) (factor float64, why []fault.Reason) {
	if learned == nil {
		return 1, nil
	}
	key := experience.Key{Kind: kind.Name}
	if p != nil {
		key.Family, key.Batch = p.Type, p.Date
	}
	known, err := learned.Estimate(key)
	if err != nil || math.Abs(known.Factor-1) < leastLearned {
		return 1, nil
	}
	text := known.String()
	for up := known.Above; known.Count == (experience.Count{}) && up != nil; up = up.Above {
		if up.Count != (experience.Count{}) { // what it follows from
			text += "; of " + up.Key.String() + ": " + up.String()
			break
		}
	}
	return known.Factor, []fault.Reason{{Text: text, Factor: known.Factor, Source: "what this bench, and those that sent it their counts, have seen"}}
}

// leastLearned is the change of the odds below which it is left alone.
const leastLearned = 0.02

// year in seconds.
const year = 365.25 * 24 * 3600

// kindNamed gives the kind of that name, or the other one when none is named.
// The sheet was checked, so the name is known.
func kindNamed(name, otherwise string) fault.Kind {
	if name == "" {
		name = otherwise
	}
	kind, _ := fault.Find(name)
	return kind
}

// minutes gives a time in minutes, or the usual one when none is given.
func minutes(q *quantity.Quantity, usual float64) float64 {
	if q == nil {
		return usual
	}
	return q.Value / 60
}

func value(p *float64) float64 {
	if p == nil {
		return 0
	}
	return *p
}

func orOne(p *float64) float64 {
	if p == nil {
		return 1
	}
	return *p
}

func texts(words []form.Word) []string {
	list := make([]string, len(words))
	for i, w := range words {
		list[i] = w.Text
	}
	return list
}
