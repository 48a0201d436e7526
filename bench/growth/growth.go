// Command growth times how the cost of a time step grows with the size of the
// circuit, and draws it:
//
//	go run ./bench/growth -plot docs/growth.svg
package main

import (
	"context"
	"flag"
	"fmt"
	"log"
	"math"
	"os"
	"time"

	"gonum.org/v1/gonum/stat"

	"halfsplit/bench/circuits"
	c "halfsplit/circuit"
)

// kind is a kind of circuit that can be had in any size.
type kind struct {
	name    string
	make    func(nodes int) *c.Circuit
	until   float64 // s: a few pulses
	current string  // the part whose current is recorded
}

var kinds = []kind{
	{"ladder", circuits.Ladder, 400e-6, "V1"},
	{"board", circuits.Board, 1e-3, "VP"},
}

// sizes are the numbers of nodes.
var sizes = []int{50, 160, 500, 1600, 5000}

// goal is the exponent that the growth is not to exceed.
const goal = 1.2

func main() {
	log.SetFlags(0)
	picture := flag.String("plot", "", "SVG file for a picture")
	rounds := flag.Int("rounds", 5, "times that each circuit is followed; the quickest counts")
	flag.Parse()
	if *rounds < 1 {
		log.Fatalf("-rounds %d: at least one is needed", *rounds)
	}
	series, err := measure(*rounds)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("µs a step, by nodes; exponent fitted over all, and goal")
	for _, s := range series {
		fmt.Printf("%-7s", s.name)
		for i, nodes := range s.nodes {
			fmt.Printf(" %g: %.1f", nodes, s.cost[i])
		}
		exponent, _ := s.fit()
		fmt.Printf("  n^%.2f (n^%g)\n", exponent, goal)
	}
	if *picture == "" {
		return
	}
	file, err := os.Create(*picture)
	if err != nil {
		log.Fatal(err)
	}
	if err := draw(file, series); err != nil {
		log.Fatal(err)
	}
	if err := file.Close(); err != nil {
		log.Fatal(err)
	}
}

// measure times all circuits in turn, as many times as there are rounds, so that
// other work on the machine weighs on none of them alone.
func measure(rounds int) ([]growth, error) {
	series := make([]growth, len(kinds))
	for round := range rounds {
		for k, kind := range kinds {
			series[k].name = kind.name
			for i, nodes := range sizes {
				run, err := kind.at(nodes)
				if err != nil {
					return nil, err
				}
				start := time.Now()
				steps, err := run()
				if err != nil {
					return nil, err
				}
				cost := float64(time.Since(start).Nanoseconds()) / 1e3 / float64(steps)
				if round == 0 {
					series[k].add(nodes, cost)
				} else {
					series[k].cost[i] = min(series[k].cost[i], cost)
				}
			}
		}
	}
	return series, nil
}

// at makes the circuit of a size ready. What it returns follows it from rest
// through a few pulses and counts the steps.
func (k kind) at(nodes int) (run func() (steps int, err error), err error) {
	s, err := k.make(nodes).Solver(c.Settings{Accuracy: 1e-3})
	if err != nil {
		return nil, err
	}
	rest, err := s.OperatingPoint(context.Background())
	if err != nil {
		return nil, err
	}
	return func() (int, error) {
		tr, err := s.Transient(context.Background(), c.Run{From: rest.State(), Until: k.until, Record: []c.Quantity{c.Current(k.current)}})
		if err != nil {
			return 0, err
		}
		return len(tr.Time) - 1, nil
	}, nil
}

// growth is the cost of a step of one kind of circuit.
type growth struct {
	name        string
	nodes, cost []float64 // cost in µs
}

func (g *growth) add(nodes int, cost float64) {
	g.nodes, g.cost = append(g.nodes, float64(nodes)), append(g.cost, cost)
}

// fit lays the power law cost = factor · nodes^exponent through all points, by
// least squares of the logarithms.
func (g *growth) fit() (exponent, factor float64) {
	x, y := make([]float64, len(g.nodes)), make([]float64, len(g.nodes))
	for i := range x {
		x[i], y[i] = math.Log(g.nodes[i]), math.Log(g.cost[i])
	}
	intercept, slope := stat.LinearRegression(x, y, nil, false)
	return slope, math.Exp(intercept)
}
