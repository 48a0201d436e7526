package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"halfsplit/form"
	"halfsplit/internal/spare"
	"halfsplit/part"
	"halfsplit/part/replacement"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// named is a part that is named in words, or by a service sheet and a designator.
type named struct {
	text  string // as it is called in what is printed
	part  replacement.Part
	sheet *sheet.Sheet // nil when it is named in words
	name  string       // its designator on the sheet
}

// nameOf finds the part that the arguments name. What is not said of its kind is
// taken from like.
func nameOf(arguments []string, like replacement.Part) (named, error) {
	if len(arguments) == 0 {
		return named{}, badInput{errors.New(`name the part: as it is marked, as in "4700 uF 35 V electrolytic", or by a service sheet and its designator, as in p6.sheet.yaml C1`)}
	}
	if ext := filepath.Ext(arguments[0]); ext != ".yaml" && ext != ".yml" {
		text := strings.Join(arguments, " ")
		p, err := replacement.Parse(text, like)
		if err != nil {
			return named{}, badInput{err}
		}
		return named{text: p.String(), part: p}, nil
	}
	s, err := sheet.Load(arguments[0])
	if err != nil {
		return named{}, err
	}
	var known []string
	for _, p := range s.Parts {
		known = append(known, p.Name.Text)
	}
	name := strings.Join(arguments[1:], " ")
	if name == "" {
		return named{}, badInput{fmt.Errorf("which part of %s? %s", arguments[0], form.Suggest("", known))}
	}
	o, _, err := s.Original(name)
	if s.Part(name) == nil {
		return named{}, badInput{fmt.Errorf("%s has no part %q; %s", arguments[0], name, form.Suggest(name, known))}
	}
	if err != nil {
		return named{}, badInput{err}
	}
	return named{text: name + ", " + o.String(), part: o, sheet: s, name: name}, nil
}

// bears finds what a part of a sheet bears, by solving its circuit. What could not
// be solved is said in remarks.
func (n named) bears(ctx context.Context, name, until, limit string) (b spare.Bears, remarks []string, err error) {
	followed := 0.0
	if until != "" {
		q, err := quantity.ParseAs(until, quantity.Second)
		if err != nil || !(q.Value > 0) {
			return b, nil, badInput{errors.New("--until: write a time above zero, such as 20ms")}
		}
		followed = q.Value
	}
	allowed, err := quantity.ParseAs(limit, quantity.Second)
	if err != nil || !(allowed.Value > 0 && allowed.Value < 1e6) {
		return b, nil, badInput{errors.New("--limit: write a time above zero, such as 1min")}
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
