package ask

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"halfsplit/internal/report"
	"halfsplit/part"
	"halfsplit/part/life"
	"halfsplit/part/reform"
	"halfsplit/part/replacement"
	"halfsplit/quantity"
)

// Capacitor asks whether a capacitor is still good. Any of the readings will do.
type Capacitor struct {
	Capacitance string   `placeholder:"VALUE" group:"Readings" help:"Capacitance read."`
	ESR         string   `name:"esr" placeholder:"VALUE" group:"Readings" help:"Series resistance read."`
	Loss        string   `placeholder:"VALUE" group:"Readings" help:"Loss read, tan δ, such as 0.12 or 12%."`
	Frequency   string   `placeholder:"VALUE" group:"Readings" help:"Frequency of esr or loss."`
	Leakage     string   `placeholder:"VALUE" group:"Readings" help:"Leakage current read."`
	Volts       string   `placeholder:"VALUE" group:"Readings" help:"Voltage of the leakage."`
	After       string   `placeholder:"TIME" group:"Readings" help:"How long the voltage was on when the leakage was read; settled when not given."`
	Temperature string   `placeholder:"VALUE" group:"Readings" help:"Temperature of the part when it was read; room temperature when not given."`
	Accuracy    string   `default:"2%" placeholder:"PERCENT" group:"Readings" help:"Accuracy of the meter."`
	How         string   `placeholder:"HOW" group:"Readings" help:"\"out of circuit\" (lifted or pulled) or \"in circuit\", where parallel paths spoil some readings; in circuit when not given."`
	Seen        []string `placeholder:"LOOK" group:"Readings" sep:"," help:"What the eye sees: sound, bulged, leaked, cracked, burnt, residue."`

	WhenNew      string   `placeholder:"VALUE" group:"The part" help:"Capacitance it had when new, where that is known."`
	ESRWhenNew   string   `name:"esr-when-new" placeholder:"VALUE" group:"The part" help:"Series resistance it had when new, at the same frequency."`
	HighestESR   string   `name:"highest-esr" placeholder:"VALUE" group:"The part" help:"Most series resistance allowed, where its sheet says so."`
	HighestLeak  string   `name:"highest-leakage" placeholder:"VALUE" group:"The part" help:"Most leakage allowed, where its sheet says so."`
	Mains        bool     `group:"The part" help:"It sits across the mains, or from the mains to earth."`
	Age          string   `placeholder:"TIME" group:"Life" help:"Its age, such as 42y."`
	HoursADay    string   `name:"hours-a-day" placeholder:"HOURS" group:"Life" help:"How many hours a day the unit ran; 4 when not given."`
	Surroundings string   `placeholder:"VALUE" group:"Life" help:"Temperature around it in the running unit; 45 °C when not given."`
	StatedLife   string   `name:"stated-life" placeholder:"TIME" group:"Life" help:"Life that the maker states; 2000h when not given."`
	StatedAt     string   `name:"stated-at" placeholder:"VALUE" group:"Life" help:"Temperature of the stated life; 85 °C when not given."`
	Ripple       string   `placeholder:"VALUE" group:"Life" help:"Ripple current that it carries."`
	RatedRipple  string   `name:"rated-ripple" placeholder:"VALUE" group:"Life" help:"Ripple current it is rated for."`
	Near         []string `placeholder:"NAME" group:"Life" sep:"," help:"A hot part beside it, with what it dissipates or by how much it warms it, such as \"R7 0.7W\" or \"R7 12K\"."`
	Reform       bool     `group:"Reforming" help:"Plan its reforming."`
	Procedure    string   `default:"gentle" placeholder:"NAME" group:"Reforming" help:"gentle, preconditioning or \"half an hour\"."`
	UpTo         string   `name:"up-to" placeholder:"VALUE" group:"Reforming" help:"Voltage to end at; the rated one when not given."`

	Until string `placeholder:"TIME" help:"Follow the circuit of the sheet from switching on, to find what a hot neighbour dissipates, such as 20ms."`
	Limit string `default:"1min" placeholder:"TIME" help:"How long the circuit may compute."`
}

// Answer is what is said of a question.
type Answer[R any] struct {
	Report R
	Draw   func(io.Writer) error // writes a picture as SVG; nil when there is nothing to draw
}

// Judge judges a capacitor from what was read and seen.
func (c *Capacitor) Judge(ctx context.Context, n Part) (*Answer[*report.CapacitorSheet], error) {
	capacitor, assumed, err := c.described(&n)
	if err != nil {
		return nil, asked(err)
	}
	reading, err := c.reading(n)
	if err != nil {
		return nil, asked(err)
	}
	verdict, err := capacitor.Judge(reading)
	if err != nil {
		return nil, asked(err)
	}
	answer := &Answer[*report.CapacitorSheet]{Report: report.NewCapacitorSheet(n.Text, verdict, assumed)}
	p, service, err := c.service(ctx, n, reading.Age)
	if err != nil {
		return nil, err
	}
	electrolytic := capacitor.Kind == part.AluminiumElectrolytic || capacitor.Kind == part.NonPolarElectrolytic
	if service.Age > 0 && electrolytic {
		estimate, err := life.Of(p, service)
		if err != nil {
			return nil, asked(err)
		}
		answer.Report.AddLife(estimate)
		answer.Draw = func(w io.Writer) error { return report.DrawLife(w, n.Text, p, service) }
	}
	if c.Reform {
		plan, err := c.plan(capacitor)
		if err != nil {
			return nil, asked(err)
		}
		if why := beyondReforming(verdict); why != "" {
			plan.Cautions = append([]string{why}, plan.Cautions...)
		}
		answer.Report.AddReform(plan)
		answer.Draw = func(w io.Writer) error { return report.DrawReform(w, n.Text, plan) }
	}
	return answer, nil
}

// asked marks an error as one of the question.
func asked(err error) error {
	if err == nil || IsMistake(err) {
		return err
	}
	return badInput{err}
}

// beyondReforming says when a part is bad in a way that no forming of the oxide
// mends.
func beyondReforming(v part.CapacitorVerdict) string {
	for _, r := range v.Reasons {
		if r.Quantity != part.QuantityLeakage && r.Best.Evidence() == part.EvidenceStrong {
			return fmt.Sprintf("its %v condemns it already, and reforming mends leakage alone: replace it", r.Quantity)
		}
	}
	return ""
}

// described gives the capacitor as package part takes it.
func (c *Capacitor) described(n *Part) (part.Capacitor, []string, error) {
	var assumed []string
	if n.part.Kind != replacement.Capacitor {
		return part.Capacitor{}, nil, fmt.Errorf("%s is a %s, not a capacitor", n.Text, n.part.Kind)
	}
	if why := dielectric(&n.part); why != "" {
		assumed = append(assumed, why)
		n.Text = n.part.String()
	}
	capacitor := part.Capacitor{Kind: n.part.Dielectric, Nominal: n.part.Value, RatedVoltage: n.part.Voltage, SafetyClass: n.part.Class, AcrossMains: c.Mains}
	if n.sheet != nil {
		from, why, err := n.sheet.Part(n.name).Capacitor()
		if err != nil {
			return from, nil, err
		}
		if why != "" {
			assumed = append(assumed, why)
		}
		capacitor.RatedVoltage, capacitor.Limits = from.RatedVoltage, from.Limits
	} else if capacitor.RatedVoltage == 0 {
		return capacitor, nil, errors.New("its rated voltage is not said; write it with the value, as in 4700 uF 35 V")
	}
	if t := n.part.Tolerance; t != nil {
		capacitor.ToleranceLow, capacitor.ToleranceHigh = t.Low, t.High
		if t.Unit != quantity.Percent {
			capacitor.ToleranceLow, capacitor.ToleranceHigh = t.Low/n.part.Value, t.High/n.part.Value
		}
	}
	err := figures([]figure{
		{"when-new", c.WhenNew, quantity.Farad, &capacitor.Initial}, {"esr-when-new", c.ESRWhenNew, quantity.Ohm, &capacitor.InitialESR},
		{"highest-esr", c.HighestESR, quantity.Ohm, &capacitor.Limits.ESR}, {"highest-leakage", c.HighestLeak, quantity.Ampere, &capacitor.Limits.Leakage},
	})
	return capacitor, assumed, err
}

// looks are the words for what the eye sees.
var looks = map[string]part.Look{"sound": part.LooksSound, "bulged": part.Bulged, "leaked": part.Leaked, "cracked": part.Cracked, "burnt": part.Burnt, "residue": part.Residue}

// reading gives what was read and seen.
func (c *Capacitor) reading(n Part) (part.CapacitorReading, error) {
	var r part.CapacitorReading
	accuracy := 0.0
	if err := figures([]figure{{"accuracy", c.Accuracy, quantity.Percent, &accuracy}}); err != nil {
		return r, err
	}
	for _, f := range []struct {
		field, text string
		unit        quantity.Unit
		to          **part.Measured
	}{
		{"capacitance", c.Capacitance, quantity.Farad, &r.Capacitance}, {"esr", c.ESR, quantity.Ohm, &r.ESR},
		{"loss", c.Loss, quantity.None, &r.LossTangent}, {"leakage", c.Leakage, quantity.Ampere, &r.Leakage},
	} {
		if f.text == "" {
			continue
		}
		q, err := quantity.ParseAs(f.text, f.unit)
		if f.unit == quantity.None && strings.Contains(f.text, "%") {
			q, err = quantity.ParseAs(f.text, quantity.Percent)
		}
		if err != nil {
			return r, Mistake{f.field, err}
		}
		*f.to = &part.Measured{Value: q.Value, Uncertainty: accuracy * math.Abs(q.Value) / math.Sqrt(3)} // rectangular, JCGM 100, 4.3.7
	}
	if err := figures([]figure{
		{"frequency", c.Frequency, quantity.Hertz, &r.Frequency}, {"volts", c.Volts, quantity.Volt, &r.LeakageVoltage},
		{"after", c.After, quantity.Second, &r.LeakageAfter}, {"temperature", c.Temperature, quantity.Celsius, &r.Temperature}, {"age", c.Age, quantity.Second, &r.Age},
	}); err != nil {
		return r, err
	}
	if r.Age == 0 && n.sheet != nil {
		if age := n.sheet.Part(n.name).Age; age != nil {
			r.Age = age.Value
		}
	}
	for _, word := range c.Seen {
		look, ok := looks[strings.ToLower(strings.TrimSpace(word))]
		if !ok {
			return r, wrong("seen", "%q is no word for a look; write sound, bulged, leaked, cracked, burnt or residue", word)
		}
		r.Look |= look
	}
	switch c.How {
	case "":
	case "in circuit":
		r.Place = part.InCircuit
	case "out of circuit":
		r.Place = part.OutOfCircuit
	default:
		return r, wrong("how", "%q; write \"in circuit\" or \"out of circuit\"", c.How)
	}
	return r, nil
}

// service gives what is known of the life of the part.
func (c *Capacitor) service(ctx context.Context, n Part, age float64) (life.Part, life.Service, error) {
	p, s := life.Part{RatedVolt: n.part.Voltage, StatedAt: n.part.Temperature}, life.Service{Age: age}
	if err := figures([]figure{
		{"hours-a-day", c.HoursADay, quantity.None, &s.HoursADay}, {"surroundings", c.Surroundings, quantity.Celsius, &s.Surroundings},
		{"stated-life", c.StatedLife, quantity.Second, &p.Stated}, {"stated-at", c.StatedAt, quantity.Celsius, &p.StatedAt},
		{"ripple", c.Ripple, quantity.Ampere, &s.Ripple}, {"rated-ripple", c.RatedRipple, quantity.Ampere, &p.Ripple},
	}); err != nil {
		return p, s, asked(err)
	}
	for _, text := range c.Near {
		neighbour, err := nearby(text)
		if err != nil {
			return p, s, asked(err)
		}
		s.Neighbours = append(s.Neighbours, neighbour)
	}
	if n.sheet == nil || age == 0 || len(s.Neighbours) > 0 {
		return p, s, nil
	}
	if near := n.sheet.Part(n.name).Near.Text; near != "" {
		neighbour := life.Neighbour{Name: near}
		b, _, err := n.bears(ctx, near, c.Until, c.Limit)
		if err != nil {
			return p, s, err
		}
		neighbour.Dissipation = b.Stress.Dissipation
		s.Neighbours = append(s.Neighbours, neighbour)
	}
	return p, s, nil
}

// nearby reads a hot neighbour: "R7", "R7 0.7W", "R7 12K".
func nearby(text string) (life.Neighbour, error) {
	n := life.Neighbour{Name: strings.TrimSpace(text)}
	words := strings.Fields(text)
	if len(words) < 2 {
		return n, nil
	}
	q, err := quantity.Parse(words[len(words)-1])
	n.Name = strings.Join(words[:len(words)-1], " ")
	switch {
	case err == nil && q.Unit == quantity.Watt && q.Value > 0:
		n.Dissipation = q.Value
	case err == nil && q.Unit == quantity.Kelvin && q.Value > 0:
		n.Rise = q.Value
	default:
		return n, wrong("near", "%q; write a name, and what it dissipates or by how much it warms, as in \"R7 0.7W\" or \"R7 12K\"", text)
	}
	return n, nil
}

// plan plans the reforming.
func (c *Capacitor) plan(capacitor part.Capacitor) (reform.Plan, error) {
	upTo := 0.0
	if err := figures([]figure{{"up-to", c.UpTo, quantity.Volt, &upTo}}); err != nil {
		return reform.Plan{}, err
	}
	var names []string
	for _, p := range reform.Procedures() {
		if p.Name == c.Procedure {
			return reform.New(capacitor, p, upTo)
		}
		names = append(names, p.Name)
	}
	return reform.Plan{}, wrong("procedure", "%q is not known; write %s", c.Procedure, strings.Join(names, ", "))
}
