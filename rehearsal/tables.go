package rehearsal

import (
	"fmt"
	"math/rand/v2"

	"halfsplit/diagnosis"
)

// FromTable is the bench of a table: units answer as the table foretells.
// The prior of the hypotheses is taken from the setup.
func FromTable(setup Setup, table *diagnosis.Table) (Bench, error) {
	own := table.Clone()
	prior := make([]float64, len(setup.Hypotheses))
	for h := range prior {
		prior[h] = setup.Hypotheses[h].Prior
	}
	if err := own.Reweigh(prior); err != nil {
		return nil, fmt.Errorf("rehearsal: %w", err)
	}
	bench := &tableBench{setup: setup, table: own}
	if err := check(bench); err != nil {
		return nil, err
	}
	if err := own.Join(setup.classes()); err != nil {
		return nil, err
	}
	return bench, nil
}

type tableBench struct {
	setup Setup
	table *diagnosis.Table
}

func (b *tableBench) Setup() *Setup           { return &b.setup }
func (b *tableBench) Table() *diagnosis.Table { return b.table }

func (b *tableBench) Build(hypothesis int, _ *rand.Rand) Unit {
	return tableUnit{b.table, hypothesis}
}

type tableUnit struct {
	table      *diagnosis.Table
	hypothesis int
}

func (u tableUnit) Answer(test int, random *rand.Rand) int {
	return draw(u.table.Under(u.hypothesis, test), random)
}

// draw draws a number with the given chances, which add up to one.
func draw(chances []float64, random *rand.Rand) int {
	x, last := random.Float64(), 0
	for i, p := range chances {
		if p <= 0 {
			continue
		}
		last = i
		if x < p {
			return i
		}
		x -= p
	}
	return last
}
