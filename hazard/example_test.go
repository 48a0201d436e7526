package hazard_test

import (
	"fmt"

	"halfsplit/hazard"
)

// The reservoir of a small switching supply, and how long its bleeder takes.
func ExampleDischarge_TimeTo() {
	reservoir := hazard.Store{Capacitance: 220e-6, Voltage: 325}
	bleeder := hazard.Discharge{Capacitance: 220e-6, Voltage: 325, Resistance: 220e3}
	fmt.Printf("%.1f J, %.0f s to 50 V\n", reservoir.Energy(), bleeder.TimeTo(hazard.SafeVoltage))
	// Output: 11.6 J, 91 s to 50 V
}

// A bleeder that makes it safe within a minute.
func ExampleChooseBleeder() {
	b, err := hazard.ChooseBleeder(hazard.BleederNeed{Capacitance: 220e-6, Voltage: 325, Within: 60})
	fmt.Printf("%.0f kΩ, %g W, %.0f s, %v\n", b.Value/1e3, b.Rating, b.Time, err)
	// Output: 120 kΩ, 2 W, 49 s, <nil>
}

// The lamp for the first power-up of a unit that takes 40 W.
func ExampleChooseLamp() {
	lamps, best, err := hazard.ChooseLamp(40, 230, hazard.LinearSupply)
	fmt.Printf("%g W: the unit gets %.0f V, a short draws %.2f A, %v\n", lamps[best].Power, lamps[best].Unit, lamps[best].Short, err)
	// Output: 100 W: the unit gets 198 V, a short draws 0.43 A, <nil>
}

// A filter capacitor to the case of a unit without earth.
func ExampleTouchCurrent() {
	current, _ := hazard.TouchCurrent(4.7e-9, 230, 50)
	j, _ := hazard.JudgeTouch(hazard.ClassII, current)
	fmt.Println(j.Passes, j.Text)
	// Output: false 340 µA; at most 250 µA
}

// What a charged capacitor holds up.
func ExampleItem_Holds() {
	charge := hazard.Item{Name: "charge in C1", Kind: hazard.StoredEnergy, Before: hazard.BeforeProbing, Parts: []string{"C1"}, At: []string{"primary"}}
	why, held := charge.Holds(hazard.Step{Powered: true, Open: true, Touches: true, Names: []string{"C1 plus", "primary"}})
	fmt.Println(held, why)
	// Output: true a hand or probe comes to primary
}
