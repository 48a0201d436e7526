package main

import (
	"fmt"
	"io"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/plotutil"
	"gonum.org/v1/plot/vg"
)

// draw writes a picture of the costs, with the power laws fitted to them, as
// SVG, and beside them a line as steep as the goal.
func draw(to io.Writer, series []growth) error {
	p := plot.New()
	p.Title.Text = "Cost of a time step"
	p.X.Label.Text, p.Y.Label.Text = "nodes", "time of a step in µs"
	p.X.Scale, p.Y.Scale = plot.LogScale{}, plot.LogScale{}
	p.X.Tick.Marker, p.Y.Tick.Marker = plot.LogTicks{Prec: -1}, plot.LogTicks{Prec: -1}
	p.Legend.Left, p.Legend.Top, p.Legend.XOffs = true, true, vg.Centimeter/2
	p.Add(plotter.NewGrid())
	lowest := math.Inf(1)
	for i, s := range series {
		points := make(plotter.XYs, len(s.nodes))
		for k := range points {
			points[k] = plotter.XY{X: s.nodes[k], Y: s.cost[k]}
			lowest = min(lowest, s.cost[k])
		}
		dots, err := plotter.NewScatter(points)
		if err != nil {
			return err
		}
		ink := plotutil.Color(2 * i) // red, blue, ...: every second can be told apart by all
		dots.Shape, dots.Color, dots.Radius = plotutil.Shape(i), ink, vg.Points(4)
		exponent, factor := s.fit()
		line, err := law(s.nodes, exponent, factor)
		if err != nil {
			return err
		}
		line.Color = ink
		p.Add(line, dots)
		p.Legend.Add(fmt.Sprintf("%s: n^%.2f", s.name, exponent), line, dots)
	}
	nodes := series[0].nodes
	line, err := law(nodes, goal, lowest/math.Pow(nodes[0], goal))
	if err != nil {
		return err
	}
	line.Dashes = plotutil.Dashes(1)
	p.Add(line)
	p.Legend.Add(fmt.Sprintf("goal: no steeper than n^%g", goal), line)
	const air = 1.25 // round the outermost points
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = p.X.Min/air, p.X.Max*air, p.Y.Min/air, p.Y.Max*air
	picture, err := p.WriterTo(16*vg.Centimeter, 12*vg.Centimeter, "svg")
	if err != nil {
		return err
	}
	_, err = picture.WriteTo(to)
	return err
}

// law is the line of a power law from the first number of nodes to the last.
func law(nodes []float64, exponent, factor float64) (*plotter.Line, error) {
	ends := plotter.XYs{{X: nodes[0]}, {X: nodes[len(nodes)-1]}}
	for i := range ends {
		ends[i].Y = factor * math.Pow(ends[i].X, exponent)
	}
	return plotter.NewLine(ends)
}
