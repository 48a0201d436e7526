package main

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"
)

// neighbours are labelled readings among which the nearest are looked for.
type neighbours struct {
	points  [][]float64 // sorted by their first coordinate
	labels  []int
	classes int
	lower   mat.TriDense
}

// newNeighbours takes readings by class. Distance is measured in units of how
// they spread within a class (root of the pooled covariance), so that readings
// that go together do not count twice.
func newNeighbours(byClass [][][]float64) *neighbours {
	n := len(byClass[0][0])
	pooled := mat.NewSymDense(n, nil)
	total := 0.0
	for _, rows := range byClass {
		means := make([]float64, n)
		for _, row := range rows {
			for i, v := range row {
				means[i] += v / float64(len(rows))
			}
		}
		for _, row := range rows {
			for i := range n {
				for j := range i + 1 {
					pooled.SetSym(i, j, pooled.At(i, j)+(row[i]-means[i])*(row[j]-means[j]))
				}
			}
		}
		total += float64(len(rows) - 1)
	}
	pooled.ScaleSym(1/total, pooled)
	var cholesky mat.Cholesky
	cholesky.Factorize(pooled)
	s := &neighbours{classes: len(byClass)}
	cholesky.LTo(&s.lower)
	for label, rows := range byClass {
		for _, row := range rows {
			s.points = append(s.points, s.scale(row))
			s.labels = append(s.labels, label)
		}
	}
	sort.Sort(s)
	return s
}

func (s *neighbours) scale(row []float64) []float64 {
	x := mat.NewVecDense(len(row), append([]float64(nil), row...))
	x.SolveVec(&s.lower, x)
	return x.RawVector().Data
}

func (s *neighbours) Len() int           { return len(s.points) }
func (s *neighbours) Less(i, j int) bool { return s.points[i][0] < s.points[j][0] }
func (s *neighbours) Swap(i, j int) {
	s.points[i], s.points[j] = s.points[j], s.points[i]
	s.labels[i], s.labels[j] = s.labels[j], s.labels[i]
}

// vote gives, for each number of nearest neighbours asked for in rising order,
// the class that most of them have; the one nearest to hand in a tie.
func (s *neighbours) vote(row []float64, numbers []int) []int {
	at := s.scale(row)
	most := numbers[len(numbers)-1]
	type found struct {
		square float64
		label  int
	}
	var near []found
	high := sort.Search(len(s.points), func(i int) bool { return s.points[i][0] >= at[0] })
	low := high - 1
	for {
		below, above := math.Inf(1), math.Inf(1)
		if low >= 0 {
			below = at[0] - s.points[low][0]
		}
		if high < len(s.points) {
			above = s.points[high][0] - at[0]
		}
		gap := min(below, above)
		if math.IsInf(gap, 1) || len(near) == most && gap*gap > near[most-1].square {
			break
		}
		next := low
		if below < above {
			low--
		} else {
			next = high
			high++
		}
		square := 0.0
		for i, v := range s.points[next] {
			square += (v - at[i]) * (v - at[i])
		}
		if len(near) == most && square >= near[most-1].square {
			continue
		}
		place := sort.Search(len(near), func(i int) bool { return near[i].square > square })
		near = append(near, found{})
		copy(near[place+1:], near[place:])
		near[place] = found{square, s.labels[next]}
		near = near[:min(len(near), most)]
	}
	var answers []int
	votes := make([]int, s.classes)
	best := near[0].label
	for k, n := range near {
		votes[n.label]++
		if votes[n.label] > votes[best] {
			best = n.label
		}
		if len(answers) < len(numbers) && k+1 == numbers[len(answers)] {
			answers = append(answers, best)
		}
	}
	return answers
}

// mostPossible is the greatest accuracy that any method can have where a single
// nearest neighbour, among ever more, has the given one: with M classes and error
// R, the least error R* obeys R ≤ R* (2 - M/(M-1) R*) (T. M. Cover, P. E. Hart,
// "Nearest neighbor pattern classification", IEEE Trans. Information Theory 13
// (1967) 21-27, equation 11).
func mostPossible(accuracy float64, classes int) float64 {
	m := float64(classes)
	share := m / (m - 1)
	return 1 - (1-math.Sqrt(max(0, 1-share*(1-accuracy))))/share
}
