package diagnosis_test

import (
	"context"
	"fmt"
	"math"
	"strings"

	"halfsplit/diagnosis"
)

// supply foretells two observations on the linear supply of a tape-deck
// controller: hum on the rail, and the rail too low. Each fault brings an
// observation about with some chance of its own.
type supply struct {
	hum, low []float64 // by fault
}

func (s supply) LogLikelihood(faults []int) float64 {
	noHum, notLow := 0.98, 0.99 // a little hum, a sagging mains: also without a fault
	for _, f := range faults {
		noHum *= 1 - s.hum[f]
		notLow *= 1 - s.low[f]
	}
	return math.Log(1-noHum) + math.Log(1-notLow) // both were seen
}

func (s supply) Undescribed() float64 { return 2 * math.Log(0.1) }
func (s supply) Ceiling() float64     { return 0 }

// A Ferrand 220 hums and its 12 V rail is low. What explains both?
func ExampleSearch() {
	items := []string{"reservoir C3", "series pass Q1", "zener D5"}
	problem := diagnosis.Problem{
		Items: 3,
		Faults: []diagnosis.Fault{
			{Item: 0, Prior: 0.10}, // C3 dried out
			{Item: 1, Prior: 0.02}, // Q1 open
			{Item: 1, Prior: 0.01}, // Q1 leaky
			{Item: 2, Prior: 0.01}, // D5 low
		},
		Undescribed: 0.05,
		Model: supply{
			hum: []float64{0.95, 0, 0.1, 0},
			low: []float64{0.60, 0.95, 0, 0.9},
		},
	}
	posterior, err := diagnosis.Search(context.Background(), problem, diagnosis.Limits{})
	if err != nil {
		fmt.Println(err)
		return
	}
	explanations := posterior.Explanations(&problem)
	for _, e := range explanations {
		var bad []string
		for _, item := range e.Items {
			bad = append(bad, items[item])
		}
		switch {
		case e.Undescribed:
			bad = []string{"something not described"}
		case len(bad) == 0:
			bad = []string{"nothing is wrong"}
		}
		fmt.Printf("%.1f %% %s\n", 100*e.Probability, strings.Join(bad, " and "))
	}
	fmt.Printf("suspicion: %.2f\n", diagnosis.Suspicion(explanations, len(items)))
	// Output:
	// 98.0 % reservoir C3
	// 0.9 % something not described
	// 0.6 % series pass Q1
	// 0.3 % nothing is wrong
	// 0.3 % zener D5
	// 0.0 % series pass Q1 and zener D5
	// suspicion: [0.98 0.01 0.00]
}

// A signal dies somewhere in a chain of eight stages. With a probe at the
// output of each stage but the last, the best first probe halves the chain.
func ExampleTable() {
	table, err := diagnosis.NewTable([]float64{1, 1, 1, 1, 1, 1, 1, 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	for stage := 1; stage < 8; stage++ {
		dead, alive := make([]float64, 8), make([]float64, 8)
		for h := range 8 {
			if h < stage {
				dead[h] = 1
			} else {
				alive[h] = 1
			}
		}
		if _, err := table.Add([][]float64{dead, alive}); err != nil {
			fmt.Println(err)
			return
		}
	}
	costs := []float64{1, 1, 1, 1, 1, 1, 1} // a minute each
	for _, answer := range []int{1, 0, 1} { // alive, dead, alive
		test, gain := table.Best(costs)
		fmt.Printf("probe after stage %d: %.0f bit a minute; it is %s\n", test+1, gain, []string{"dead", "alive"}[answer])
		if err := table.Update(test, answer); err != nil {
			fmt.Println(err)
			return
		}
	}
	for h, p := range table.Weights() {
		if p > 0 {
			fmt.Printf("stage %d: %.0f %%\n", h+1, 100*p)
		}
	}
	// Output:
	// probe after stage 4: 1 bit a minute; it is alive
	// probe after stage 6: 1 bit a minute; it is dead
	// probe after stage 5: 1 bit a minute; it is alive
	// stage 6: 100 %
}

// With the power off only resistance can be read, and it says the same of the
// fuse and of the broken track behind it.
func ExampleTable_Groups() {
	suspects := []string{"fuse F1", "track to F1", "bridge D1"}
	table, err := diagnosis.NewTable([]float64{0.5, 0.2, 0.3})
	if err != nil {
		fmt.Println(err)
		return
	}
	ohms, err := table.Add([][]float64{
		{0.99, 0.99, 0.05}, // reads open
		{0.01, 0.01, 0.95}, // reads a diode drop
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, group := range table.Groups([]int{ohms}, 1e-6) {
		for _, h := range group {
			fmt.Println(suspects[h])
		}
	}
	// Output:
	// fuse F1
	// track to F1
}

// One of three parts is bad. The connector is not the likeliest, but it is
// reseated in a minute.
func ExampleRepairOrder() {
	parts := []string{"regulator", "connector", "transformer"}
	order, cost := diagnosis.RepairOrder([]diagnosis.Candidate{
		{Probability: 0.6, Look: 12, Fix: 0}, // minutes
		{Probability: 0.3, Look: 1, Fix: 4},
		{Probability: 0.1, Look: 40, Fix: 10},
	})
	for _, i := range order {
		fmt.Println(parts[i])
	}
	fmt.Printf("%.1f minutes on average\n", cost)
	// Output:
	// connector
	// regulator
	// transformer
	// 15.6 minutes on average
}

// Two memory chips may be bad, alone or together, or it is something else,
// and then a board must be found, at the price of sixty minutes.
func ExampleReplaceAll() {
	order, cost := diagnosis.ReplaceAll(
		[][]int{{0}, {1}, {0, 1}, nil},
		[]float64{0.5, 0.2, 0.2, 0.1},
		[]float64{15, 15}, 60,
	)
	fmt.Printf("chips in the order %v, %.1f minutes on average\n", order, cost)
	// Output:
	// chips in the order [0 1], 28.5 minutes on average
}

// Two outputs of a mixer are wrong. Either the common input stage 0 is bad, or
// both output stages 1 and 2 are.
func ExampleConflicts() {
	explanations := diagnosis.Minimal([][]int{{0}, {1, 2}, {0, 1}})
	fmt.Println("explanations:", explanations)
	fmt.Println("at least one is bad of each:", diagnosis.Conflicts(explanations))
	// Output:
	// explanations: [[0] [1 2]]
	// at least one is bad of each: [[0 1] [0 2]]
}

// Six states and five tests: the test that tells most for its cost is not the
// one the best plan begins with (after Pattipati and Alexandridis 1990).
//
// Outside: after K. R. Pattipati and M. G. Alexandridis, IEEE Transactions on Systems,
// Man, and Cybernetics 20 (1990). Within: the digits printed.
func ExampleTable_Choose() {
	table, err := diagnosis.NewTable([]float64{0.7, 0.01, 0.02, 0.1, 0.05, 0.12})
	if err != nil {
		panic(err)
	}
	rows := []string{"00000", "01001", "00110", "10011", "11000", "11110"} // 1: the test fails
	for test := range 5 {
		fails, passes := make([]float64, 6), make([]float64, 6)
		for state, row := range rows {
			fails[state] = float64(row[test] - '0')
			passes[state] = 1 - fails[state]
		}
		if _, err := table.Add([][]float64{fails, passes}); err != nil {
			panic(err)
		}
	}
	costs := []float64{1, 1, 1, 1, 1}
	plain, _ := table.Best(costs)
	choice, err := table.Choose(diagnosis.Goal{Costs: costs}, diagnosis.Effort{})
	if err != nil {
		panic(err)
	}
	fmt.Printf("tells most: t%d\n", plain+1)
	fmt.Printf("cheapest to the end: t%d, %.2f tests on average, the best of all plans: %v\n", choice.Test+1, choice.Cost, choice.Exact)
	// Output:
	// tells most: t1
	// cheapest to the end: t2, 2.18 tests on average, the best of all plans: true
}

// A reading tells three faults apart. A voltage of 4.2 V where 5 V belong, read with a meter
// good to 20 mV, against three things that could be wrong.
func ExampleTable_AddReadings() {
	table, err := diagnosis.NewTable([]float64{0.5, 0.3, 0.2}) // regulator weak, load heavy, capacitor dry
	if err != nil {
		panic(err)
	}
	rail, err := table.AddReadings([]float64{4.1, 4.5, 4.95}, []float64{0.15, 0.2, 0.05}, 0.01)
	if err != nil {
		panic(err)
	}
	fmt.Printf("the reading tells %.2f of %.2f bits\n", table.Gain(rail), table.Entropy())
	if err := table.Read(rail, 4.2); err != nil {
		panic(err)
	}
	fmt.Printf("then %.2f\n", table.Weights())
	// Output:
	// the reading tells 1.10 of 1.49 bits
	// then [0.84 0.15 0.00]
}

// A joint that fails when chilled, somewhere among eight groups of parts: cold
// spray on half of what is suspected, again and again, though it tells right
// only nine times of ten.
func ExampleBisection() {
	table, err := diagnosis.Bisection([]float64{1, 1, 1, 1, 1, 1, 1, 1}, 0.9, 0.1)
	if err != nil {
		panic(err)
	}
	costs := []float64{1, 1, 1, 1, 1, 1, 1}
	for _, answers := range []bool{true, false, true, true} {
		cut, _ := table.Best(costs)
		answer := 1
		if answers {
			answer = 0
		}
		fmt.Printf("spray groups 0 to %d: the trouble answers: %v\n", cut, answers)
		if err := table.Update(cut, answer); err != nil {
			panic(err)
		}
	}
	fmt.Printf("%.2f\n", table.Weights())
	// Output:
	// spray groups 0 to 3: the trouble answers: true
	// spray groups 0 to 1: the trouble answers: false
	// spray groups 0 to 2: the trouble answers: true
	// spray groups 0 to 1: the trouble answers: true
	// [0.32 0.32 0.32 0.04 0.00 0.00 0.00 0.00]
}
