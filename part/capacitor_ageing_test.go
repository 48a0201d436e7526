package part_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"halfsplit/part"
)

// inspection is one row of the ageing data: hours under stress, and the change
// since new in percent.
type inspection struct{ hours, loss, rise float64 }

// ageing reads the data of J. R. Celaya, C. S. Kulkarni, G. Biswas and K. Goebel,
// "Capacitor Electrical Stress-2", NASA Ames Prognostics Center of Excellence:
// aluminium electrolytics of 2200 µF 10 V under electrical overstress. The end of
// life stated with it is that of MIL-PRF-62F: 20 % of the capacitance lost, or
// the series resistance risen by 100 %.
func ageing(t *testing.T) map[string][]inspection {
	t.Helper()
	file, err := os.Open("testdata/nasa-capacitor-eos-a/capacitor_aging.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil || len(rows) != 34 {
		t.Fatal(len(rows), err)
	}
	all := map[string][]inspection{}
	for _, row := range rows[1:] {
		var x [3]float64
		for i := range x {
			if x[i], err = strconv.ParseFloat(row[i+1], 64); err != nil {
				t.Fatal(err)
			}
		}
		all[row[0]] = append(all[row[0]], inspection{x[0], x[1], x[2]})
	}
	return all
}

// judged gives the word for a part of the data. The data hold changes only; the
// resistance when new is taken as 60 mΩ, and the meter's frequency as 120 Hz.
func judged(t *testing.T, now inspection) part.Condition {
	t.Helper()
	const nominal, resistance = 2200e-6, 0.060
	aged := part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: nominal, RatedVoltage: 10, Initial: nominal, InitialESR: resistance}
	verdict, err := aged.Judge(part.CapacitorReading{
		Capacitance: &part.Measured{Value: nominal * (1 - now.loss/100)},
		ESR:         &part.Measured{Value: resistance * (1 + now.rise/100)},
		Frequency:   120,
		Place:       part.OutOfCircuit,
	})
	if err != nil {
		t.Fatal(err)
	}
	return verdict.Condition
}

// At every inspection the verdict is spent when, and only when, the data's own
// criterion of the end of life is met; and no part is spent that was not worn
// before.
func TestAgeingAtEveryInspection(t *testing.T) {
	words := map[part.Condition]int{}
	for name, inspections := range ageing(t) {
		last := part.GoodAsFarAsRead
		for _, now := range inspections {
			word := judged(t, now)
			words[word]++
			if ended := now.loss >= 20 || now.rise >= 100; ended != (word == part.Spent) {
				t.Errorf("%s at %v h, loss %v %%, rise %v %%: %v", name, now.hours, now.loss, now.rise, word)
			}
			if word < last || word == part.Spent && last != part.Worn && last != part.Spent {
				t.Errorf("%s at %v h: %v after %v", name, now.hours, word, last)
			}
			last = word
		}
	}
	if words[part.GoodAsFarAsRead] != 13 || words[part.Worn] != 18 || words[part.Spent] != 2 {
		t.Errorf("33 inspections, of which %v", words)
	}
}

// How long before the end of life the verdict warns: between the moment at which
// it turns to worn and that at which it turns to spent, followed between the
// inspections in straight lines. The moments at which 20 % of the capacitance is
// lost are published with the data: 181.93 h for C3 and 184.25 h for C6; C1 does
// not reach it within its 194 h.
//
// Outside: NASA Ames, data set Capacitor Electrical Stress-2, second-hand,
// part/testdata/nasa-capacitor-eos-a/ORIGIN.md. Within: 0.05 h.
func TestAgeingLeadTime(t *testing.T) {
	for _, example := range []struct {
		name              string
		worn, spent, lead float64 // hours; spent 0 for never
	}{
		{"C1", 94.56, 0, 99.4},
		{"C3", 92.70, 181.9282, 89.2},
		{"C6", 90.96, 184.2453, 93.2},
	} {
		data := ageing(t)[example.name]
		end := data[len(data)-1].hours
		worn, spent := 0.0, 0.0
		const step = 0.02
		for hours := 0.0; hours <= end; hours += step {
			switch judged(t, between(data, hours)) {
			case part.Worn:
				if worn == 0 {
					worn = hours
				}
			case part.Spent:
				if spent == 0 {
					spent = hours
				}
			}
		}
		if math.Abs(worn-example.worn) > 0.05 || math.Abs(spent-example.spent) > 0.03 {
			t.Errorf("%s: worn from %.2f h, spent from %.2f h; want %.2f h and %.2f h", example.name, worn, spent, example.worn, example.spent)
		}
		lead := spent - worn
		if spent == 0 {
			lead = end - worn
		}
		t.Logf("%s: warned %.1f h ahead, %.0f %% of its life", example.name, lead, 100*lead/(worn+lead))
		if math.Abs(lead-example.lead) > 0.1 || lead < 0.45*(worn+lead) {
			t.Errorf("%s: warned %.1f h ahead, want %.1f h", example.name, lead, example.lead)
		}
	}
}

// between interpolates the data at a time.
func between(data []inspection, hours float64) inspection {
	for i := 1; i < len(data); i++ {
		if a, b := data[i-1], data[i]; hours <= b.hours {
			x := (hours - a.hours) / (b.hours - a.hours)
			return inspection{hours, a.loss + x*(b.loss-a.loss), a.rise + x*(b.rise-a.rise)}
		}
	}
	return data[len(data)-1]
}
