package solution

import (
	"fmt"
	"io"
	"math"
	"strings"

	"halfsplit/internal/plain"
	"halfsplit/quantity"
)

// Text prints an answer for people.
func Text(to io.Writer, a *Answer) error {
	p := printer{plain.To(to)}
	p.Line("Circuit %s, %s", a.Circuit, a.Analysis)
	for _, r := range a.Remarks {
		p.Line("%s", r)
	}
	if a.Stopped != "" {
		p.Line("Not complete: %s. What follows is what was found until then.", a.Stopped)
	}
	switch {
	case a.Response != nil:
		p.response(a.Response)
	case a.Analysis == AtRest:
		p.restNodes(a.Nodes)
	default:
		p.nodes(a)
	}
	p.spreads(a.Nodes)
	if len(a.Parts) > 0 {
		p.parts(a)
	}
	p.events(a.Events)
	if len(a.Warnings) > 0 {
		p.Line("")
		p.Line("Look at")
		for _, w := range a.Warnings {
			p.Line("  %s", w)
		}
	}
	return p.Err()
}

// printer prints the parts of an answer.
type printer struct{ *plain.Printer }

func volts(v float64) string { return tidy(v, quantity.Volt, 1e-6) }

// tidy writes a value with four digits, and what is below the floor as zero.
func tidy(v float64, unit quantity.Unit, floor float64) string {
	if math.Abs(v) < floor {
		return "0 " + string(unit)
	}
	return figure(v, unit)
}

func (p printer) restNodes(nodes []Node) {
	rows := [][]string{{"node", "voltage"}}
	for _, n := range nodes {
		rows = append(rows, []string{n.Name, volts(n.Mean)})
	}
	p.Line("")
	p.Table(rows)
}

func (p printer) nodes(a *Answer) {
	p.Line("Readings from %s to %s", seconds(a.From), seconds(a.To))
	heading := []string{"node", "mean", "lowest", "highest", "ripple p-p", "RMS"}
	since := len(a.Nodes) > 0 && a.Nodes[0].Highest != nil
	if since {
		heading = append(heading, "furthest so far")
	}
	rows := [][]string{heading}
	for _, n := range a.Nodes {
		row := []string{n.Name, tidy(n.Mean, quantity.Volt, max(1e-6, 1e-4*n.Ripple)), volts(n.Min), volts(n.Max), volts(n.Ripple), volts(n.RMS)}
		if since {
			row = append(row, volts(*n.Highest))
		}
		rows = append(rows, row)
	}
	p.Line("")
	p.Table(rows)
}

// spreads prints what tolerances make of the readings.
func (p printer) spreads(nodes []Node) {
	rows := [][]string{{"", "± standard", "lowest", "highest", "mostly from"}}
	add := func(what string, sp *Spread) {
		if sp == nil {
			return
		}
		var from []string
		for _, one := range sp.Shares[:min(2, len(sp.Shares))] {
			if one.Share >= 0.05 {
				from = append(from, fmt.Sprintf("%s %.0f %%", one.Part, 100*one.Share))
			}
		}
		rows = append(rows, []string{what, volts(sp.Deviation), volts(sp.Lowest), volts(sp.Highest), strings.Join(from, ", ")})
	}
	for _, n := range nodes {
		add(n.Name, n.Spread)
		add(n.Name+", ripple", n.RippleSpread)
	}
	if len(rows) == 1 {
		return
	}
	p.Line("")
	p.Line("What the tolerances of the parts make of it; lowest and highest with every part at the worse end of its own")
	p.Table(rows)
}

func (p printer) parts(a *Answer) {
	if a.Analysis == FromSwitchingOn {
		p.Line("")
		p.Line("What the parts bore since switching on")
	}
	current := "greatest current"
	if a.Analysis == AtRest {
		current = "current"
	}
	rows := [][]string{{"part", current, "greatest voltage", "dissipates", "of its rating"}}
	for _, b := range a.Parts {
		rows = append(rows, []string{b.Part, tidy(b.Current, quantity.Ampere, 1e-12), volts(b.Voltage), tidy(b.Dissipation, quantity.Watt, 1e-9), rating(b)})
	}
	p.Line("")
	p.Table(rows)
}

// rating writes the shares of the ratings that are stated.
func rating(b Bearing) string {
	var list []string
	for _, one := range []struct {
		share float64
		what  string
	}{{b.OfPower, "power"}, {b.OfVoltage, "voltage"}, {b.OfCurrent, "current"}} {
		if one.share > 0 {
			list = append(list, fmt.Sprintf("%s %.0f %%", one.what, 100*one.share))
		}
	}
	return strings.Join(list, ", ")
}

// mostEvents is how many events are printed.
const mostEvents = 20

func (p printer) events(events []Event) {
	if len(events) == 0 {
		return
	}
	p.Line("")
	p.Line("What happened")
	for i, e := range events {
		if i == mostEvents {
			p.Line("  and %d more", len(events)-i)
			break
		}
		p.Line("  %s  %s %s", seconds(e.Time), e.Part, e.What)
	}
}

// rounded writes a number with so many decimals, and no minus before zero.
func rounded(x float64, decimals int) string {
	scale := math.Pow10(decimals)
	return fmt.Sprintf("%.*f", decimals, math.Round(x*scale)/scale+0)
}

func (p printer) response(r *Response) {
	p.Line("Gain over the signal of %s, phase in degrees", r.Drive)
	heading := []string{"frequency"}
	for _, n := range r.Nodes {
		heading = append(heading, n.Name, "phase")
	}
	rows := [][]string{heading}
	const every = 6
	for i, f := range r.Frequencies {
		if i%every != 0 && i != len(r.Frequencies)-1 {
			continue
		}
		row := []string{figure(f, quantity.Hertz)}
		for _, n := range r.Nodes {
			row = append(row, rounded(n.Gain[i], 2)+" dB", rounded(n.Phase[i], 1))
		}
		rows = append(rows, row)
	}
	p.Line("")
	p.Table(rows)
	p.Line("")
	for _, n := range r.Nodes {
		text := fmt.Sprintf("%s: highest at %s", n.Name, figure(n.Highest, quantity.Hertz))
		if n.Lower > 0 {
			text += fmt.Sprintf("; 3 dB down below, at %s", figure(n.Lower, quantity.Hertz))
		}
		if n.Upper > 0 {
			text += fmt.Sprintf("; 3 dB down above, at %s", figure(n.Upper, quantity.Hertz))
		}
		p.Line("%s", text)
	}
}
