package web

import (
	"fmt"
	"net/http"
	"strings"

	"halfsplit/banks"
	"halfsplit/internal/web/look"
	"halfsplit/memory"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// memoryCell is a chip in the picture of a memory.
type memoryCell struct {
	Chip   string
	Chance float64
	Known  bool
}

// memoryBank is a row of the picture.
type memoryBank struct {
	Name  string
	Range string
	Cells []memoryCell
}

// memoryView is a memory of the sheet with what is believed of it.
type memoryView struct {
	Name    string
	What    string
	Bits    []string // heads of the columns, bit 0 first
	Banks   []memoryBank
	Causes  []memory.Cause
	Remarks []string
	Policy  string
	Outside float64
	Asked   bool
}

// memoryScreen shows each memory as a picture of the board.
func (s *Server) memoryScreen(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	var list []memoryView
	if v.Work != nil {
		for i := range v.Work.Sheet.Memories {
			list = append(list, v.memory(&v.Work.Sheet.Memories[i]))
		}
	}
	return View{Title: "Memory", Place: "/collection", Back: v.back(), Body: memoryPage(v, list, v.remember(s.now()).Who)}, nil
}

// memory is a memory of the sheet with the suspects in it.
func (v *jobView) memory(m *sheet.Memory) memoryView {
	view := memoryView{Name: m.Name.Text, What: m.ChipKind()}
	if m.Type != "" {
		view.What += ", " + m.Type
	}
	chance := map[string]float64{}
	answer := v.answered(m.Name.Text)
	if answer != nil && answer.Diagnosis != nil {
		view.Asked = true
		view.Causes, view.Remarks, view.Outside = answer.Diagnosis.Causes[:min(5, len(answer.Diagnosis.Causes))], answer.Diagnosis.Remarks, answer.Diagnosis.Outside
		for _, c := range answer.Diagnosis.Chips {
			chance[c.Chip] = c.Bad
		}
		if answer.Swaps != nil {
			view.Policy = string(answer.Swaps.Best)
		}
	}
	if r := v.report(); r != nil { // what all readings say goes before what the self-test says alone
		for _, one := range r.Suspects {
			chance[one.Name] = one.Probability
		}
	}
	most := 0
	for _, b := range m.Banks {
		row := memoryBank{Name: b.Name.Text}
		if b.From.Text != "" || b.To.Text != "" {
			row.Range = b.From.Text + " to " + b.To.Text
		}
		for _, chip := range b.Chips {
			p, known := chance[chip.Text]
			row.Cells = append(row.Cells, memoryCell{chip.Text, p, known})
		}
		most = max(most, len(b.Chips))
		view.Banks = append(view.Banks, row)
	}
	each := max(1, m.Bits)
	for i := range most {
		if each == 1 {
			view.Bits = append(view.Bits, fmt.Sprint(i))
		} else {
			view.Bits = append(view.Bits, fmt.Sprintf("%d to %d", i*each, i*each+each-1))
		}
	}
	return view
}

// answered is what was found of a memory last, or nil.
func (v *jobView) answered(name string) *banks.Answer {
	r := v.report()
	if r == nil {
		r = v.Said
	}
	if r == nil {
		return nil
	}
	for i := len(r.Memories) - 1; i >= 0; i-- {
		if a := r.Memories[i].Answer; a != nil && a.Array == name {
			return a
		}
	}
	return nil
}

// shade is the class of how dark a chip is drawn; the figure stands on it.
func (c memoryCell) shade() string {
	switch {
	case !c.Known:
		return "s0"
	case c.Chance >= 0.5:
		return "s4"
	case c.Chance >= 0.2:
		return "s3"
	case c.Chance >= 0.05:
		return "s2"
	}
	return "s1"
}

// said is a chip in words.
func (c memoryCell) said() string {
	if !c.Known {
		return "no suspect"
	}
	return quantity.FormatChance(c.Chance)
}

// causeSaid is a cause in words.
func causeSaid(c memory.Cause) string {
	return strings.TrimSpace(fmt.Sprintf("%s %s: %s", c.What, c.Class, quantity.FormatChance(c.Probability)))
}

// memoryOptions are the memories to choose from.
func memoryOptions(list []memoryView) []look.Option {
	var options []look.Option
	for _, m := range list {
		options = append(options, look.Option{Value: m.Name, Text: m.Name})
	}
	return options
}
