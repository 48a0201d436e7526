// Command transient times package circuit following circuits over time, and
// beside it a program that does the same with another library; run.sh builds
// that program and starts this one. Both are run at a row of tolerances, and
// compared at equal error.
package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"log"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"
	"syscall"
	"time"

	"halfsplit/circuit"
)

// A run is the outcome of following a circuit once.
type run struct {
	how       string
	tolerance float64
	options   []string
	seconds   float64 // of processor time
	steps     int
	work      string      // what it took, in the words of each side
	values    [][]float64 // by what was read, then by sample
	errors    []float64   // by what was read
	error     float64     // the greatest of them
}

func main() {
	log.SetFlags(0)
	peer := flag.String("peer", "", "program to time beside; see ida/ida.c for how it is called")
	rounds := flag.Int("rounds", 3, "turns that each side takes at each tolerance; the least time counts")
	only := flag.String("only", "", "follow only this circuit")
	verbose := flag.Bool("all", false, "print every run, not only the best at each error")
	flag.Parse()
	folder, err := os.MkdirTemp("", "terms")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(folder)
	for _, t := range trials() {
		if *only != "" && *only != t.name {
			continue
		}
		if err := compare(folder, t, *peer, *rounds, *verbose); err != nil {
			log.Fatal(fmt.Errorf("%s: %w", t.name, err))
		}
	}
}

// compare runs both sides on one circuit and prints what came of it.
func compare(folder string, t trial, peer string, rounds int, verbose bool) error {
	for _, form := range []string{"charge", "voltage"} {
		var text bytes.Buffer
		if err := write(&text, t, form == "charge"); err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(folder, form), text.Bytes(), 0o600); err != nil {
			return err
		}
	}
	reference, err := theirs(peer, folder, t, 1e-11, t.reference...)
	if err != nil {
		return err
	}
	fmt.Printf("\n## %s\n\nreference: peer, %s, %d steps, %.2f s\n", t.name, reference.how, reference.steps, reference.seconds)
	if verbose {
		for _, check := range []func() (run, error){
			func() (run, error) { return theirs(peer, folder, t, 1e-10, append(t.reference, "anew")...) },
			func() (run, error) { return ours(t, 1e-8) },
		} {
			r, err := check()
			if err != nil {
				return err
			}
			r.measure(reference)
			fmt.Printf("against it, %s: %.1e, %d steps, %.2f s\n", r.how, r.error, r.steps, r.seconds)
		}
	}

	var our, their []run
	for range rounds {
		for _, tolerance := range []float64{1e-1, 3e-2, 1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 3e-6, 1e-6, 1e-7, 1e-8} {
			r, err := ours(t, tolerance)
			if err != nil {
				fmt.Println(err)
				continue
			}
			r.measure(reference)
			our = append(our, r)
		}
	}
	failed := 0
	for _, tolerance := range []float64{1e-1, 3e-2, 1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 3e-6, 1e-6, 1e-7, 1e-8, 1e-9} {
		for _, options := range choices() {
			r, err := theirs(peer, folder, t, tolerance, options...)
			if err != nil {
				failed++
				if verbose {
					fmt.Printf("peer %g %v: %v\n", tolerance, options, err)
				}
				continue
			}
			r.measure(reference)
			their = append(their, r)
		}
	}
	fmt.Printf("of %d runs of the peer %d came to no end\n", failed+len(their), failed)
	for _, r := range front(their) {
		for range 2 * rounds {
			again, err := theirs(peer, folder, t, r.tolerance, r.options...)
			if err != nil {
				return err
			}
			again.measure(reference)
			their = append(their, again)
		}
	}
	if verbose {
		print("ours, every run", our)
		print("peer, every run", their)
	}
	our, their = front(our), front(their)
	print("ours", our)
	print("peer, the quickest of its options at each error", their)
	fmt.Printf("\n| error | ours, ms | peer, ms | peer ÷ ours |\n| --- | --- | --- | --- |\n")
	for _, e := range []float64{1e-1, 3e-2, 1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 3e-5, 1e-5} {
		a, b := at(our, e), at(their, e)
		fmt.Printf("| %g | %s | %s | %s |\n", e, figure(1e3*a), figure(1e3*b), figure(b/a))
	}
	return nil
}

func figure(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "–"
	}
	return fmt.Sprintf("%.3g", x)
}

// choices are the ways in which the peer is run; see ida/ida.c.
func choices() [][]string {
	var list [][]string
	for _, form := range []string{"charge", "voltage"} {
		for choice := range 8 {
			options := []string{form}
			for i, o := range []string{"all", "scaled", "fresh"} {
				if choice&(1<<i) != 0 {
					options = append(options, o)
				}
			}
			list = append(list, options)
		}
		list = append(list, []string{form, "all", "fresh", "second"}, []string{form, "all", "fresh", "anew"}, []string{form, "scaled", "fresh", "anew"})
	}
	return list
}

// measure sets the error: the root mean square of the difference from the
// reference as a share of the root mean square of the reference itself, for
// whichever of the quantities it is greatest.
func (r *run) measure(reference run) {
	r.error, r.errors = 0, nil
	for k := range r.values {
		var difference, size float64
		for i, v := range r.values[k] {
			difference += math.Pow(v-reference.values[k][i], 2)
			size += math.Pow(reference.values[k][i], 2)
		}
		r.errors = append(r.errors, math.Sqrt(difference/size))
		r.error = max(r.error, r.errors[k])
	}
}

func processorTime() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return math.NaN()
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}

// ours follows the circuit with package circuit. The time includes making the
// solver and taking the samples.
func ours(t trial, accuracy float64) (run, error) {
	ctx := context.Background()
	r := run{how: fmt.Sprintf("%g", accuracy), tolerance: accuracy}
	var quantities []circuit.Quantity
	for _, node := range t.voltages {
		quantities = append(quantities, circuit.Voltage(node))
	}
	quantities = append(quantities, circuit.Current(t.current))
	start := processorTime()
	s, err := t.circuit.Solver(circuit.Settings{Accuracy: accuracy})
	if err != nil {
		return r, err
	}
	trace, err := s.Transient(ctx, circuit.Run{Until: t.until, Cold: true, Record: quantities})
	if err != nil {
		return r, fmt.Errorf("accuracy %g: %w", accuracy, err)
	}
	for _, q := range quantities {
		values := make([]float64, t.samples)
		for i := range values {
			if values[i], err = trace.At(q, t.until*float64(i+1)/float64(t.samples)); err != nil {
				return r, err
			}
		}
		r.values = append(r.values, values)
	}
	r.seconds = processorTime() - start
	r.steps = len(trace.Time) - 1
	return r, nil
}

// theirs follows the circuit with the peer. The first of the options says how the
// charges of junctions are written.
func theirs(peer, folder string, t trial, tolerance float64, options ...string) (run, error) {
	r := run{how: fmt.Sprintf("%g %s", tolerance, strings.Join(options, " ")), tolerance: tolerance, options: options}
	limit, cancel := context.WithTimeout(context.Background(), 3*time.Second)
	defer cancel()
	command := exec.CommandContext(limit, peer, append([]string{filepath.Join(folder, options[0]), fmt.Sprint(t.until), fmt.Sprint(t.samples), fmt.Sprint(tolerance)}, options[1:]...)...)
	var complaint bytes.Buffer
	command.Stderr = &complaint
	out, err := command.Output()
	if err != nil {
		return r, fmt.Errorf("%w: %s", err, lastLine(complaint.String()))
	}
	in := bytes.NewReader(out)
	var evaluations, iterations, failures, failed, anew int
	if _, err := fmt.Fscan(in, &r.seconds, &r.steps, &evaluations, &iterations, &failures, &failed, &anew); err != nil {
		return r, err
	}
	r.work = fmt.Sprintf("%d iterations, %d steps too long, %d not solved, %d new starts", iterations, failures, failed, anew)
	for range len(t.voltages) + 1 {
		r.values = append(r.values, make([]float64, t.samples))
	}
	for i := range t.samples {
		for k := range r.values {
			if _, err := fmt.Fscan(in, &r.values[k][i]); err != nil {
				return r, err
			}
		}
	}
	return r, nil
}

func lastLine(s string) string {
	lines := strings.Split(strings.TrimSpace(s), "\n")
	return lines[len(lines)-1]
}

// front keeps the runs that no other beats in both time and error, of those that
// look like the reference at all.
func front(runs []run) []run {
	sort.Slice(runs, func(i, j int) bool { return runs[i].seconds < runs[j].seconds })
	var kept []run
	least := 0.2
	for _, r := range runs {
		if r.error < least {
			kept, least = append(kept, r), r.error
		}
	}
	return kept
}

// at is the time that a given error takes, read off the front as a straight
// line between runs in logarithms; the quickest run when all are better, not a
// number when none is good enough.
func at(front []run, e float64) float64 {
	for i, r := range front {
		if r.error > e {
			continue
		}
		if i == 0 {
			return r.seconds
		}
		before := front[i-1]
		share := math.Log(before.error/e) / math.Log(before.error/r.error)
		return math.Exp(math.Log(before.seconds) + share*math.Log(r.seconds/before.seconds))
	}
	return math.NaN()
}

func print(title string, runs []run) {
	fmt.Printf("\n%s:\n\n| tolerance | error | of each | ms | steps | µs a step | |\n| --- | --- | --- | --- | --- | --- | --- |\n", title)
	for _, r := range runs {
		fmt.Printf("| %s | %.2g | %.1e | %.3g | %d | %.2f | %s |\n", r.how, r.error, r.errors, 1e3*r.seconds, r.steps, 1e6*r.seconds/float64(r.steps), r.work)
	}
}
