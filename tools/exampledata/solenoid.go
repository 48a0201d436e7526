package main

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"

	"halfsplit/circuit"
	"halfsplit/sheet"
	"halfsplit/wiring"
)

// The reservoir as it came and as it went, as measured in f220-resets.case.yaml.
const (
	dried   = "value: 1150 uF 40 V, settings: {esr: 1R4}"
	renewed = "value: 4700 uF 50 V, settings: {esr: 40m}"
)

// The reservoir of the sheet, the place in its circuit, and the solenoid beside
// it, which pulls when play is pressed.
const (
	marked   = "value: 4700 uF 40 V"
	place    = "      - {part: C1, nodes: [raw, gnd]"
	settled  = 1.2 // seconds after switching on, when the raw rail is up
	pressed  = 0.1 // seconds into the recording
	recorded = 0.4
	interval = 0.5e-3
)

// solenoid is what a scope shows of the raw rail and the +15 V rail while the
// solenoid pulls in, with a reservoir that is written as a sheet has it.
func solenoid(ctx context.Context, text []byte, reservoir string, noise *rand.Rand) ([]byte, error) {
	pulls := fmt.Sprintf("      - {part: play solenoid, kind: load, nodes: [raw, gnd], settings: {current: 1.2 A, voltage: 20 V, comes on at: %g ms}}\n%s",
		1000*(settled+pressed), place)
	for _, change := range [][2]string{{marked, reservoir}, {place, pulls}} {
		if bytes.Count(text, []byte(change[0])) != 1 {
			return nil, fmt.Errorf("the sheet has not once %q", change[0])
		}
		text = bytes.Replace(text, []byte(change[0]), []byte(change[1]), 1)
	}
	s, err := sheet.Parse("f220.sheet.yaml", text)
	if err != nil {
		return nil, err
	}
	wired, err := s.Wire(s.Circuits[0].Value, wiring.SwitchedOn)
	if err != nil {
		return nil, err
	}
	solver, err := wired.Solver(circuit.Settings{Accuracy: 1e-3, MaxSteps: 1_000_000})
	if err != nil {
		return nil, err
	}
	rails := []circuit.Quantity{circuit.Voltage("raw"), circuit.Voltage("+15")}
	trace, err := solver.Transient(ctx, circuit.Run{Until: settled + recorded, Record: rails, Cold: true, At: []float64{settled + pressed}})
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	out.WriteString("time (s),raw (V),+15 V (V)\n")
	for i := range int(recorded/interval) + 1 {
		t := float64(i) * interval
		fmt.Fprintf(&out, "%.4f", t)
		for k, rail := range rails {
			v, err := trace.At(rail, settled+t)
			if err != nil {
				return nil, err
			}
			steps := []float64{0.04, 0.02}[k] // of a scope with eight bits
			v += noise.NormFloat64() * steps / 2
			fmt.Fprintf(&out, ",%.2f", float64(int(v/steps+0.5))*steps)
		}
		out.WriteByte('\n')
	}
	return out.Bytes(), nil
}
