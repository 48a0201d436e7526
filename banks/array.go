package banks

import (
	"fmt"
	"strings"

	"halfsplit/form"
	"halfsplit/memory"
	"halfsplit/sheet"
)

// Find gives the memory of a sheet of that name; the only one when the name is
// empty. The error says which there are.
func Find(s *sheet.Sheet, name string) (*sheet.Memory, error) {
	var names []string
	for i := range s.Memories {
		m := &s.Memories[i]
		if m.Name.Text == name || name == "" && len(s.Memories) == 1 {
			return m, nil
		}
		names = append(names, m.Name.Text)
	}
	switch {
	case len(names) == 0:
		return nil, fmt.Errorf("%s describes no memory; list its banks and chips under memories", s.File())
	case name == "":
		return nil, fmt.Errorf("%s has several memories; name one of them: %s", s.File(), strings.Join(names, ", "))
	}
	return nil, fmt.Errorf("%s has no memory %q; %s", s.File(), name, form.Suggest(name, names))
}

// Array makes an array of a memory of a sheet. Banks without addresses follow
// each other, as large as the chips' organisation says.
func Array(m *sheet.Memory) (*memory.Array, error) {
	a := memory.Array{Name: m.Name.Text, PerChip: m.Bits}
	words, bits, noType := memory.ParseOrganisation(m.Type)
	if a.PerChip == 0 && noType == nil {
		a.PerChip = bits
	}
	next := uint64(0)
	for i := range m.Banks {
		b := &m.Banks[i]
		bank := memory.Bank{Name: b.Name.Text, First: next, Every: uint64(max(b.Every, 1))}
		for _, c := range b.Chips {
			bank.Chips = append(bank.Chips, c.Text)
		}
		if b.From.Text != "" {
			bank.First, _ = sheet.Address(b.From.Text)
		}
		switch {
		case b.To.Text != "":
			bank.Last, _ = sheet.Address(b.To.Text)
		case noType == nil:
			bank.Last = bank.First + (words-1)*bank.Every
		default:
			return nil, fmt.Errorf("memory %q: bank %q has no last address; give it under to, or the organisation of the chips under type, as in 16K×1", a.Name, bank.Name)
		}
		next = bank.Last + 1
		a.Banks = append(a.Banks, bank)
	}
	for _, lines := range []struct {
		words []form.Word
		into  *[]int
	}{{m.Row, &a.Row}, {m.Column, &a.Column}} {
		for _, word := range lines.words {
			some, err := sheet.AddressLines(word.Text)
			if err != nil {
				return nil, fmt.Errorf("memory %q: %w", a.Name, err)
			}
			*lines.into = append(*lines.into, some...)
		}
	}
	made, err := memory.NewArray(a)
	if err != nil {
		return nil, fmt.Errorf("memory %q: %w", a.Name, err)
	}
	return made, nil
}
