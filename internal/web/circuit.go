package web

import (
	"maps"
	"net/http"
	"slices"
	"strings"

	"halfsplit/internal/web/look"
	"halfsplit/quantity"
	"halfsplit/schematic"
	"halfsplit/sheet"
)

// circuitStyle gives the style of drawn circuits.
func (s *Server) circuitStyle(*http.Request) (View, error) {
	return View{File: &File{Kind: "text/css; charset=utf-8", Content: []byte(schematic.Style)}}, nil
}

// circuitPart is a part of a drawn circuit with what is believed of it.
type circuitPart struct {
	Name, Kind, Value string
	Chance            float64
	Known             bool // whether it is a suspect
}

// drawnCircuit is a circuit of the sheet as it is drawn for a job.
type drawnCircuit struct {
	Name    string
	Drawing string // SVG
	Problem string
	Parts   []circuitPart // suspects first
	Note    string
}

// circuitScreen draws a circuit of the sheet, with the suspects and what was read
// upon it.
func (s *Server) circuitScreen(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	if v.Work == nil || len(v.Work.Sheet.Circuits) == 0 {
		return View{Title: "Circuit", Place: "/collection", Back: v.back(), Body: noCircuitPage(v)}, nil
	}
	var names []string
	for name := range v.Work.Sheet.Circuits.All() {
		names = append(names, name.Text)
	}
	name := r.URL.Query().Get("name")
	if !slices.Contains(names, name) {
		name = names[0]
	}
	c, _ := v.Work.Sheet.Circuits.Get(name)
	return View{Title: "Circuit " + name, Place: "/collection", Back: v.back(), Body: circuitPage(v, names, drawCircuit(v, name, c)), Wide: true}, nil
}

// drawCircuit draws a circuit with what is known of the job.
func drawCircuit(v *jobView, name string, c *sheet.Circuit) drawnCircuit {
	d := drawnCircuit{Name: name, Note: c.Note}
	over := &schematic.Overlay{Parts: map[string]schematic.Suspect{}, Nodes: v.readings()}
	circuit := schematic.Of(v.Work.Sheet, name, c)
	chance := map[string]float64{}
	if r := v.report(); r != nil {
		for _, one := range r.Suspects {
			chance[one.Name] = one.Probability
		}
		if len(r.Tests) > 0 && r.Tests[0].At != "" {
			node := v.nodeOf(r.Tests[0].At)
			reading := over.Nodes[node]
			reading.Flag, reading.Lines = true, append(reading.Lines, "read this next")
			over.Nodes[node] = reading
		}
	}
	onIt := map[string]bool{}
	for _, p := range circuit.Parts {
		for _, node := range p.Nodes {
			onIt[node] = node != circuit.Ground
		}
	}
	maps.DeleteFunc(over.Nodes, func(node string, _ schematic.Reading) bool { return !onIt[node] })
	for _, p := range circuit.Parts {
		probability, known := chance[p.Name]
		d.Parts = append(d.Parts, circuitPart{Name: p.Name, Kind: p.Kind, Value: strings.Join(p.Lines, ", "), Chance: probability, Known: known})
		if known {
			over.Parts[p.Name] = schematic.Suspect{Strength: probability, Text: quantity.FormatChance(probability), Tone: toneOf(probability)}
		}
	}
	slices.SortStableFunc(d.Parts, func(a, b circuitPart) int {
		switch {
		case a.Chance > b.Chance:
			return -1
		case a.Chance < b.Chance:
			return 1
		}
		return 0
	})
	drawing, err := schematic.Draw(circuit, over)
	if err != nil {
		d.Problem = sentence(err.Error())
		return d
	}
	var b strings.Builder
	if err := drawing.WriteSVG(&b, schematic.Format{Within: true, Prefix: "circuit-"}); err != nil {
		d.Problem = sentence(err.Error())
	}
	d.Drawing = b.String()
	return d
}

// toneOf is the class of colour of a suspect; its bar and its figure say the same.
func toneOf(probability float64) schematic.Tone {
	switch {
	case probability >= 0.5:
		return schematic.Bad
	case probability >= 0.1:
		return schematic.Doubt
	}
	return schematic.Plain
}

// nodeOf is the node on which a place lies.
func (v *jobView) nodeOf(place string) string {
	place, _, _ = strings.Cut(place, ",")
	if p := v.Work.Sheet.Point(place); p != nil {
		return v.Work.Sheet.SignalOf(p)
	}
	return place
}

// nodeRead is what was last read at a node.
type nodeRead struct{ level, ripple []string }

// readings are the last readings at each node: as they were judged, and beside
// what the circuit foretells of the leading suspect and of a sound unit.
func (v *jobView) readings() map[string]schematic.Reading {
	read := map[string]*nodeRead{}
	tones := map[string]map[bool]schematic.Tone{} // by node, of the ripple or not
	at := func(place string) (*nodeRead, string) {
		node := v.nodeOf(place)
		if read[node] == nil {
			read[node], tones[node] = &nodeRead{}, map[bool]schematic.Tone{}
		}
		return read[node], node
	}
	for _, d := range v.verdicts() {
		place, isRipple := strings.CutSuffix(d.At, " ripple")
		one, node := at(place)
		tones[node][isRipple] = map[look.Verdict]schematic.Tone{look.Pass: schematic.Good, look.Fail: schematic.Bad, look.Close: schematic.Doubt}[verdictOf(d.Word)]
		if isRipple {
			one.ripple = []string{"ripple " + d.Reading + ", " + d.Word}
		} else {
			one.level = []string{"read " + d.Reading + ", " + d.Word}
		}
	}
	if r := v.report(); r != nil && len(r.Suspects) > 0 {
		top := r.Suspects[0]
		for _, f := range top.Foretold {
			one, _ := at(f.At)
			said := []string{"sound " + foretold(f, f.Sound, f.Spread), "with " + top.Name + " bad " + foretold(f, f.Mean, f.Deviation)}
			switch {
			case f.Of == "level":
				if len(one.level) == 0 {
					one.level = []string{"read " + quantity.FormatDigits(f.Read, f.Unit, 3)}
				}
				one.level = append(one.level[:1:1], said...)
			case strings.HasPrefix(f.Of, "ripple"):
				if len(one.ripple) == 0 {
					one.ripple = []string{"ripple " + quantity.FormatDigits(f.Read, f.Unit, 3)}
				}
				one.ripple = append(one.ripple[:1:1], said...)
			}
		}
	}
	nodes := map[string]schematic.Reading{}
	for node, one := range read {
		worst := schematic.Plain
		for _, tone := range []schematic.Tone{schematic.Good, schematic.Doubt, schematic.Bad} {
			if tones[node][false] == tone || tones[node][true] == tone {
				worst = tone
			}
		}
		nodes[node] = schematic.Reading{Lines: slices.Concat(one.level, one.ripple), Tone: worst}
	}
	return nodes
}
