package main

import (
	"bytes"
	"math/rand/v2"
)

// program is the first program memory of the Tarn 40, 2 KiB, as read in a
// programmer, and as read in its own socket, where data line 3 had no contact. It
// is no program of any processor: numbers that look like one, with a text, a table
// of digits, unused bytes, and a last byte that makes the sum of all come to 40
// hexadecimal.
func program(noise *rand.Rand) (good, stuck []byte) {
	const size, used, line = 2048, 1870, 3
	var b bytes.Buffer
	b.WriteString("TARN 40 PROGRAM 1 V3 1977")
	b.Write([]byte{0x3F, 0x06, 0x5B, 0x4F, 0x66, 0x6D, 0x7D, 0x07, 0x7F, 0x6F}) // segments of 0 to 9
	common := []byte{0x00, 0x21, 0x3A, 0x3E, 0x77, 0x7E, 0xC2, 0xC3, 0xC9, 0xCD, 0xE6, 0xFE}
	for b.Len() < used {
		if noise.IntN(3) == 0 {
			b.WriteByte(byte(noise.IntN(256)))
		} else {
			b.WriteByte(common[noise.IntN(len(common))])
		}
	}
	for b.Len() < size-1 {
		b.WriteByte(0xFF)
	}
	sum := byte(0)
	for _, v := range b.Bytes() {
		sum += v
	}
	b.WriteByte(0x40 - sum)
	good = b.Bytes()
	stuck = bytes.Clone(good)
	for i := range stuck {
		stuck[i] &^= 1 << line
	}
	return good, stuck
}
