package prediction_test

import (
	"context"
	"fmt"

	"halfsplit/fault"
	"halfsplit/prediction"
	"halfsplit/quantity"
	"halfsplit/wiring"
)

// A divider reads low. Which of its two resistors has drifted?
func ExamplePredictor_Forecast() {
	value := func(v float64, unit quantity.Unit) *quantity.Quantity {
		return &quantity.Quantity{Value: v, Unit: unit}
	}
	c, err := wiring.New("gnd", []wiring.Part{
		{Name: "supply", Kind: "dc source", Value: value(12, quantity.Volt), Nodes: []string{"+12", "gnd"}},
		{Name: "R1", Kind: "resistor", Value: value(10e3, quantity.Ohm), Nodes: []string{"+12", "sense"}},
		{Name: "R2", Kind: "resistor", Value: value(10e3, quantity.Ohm), Nodes: []string{"sense", "gnd"}},
	}, wiring.Running)
	if err != nil {
		fmt.Println(err)
		return
	}
	p, err := prediction.New(c, prediction.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	sense := prediction.Observable{Aspect: prediction.Level, Node: "sense"}
	read := []prediction.Read{{Of: sense, Value: 4.02, U: 0.03}}
	for _, part := range []string{"R1", "R2"} {
		for _, act := range fault.Acts("resistor", 2) {
			if act.Mode != "drifted high" {
				continue
			}
			f, err := p.Forecast(context.Background(), prediction.Bench{}, []prediction.Trouble{{Part: part, Act: act}})
			if err != nil {
				fmt.Println(err)
				return
			}
			mean, deviation, _ := f.Ways[0].Predict(sense, nil)
			fmt.Printf("%s %v: %.2f ± %.2f V, log-density of 4.02 V %.1f\n", part, act, mean, deviation, f.LogDensity(read))
		}
	}
	// Output:
	// R1 drifted high (resistance × 1.3): 5.22 ± 0.16 V, log-density of 4.02 V -7.7
	// R1 drifted high (resistance × 2): 4.00 ± 0.13 V, log-density of 4.02 V 1.0
	// R1 drifted high (resistance × 10): 1.09 ± 0.05 V, log-density of 4.02 V -7.7
	// R2 drifted high (resistance × 1.3): 6.78 ± 0.17 V, log-density of 4.02 V -7.7
	// R2 drifted high (resistance × 2): 8.00 ± 0.18 V, log-density of 4.02 V -7.7
	// R2 drifted high (resistance × 10): 10.91 ± 0.20 V, log-density of 4.02 V -7.7
}
