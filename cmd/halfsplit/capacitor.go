package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"

	"halfsplit/internal/report"
	"halfsplit/part"
	"halfsplit/part/life"
	"halfsplit/part/reform"
	"halfsplit/part/replacement"
	"halfsplit/quantity"
)

// capacitorCommand judges a capacitor from what was read and seen.
type capacitorCommand struct {
	Part []string `arg:"" optional:"" help:"As it is marked, such as \"4700 uF 35 V electrolytic\", or a service sheet and a designator."`

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
	Plot  string `placeholder:"FILE.svg" help:"Draw the life, or with --reform the steps."`
	JSON  bool   `name:"json" help:"Print for a program, as JSON."`
}

// Help gives examples.
func (capacitorCommand) Help() string {
	return `Any of the readings will do; what is missing is named. Examples: halfsplit capacitor 4700 uF 35 V electrolytic --capacitance 3900uF --esr 0.08 --frequency 120Hz --how "out of circuit"; halfsplit capacitor vt9.sheet.yaml C3 --reform`
}

// Run judges the capacitor and prints what was found.
func (c *capacitorCommand) Run(ctx context.Context, to console) error {
	if c.Plot != "" && !strings.EqualFold(filepath.Ext(c.Plot), ".svg") {
		return badInput{fmt.Errorf("--plot: %s does not end in .svg; the picture is an SVG", c.Plot)}
	}
	n, err := nameOf(c.Part, replacement.Part{Kind: replacement.Capacitor})
	if err != nil {
		return err
	}
	capacitor, assumed, err := c.described(&n)
	if err != nil {
		return badInput{err}
	}
	reading, err := c.reading(n)
	if err != nil {
		return badInput{err}
	}
	verdict, err := capacitor.Judge(reading)
	if err != nil {
		return badInput{err}
	}
	answer := report.NewCapacitorSheet(n.text, verdict, assumed)
	p, service, err := c.service(ctx, n, reading.Age)
	if err != nil {
		return err
	}
	electrolytic := capacitor.Kind == part.AluminiumElectrolytic || capacitor.Kind == part.NonPolarElectrolytic
	if service.Age > 0 && electrolytic {
		estimate, err := life.Of(p, service)
		if err != nil {
			return badInput{err}
		}
		answer.AddLife(estimate)
	}
	draw := func(w io.Writer) error { return report.DrawLife(w, n.text, p, service) }
	if c.Reform {
		plan, err := c.plan(capacitor)
		if err != nil {
			return badInput{err}
		}
		if why := beyondReforming(verdict); why != "" {
			plan.Cautions = append([]string{why}, plan.Cautions...)
		}
		answer.AddReform(plan)
		draw = func(w io.Writer) error { return report.DrawReform(w, n.text, plan) }
	}
	if c.Plot != "" {
		if !c.Reform && answer.Life == nil {
			return badInput{errors.New("--plot: there is nothing to draw; give --age for the life of an electrolytic, or --reform for the steps")}
		}
		if err := writeFile(c.Plot, draw); err != nil {
			return err
		}
	}
	if c.JSON {
		return writeJSON(to, answer)
	}
	return report.CapacitorText(to.out, answer)
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
func (c *capacitorCommand) described(n *named) (part.Capacitor, []string, error) {
	var assumed []string
	if n.part.Kind != replacement.Capacitor {
		return part.Capacitor{}, nil, fmt.Errorf("%s is a %s, not a capacitor", n.text, n.part.Kind)
	}
	if why := dielectric(&n.part); why != "" {
		assumed = append(assumed, why)
		n.text = n.part.String()
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
	err := figures([]figureFlag{
		{"--when-new", c.WhenNew, quantity.Farad, &capacitor.Initial}, {"--esr-when-new", c.ESRWhenNew, quantity.Ohm, &capacitor.InitialESR},
		{"--highest-esr", c.HighestESR, quantity.Ohm, &capacitor.Limits.ESR}, {"--highest-leakage", c.HighestLeak, quantity.Ampere, &capacitor.Limits.Leakage},
	})
	return capacitor, assumed, err
}

// figureFlag is a flag that holds a figure; empty text leaves it alone.
type figureFlag struct {
	flag, text string
	unit       quantity.Unit
	to         *float64
}

// figures reads flags that hold figures.
func figures(list []figureFlag) error {
	for _, f := range list {
		if f.text == "" {
			continue
		}
		q, err := quantity.ParseAs(f.text, f.unit)
		if err == nil && f.unit == quantity.Second {
			if bare, again := quantity.Parse(f.text); again == nil && bare.Unit == quantity.None {
				err = fmt.Errorf("the time %s has no unit; write it, as in 20h or 42y", f.text)
			}
		}
		if err == nil && q.Value <= 0 && f.unit != quantity.Celsius {
			err = fmt.Errorf("%s is not above zero", q)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", f.flag, err)
		}
		*f.to = q.Value
		if f.unit == quantity.Celsius {
			*f.to += 273.15
		}
	}
	return nil
}

// looks are the words for what the eye sees.
var looks = map[string]part.Look{"sound": part.LooksSound, "bulged": part.Bulged, "leaked": part.Leaked, "cracked": part.Cracked, "burnt": part.Burnt, "residue": part.Residue}

// reading gives what was read and seen.
func (c *capacitorCommand) reading(n named) (part.CapacitorReading, error) {
	var r part.CapacitorReading
	accuracy := 0.0
	if err := figures([]figureFlag{{"--accuracy", c.Accuracy, quantity.Percent, &accuracy}}); err != nil {
		return r, err
	}
	for _, f := range []struct {
		flag, text string
		unit       quantity.Unit
		to         **part.Measured
	}{
		{"--capacitance", c.Capacitance, quantity.Farad, &r.Capacitance}, {"--esr", c.ESR, quantity.Ohm, &r.ESR},
		{"--loss", c.Loss, quantity.None, &r.LossTangent}, {"--leakage", c.Leakage, quantity.Ampere, &r.Leakage},
	} {
		if f.text == "" {
			continue
		}
		q, err := quantity.ParseAs(f.text, f.unit)
		if f.unit == quantity.None && strings.Contains(f.text, "%") {
			q, err = quantity.ParseAs(f.text, quantity.Percent)
		}
		if err != nil {
			return r, fmt.Errorf("%s: %w", f.flag, err)
		}
		*f.to = &part.Measured{Value: q.Value, Uncertainty: accuracy * math.Abs(q.Value) / math.Sqrt(3)} // rectangular, JCGM 100, 4.3.7
	}
	if err := figures([]figureFlag{
		{"--frequency", c.Frequency, quantity.Hertz, &r.Frequency}, {"--volts", c.Volts, quantity.Volt, &r.LeakageVoltage},
		{"--after", c.After, quantity.Second, &r.LeakageAfter}, {"--temperature", c.Temperature, quantity.Celsius, &r.Temperature}, {"--age", c.Age, quantity.Second, &r.Age},
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
			return r, fmt.Errorf("--seen: %q is no word for a look; write sound, bulged, leaked, cracked, burnt or residue", word)
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
		return r, fmt.Errorf("--how: %q; write \"in circuit\" or \"out of circuit\"", c.How)
	}
	return r, nil
}

// service gives what is known of the life of the part.
func (c *capacitorCommand) service(ctx context.Context, n named, age float64) (life.Part, life.Service, error) {
	p, s := life.Part{RatedVolt: n.part.Voltage, StatedAt: n.part.Temperature}, life.Service{Age: age}
	if err := figures([]figureFlag{
		{"--hours-a-day", c.HoursADay, quantity.None, &s.HoursADay}, {"--surroundings", c.Surroundings, quantity.Celsius, &s.Surroundings},
		{"--stated-life", c.StatedLife, quantity.Second, &p.Stated}, {"--stated-at", c.StatedAt, quantity.Celsius, &p.StatedAt},
		{"--ripple", c.Ripple, quantity.Ampere, &s.Ripple}, {"--rated-ripple", c.RatedRipple, quantity.Ampere, &p.Ripple},
	}); err != nil {
		return p, s, badInput{err}
	}
	for _, text := range c.Near {
		neighbour, err := nearby(text)
		if err != nil {
			return p, s, badInput{err}
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
		return n, fmt.Errorf("--near: %q; write a name, and what it dissipates or by how much it warms, as in \"R7 0.7W\" or \"R7 12K\"", text)
	}
	return n, nil
}

// plan plans the reforming.
func (c *capacitorCommand) plan(capacitor part.Capacitor) (reform.Plan, error) {
	upTo := 0.0
	if err := figures([]figureFlag{{"--up-to", c.UpTo, quantity.Volt, &upTo}}); err != nil {
		return reform.Plan{}, err
	}
	var names []string
	for _, p := range reform.Procedures() {
		if p.Name == c.Procedure {
			return reform.New(capacitor, p, upTo)
		}
		names = append(names, p.Name)
	}
	return reform.Plan{}, fmt.Errorf("--procedure: %q is not known; write %s", c.Procedure, strings.Join(names, ", "))
}
