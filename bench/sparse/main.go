// Command sparse times package circuit/sparse on circuit-like matrices, and
// beside it a program that does the same with another library; run.sh builds
// that program and starts this one.
package main

import (
	"bufio"
	"flag"
	"fmt"
	"log"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"halfsplit/bench/networks"
	"halfsplit/circuit/sparse"
)

// figures are the least times of each step, the number of values in the
// factors, and the largest residual. The first refactorization counts apart: on
// our side it makes the plan for the others.
type figures struct {
	analyse, factor, plan, refactor, solve float64 // ns
	values                                 int
	residual                               float64
}

// worst is what every measurement is better than.
func worst() figures {
	inf := math.Inf(1)
	return figures{analyse: inf, factor: inf, plan: inf, refactor: inf, solve: inf}
}

// better takes the least of two measurements, step by step.
func (f figures) better(g figures) figures {
	return figures{
		min(f.analyse, g.analyse), min(f.factor, g.factor), min(f.plan, g.plan), min(f.refactor, g.refactor), min(f.solve, g.solve),
		g.values, g.residual,
	}
}

func main() {
	log.SetFlags(0)
	peer := flag.String("peer", "", "program to time beside, called with a matrix file, a number of repeats, and what else is on the command line")
	sizes := flag.String("sizes", "50,500,5000", "numbers of unknowns")
	rounds := flag.Int("rounds", 5, "turns that each side takes")
	flag.Parse()
	folder, err := os.MkdirTemp("", "matrices")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(folder)

	fmt.Println("times in µs: ours / peer; the ratio is peer ÷ ours for refactor + solve, ours ÷ peer for analysis + first factorization")
	fmt.Println("| matrix | analysis | first factorization | first refactor | refactor | solve | values | residual | refactor + solve: ratio | analysis + first: ratio |")
	fmt.Println("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |")
	for _, kind := range networks.Kinds {
		for _, field := range []string{"real", "complex"} {
			for _, size := range strings.Split(*sizes, ",") {
				var n int
				if _, err := fmt.Sscan(size, &n); err != nil {
					log.Fatal(err)
				}
				if err := compare(folder, networks.Make(kind, n, 1), field, *peer, flag.Args(), *rounds); err != nil {
					log.Fatal(err)
				}
			}
		}
	}
}

// compare times both sides on one matrix, taking turns, and prints a row.
func compare(folder string, s *networks.System, field, peer string, options []string, rounds int) error {
	file := filepath.Join(folder, s.Name+"-"+field+".mtx")
	if err := write(file, s, field); err != nil {
		return err
	}
	repeats := max(50, 1_000_000/s.Size)
	ours, theirs := worst(), worst()
	for range rounds {
		var f figures
		var err error
		if field == "real" {
			f, err = measure(s, s.Real(), repeats)
		} else {
			f, err = measure(s, s.Values, repeats)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", s.Name, err)
		}
		ours = ours.better(f)
		if peer == "" {
			continue
		}
		out, err := exec.Command(peer, append([]string{file, fmt.Sprint(repeats)}, options...)...).Output()
		if err != nil {
			return fmt.Errorf("%s %s: %w", peer, file, err)
		}
		var g figures
		if _, err := fmt.Sscan(string(out), &g.analyse, &g.factor, &g.plan, &g.refactor, &g.solve, &g.values, &g.residual); err != nil {
			return err
		}
		theirs = theirs.better(g)
	}
	us := func(a, b float64) string { return fmt.Sprintf("%.2f / %.2f", a/1e3, b/1e3) }
	fmt.Printf("| %s %s | %s | %s | %s | %s | %s | %d / %d | %.0e / %.0e | **%.2f** | **%.2f** |\n", s.Name, field,
		us(ours.analyse, theirs.analyse), us(ours.factor, theirs.factor), us(ours.plan, theirs.plan),
		us(ours.refactor, theirs.refactor), us(ours.solve, theirs.solve),
		ours.values, theirs.values, ours.residual, theirs.residual,
		(theirs.refactor+theirs.solve)/(ours.refactor+ours.solve),
		(ours.analyse+ours.factor)/(theirs.analyse+theirs.factor))
	return nil
}

// write stores a matrix as a Matrix Market coordinate file (National Institute
// of Standards and Technology, "Matrix Market exchange formats").
func write(file string, s *networks.System, field string) error {
	f, err := os.Create(file)
	if err != nil {
		return err
	}
	defer f.Close()
	w := bufio.NewWriter(f)
	fmt.Fprintf(w, "%%%%MatrixMarket matrix coordinate %s general\n%d %d %d\n", field, s.Size, s.Size, len(s.Values))
	for k, v := range s.Values {
		fmt.Fprintf(w, "%d %d %.17g", s.Rows[k]+1, s.Columns[k]+1, real(v))
		if field == "complex" {
			fmt.Fprintf(w, " %.17g", imag(v))
		}
		fmt.Fprintln(w)
	}
	return w.Flush()
}

// measure times our side.
func measure[T sparse.Scalar](s *networks.System, values []T, repeats int) (figures, error) {
	best := worst()
	b := make([]T, s.Size)
	next := pattern(s)
	var lu *sparse.LU[T]
	for i := range repeats {
		first := i%10 == 0
		if first {
			start := time.Now()
			next.Freeze()
			best.analyse = min(best.analyse, float64(time.Since(start)))
			start = time.Now()
			var err error
			if lu, err = sparse.Factor(next, values); err != nil {
				return best, err
			}
			best.factor = min(best.factor, float64(time.Since(start)))
		}
		start := time.Now()
		if err := lu.Refactor(values); err != nil {
			return best, err
		}
		if took := float64(time.Since(start)); first {
			best.plan = min(best.plan, took)
			// The other side finds its matrix ready as well, and works on
			// something else before it turns to it.
			next = pattern(s)
		} else {
			best.refactor = min(best.refactor, took)
		}
		for k := range b {
			b[k] = 1
		}
		start = time.Now()
		lu.Solve(b)
		best.solve = min(best.solve, float64(time.Since(start)))
	}
	best.values = lu.Size()
	best.residual = residual(s, values, b)
	return best, nil
}

// pattern lists the coefficients of a network.
func pattern(s *networks.System) *sparse.Pattern {
	p := sparse.NewPattern(s.Size)
	for k := range s.Rows {
		p.Entry(s.Rows[k], s.Columns[k])
	}
	return p
}

// residual is the largest of A b = 1, relative to the largest term of its row.
func residual[T sparse.Scalar](s *networks.System, values, b []T) float64 {
	sum, largest := make([]T, s.Size), make([]float64, s.Size)
	abs := func(x T) float64 {
		switch x := any(x).(type) {
		case float64:
			return math.Abs(x)
		case complex128:
			return math.Hypot(real(x), imag(x))
		}
		return math.NaN() // sparse.Scalar has no third type
	}
	for k, v := range values {
		term := v * b[s.Columns[k]]
		sum[s.Rows[k]] += term
		largest[s.Rows[k]] = max(largest[s.Rows[k]], abs(term))
	}
	most := 0.0
	for i := range sum {
		most = max(most, abs(sum[i]-1)/max(1, largest[i]))
	}
	return most
}
