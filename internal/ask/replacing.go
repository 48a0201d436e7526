package ask

import (
	"context"
	"slices"
	"strings"

	"halfsplit/internal/report"
	"halfsplit/part/drawer"
	"halfsplit/part/replacement"
	"halfsplit/quantity"
)

// Replacing asks what may stand in the place of a part.
type Replacing struct {
	Bears   []string `placeholder:"FIGURE" sep:"," help:"What it bears in its circuit, such as 24.6V,0.9A,100Hz: greatest voltage, current, dissipation, frequency. Found from the sheet when it has a circuit."`
	Use     string   `placeholder:"USE" help:"What it is for: smoothing, coupling or timing."`
	Hot     bool     `help:"It sits beside something hot."`
	With    []string `placeholder:"PART" sep:";" help:"Would this one do? Several are separated by semicolons."`
	From    []string `placeholder:"PARTS" sep:"," help:"Parts at hand, such as \"4 x 2200 uF 35 V, 2 x 1000 uF 35 V\"."`
	Marking bool     `help:"Go by the marking alone; do not solve the circuit."`
	Until   string   `placeholder:"TIME" help:"Follow the circuit from switching on, where it swings by itself, such as 20ms."`
	Limit   string   `default:"1min" placeholder:"TIME" help:"How long the circuit may compute."`
}

// Find finds what will serve: in general, of the candidates that are named, and
// of the parts at hand, to which more may be given.
func (c *Replacing) Find(ctx context.Context, n Part, more func(like replacement.Part) ([]replacement.Stocked, error)) (*report.Replacing, error) {
	assumed := dielectric(&n.part)
	if assumed != "" {
		n.Text = n.part.String()
	}
	stress, circuit, remarks, err := c.stress(ctx, n)
	if err != nil {
		return nil, err
	}
	if uses := replacement.Uses(); c.Use != "" && !slices.Contains(uses, replacement.Use(c.Use)) {
		return nil, wrong("use", "%q; write smoothing, coupling or timing", c.Use)
	}
	need, err := replacement.For(n.part, stress, replacement.Use(c.Use))
	if err != nil {
		return nil, asked(err)
	}
	answer := report.NewReplacing(n.Text, need)
	answer.Circuit = circuit
	answer.Warnings = append(remarks, answer.Warnings...)
	if assumed != "" {
		answer.Assumed = append(answer.Assumed, assumed)
	}
	for _, text := range c.With {
		p, err := replacement.Parse(text, n.part)
		if err != nil {
			return nil, wrong("with", "%w", err)
		}
		answer.Candidates = append(answer.Candidates, report.NewCandidate(need.Check(p)))
	}
	stock, err := c.stock(n.part, more)
	if err != nil {
		return nil, err
	}
	if len(stock) > 0 {
		serve, refused := need.Combine(stock)
		answer.Looked = len(stock)
		for _, one := range serve {
			answer.AtHand = append(answer.AtHand, report.NewAtHand(one))
		}
		for _, one := range refused {
			if one.Part.Kind == n.part.Kind && !among(one.Part, serve) {
				answer.Refused = append(answer.Refused, report.NewCandidate(one))
			}
		}
	}
	return answer, nil
}

// among tells whether a part that does not serve alone serves with others.
func among(p replacement.Part, serve []replacement.Combination) bool {
	return slices.ContainsFunc(serve, func(c replacement.Combination) bool {
		return slices.ContainsFunc(c.Parts, func(q replacement.Part) bool { return q.Name == p.Name && q.String() == p.String() })
	})
}

// stress gives what the part bears: as said, else as its circuit says.
func (c *Replacing) stress(ctx context.Context, n Part) (s replacement.Stress, circuit string, remarks []string, err error) {
	if n.sheet != nil && !c.Marking && len(c.Bears) == 0 {
		b, remarks, err := n.bears(ctx, n.name, c.Until, c.Limit)
		if err != nil {
			return s, "", nil, err
		}
		b.Stress.Hot = b.Stress.Hot || c.Hot
		return b.Stress, b.Circuit, remarks, nil
	}
	s.Hot = c.Hot
	if n.sheet != nil {
		s.Hot = s.Hot || n.sheet.Part(n.name).Near.Text != ""
	}
	for _, text := range c.Bears {
		q, err := quantity.Parse(strings.TrimSpace(text))
		if err != nil {
			return s, "", nil, wrong("bears", "%w", err)
		}
		figure := c.figure(&s, n.part.Kind, q.Unit)
		switch {
		case figure == nil:
			return s, "", nil, wrong("bears", "%s is nothing that a %s bears; write volts, amperes, watts or hertz, as in 24.6V,0.9A,100Hz", q, n.part.Kind)
		case q.Value <= 0:
			return s, "", nil, wrong("bears", "%s is not above zero", q)
		}
		*figure = q.Value
	}
	return s, "", nil, nil
}

// figure gives where a figure of what a part bears belongs. Amperes are the ripple
// of a capacitor, the mean of a diode or regulator, the greatest of a transistor.
func (c *Replacing) figure(s *replacement.Stress, kind replacement.Kind, unit quantity.Unit) *float64 {
	switch unit {
	case quantity.Volt:
		return &s.Voltage
	case quantity.Watt:
		return &s.Dissipation
	case quantity.Hertz:
		return &s.Frequency
	case quantity.Ampere:
		switch kind {
		case replacement.Capacitor:
			return &s.RMS
		case replacement.Transistor, replacement.FieldTrans:
			return &s.Current
		}
		return &s.Mean
	}
	return nil
}

// stock gathers the parts at hand.
func (c *Replacing) stock(like replacement.Part, more func(replacement.Part) ([]replacement.Stocked, error)) ([]replacement.Stocked, error) {
	like.Class = 0 // a part without a class does not get one from what it replaces
	var stock []replacement.Stocked
	for _, text := range c.From {
		s, err := drawer.Label(strings.TrimSpace(text), like)
		if err != nil {
			return nil, wrong("from", "%w", err)
		}
		stock = append(stock, s)
	}
	if more == nil {
		if c.From != nil && len(stock) == 0 {
			return nil, wrong("from", "no parts are listed")
		}
		return stock, nil
	}
	others, err := more(like)
	return append(stock, others...), err
}
