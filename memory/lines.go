package memory

import (
	"bytes"
	"fmt"
	"math/bits"
)

// ImageFinding is something odd about an image.
type ImageFinding struct {
	What string `json:"what"`
	Why  string `json:"why"` // what it usually means
}

// Inspect looks at an image by itself: erased or blank, data lines that never
// move, address lines that make no difference, halves that repeat or are blank.
// None of these is proof: programs have such patterns too, a small program in a
// large memory above all.
func Inspect(i Image) []ImageFinding {
	data := i.Data
	if len(data) == 0 {
		return nil
	}
	all := data[0]
	if bytes.Count(data, []byte{all}) == len(data) {
		why := "all alike: not selected, not powered, or no memory in the socket"
		if all == 0xFF {
			why = "an erased memory, or one that is not selected: the data lines float"
		}
		return []ImageFinding{{fmt.Sprintf("every byte is %02X", all), why}}
	}
	var list []ImageFinding
	ones, zeros := byte(0xFF), byte(0)
	for _, b := range data {
		ones &= b
		zeros |= b
	}
	for bit := range 8 {
		switch {
		case ones>>bit&1 == 1:
			list = append(list, ImageFinding{fmt.Sprintf("data line D%d is high in every byte", bit), "an output or the line is open or held; text of seven bits has D7 low, never high"})
		case zeros>>bit&1 == 0:
			why := "an output or the line is held"
			if bit == 7 {
				why = "text of seven bits has it low; else an output or the line is held"
			}
			list = append(list, ImageFinding{fmt.Sprintf("data line D%d is low in every byte", bit), why})
		}
	}
	if len(data)&(len(data)-1) != 0 {
		return append(list, ImageFinding{fmt.Sprintf("%d bytes are no size of a memory", len(data)), "the dump is cut short, or holds more than the memory"})
	}
	for line := range bits.Len(uint(len(data))) - 1 {
		if mirrored(data, 1<<line) {
			why := "the line is open or held, on the board, in the reader or in the chip"
			if 2<<line == len(data) {
				why = "the two halves are the same: a smaller memory read as a larger one, or the highest address line is held"
			}
			list = append(list, ImageFinding{fmt.Sprintf("address line A%d makes no difference", line), why})
		}
	}
	half := len(data) / 2
	for n, part := range [][]byte{data[:half], data[half:]} {
		if b := part[0]; half >= 64 && bytes.Count(part, []byte{b}) == half && (b == 0xFF || b == 0) {
			list = append(list, ImageFinding{fmt.Sprintf("the %s half is %02X throughout", [2]string{"lower", "upper"}[n], b), "unused, or not read"})
		}
	}
	return list
}

// mirrored reports whether bytes that differ in one address line only are the
// same throughout.
func mirrored(data []byte, step int) bool {
	for at := 0; at < len(data); at += 2 * step {
		if !bytes.Equal(data[at:at+step], data[at+step:at+2*step]) {
			return false
		}
	}
	return true
}
