package part_test

import (
	"fmt"

	"halfsplit/part"
)

// The reservoir of the Corvane P6's positive rail, pulled from the board and
// read on a capacitance meter. Marked -20..+50 %, it is good at -10.6 %, as far
// as a capacitance can tell.
func ExampleCapacitor_Judge() {
	reservoir := part.Capacitor{
		Kind:          part.AluminiumElectrolytic,
		Nominal:       4700e-6,
		ToleranceLow:  -0.20,
		ToleranceHigh: 0.50,
		RatedVoltage:  35,
	}
	verdict, err := reservoir.Judge(part.CapacitorReading{
		Capacitance: &part.Measured{Value: 4200e-6},
		Place:       part.OutOfCircuit,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(verdict)
	fmt.Println("as evidence:", verdict.Evidence())
	// Output:
	// good as far as read. Capacitance 4200 µF (-10.6 %): good, 3760 µF to 7050 µF (marked value and tolerance). Missing: ESR or tan δ, not read; leakage, not read.
	// as evidence: ok
}

// An ESR meter on the start-up capacitor of the Ostrel VT-9, still on the
// board. A low reading there would prove nothing; this one is far too high for
// any neighbour to feign. The reason tells why.
func ExampleCapacitor_Judge_inCircuit() {
	startUp := part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: 22e-6, RatedVoltage: 25}
	verdict, err := startUp.Judge(part.CapacitorReading{
		ESR:       &part.Measured{Value: 24, Uncertainty: 0.2},
		Frequency: 100e3,
		Place:     part.InCircuit,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(verdict.Condition)
	for _, reason := range verdict.Reasons {
		for _, limit := range reason.Limits {
			fmt.Printf("%v up to %.1f ohm: %s\n", limit.Word, limit.High, limit.Source)
		}
		fmt.Println(reason.Because[0])
	}
	// Output:
	// spent
	// good up to 8.4 ohm: Lelon RGA data sheet
	// worn up to 16.9 ohm: Lelon RGA data sheet
	// in circuit, a parallel path hides a high ESR, and a resistor across a good part can make it read up to 8.44 Ω at 100 kHz: only more than that holds, unless a coil lies across it
}

// The mains filter capacitor of the Ferrand 220: it measures as new, and its
// case is crazed.
func ExampleCapacitor_Judge_mains() {
	filter := part.Capacitor{Kind: part.MetallisedPaper, Nominal: 100e-9, ToleranceLow: -0.2, ToleranceHigh: 0.2, RatedVoltage: 250, SafetyClass: part.ClassX2}
	verdict, err := filter.Judge(part.CapacitorReading{
		Capacitance:    &part.Measured{Value: 104e-9},
		Leakage:        &part.Measured{Value: 12e-9},
		LeakageVoltage: 250,
		LeakageAfter:   60,
		Look:           part.Cracked,
		Age:            45 * part.Year,
		Place:          part.OutOfCircuit,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(verdict)
	// Output:
	// dangerous. Capacitance 104 nF (+4.0 %): good, 80 nF to 120 nF (marked value and tolerance). Leakage 12 nA: good, up to 20.83 nA (metallised paper as makers specify, from memory). Look "cracked": dangerous, it sits on the mains, where its failure is a fire or a shock. Age 45 years: worn, paper on the mains takes in water through hairline cracks; usual to replace it on sight, before power. Apply no power with it in place; see that it is discharged before touching it; local codes and licensed practice come first.
}

// A reading so near the tolerance that the meter cannot settle it.
func ExampleCapacitorVerdict() {
	capacitor := part.Capacitor{Kind: part.PlasticFilm, Nominal: 100e-9, ToleranceLow: -0.1, ToleranceHigh: 0.1, RatedVoltage: 63}
	verdict, err := capacitor.Judge(part.CapacitorReading{
		Capacitance: &part.Measured{Value: 89e-9, Uncertainty: 1e-9},
		Place:       part.OutOfCircuit,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(verdict.Condition, "between", verdict.Best, "and", verdict.Worst)
	// Output:
	// too close to call between good as far as read and worn
}

// The ESR limit of a part of 25 V and 470 µF at 120 Hz.
func ExampleESR() {
	capacitor := part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: 470e-6, RatedVoltage: 25}
	limit, _ := capacitor.LossLimit(120)
	fmt.Printf("tan δ %.2f, ESR %.3f ohm (%s)\n", limit.LossTangent, part.ESR(limit.LossTangent, 120, 470e-6), limit.Source)
	// Output: tan δ 0.14, ESR 0.395 ohm (Lelon RGA data sheet)
}

// The leakage limit of a part of 50 V and 100 µF.
func ExampleCapacitor_LeakageLimit() {
	capacitor := part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: 100e-6, RatedVoltage: 50}
	limit, _ := capacitor.LeakageLimit()
	fmt.Printf("%.0f µA after %.0f s at %.0f V\n", limit.Current*1e6, limit.After, limit.Voltage)
	// Output: 50 µA after 120 s at 50 V
}

// The words as evidence that a part is the bad one.
func ExampleCondition_Evidence() {
	for _, condition := range []part.Condition{part.GoodAsFarAsRead, part.Worn, part.Spent} {
		fmt.Printf("%v: %v\n", condition, condition.Evidence())
	}
	// Output:
	// good as far as read: ok
	// worn: weak
	// spent: strong
}
