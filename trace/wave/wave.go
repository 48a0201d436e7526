package wave

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"

	"halfsplit/trace"
)

// Formats of samples (Microsoft and IBM, Multimedia Programming Interface and
// Data Specifications 1.0, 1991; the extensible form, 2001).
const (
	integers   = 1
	floats     = 3
	extensible = 0xfffe
)

// mostSamples is the most samples a file may have: some ten hours of two
// channels.
const mostSamples = 1 << 32

// Is tells whether a file that begins like this is a sound file.
func Is(beginning []byte) bool {
	return len(beginning) >= 12 && string(beginning[:4]) == "RIFF" && string(beginning[8:12]) == "WAVE"
}

// format is what a file says of its samples.
type format struct {
	kind, channels, bits int
	rate                 float64
}

// Read reads a sound file into a trace. Samples may be integers of 8, 16, 24 or
// 32 bits or floats of 32 or 64. A file that is cut short is read as far as it
// goes. An error says what of the file cannot be read.
func Read(r io.Reader) (*trace.Trace, error) {
	head := make([]byte, 12)
	if _, err := io.ReadFull(r, head); err != nil || !Is(head) {
		return nil, errors.New("it is no WAV file")
	}
	var f format
	for {
		var chunk [8]byte
		if _, err := io.ReadFull(r, chunk[:]); err != nil {
			return nil, errors.New("the WAV file holds no samples")
		}
		size := int64(binary.LittleEndian.Uint32(chunk[4:]))
		switch string(chunk[:4]) {
		case "fmt ":
			if size < 16 || size > 1<<16 {
				return nil, fmt.Errorf("the format of the WAV file is %d bytes long; 16 to 40 are usual", size)
			}
			b := make([]byte, size+size%2)
			if _, err := io.ReadFull(r, b); err != nil {
				return nil, errors.New("the WAV file ends within its format")
			}
			var err error
			if f, err = readFormat(b); err != nil {
				return nil, err
			}
		case "data":
			if f.channels == 0 {
				return nil, errors.New("the WAV file does not say how its samples are written")
			}
			return f.samples(io.LimitReader(r, size))
		default:
			if _, err := io.CopyN(io.Discard, r, size+size%2); err != nil {
				return nil, errors.New("the WAV file holds no samples")
			}
		}
	}
}

func readFormat(b []byte) (format, error) {
	f := format{
		kind: int(binary.LittleEndian.Uint16(b)), channels: int(binary.LittleEndian.Uint16(b[2:])),
		rate: float64(binary.LittleEndian.Uint32(b[4:])), bits: int(binary.LittleEndian.Uint16(b[14:])),
	}
	if f.kind == extensible && len(b) >= 26 {
		f.kind = int(binary.LittleEndian.Uint16(b[24:]))
	}
	good := f.kind == integers && (f.bits == 8 || f.bits == 16 || f.bits == 24 || f.bits == 32) || f.kind == floats && (f.bits == 32 || f.bits == 64)
	switch {
	case !good:
		return f, fmt.Errorf("the samples are of format %d with %d bits; save the recording as plain PCM of 16, 24 or 32 bits", f.kind, f.bits)
	case f.channels < 1 || f.channels > 64:
		return f, fmt.Errorf("the WAV file says that it has %d channels", f.channels)
	case f.rate < 1:
		return f, errors.New("the WAV file says that it has no samples in a second")
	}
	return f, nil
}

// samples reads the samples.
func (f format) samples(r io.Reader) (*trace.Trace, error) {
	tr := &trace.Trace{Head: trace.Head{Interval: 1 / f.rate}}
	for i := range f.channels {
		tr.Channels = append(tr.Channels, trace.Channel{Name: fmt.Sprintf("channel %d", i+1)})
	}
	tr.Values = make([][]float64, f.channels)
	frame := f.channels * f.bits / 8
	buffer := make([]byte, frame*4096)
	for {
		n, err := io.ReadFull(r, buffer)
		for at := 0; at+frame <= n; at += frame {
			for c := range f.channels {
				tr.Values[c] = append(tr.Values[c], f.value(buffer[at+c*f.bits/8:]))
			}
			tr.Time = append(tr.Time, float64(len(tr.Time))/f.rate)
		}
		if err != nil || len(tr.Time)*f.channels > mostSamples {
			break
		}
	}
	if len(tr.Time) == 0 {
		return nil, errors.New("the WAV file holds no samples")
	}
	return tr, nil
}

// value reads one sample as a share of full scale.
func (f format) value(b []byte) float64 {
	switch {
	case f.kind == floats && f.bits == 64:
		return math.Float64frombits(binary.LittleEndian.Uint64(b))
	case f.kind == floats:
		return float64(math.Float32frombits(binary.LittleEndian.Uint32(b)))
	case f.bits == 8:
		return (float64(b[0]) - 128) / 128
	case f.bits == 16:
		return float64(int16(binary.LittleEndian.Uint16(b))) / (1 << 15)
	case f.bits == 24:
		return float64(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)) / (1 << 31)
	}
	return float64(int32(binary.LittleEndian.Uint32(b))) / (1 << 31)
}
