package library

import (
	"slices"

	"go.yaml.in/yaml/v4"

	"halfsplit/sheet"
)

// Value is a value that stands on a sheet and can be set.
type Value struct {
	Of   string `json:"of"`   // the part, rail, point, hazard or block, or "model"
	Key  string `json:"key"`  // such as "value", "nominal", "secondary"
	Text string `json:"text"` // as it stands
}

// Name is how the value is called in a change.
func (v Value) Name() string { return v.Key + " of " + v.Of }

// plainWords are keys that hold words to read rather than something to reason with.
var plainWords = []string{"note", "where", "do", "name", "maker", "kind", "papers", "covers"}

// Values lists the values of parts, rails, points and hazards that stand on a sheet
// and can be set, in the order of the sheet: what a copy can be given, and what a form
// offers to fill in. More can be set than stands there; [Set] says what. The error is
// form.Problems when the sheet has mistakes.
func Values(file string, text []byte) ([]Value, error) {
	s, err := sheet.Parse(file, text)
	if err != nil {
		return nil, err
	}
	p, err := newPage(string(text))
	if err != nil {
		return nil, err
	}
	var list []Value
	for _, of := range things(s) {
		for _, at := range p.places(of) {
			list = append(list, valuesIn(of, at.Node, s)...)
			if settings := value(at.Node, "settings"); settings != nil {
				list = append(list, valuesIn(of, settings, s)...)
			}
		}
	}
	return list, nil
}

// valuesIn lists the values of a thing that stand in a mapping, the windings of a
// transformer one by one.
func valuesIn(of thing, mapping *yaml.Node, s *sheet.Sheet) (list []Value) {
	keys := of.keys(s)
	for i := 0; i+1 < len(mapping.Content); i += 2 {
		key, there := mapping.Content[i].Value, mapping.Content[i+1]
		if !slices.Contains(keys, key) || slices.Contains(plainWords, key) {
			continue
		}
		if of.section == "parts" && (key == "voltages" || key == "turns") {
			part := s.Part(of.name)
			_, figures := winding(part)
			words := append([]string{"primary"}, windings(part)[2:]...)
			if len(figures) == 2 {
				words[1] = "secondary"
			}
			for j, word := range words {
				list = append(list, Value{of.name, word, figures[j]})
			}
			continue
		}
		if there.Kind == yaml.SequenceNode {
			for _, one := range there.Content {
				list = append(list, Value{of.name, key, one.Value})
			}
			continue
		}
		list = append(list, Value{of.name, key, there.Value})
	}
	return list
}
