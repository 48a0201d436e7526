package memory

import (
	"bytes"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strconv"
)

// Image is what was read from a read-only memory.
type Image struct {
	Name string
	// First is the address of the first byte; 0 for a bare dump.
	First uint32
	Data  []byte
	// Filled tells which bytes were in the file; nil when all were. The others
	// are FF, as an erased memory reads.
	Filled []bool
}

// mostImage is the largest image that is taken on, in bytes.
const mostImage = 64 << 20

// ParseImage reads an image: Intel HEX when it begins with a colon, a bare dump
// otherwise. The error names the line of a HEX file that is wrong, and how.
func ParseImage(name string, text []byte) (Image, error) {
	switch {
	case len(text) == 0:
		return Image{}, errors.New("the file is empty")
	case text[0] == ':':
		i, err := parseHex(text)
		i.Name = name
		return i, err
	case len(text) > mostImage:
		return Image{}, fmt.Errorf("the file holds %d bytes; at most %d", len(text), mostImage)
	}
	return Image{Name: name, Data: slices.Clone(text)}, nil
}

// hexBlock is what one record of a HEX file holds.
type hexBlock struct {
	at   uint32
	data []byte
	line int
}

// parseHex reads Intel HEX: records of data, end, extended segment address,
// extended linear address; start addresses are passed over.
func parseHex(text []byte) (Image, error) {
	var blocks []hexBlock
	base, line, ended := uint32(0), 0, false
	for rest := text; len(rest) > 0; {
		var one []byte
		one, rest, _ = bytes.Cut(rest, []byte{'\n'})
		line++
		one = bytes.TrimRight(one, "\r \t\x1a")
		if len(one) == 0 {
			continue
		}
		wrong := func(format string, values ...any) (Image, error) {
			return Image{}, fmt.Errorf("line %d: %s", line, fmt.Sprintf(format, values...))
		}
		if ended {
			return wrong("%.20q stands after the end record", one)
		}
		record, err := hex.DecodeString(string(one[1:]))
		switch {
		case one[0] != ':':
			return wrong("a record begins with a colon, not with %.10q", one)
		case err != nil:
			return wrong("%.50q is no pair after pair of hexadecimal digits", one)
		case len(record) < 5 || len(record) != int(record[0])+5:
			return wrong("the record says that it holds another number of bytes than it does")
		}
		sum := byte(0)
		for _, b := range record {
			sum += b
		}
		if sum != 0 {
			return wrong("the checksum of the record is wrong: it reads %02X and should read %02X", record[len(record)-1], record[len(record)-1]-sum)
		}
		at, data := uint32(record[1])<<8|uint32(record[2]), record[4:len(record)-1]
		switch kind := record[3]; {
		case kind == 0:
			if uint64(base)+uint64(at)+uint64(len(data)) > 1<<32 {
				return wrong("the record runs beyond address FFFFFFFF")
			}
			if len(data) > 0 {
				blocks = append(blocks, hexBlock{base + at, data, line})
			}
		case kind == 1:
			ended = true
		case (kind == 2 || kind == 4) && len(data) == 2:
			base = (uint32(data[0])<<8 | uint32(data[1])) << map[byte]int{2: 4, 4: 16}[kind]
		case kind == 3 || kind == 5: // where a program starts
		default:
			return wrong("a record of kind %02X with %d bytes is none", kind, len(data))
		}
	}
	return joined(blocks)
}

// joined lays the blocks of a HEX file side by side.
func joined(blocks []hexBlock) (Image, error) {
	if len(blocks) == 0 {
		return Image{}, errors.New("no record holds data")
	}
	first, last := blocks[0].at, uint64(0)
	for _, b := range blocks {
		first, last = min(first, b.at), max(last, uint64(b.at)+uint64(len(b.data)))
	}
	size := last - uint64(first)
	if size > mostImage {
		return Image{}, fmt.Errorf("the records lie %d bytes apart; an image has at most %d", size, mostImage)
	}
	i := Image{First: first, Data: bytes.Repeat([]byte{0xFF}, int(size)), Filled: make([]bool, size)}
	whole := 0
	for _, b := range blocks {
		at := b.at - first
		for n := range b.data {
			if i.Filled[int(at)+n] && i.Data[int(at)+n] != b.data[n] {
				return Image{}, fmt.Errorf("line %d: address %s is given twice, with different data", b.line, strconv.FormatUint(uint64(b.at)+uint64(n), 16))
			}
			if !i.Filled[int(at)+n] {
				whole++
			}
			i.Data[int(at)+n], i.Filled[int(at)+n] = b.data[n], true
		}
	}
	if whole == len(i.Data) {
		i.Filled = nil
	}
	return i, nil
}
