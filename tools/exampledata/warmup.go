package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
)

// warmup is a log of the reference of the Tarn 40 from switching on: counted
// against a standard, with a probe on the crystal's can. The can warms by 17 K
// with a time constant of 14 minutes; after an hour the lid is lifted for a while
// and the can cools, which tells the slope from the lag. The crystal follows a
// minute and a half behind, and falls by 0.35 ppm per kelvin.
func warmup(noise *rand.Rand) []byte {
	const (
		every, until   = 20, 120 * 60 // seconds
		lifted, closed = 60 * 60, 80 * 60
		room, rise     = 20.5, 17.
		slow, open     = 14 * 60., 5 * 60.
		lag            = 90.
		nominal, slope = 10_000_002.1, -0.35e-6
	)
	var out bytes.Buffer
	out.WriteString("time (s);crystal (°C);reference (Hz)\n")
	can, inner := 0., 0. // kelvins above the room
	for t := range until + 1 {
		if t%every == 0 {
			fmt.Fprintf(&out, "%d;%.1f;%.1f\n", t, room+can+noise.NormFloat64()*0.05, nominal*(1+slope*inner)+noise.NormFloat64()*0.3)
		}
		to, speed := rise, 1/slow
		if t >= lifted && t < closed {
			to, speed = rise/2, 1/open
		}
		can += (to - can) * speed
		inner += (can - inner) / lag
	}
	return out.Bytes()
}
