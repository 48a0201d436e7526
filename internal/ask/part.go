package ask

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"halfsplit/form"
	"halfsplit/internal/spare"
	"halfsplit/part"
	"halfsplit/part/replacement"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// Part is a part that is named in words, or by a service sheet and a designator.
type Part struct {
	Text  string // as it is called in what is printed
	part  replacement.Part
	sheet *sheet.Sheet // nil when it is named in words
	name  string       // its designator on the sheet
}

// PartOf finds the part that some words name. What is not said of its kind is
// taken from like.
func PartOf(text string, like replacement.Part) (Part, error) {
	if strings.TrimSpace(text) == "" {
		return Part{}, badInput{errors.New(`name the part: as it is marked, as in "4700 uF 35 V electrolytic", or by a service sheet and its designator, as in p6.sheet.yaml C1`)}
	}
	p, err := replacement.Parse(text, like)
	if err != nil {
		return Part{}, badInput{err}
	}
	return Part{Text: p.String(), part: p}, nil
}

// PartOn finds the part with a designator on a sheet, which messages call file.
func PartOn(s *sheet.Sheet, file, name string) (Part, error) {
	var known []string
	for _, p := range s.Parts {
		known = append(known, p.Name.Text)
	}
	if name == "" {
		return Part{}, badInput{fmt.Errorf("which part of %s? %s", file, form.Suggest("", known))}
	}
	o, _, err := s.Original(name)
	if s.Part(name) == nil {
		return Part{}, badInput{fmt.Errorf("%s has no part %q; %s", file, name, form.Suggest(name, known))}
	}
	if err != nil {
		return Part{}, badInput{err}
	}
	return Part{Text: name + ", " + o.String(), part: o, sheet: s, name: name}, nil
}

// bears finds what a part of a sheet bears, by solving its circuit. What could not
// be solved is said in remarks.
func (n Part) bears(ctx context.Context, name, until, limit string) (b spare.Bears, remarks []string, err error) {
	followed := 0.0
	if until != "" {
		q, err := quantity.ParseAs(until, quantity.Second)
		if err != nil || !(q.Value > 0) {
			return b, nil, wrong("until", "write a time above zero, such as 20ms")
		}
		followed = q.Value
	}
	allowed, err := quantity.ParseAs(limit, quantity.Second)
	if err != nil || !(allowed.Value > 0 && allowed.Value < 1e6) {
		return b, nil, wrong("limit", "write a time above zero, such as 1min")
	}
	ctx, stop := context.WithTimeout(ctx, time.Duration(allowed.Value*float64(time.Second)))
	defer stop()
	b, err = spare.Find(ctx, n.sheet, name, followed)
	switch {
	case errors.Is(err, context.Canceled):
		return b, nil, err
	case errors.Is(err, context.DeadlineExceeded):
		remarks = append(remarks, fmt.Sprintf("its circuit was not solved within %s, so that only the marking counts; allow more with --limit", limit))
	case err != nil:
		remarks = append(remarks, fmt.Sprintf("its circuit could not be solved, so that only the marking counts: %v", err))
	case b.Circuit == "":
		remarks = append(remarks, "it stands in no circuit of the sheet, so that only the marking counts")
	}
	return b, append(remarks, b.Warnings...), nil
}

// dielectric is what a capacitor is made of; where it was not said, an
// electrolytic from 1 µF upwards and film below, and a remark that says so.
func dielectric(p *replacement.Part) (assumed string) {
	if p.Kind != replacement.Capacitor || p.Dielectric != part.UnknownCapacitor {
		return ""
	}
	p.Dielectric = part.PlasticFilm
	if p.Value >= 1e-6 {
		p.Dielectric = part.AluminiumElectrolytic
	}
	return fmt.Sprintf("taken as %v, as nothing else was said", p.Dielectric)
}
