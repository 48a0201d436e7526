package schematic

import (
	"regexp"
	"slices"
	"strings"

	"halfsplit/quantity"
	"halfsplit/sheet"
	"halfsplit/wiring"
)

// Of takes a circuit from a service sheet: its parts with what is written at
// them, the test points on its nodes, the places that can be probed, and the
// nominal voltages of its rails.
func Of(s *sheet.Sheet, name string, c *sheet.Circuit) Circuit {
	out := Circuit{Name: name, Ground: c.Ground.Text, Volts: map[string]float64{}}
	onNode := map[string]bool{}
	for i := range c.Parts {
		p := &c.Parts[i]
		out.Parts = append(out.Parts, partOf(p))
		for _, n := range p.Nodes {
			onNode[n.Text] = true
		}
		if kind, ok := wiring.Find(p.Kind.Text); ok && (kind.Name == "dc source" || kind.Name == "battery") && len(p.Nodes) == 2 {
			if v := p.Quantity(); v != nil && p.Nodes[1].Text == c.Ground.Text {
				out.Volts[p.Nodes[0].Text] = v.Value
			}
		}
	}
	for i := range s.Rails {
		if r := &s.Rails[i]; r.Nominal != nil && onNode[r.Name.Text] {
			out.Volts[r.Name.Text] = r.Nominal.Value
		}
	}
	marked := map[string]bool{}
	for i := range s.Points {
		p := &s.Points[i]
		node := s.SignalOf(p)
		if p.Reach == sheet.ReachNone || !onNode[node] {
			continue
		}
		marked[node] = true
		out.Points = append(out.Points, Point{Name: p.Name.Text, Node: node})
		if _, known := out.Volts[node]; !known && p.Expect != nil && p.Expect.Value != nil && p.Expect.Value.Unit == "V" {
			out.Volts[node] = p.Expect.Value.Value
		}
	}
	for _, n := range c.Reach {
		if !marked[n.Text] {
			out.Points = append(out.Points, Point{Node: n.Text})
		}
	}
	return out
}

// partOf takes one part.
func partOf(p *sheet.Part) Part {
	kind := kindName(p.Kind.Text)
	polarity, _ := p.Settings.Get("polarity")
	kindOfType := strings.ToLower(p.Type + " " + polarity.Text)
	out := Part{Name: p.Name.Text, Kind: p.Kind.Text, Lines: linesOf(p, kind),
		Opposite: strings.Contains(kindOfType, "pnp") || strings.Contains(kindOfType, "p-channel") || strings.Contains(kindOfType, "p channel"),
		Schottky: strings.Contains(kindOfType, "schottky")}
	for _, n := range p.Nodes {
		out.Nodes = append(out.Nodes, n.Text)
	}
	if d := p.Drawn; d != nil {
		ways := map[sheet.Direction]Way{sheet.Down: Down, sheet.Right: Right, sheet.Up: Up, sheet.Left: Left}
		out.Spot = &Spot{Column: d.Column, Row: d.Row, Way: ways[d.Way], Mirror: d.Mirror}
	}
	return out
}

// telling lists the settings that say of a kind what others say by their value.
var telling = map[string][]string{
	"load":         {"current", "power", "resistance"},
	"transformer":  {"voltages", "turns"},
	"sine source":  {"frequency"},
	"pulse source": {"period"},
	"switch":       {"position"},
}

// linesOf gives what is written below a designator: value, else type, with the
// ratings that are not in the value; at most three short lines.
func linesOf(p *sheet.Part, kind string) []string {
	var lines []string
	if p.Value.Text != "" {
		lines = append(lines, wrapped(neat(p.Value.Text), 13, 2)...)
	}
	for _, name := range telling[kind] {
		if s, ok := p.Settings.Get(name); ok {
			lines = append(lines, wrapped(neat(s.Text), 24, 1)...)
			break
		}
	}
	if p.Type != "" {
		lines = append(lines, wrapped(p.Type, 16, 2)...)
	}
	var rated []string
	said, _ := quantity.ParseList(p.Value.Text)
	for _, q := range p.Rated {
		if !slices.Contains(said, q) {
			rated = append(rated, q.String())
		}
	}
	if p.Power != nil {
		rated = append(rated, p.Power.String())
	}
	if len(rated) > 0 {
		lines = append(lines, wrapped(strings.Join(rated, " "), 13, 1)...)
	}
	return lines[:min(3, len(lines))]
}

var micro = regexp.MustCompile(`(\d ?)u([FHAVs]?)\b`)

// neat writes µ for u.
func neat(text string) string { return micro.ReplaceAllString(text, "${1}µ$2") }
