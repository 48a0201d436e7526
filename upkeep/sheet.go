package upkeep

import (
	"math"

	"halfsplit/fault"
	"halfsplit/hazard"
	"halfsplit/part/life"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// FromSheet gives what a sheet tells of the units of its model. Every part, block and
// memory chip is a part; what is no kind that can fail, such as a source or a load of a
// circuit, is left out. A sheet that says which corner it covers is partial.
func FromSheet(s *sheet.Sheet) Contents {
	safety := s.Safety(0)
	c := Contents{Hazards: hazard.Find(safety), Partial: s.Model.Covers != ""}
	bears := map[string]float64{} // volts across a capacitor
	for i := range safety.Capacitors {
		bears[safety.Capacitors[i].Name] = math.Abs(safety.Capacitors[i].Voltage)
	}
	taken := map[string]bool{} // a part may stand in the list and in a circuit
	for _, name := range s.Items() {
		kind, ok := fault.Find(s.KindOf(name))
		if !ok || taken[name] {
			continue
		}
		taken[name] = true
		p := Part{Name: name, Kind: kind.Name}
		if listed := s.Part(name); listed != nil {
			p.from(listed, bears[name])
		}
		c.Parts = append(c.Parts, p)
	}
	return c
}

// from takes what the sheet says of a part; volts are those across it, 0 when not known.
func (p *Part) from(listed *sheet.Part, volts float64) {
	p.Family, p.Batch, p.Class = listed.Type, listed.Date, listed.Class
	if listed.Odds != nil {
		p.Odds = *listed.Odds
	}
	if listed.Age != nil {
		p.Age = listed.Age.Value / life.Year
	}
	if near := listed.Near.Text; near != "" {
		p.Neighbours = []life.Neighbour{{Name: near}}
	}
	c, _, err := listed.Capacitor()
	if err != nil {
		return
	}
	if rated := listed.Rating(quantity.Volt); rated > 0 {
		p.Capacitor = c
		if volts > 0 {
			p.Stress.Voltage = volts / rated
		}
		if p.Kind == "electrolytic" && volts <= rated {
			p.Stated.RatedVolt, p.Stated.Applied = rated, volts
		}
	}
	if top := listed.Rating(quantity.Celsius); p.Kind == "electrolytic" && top >= 65 && top <= 200 {
		p.Stated.StatedAt = top + 273.15
	}
}
