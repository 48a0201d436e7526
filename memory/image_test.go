package memory_test

import (
	"bytes"
	"compress/gzip"
	"encoding/hex"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/memory"
)

// dataOf gives the data of a reference case.
func dataOf(t *testing.T, text string) []byte {
	switch {
	case text == "empty":
		return nil
	case text == "million-a":
		return bytes.Repeat([]byte("a"), 1_000_000)
	case text == "zero2048":
		return make([]byte, 2048)
	case text == "ff2048":
		return bytes.Repeat([]byte{0xFF}, 2048)
	}
	return []byte(text)
}

// TestReferenceChecksums checks CRCs, sums and hashes against their published
// check values (testdata/memory.yaml: G. Cook's catalogue, FIPS 180-4, RFC 1321).
//
// Outside: cases of testdata/memory.yaml only mem-crc*, mem-sha1*, mem-sum16*. Within:
// exact.
func TestReferenceChecksums(t *testing.T) {
	checked := 0
	for _, c := range reference(t).Cases {
		in := c.Inputs
		switch c.Checks {
		case "CRC check value of ASCII 123456789":
			word := func(key string) uint32 {
				v, err := strconv.ParseUint(in[key].(string), 0, 32)
				if err != nil {
					t.Fatal(err)
				}
				return uint32(v)
			}
			crc := memory.CRC{Width: in["width"].(int), Polynomial: word("poly"), Initial: word("init"), ReflectIn: in["refin"].(bool), ReflectOut: in["refout"].(bool), Final: word("xorout")}
			if got, want := fmt.Sprintf("%0*X", crc.Width/4, crc.Of([]byte("123456789"))), fmt.Sprint(c.Expected["check"]); got != want {
				t.Errorf("%s: %s, want %s", c.ID, got, want)
			}
		case "CRC-32 of small and blank data":
			data := dataOf(t, in["data"].(string))
			if n := int(number(in["length"])); n > 0 && n <= 4 {
				var err error
				if data, err = hex.DecodeString(in["data"].(string)); err != nil || len(data) != n {
					t.Fatal(err)
				}
			}
			if got := strings.ToUpper(memory.Sum(data).CRC["CRC-32"]); got != c.Expected["crc32"] {
				t.Errorf("%s: %s, want %s", c.ID, got, c.Expected["crc32"])
			}
		case "SHA-1":
			s := memory.Sum(dataOf(t, in["data"].(string)))
			if s.SHA1 != c.Expected["sha1"] || s.MD5 != c.Expected["md5"] || s.SHA256 != c.Expected["sha256"] {
				t.Errorf("%s: %+v", c.ID, s)
			}
		case "16-bit byte sum":
			s := memory.Sum([]byte("123456789"))
			if float64(s.Sum16) != number(c.Expected["sum"]) || float64(s.Sum8) != number(c.Expected["sum8"]) || float64(s.Minus8) != number(c.Expected["twos_complement8"]) || float64(s.Xor8) != number(c.Expected["xor8"]) {
				t.Errorf("%s: %+v", c.ID, s)
			}
		default:
			continue
		}
		checked++
	}
	if checked != 22 {
		t.Errorf("%d cases checked, want 22", checked)
	}
	want := map[string]string{"CRC-32": "cbf43926", "CRC-16 CCITT-FALSE": "29b1", "CRC-16 XMODEM": "31c3", "CRC-16 ARC": "bb3d"}
	for name, sum := range memory.Sum([]byte("123456789")).CRC {
		if sum != want[name] {
			t.Errorf("%s: %s, want %s", name, sum, want[name])
		}
	}
}

// dumps reads the real dumps of one temperature.
func dumps(t testing.TB, which string) []memory.Image {
	t.Helper()
	var list []memory.Image
	for n := 1; n <= 7; n++ {
		name := fmt.Sprintf("testdata/dumps/A_%s_%02d.hex.gz", which, n)
		f, err := os.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		z, err := gzip.NewReader(f)
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(z)
		if err != nil {
			t.Fatal(err)
		}
		image, err := memory.ParseImage(name, text)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, image)
	}
	return list
}

// TestRealDumps votes over real dumps and compares the counts with check values
// made outside this project (testdata/ORIGIN.md).
//
// Outside: dumps of real memory by T. Claeys, counted with numpy,
// memory/testdata/ORIGIN.md. Within: exact.
func TestRealDumps(t *testing.T) {
	room, cold := dumps(t, "room"), dumps(t, "cold")
	if n := len(room[0].Data); n != 98304 || room[0].First != 0x20000000 || room[0].Filled != nil {
		t.Fatalf("%d bytes at %X", n, room[0].First)
	}
	var majority [2][]byte
	for i, c := range []struct {
		dumps             []memory.Image
		sha               string
		changed           []int
		unsteady, inBytes int
		always1, always0  int
	}{
		{room, "f9ccb14b9837b0670edfda6187c25944a9271824536c1f414c019a3c6699c40f", []int{44430, 41426, 42863, 42678, 42466, 43190}, 100615, 65490, 341526, 344291},
		{cold, "d8b97b4c307356b5643787f7e8d8a151c6b52274fd21d3f0801984b00951b7ca", []int{39154, 40853, 36690, 37434, 38559, 38606}, 92379, 62245, 348617, 345436},
	} {
		if got := memory.Sum(c.dumps[0].Data).SHA256; got != c.sha {
			t.Errorf("SHA-256 %s, want %s", got, c.sha)
		}
		v, err := memory.Compare(c.dumps)
		if err != nil {
			t.Fatal(err)
		}
		if fmt.Sprint(v.Changed) != fmt.Sprint(c.changed) || v.Unsteady != c.unsteady || v.InBytes != c.inBytes || v.Always1 != c.always1 || v.Always0 != c.always0 {
			t.Errorf("%+v, want %+v", v, c)
		}
		if v.Drift > 0.01 || v.Ties != 0 || v.Error < 0.01 || v.Error > 0.05 {
			t.Errorf("decay %g, ties %d, error %g", v.Drift, v.Ties, v.Error)
		}
		majority[i] = v.Majority
	}
	differ := 0
	for i := range majority[0] {
		for x := majority[0][i] ^ majority[1][i]; x != 0; x &= x - 1 {
			differ++
		}
	}
	if differ != 41829 {
		t.Errorf("majorities differ in %d bits, want 41829", differ)
	}
}

// TestInspect: what an image shows by itself.
func TestInspect(t *testing.T) {
	code := make([]byte, 4096) // no pattern in it
	x := uint32(1)
	for i := range code {
		x = x*1664525 + 1013904223
		code[i] = byte(x >> 24)
	}
	change := func(f func(i int, b byte) byte) []byte {
		out := make([]byte, len(code))
		for i, b := range code {
			out[i] = f(i, b)
		}
		return out
	}
	for _, c := range []struct {
		name string
		data []byte
		want string // empty: nothing odd
	}{
		{"a program", code, ""},
		{"erased", bytes.Repeat([]byte{0xFF}, 2048), "every byte is FF"},
		{"dead", make([]byte, 2048), "every byte is 00"},
		{"D3 high", change(func(_ int, b byte) byte { return b | 8 }), "data line D3 is high"},
		{"D7 low", change(func(_ int, b byte) byte { return b & 0x7F }), "data line D7 is low"},
		{"A5 held", change(func(i int, _ byte) byte { return code[i&^32] }), "address line A5 makes no difference"},
		{"half the size", change(func(i int, _ byte) byte { return code[i&0x7FF] }), "address line A11 makes no difference"},
		{"upper half blank", change(func(i int, b byte) byte { return b | byte(-(i >> 11)) }), "upper half is FF"},
		{"cut short", code[:3000], "3000 bytes are no size"},
	} {
		list := memory.Inspect(memory.Image{Data: c.data})
		switch {
		case c.want == "" && len(list) > 0:
			t.Errorf("%s: %+v", c.name, list)
		case c.want != "" && (len(list) != 1 || !strings.Contains(list[0].What, c.want) || list[0].Why == ""):
			t.Errorf("%s: %+v, want %q", c.name, list, c.want)
		}
	}
}

// TestVote: noise of reading is outvoted, and decay is told from it.
func TestVote(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := uint32(rapid.Uint32().Draw(t, "seed")) | 1
		next := func(n uint32) uint32 {
			seed = seed*1664525 + 1013904223
			return (seed >> 8) % n
		}
		truth := make([]byte, 512)
		for i := range truth {
			truth[i] = byte(next(256))
		}
		var noisy, decayed []memory.Image
		worn := bytes.Clone(truth)
		for range 5 {
			read := bytes.Clone(truth)
			for range 12 {
				read[next(512)] ^= 1 << next(8)
			}
			noisy = append(noisy, memory.Image{Name: "noisy", Data: read})
			for range 12 {
				worn[next(512)] |= 1 << next(8)
			}
			decayed = append(decayed, memory.Image{Name: "worn", Data: bytes.Clone(worn)})
		}
		v, err := memory.Compare(noisy)
		if err != nil {
			t.Fatal(err)
		}
		wrong := 0
		for i := range truth {
			if v.Majority[i] != truth[i] {
				wrong++
			}
		}
		if wrong > 1 || v.Drift > 0.1 {
			t.Fatalf("%d bytes wrong after the vote, decay %g", wrong, v.Drift)
		}
		if v, err = memory.Compare(decayed); err != nil || v.Set != 0 || v.Erased > 10 && v.Drift < 0.9 {
			t.Fatalf("decay %g, %d up, %d down, %v", v.Drift, v.Erased, v.Set, err)
		}
	})
}

// TestConfidence: of the majorities in doubt, as many are wrong as was said, also
// when few bits are misread often and most never.
func TestConfidence(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	const size, n = 32768, 5
	truth, worn := make([]byte, size), make([]byte, size)
	images := make([]memory.Image, n)
	for d := range images {
		images[d] = memory.Image{Name: fmt.Sprint(d), Data: make([]byte, size)}
	}
	for i := range truth {
		truth[i] = byte(r.Uint32())
		for bit := range 8 {
			if r.IntN(100) == 0 {
				worn[i] |= 1 << bit
			}
			for d := range images {
				one := truth[i] >> bit & 1
				if r.Float64() < 1e-5 || worn[i]>>bit&1 == 1 && r.Float64() < 0.25 {
					one ^= 1
				}
				images[d].Data[i] |= one << bit
			}
		}
	}
	v, err := memory.Compare(images)
	if err != nil {
		t.Fatal(err)
	}
	said, wrong := 0.0, 0
	for i := range truth {
		for bit := range 8 {
			said += 1 - v.Confidence(v.Ones(i, bit))
			wrong += int((v.Majority[i] ^ truth[i]) >> bit & 1)
		}
	}
	t.Logf("%d majorities wrong, %.1f said", wrong, said)
	if wrong < 100 || said < 0.5*float64(wrong) || said > 2*float64(wrong) {
		t.Errorf("%d majorities are wrong, and %.1f were said to be", wrong, said)
	}
	for ones := 1; ones <= n/2; ones++ {
		if v.Confidence(ones) > v.Confidence(ones-1) || v.Confidence(ones) != v.Confidence(n-ones) {
			t.Errorf("%d of %d: %g after %g", ones, n, v.Confidence(ones), v.Confidence(ones-1))
		}
	}
}

// TestCompareRefuses: dumps that do not fit are refused with the reason.
func TestCompareRefuses(t *testing.T) {
	if _, err := memory.Compare([]memory.Image{{Name: "a", Data: []byte{1}}}); err == nil {
		t.Error("one dump is no vote")
	}
	if _, err := memory.Compare([]memory.Image{{Name: "a", Data: []byte{1}}, {Name: "b", Data: []byte{1, 2}}}); err == nil || !strings.Contains(err.Error(), "one size") {
		t.Errorf("dumps of two sizes: %v", err)
	}
}

// TestParseImageRefuses: what is wrong with a HEX file is said with its line.
func TestParseImageRefuses(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"", "empty"}, {":00000001FF\n", "no record holds data"}, {":0100000001FF\n", "line 1: the checksum of the record is wrong: it reads FF and should read FE"},
		{":0100000001FE\nhello\n", "line 2: a record begins with a colon"}, {":0100000001FE\n:zz\n", "line 2: "}, {":05000000FB\n", "another number of bytes"},
		{":00000001FF\n:0100000001FE\n", "line 2: "}, {":0100000001FE\n:0100000002FD\n", "address 0 is given twice"},
		{":00000006FA\n", "kind 06"}, {":02000004FFFFFC\n:02FFFF000102FD\n", "beyond address FFFFFFFF"}, {":0100000001FE\n:02000004F0000A\n:0100000001FE\n", "bytes apart"},
	} {
		if _, err := memory.ParseImage("x", []byte(c.text)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %q", c.text, err, c.want)
		}
	}
	i, err := memory.ParseImage("x", []byte(":0100000001FE\r\n:0100030004F8\r\n:00000001FF\r\n"))
	if err != nil || !bytes.Equal(i.Data, []byte{1, 0xFF, 0xFF, 4}) || i.Filled[1] || !i.Filled[3] {
		t.Errorf("a gap: %+v, %v", i, err)
	}
}

// FuzzParseImage reads anything; nothing panics, and what is read fits together.
func FuzzParseImage(f *testing.F) {
	for _, text := range []string{":0100000001FE\n:00000001FF\n", ":02000004FFFFFC\n:0100000001FE", "\x00\x01", ":", ":020000021000EC\n:0100000001FE\n"} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		i, err := memory.ParseImage("x", text)
		if err != nil {
			return
		}
		if len(i.Data) == 0 || i.Filled != nil && len(i.Filled) != len(i.Data) || text[0] != ':' && !bytes.Equal(i.Data, text) {
			t.Fatalf("%d bytes, %d filled", len(i.Data), len(i.Filled))
		}
		memory.Inspect(i)
	})
}
