package main

import (
	"path/filepath"
	"strings"

	"halfsplit/internal/ask"
	"halfsplit/part/replacement"
	"halfsplit/sheet"
)

// nameOf finds the part that the arguments name: in words, or by a service sheet
// and a designator. What is not said of its kind is taken from like.
func nameOf(arguments []string, like replacement.Part) (ask.Part, error) {
	if len(arguments) > 0 {
		if ext := filepath.Ext(arguments[0]); ext == ".yaml" || ext == ".yml" {
			s, err := sheet.Load(arguments[0])
			if err != nil {
				return ask.Part{}, err
			}
			p, err := ask.PartOn(s, arguments[0], strings.Join(arguments[1:], " "))
			return p, asked(err)
		}
	}
	p, err := ask.PartOf(strings.Join(arguments, " "), like)
	return p, asked(err)
}

// asked marks a mistake in a question as one of the input.
func asked(err error) error {
	if err != nil && ask.IsMistake(err) {
		return badInput{err}
	}
	return err
}
