package findings

import (
	"fmt"

	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/form"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// network describes the unit of a sheet to package flow.
func network(s *sheet.Sheet) flow.Description {
	b := builder{sheet: s, driven: map[string]bool{}, placed: map[string]bool{}}
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
			b.Shunts = append(b.Shunts, flow.Shunt{Part: partItem(p), Net: p.Across.Text})
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
	sheet  *sheet.Sheet
	driven map[string]bool // nets that something makes
	placed map[string]bool // parts that are suspects
	read   []string        // nets that something needs
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
			block.Parts = append(block.Parts, partItem(p))
			b.placed[name.Text] = true
		}
	}
	b.add(block)
}

func (b *builder) memory(m *sheet.Memory) {
	for _, bank := range m.Banks {
		for bit, chip := range bank.Chips {
			b.add(flow.Block{
				Name: chip.Text, Kind: kindNamed(m.ChipKind(), "dynamic ram"),
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
		item := partItem(p)
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
func partItem(p *sheet.Part) flow.Part {
	kind := kindNamed(p.Kind.Text, "resistor")
	kind.Replace = minutes(p.Replace, kind.Replace)
	kind.Measure = minutes(p.Measure, kind.Measure)
	return flow.Part{Name: p.Name.Text, Kind: kind, Odds: value(p.Odds)}
}

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
