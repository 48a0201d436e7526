package wave_test

import (
	"bytes"
	"encoding/binary"
	"math"
	"testing"

	"halfsplit/trace/wave"
)

// file makes a WAV file of two channels.
func file(kind, bits int, frames [][]byte) []byte {
	var data []byte
	for _, f := range frames {
		data = append(data, f...)
	}
	var b bytes.Buffer
	write := func(v ...any) {
		for _, one := range v {
			_ = binary.Write(&b, binary.LittleEndian, one)
		}
	}
	b.WriteString("RIFF")
	write(uint32(36 + len(data)))
	b.WriteString("WAVELIST")
	write(uint32(3))
	b.WriteString("abc\x00fmt ")
	write(uint32(16), uint16(kind), uint16(2), uint32(8000), uint32(8000*2*bits/8), uint16(2*bits/8), uint16(bits))
	b.WriteString("data")
	write(uint32(len(data)))
	b.Write(data)
	return b.Bytes()
}

func TestFormats(t *testing.T) {
	le := binary.LittleEndian
	for _, c := range []struct {
		name       string
		kind, bits int
		frame      []byte
		want       [2]float64
	}{
		{"8 bits", 1, 8, []byte{0, 192}, [2]float64{-1, 0.5}},
		{"16 bits", 1, 16, []byte{0, 0x80, 0, 0x40}, [2]float64{-1, 0.5}},
		{"24 bits", 1, 24, []byte{0, 0, 0x80, 0, 0, 0x40}, [2]float64{-1, 0.5}},
		{"32 bits", 1, 32, []byte{0, 0, 0, 0x80, 0, 0, 0, 0x40}, [2]float64{-1, 0.5}},
		{"float", 3, 32, le.AppendUint32(le.AppendUint32(nil, math.Float32bits(-0.25)), math.Float32bits(0.75)), [2]float64{-0.25, 0.75}},
		{"double", 3, 64, le.AppendUint64(le.AppendUint64(nil, math.Float64bits(-0.25)), math.Float64bits(0.75)), [2]float64{-0.25, 0.75}},
	} {
		t.Run(c.name, func(t *testing.T) {
			tr, err := wave.Read(bytes.NewReader(file(c.kind, c.bits, [][]byte{c.frame, c.frame})))
			if err != nil {
				t.Fatal(err)
			}
			if len(tr.Time) != 2 || tr.Time[1] != 1.0/8000 || tr.Values[0][1] != c.want[0] || tr.Values[1][0] != c.want[1] {
				t.Errorf("%v %v", tr.Time, tr.Values)
			}
		})
	}
}

func TestRefusals(t *testing.T) {
	good := file(1, 16, [][]byte{{1, 2, 3, 4}})
	for what, b := range map[string][]byte{
		"text": []byte("time,volts\n0,1\n"), "packed": file(2, 4, [][]byte{{1}}), "cut in the head": good[:30], "no samples": file(1, 16, nil), "empty": nil,
	} {
		if _, err := wave.Read(bytes.NewReader(b)); err == nil {
			t.Errorf("%s: no error", what)
		}
	}
}

// FuzzRead: whatever the bytes, there is a trace or an error.
func FuzzRead(f *testing.F) {
	f.Add(file(1, 16, [][]byte{{1, 2, 3, 4}}))
	f.Add(file(3, 32, [][]byte{{1, 2, 3, 4, 5, 6, 7, 8}}))
	f.Add([]byte("RIFF\x00\x00\x00\x00WAVEdata\xff\xff\xff\xff"))
	f.Fuzz(func(t *testing.T, b []byte) {
		tr, err := wave.Read(bytes.NewReader(b))
		if err == nil && (len(tr.Time) == 0 || len(tr.Values[0]) != len(tr.Time)) {
			t.Fatal("a trace without readings")
		}
	})
}
