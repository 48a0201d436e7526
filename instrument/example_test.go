package instrument_test

import (
	"context"
	"fmt"

	"halfsplit/instrument"
	"halfsplit/instrument/simulator"
)

// A meter on the network is asked for the +5 V rail. (Here it is a simulated
// one.)
func ExampleConnect() {
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	sim := &simulator.Meter{Identity: "Tarn,Bench 60,T0042,1.2", Source: func(string) float64 { return 5.0125 }}
	at, wait, err := sim.Listen(ctx, "127.0.0.1:0")
	if err != nil {
		fmt.Println(err)
		return
	}
	address, err := instrument.ParseAddress(at)
	if err != nil {
		fmt.Println(err)
		return
	}
	volts, _ := instrument.ParseFunction("DC volts")
	m, err := instrument.Connect(ctx, instrument.Setup{Address: address, Function: volts})
	if err != nil {
		fmt.Println(err)
		return
	}
	v, err := m.Read(ctx)
	fmt.Printf("%v reads %.3f V, %v\n", m.Identity, v, err)
	m.Close()
	stop()
	wait()
	// Output: Tarn Bench 60, serial number T0042 reads 5.013 V, <nil>
}

func ExampleParseNumber() {
	for _, answer := range []string{"+5.01234567E+00", "9.9E37", "OL"} {
		n, err := instrument.ParseNumber(answer)
		fmt.Println(n.Value, n.Meaning, err)
	}
	// Output:
	// 5.01234567 number <nil>
	// +Inf overload <nil>
	// 0  "OL" is no number; a meter should answer with one such as +5.012E+00
}

func ExampleParseComplaint() {
	c, err := instrument.ParseComplaint(`-113,"Undefined header"`)
	fmt.Println(c, "is a", c.Class(), err)
	// Output: -113, Undefined header is a command error <nil>
}
