// Command analogue asks simulated analogue circuits which part has drifted, on two
// filters of the literature, and compares the answers with what nearest neighbours
// among simulated circuits give, which bounds what any method can do. See
// docs/performance-diagnosis.md.
package main

import (
	"context"
	"flag"
	"fmt"
	"log"
	"os"
	"os/signal"
	"slices"
	"strings"
	"time"

	"halfsplit/circuit"
)

// The tolerances that "5 %" and "10 %" may mean.
var (
	flat5   = circuit.Tolerance{Spread: 0.05, Distribution: circuit.Uniform}
	normal5 = circuit.Tolerance{Spread: 0.05 / 3, Distribution: circuit.Normal} // three deviations
	normalA = circuit.Tolerance{Spread: 0.10 / 3, Distribution: circuit.Normal}
)

// What is read. The response of a second-order filter at one output is three
// numbers (height, frequency, quality), and that of all three outputs of the
// state-variable filter five (R5/R1, R5/R2, R3 C1, R4 C2 and the share of bp fed
// back): as many gains tell all that there is to tell.
var (
	bandPass     = []gain{{"out", 10e3}, {"out", 26e3}, {"out", 70e3}}
	lowPass      = []gain{{"lp", 100}, {"lp", 700}, {"lp", 3e3}}
	threeOutputs = []gain{{"lp", 100}, {"lp", 800}, {"bp", 800}, {"hp", 800}, {"hp", 8e3}}
)

// trials are what is tried, in the order of the table.
var trials = []trial{
	bandPassTrial("band-pass, ±20 %, uniform", flat5, 0.2, false, 0.925),
	bandPassTrial("band-pass, ±20 %, normal", normal5, 0.2, false, 0.995),
	bandPassTrial("band-pass, ±50 %, uniform", flat5, 0.5, false, 0),
	bandPassTrial("band-pass, ±50 %, normal", normal5, 0.5, false, 0),
	bandPassTrial("band-pass, exactly ±20 %, uniform", flat5, 0.2, true, 0),
	stateVariableTrial("state-variable, low-pass output", normalA, lowPass, 0.60),
	stateVariableTrial("state-variable, all three outputs", normalA, threeOutputs, 0.795),
	stateVariableTrial("state-variable, low-pass output, capacitors 5 %", normal5, lowPass, 0),
	stateVariableTrial("state-variable, all three outputs, capacitors 5 %", normal5, threeOutputs, 0),
}

func bandPassTrial(name string, tolerance circuit.Tolerance, shift float64, exact bool, documented float64) trial {
	return trial{name: name, filter: sallenKey, suspects: []string{"R2", "R3", "C1", "C2"},
		resistors: tolerance, capacitors: tolerance, shift: shift, exact: exact, gains: bandPass, documented: documented}
}

func stateVariableTrial(name string, capacitors circuit.Tolerance, gains []gain, documented float64) trial {
	return trial{name: name, filter: stateVariable,
		suspects:  []string{"R1", "R2", "R3", "R4", "R5", "R6", "R7", "C1", "C2"},
		resistors: normal5, capacitors: capacitors, gains: gains, documented: documented}
}

func main() {
	log.SetFlags(0)
	log.SetPrefix("analogue: ")
	var size sizes
	flag.IntVar(&size.samples, "samples", 2000, "simulated boards of each class that the methods know")
	flag.IntVar(&size.few, "few", 100, "of these, how many are known where few are")
	flag.IntVar(&size.tests, "tests", 500, "boards of each class to be named")
	seed := flag.Uint64("seed", 1, "where the random numbers begin")
	only := flag.String("only", "", "only trials with this in their name")
	confusion := flag.Bool("confusion", false, "show which faults were taken for which")
	flag.Parse()
	if size.few < 2 || size.samples < max(size.few, votes[len(votes)-1]) || size.tests < 1 {
		log.Fatalf("%d samples of which %d are few, and %d tests: there must be at least 2 few, %d samples and 1 test", size.samples, size.few, size.tests, votes[len(votes)-1])
	}
	chosen := slices.DeleteFunc(slices.Clone(trials), func(t trial) bool { return !strings.Contains(t.name, *only) })
	if len(chosen) == 0 {
		log.Fatalf("no trial has %q in its name; there are:\n%s", *only, names())
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	fmt.Println("| trial | asked | ours | one normal | 1 neighbour | 5 | 15 | 51 | most possible | calibration error | ours, few | 1 neighbour, few | seconds |")
	fmt.Println("|" + strings.Repeat(" --- |", 13))
	for _, t := range chosen {
		began := time.Now()
		o, err := t.run(ctx, size, *seed)
		if err != nil {
			log.Fatal(err)
		}
		fmt.Println(o.row(t, time.Since(began)))
		if *confusion {
			fmt.Print(o.ours.table(t.classes()))
			fmt.Println("  widths:", o.widths)
		}
	}
}

// names lists the trials, one a line.
func names() string {
	var b strings.Builder
	for _, t := range trials {
		b.WriteString("  " + t.name + "\n")
	}
	return b.String()
}

// row is one line of the table.
func (o *outcome) row(t trial, took time.Duration) string {
	asked := "–"
	if t.documented > 0 {
		asked = fmt.Sprintf("%.3f", t.documented)
	}
	row := fmt.Sprintf("| %s | %s | **%.3f** ± %.3f | %.3f |", t.name, asked, o.ours.share, o.ours.error, o.normal)
	for _, n := range o.neighbours {
		row += fmt.Sprintf(" %.3f |", n)
	}
	return row + fmt.Sprintf(" %.3f | %.3f | %.3f | %.3f | %.1f |", o.most, o.ours.calibrated, o.few, o.fewNearest, took.Seconds())
}

// table shows in each row what boards of one class were taken for.
func (j judged) table(classes []class) string {
	var b strings.Builder
	for k, row := range j.confusion {
		fmt.Fprintf(&b, "  %-6v", classes[k])
		for i, n := range row {
			if n > 0 {
				fmt.Fprintf(&b, " %v:%d", classes[i], n)
			}
		}
		b.WriteString("\n")
	}
	return b.String()
}
