package memory_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"pgregory.net/rapid"

	"halfsplit/memory"
)

func readAll(r io.Reader) (list []memory.Failure, err error) {
	_, err = memory.Read(r, func(f memory.Failure) error {
		list = append(list, f)
		return nil
	})
	return list, err
}

// TestRead: the same failure in every way that lists write it.
func TestRead(t *testing.T) {
	want := []memory.Failure{{0x4A37, 0x55, 0x54}}
	for _, text := range []string{
		"4A37,55,54", "4A37,55,54\n", "4a37 55 54\r\n", "$4A37;0x55;54h", "\n# a remark\n4A37\t55\t54 # twice\n", "4A37, 55 , 54\n\n",
		"address,expected,read\n4A37,55,54\n", "\ufeffread;expected;address\n54;55;4A37\n", "pass,addr,exp,got\n1,4A37,55,54\n",
		"address expected mask\n4A37 55 01\n", "test\taddress\texpected\tread\tnote\nup(r0)\t4A37\t55\t54\twarm!\n",
	} {
		for name, r := range map[string]io.Reader{"whole": strings.NewReader(text), "byte by byte": iotest.OneByteReader(strings.NewReader(text)), "data with end": iotest.DataErrReader(strings.NewReader(text))} {
			if got, err := readAll(r); err != nil || !slices.Equal(got, want) {
				t.Errorf("%q, %s: %v, %v", text, name, got, err)
			}
		}
	}
	if got, err := readAll(strings.NewReader("4A37 01\n")); err != nil || got[0].Expected^got[0].Read != 1 {
		t.Errorf("address and mask: %v, %v", got, err)
	}
	if got, err := readAll(strings.NewReader("")); err != nil || got != nil {
		t.Errorf("empty: %v, %v", got, err)
	}
}

// TestReadRefuses: what cannot be read is refused with its line and reason.
func TestReadRefuses(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"4A37,55,54\n4A38,55\n", "line 2: "}, {"4A37,55,54\n4A38,55,54,1\n", "line 2: "}, {"4A37,5G,54\n", `line 1: "5G" is no hexadecimal`},
		{"123456789,0,1\n", "at most eight digits"}, {"4A37\n", "line 1: "}, {"1 2 3 4\n", "without a heading"}, {"address,read\n1,2\n", "must name address, expected and read"},
		{"address,addr,read\n", "mean the same"}, {"bits,read,expected\n", "must name"}, {"4A37,55,\n", "line 1: "}, {"4A37,,54\n", "line 1: "}, {"-1,0,1", "no hexadecimal"},
		{strings.Repeat("A", 5000), "longer than"}, {strings.Repeat("1 ", 40) + "\n", "at most 32"}, {"0x,0,1", "no hexadecimal"},
	} {
		_, err := readAll(strings.NewReader(c.text))
		var wrong *memory.ListError
		if !errors.As(err, &wrong) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.40q: %v, want %q", c.text, err, c.want)
		}
	}
	broken := errors.New("torn tape")
	if _, err := readAll(io.MultiReader(strings.NewReader("4A37,55,54\n"), iotest.ErrReader(broken))); !errors.Is(err, broken) {
		t.Errorf("a reader that fails: %v", err)
	}
	if _, err := memory.Read(strings.NewReader("1,2,3\n"), func(memory.Failure) error { return broken }); !errors.Is(err, broken) {
		t.Errorf("a visit that fails: %v", err)
	}
}

// TestReadInverts: a list that is written is read again the same, in whatever
// pieces it comes.
func TestReadInverts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.Uint64Range(0, 1<<32-1)
		want := rapid.SliceOf(rapid.Custom(func(t *rapid.T) memory.Failure {
			return memory.Failure{Address: word.Draw(t, "address"), Expected: word.Draw(t, "expected"), Read: word.Draw(t, "read")}
		})).Draw(t, "list")
		gap := rapid.SampledFrom([]string{",", ";", "\t", " ", ", "}).Draw(t, "gap")
		end := rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "end")
		var b bytes.Buffer
		for _, f := range want {
			fmt.Fprintf(&b, "%X%s%x%s%04X%s", f.Address, gap, f.Expected, gap, f.Read, end)
		}
		got, err := readAll(iotest.HalfReader(&b))
		if err != nil || !slices.Equal(got, want) {
			t.Fatalf("%v, %v, want %v", got, err, want)
		}
	})
}

// FuzzRead reads anything: nothing panics, pieces do not matter, and the count
// is that of what was handed on.
func FuzzRead(f *testing.F) {
	for _, text := range []string{"4A37,55,54\n", "address,expected,read\n4A37,55,54\n", "$1;0x2;3h\n# x\n", "addr mask\n1 2\n", "1,2,3", ",,,\n", "\ufeff", "1 2 3\r4 5 6", "# \n\n0,0,0 #"} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		whole, err := readAll(bytes.NewReader(text))
		pieces, errPieces := readAll(iotest.OneByteReader(bytes.NewReader(text)))
		if !slices.Equal(whole, pieces) || fmt.Sprint(err) != fmt.Sprint(errPieces) {
			t.Fatalf("%v %v, in pieces %v %v", whole, err, pieces, errPieces)
		}
		for _, x := range whole {
			if (x.Address|x.Expected|x.Read)>>32 != 0 {
				t.Fatalf("%+v is too large", x)
			}
		}
	})
}
