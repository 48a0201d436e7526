package soak

import (
	"fmt"
	"math"
)

// ShapePrior is what is assumed about the Weibull shape before the failures are
// looked at: its logarithm is normal.
type ShapePrior struct {
	Median float64 // median shape, between 0.1 and 10; 1 is a constant failure rate
	Spread float64 // factor of one standard deviation, between 1 (shape known) and 10
}

// DefaultShapePrior returns the shape prior used unless another is given:
// median 1, so that failures come at random, and a factor of two for one
// standard deviation, so that 95 % lies between 1/4 and 4. It is a choice of
// this package, made so that two failures that happen to agree do not look
// like a law.
func DefaultShapePrior() ShapePrior { return ShapePrior{Median: 1, Spread: 2} }

func (p ShapePrior) check() error {
	if !(p.Median >= 0.1 && p.Median <= 10) {
		return fmt.Errorf("soak: median of the Weibull shape prior is %v; it must lie between 0.1 and 10 (1 is a constant failure rate)", p.Median)
	}
	if !(p.Spread >= 1 && p.Spread <= 10) {
		return fmt.Errorf("soak: spread of the Weibull shape prior is %v; it is the factor of one standard deviation, between 1 (shape known) and 10; see DefaultShapePrior", p.Spread)
	}
	return nil
}

// WeibullPosterior is what is believed about lives whose Weibull shape and
// scale are both unknown, after two or more failures. It holds the shape on a
// grid; for each shape the scale is averaged out in closed form, since lives to
// the power of the shape are exponential. It is made by NewWeibullPosterior;
// the zero value knows nothing and predicts survival for certain.
//
// The prior density in ln(shape) and ln(scale) is, up to a constant,
//
//	normal(ln shape) · (τ/scale)^(a·shape) · exp(-(b/scale)^shape)
//
// where a and b are the shape and rate of the prior of the failure rate, and τ,
// the mean time of the failures, is where priors of different shapes are made
// to agree. With the shape known to be 1 this is the gamma prior itself, and
// the prediction is the Lomax one.
type WeibullPosterior struct {
	reference float64 // τ
	power     float64 // failures + a
	nodes     []weibullNode
}

// weibullNode is one shape of the grid.
type weibullNode struct {
	shape       float64
	logWeight   float64 // logarithm of the posterior weight; the weights add to 1
	logExposure float64 // ln Σ (t/τ)^shape over all running, with the prior's b
}

// NewWeibullPosterior returns what is believed after the given times of
// failures, at least two, and suspensions. A suspension may be of zero length.
func NewWeibullPosterior(failures, suspensions []float64, rate Gamma, shape ShapePrior) (WeibullPosterior, error) {
	if err := first(checkTimes("failure", failures), shape.check()); err != nil {
		return WeibullPosterior{}, err
	}
	for i, t := range suspensions {
		if !(t >= 0 && t <= longestTime) {
			return WeibullPosterior{}, fmt.Errorf("soak: suspension %d is %v; it must lie between 0 and %v", i+1, t, longestTime)
		}
	}
	if len(failures) < 2 {
		return WeibullPosterior{}, fmt.Errorf("soak: %d failures; how failures bunch can be told only from two or more: take the failure rate as constant instead", len(failures))
	}
	reference := mean(failures)
	var logLives []float64
	sumLogFailures := 0.0
	for _, t := range failures {
		logLives = append(logLives, math.Log(t/reference))
		sumLogFailures += math.Log(t / reference)
	}
	for _, t := range append([]float64{rate.rate}, suspensions...) {
		if t > 0 {
			logLives = append(logLives, math.Log(t/reference))
		}
	}
	r := float64(len(failures))
	p := WeibullPosterior{reference: reference, power: r + rate.shape}

	centre, sd := math.Log(shape.Median), math.Log(shape.Spread)
	terms := make([]float64, len(logLives))
	node := func(logShape float64) weibullNode {
		n := weibullNode{shape: math.Exp(logShape)}
		for i, l := range logLives {
			terms[i] = n.shape * l
		}
		n.logExposure = logSumExp(terms)
		n.logWeight = (r-1)*logShape + (n.shape-1)*sumLogFailures - p.power*n.logExposure
		if sd > 0 {
			z := (logShape - centre) / sd
			n.logWeight -= z * z / 2
		}
		return n
	}
	if sd == 0 {
		known := node(centre)
		known.logWeight = 0
		p.nodes = []weibullNode{known}
		return p, nil
	}
	// A coarse pass over eight standard deviations of the prior finds where the
	// weight is, a fine one covers that. Weights below exp(-45) of the largest
	// are left out.
	const (
		coarse, fine = 200, 64
		reach        = 8
		negligible   = 45
	)
	low, high := centre-reach*sd, centre+reach*sd
	step := (high - low) / coarse
	logWeights := make([]float64, coarse+1)
	top := math.Inf(-1)
	for i := range logWeights {
		logWeights[i] = node(low + float64(i)*step).logWeight
		top = math.Max(top, logWeights[i])
	}
	from, to := coarse, 0
	for i, w := range logWeights {
		if w > top-negligible {
			from, to = min(from, i), max(to, i)
		}
	}
	from, to = max(0, from-1), min(coarse, to+1)
	start, width := low+float64(from)*step, float64(to-from)*step
	p.nodes = make([]weibullNode, fine+1)
	weights := make([]float64, fine+1)
	for i := range p.nodes {
		p.nodes[i] = node(start + width*float64(i)/fine)
		weights[i] = p.nodes[i].logWeight
	}
	total := logSumExp(weights)
	for i := range p.nodes {
		p.nodes[i].logWeight -= total
	}
	return p, nil
}

// LogSurvival returns the natural logarithm of the chance that a unit comes
// through all of the given runs, each from a start, without failure.
func (p WeibullPosterior) LogSurvival(runs ...float64) float64 {
	if len(runs) == 0 {
		return 0
	}
	return p.survivalAfter(runs[:len(runs)-1])(runs[len(runs)-1])
}

// Survival returns the chance of one run of a time t without failure.
func (p WeibullPosterior) Survival(t float64) float64 { return math.Exp(p.LogSurvival(t)) }

// TimeAtSurvival returns the length of one run that is survived with chance
// probability. It is 0 for a probability of 1 or more, and +Inf for one of 0 or
// less.
func (p WeibullPosterior) TimeAtSurvival(probability float64) float64 {
	switch {
	case probability >= 1:
		return 0
	case !(probability > 0):
		return math.Inf(1)
	}
	return timeUntil(p.survivalAfter(nil), 0, math.Log(probability), p.reference)
}

// ShapeInterval returns the equal-tailed credible interval of the shape that
// holds it with the chance level.
func (p WeibullPosterior) ShapeInterval(level float64) (Interval, error) {
	if err := checkLevel("level", level); err != nil {
		return Interval{}, err
	}
	tail := (1 - level) / 2
	return Interval{Lower: p.shapeQuantile(tail), Upper: p.shapeQuantile(1 - tail)}, nil
}

// MedianShape returns the median of the shape.
func (p WeibullPosterior) MedianShape() float64 { return p.shapeQuantile(0.5) }

// shapeQuantile interpolates the distribution of ln(shape) between the nodes,
// by the trapezium rule.
func (p WeibullPosterior) shapeQuantile(q float64) float64 {
	if len(p.nodes) == 0 {
		return 0
	}
	below := 0.0
	for i := 1; i < len(p.nodes); i++ {
		left, right := p.nodes[i-1], p.nodes[i]
		piece := (math.Exp(left.logWeight) + math.Exp(right.logWeight)) / 2
		if below+piece >= q {
			f := (q - below) / piece
			return math.Exp((1-f)*math.Log(left.shape) + f*math.Log(right.shape))
		}
		below += piece
	}
	return p.nodes[len(p.nodes)-1].shape
}

// survivalAfter implements predictive.
func (p WeibullPosterior) survivalAfter(survived []float64) func(last float64) float64 {
	if len(p.nodes) == 0 {
		return func(float64) float64 { return 0 }
	}
	clean := make([]float64, len(p.nodes)) // ln Σ (s/τ)^shape over the runs survived
	for i, node := range p.nodes {
		clean[i] = math.Inf(-1)
		for _, s := range survived {
			if s > 0 {
				clean[i] = logAdd(clean[i], node.shape*math.Log(s/p.reference))
			}
		}
	}
	terms := make([]float64, len(p.nodes))
	return func(last float64) float64 {
		logLast := math.Inf(-1)
		if last > 0 {
			logLast = math.Log(last / p.reference)
		}
		for i, node := range p.nodes {
			more := clean[i]
			if last > 0 {
				more = logAdd(more, node.shape*logLast)
			}
			terms[i] = node.logWeight - p.power*softplus(more-node.logExposure)
		}
		return math.Min(0, logSumExp(terms))
	}
}

// mean returns the mean of a list that is not empty.
func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}
