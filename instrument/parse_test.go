package instrument

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/quantity"
)

// TestNumbersComeBack checks that every value that a meter can write in any of
// the forms is read as it was written.
func TestNumbersComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e30, 1e30).Draw(t, "value")
		format := rapid.SampledFrom([]byte{'E', 'e', 'f'}).Draw(t, "format")
		text := strconv.FormatFloat(v, format, -1, 64)
		if !math.Signbit(v) && rapid.Bool().Draw(t, "plus") {
			text = "+" + text
		}
		blanks := rapid.StringMatching(`[ \t\r]{0,3}`)
		n, err := ParseNumber(blanks.Draw(t, "before") + text + blanks.Draw(t, "after"))
		if err != nil || n.Value != v || n.Meaning != Value {
			t.Fatalf("%q: %+v, %v", text, n, err)
		}
	})
}

// TestComplaintsComeBack checks that every text survives the doubling of its
// quotes.
func TestComplaintsComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := Complaint{rapid.IntRange(-32768, 32767).Draw(t, "code"), rapid.StringMatching(`[ -~]{0,40}`).Draw(t, "text")}
		got, err := ParseComplaint(strconv.Itoa(want.Code) + `,"` + strings.ReplaceAll(want.Text, `"`, `""`) + `"`)
		if err != nil || got != want {
			t.Fatalf("%+v, not %+v, %v", got, want, err)
		}
	})
}

// FuzzAnswers feeds the readers of answers with anything that may come out of a
// cable.
func FuzzAnswers(f *testing.F) {
	for _, s := range []string{"+5.01234567E+00", "9.9E37", "-9.9E37", "9.91E37", "#HA2F", "#B1", "1E999", "", ".", "-.25", `-113,"Undefined header"`, `-150,"String ""x"" bad"`,
		"0 No error", "ACME,X1,123,1.0,extra", ",,,", "128", "\x00\xff", "1,2,3", "+-1", "1e", strings.Repeat("9", 400)} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		n, err := ParseNumber(s)
		if err == nil {
			switch n.Meaning {
			case Value:
				if math.IsNaN(n.Value) || math.IsInf(n.Value, 0) {
					t.Errorf("%q is the value %v", s, n.Value)
				}
				if n.Form != NonDecimal {
					if v, err := strconv.ParseFloat(strings.TrimSpace(s), 64); err != nil || v != n.Value {
						t.Errorf("%q is %v; the library reads %v, %v", s, n.Value, v, err)
					}
				}
			case Overload, NegativeOverload, NotANumber:
				if !math.IsNaN(n.Value) && !math.IsInf(n.Value, 0) {
					t.Errorf("%q means %s, with the value %v", s, n.Meaning, n.Value)
				}
			default:
				t.Errorf("%q has no meaning", s)
			}
		}
		if i, err := ParseIdentity(s); err == nil && i.String() == "" && i.Serial == "" {
			t.Errorf("%q has an identity without a name", s)
		}
		if c, err := ParseComplaint(s); err == nil && c.Class() == "" {
			t.Errorf("%q: %+v", s, c)
		}
		ParseEventRegister(s)
		if a, err := ParseAddress(s); err == nil {
			again, err := ParseAddress(a.String())
			if a.Device != "" {
				again, err = ParseAddress("serial:" + a.String())
			}
			if err != nil || again != a {
				t.Errorf("%q is %v, which is read as %v, %v", s, a, again, err)
			}
		}
		if f, err := ParseFunction(s); err == nil && f.Header == "" {
			t.Errorf("%q is a function without a header", s)
		}
		if l, err := DefaultLine.ParseFrame(s); err == nil && (l.DataBits < 7 || l.DataBits > 8) {
			t.Errorf("%q: %v", s, l)
		}
	})
}

func TestAddresses(t *testing.T) {
	for _, c := range []struct {
		text string
		want Address
	}{
		{"192.168.1.20", Address{Host: "192.168.1.20:5025"}},
		{"bench-meter:5555", Address{Host: "bench-meter:5555"}},
		{" tcp:COM3 ", Address{Host: "COM3:5025"}},
		{"::1", Address{Host: "[::1]:5025"}},
		{"[fe80::1]", Address{Host: "[fe80::1]:5025"}},
		{"[::1]:4000", Address{Host: "[::1]:4000"}},
		{"/dev/ttyUSB0", Address{Device: "/dev/ttyUSB0", Line: DefaultLine}},
		{"COM3", Address{Device: "COM3", Line: DefaultLine}},
		{"com12", Address{Device: "com12", Line: DefaultLine}},
		{"serial:meter", Address{Device: "meter", Line: DefaultLine}},
	} {
		if got, err := ParseAddress(c.text); err != nil || got != c.want {
			t.Errorf("%q: %+v, not %+v, %v", c.text, got, c.want, err)
		}
	}
	for _, text := range []string{"", "tcp:", "serial:", "http://meter", "a b", "meter:0", "meter:70000", "meter:x", ":5025", "a:b:c", "x/y", "[::1"} {
		if a, err := ParseAddress(text); err == nil {
			t.Errorf("%q is taken for %+v", text, a)
		}
	}
}

func TestLineSettings(t *testing.T) {
	l, err := DefaultLine.ParseFrame("7e2")
	if err == nil {
		l, err = l.ParseBaud("19200")
	}
	if want := (LineSettings{19200, 7, EvenParity, 2}); err != nil || l != want || l.String() != "19200 7E2" {
		t.Error(l, err)
	}
	for _, text := range []string{"", "8N", "9N1", "8X1", "8N3", "8N1.5"} {
		if _, err := DefaultLine.ParseFrame(text); err == nil {
			t.Errorf("the frame %q is taken", text)
		}
	}
	for _, text := range []string{"", "0", "-9600", "fast", "9600.5", "99999999"} {
		if _, err := DefaultLine.ParseBaud(text); err == nil {
			t.Errorf("the speed %q is taken", text)
		}
	}
}

func TestFunctions(t *testing.T) {
	for text, want := range map[string]string{"dc volts": "VOLT:DC", "ACV": "VOLT:AC", "Ω": "RES", "4-wire  ohms": "FRES", "°C": "TEMP", "hz": "FREQ"} {
		f, err := ParseFunction(text)
		if err != nil || f.Header != want || f.Unit == quantity.None {
			t.Errorf("%q: %+v, %v", text, f, err)
		}
	}
	_, err := ParseFunction("temprature")
	if err == nil || !strings.Contains(err.Error(), `did you mean "temperature"?`) {
		t.Error(err)
	}
	for _, f := range Functions() {
		if again, err := ParseFunction(f.Name); err != nil || again.Header != f.Header {
			t.Errorf("%s: %+v, %v", f.Name, again, err)
		}
	}
}

func TestSetupCheck(t *testing.T) {
	volts, _ := ParseFunction("DC volts")
	good := Setup{Address: Address{Host: "a:1"}, Function: volts}
	if err := good.Check(); err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(*Setup){
		"no address":   func(s *Setup) { s.Address = Address{} },
		"two":          func(s *Setup) { s.Address.Device = "x" },
		"no function":  func(s *Setup) { s.Function = Function{} },
		"timeout":      func(s *Setup) { s.Timeout = -1 },
		"second line":  func(s *Setup) { s.First = []string{"A\nB"} },
		"probe in two": func(s *Setup) { s.Probe = "K\n*RST" },
	} {
		s := good
		spoil(&s)
		if s.Check() == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
