package watch

import (
	"strings"
	"testing"
	"time"

	"halfsplit/instrument"
)

func TestParseWanted(t *testing.T) {
	w, err := ParseWanted(`heat sink = /dev/ttyUSB0 measure=temperature probe=TC,K  baud=19200 frame=7E2 first=SYST:REM first=*CLS limits=at most 70 °C timeout=2s with=bench 6½-digit multimeter`, false)
	if err != nil {
		t.Fatal(err)
	}
	s := w.Setup
	want := instrument.Address{Device: "/dev/ttyUSB0", Line: instrument.LineSettings{Baud: 19200, DataBits: 7, Parity: instrument.EvenParity, StopBits: 2}}
	if w.Name != "heat sink" || s.Address != want || s.Function.Header != "TEMP" || s.Probe != "TC,K" || strings.Join(s.First, ";") != "SYST:REM;*CLS" ||
		w.Limits != "at most 70 °C" || s.Timeout != 2*time.Second || w.With.Name != "bench 6½-digit multimeter" || w.Pretend {
		t.Errorf("%+v", w)
	}
	w, err = ParseWanted("+5=192.168.1.20", false)
	if err != nil || w.Name != "+5" || w.Setup.Address.Host != "192.168.1.20:5025" || w.Setup.Function.Name != "DC volts" || w.With.Name != usualMeter {
		t.Errorf("%+v, %v", w, err)
	}
	for _, text := range []string{"-15", "-15=pretend", "-15 limits=±4 %", "-15=pretend limits=±4 %"} {
		if w, err := ParseWanted(text, true); err != nil || w.Name != "-15" || !w.Pretend || strings.Contains(text, "limits") != (w.Limits != "") {
			t.Errorf("%q: %+v, %v", text, w, err)
		}
	}
}

// TestBadWanted checks what is said to what may be typed by mistake.
func TestBadWanted(t *testing.T) {
	for text, says := range map[string]string{
		"":                            "is no meter; write a name and an address",
		"+5":                          "is no meter",
		"=192.168.1.20":               "is no meter",
		"+5=":                         `meter "+5": "" is no address`,
		"+5=http://meter":             "is no address",
		"+5=meter mesure=ohms":        `there is no mesure=; did you mean "measure"?`,
		"+5=meter measure=ohm meter":  "is nothing that a meter is set to",
		"+5=meter measure=":           "measure= is empty",
		"+5=meter limits=1 V limits=": "limits= is given twice",
		"+5=meter baud=9600":          "it is not on one",
		"+5=/dev/x baud=fast":         "is no speed",
		"+5=/dev/x frame=9N1":         "says no form of a character",
		"+5=meter timeout=5":          "is no time with its unit",
		"+5=meter timeout=1h":         "is out of range",
		"+5=meter with=ruler":         "no typical meter called",
		"a,b=meter":                   "the name may hold neither",
	} {
		if _, err := ParseWanted(text, false); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v\ndoes not say: %s", text, err, says)
		}
	}
}

func TestDistinct(t *testing.T) {
	parse := func(texts ...string) (list []Wanted) {
		for _, text := range texts {
			w, err := ParseWanted(text, false)
			if err != nil {
				t.Fatal(err)
			}
			list = append(list, w)
		}
		return list
	}
	if err := Distinct(parse("a=meter", "b=meter:5026", "c=pretend", "d=pretend")); err != nil {
		t.Error(err)
	}
	if err := Distinct(parse("a=meter", "a=other")); err == nil {
		t.Error("one name for two")
	}
	if err := Distinct(parse("a=meter", "b=meter:5025 measure=ohms")); err == nil {
		t.Error("one meter for two")
	}
}

func TestDuration(t *testing.T) {
	if d, err := Duration("1.5h", time.Second, 24*time.Hour); err != nil || d != 90*time.Minute {
		t.Error(d, err)
	}
	for _, text := range []string{"", "5", "5 V", "-1s", "0s", "25h", "NaN s"} {
		if d, err := Duration(text, time.Second, 24*time.Hour); err == nil {
			t.Errorf("%q: %v", text, d)
		}
	}
}

func FuzzParseWanted(f *testing.F) {
	for _, s := range []string{"+5=192.168.1.20", "a=/dev/ttyS0 baud=9600 frame=8N1", "x limits=±5 %", "= =", "a=b =c", "a=serial: probe=\x00", "-15=pretend first=SYST:REM timeout=2s"} {
		f.Add(s, false)
		f.Add(s, true)
	}
	f.Fuzz(func(t *testing.T, s string, simulated bool) {
		w, err := ParseWanted(s, simulated)
		if err != nil {
			return
		}
		if w.Name == "" || strings.ContainsAny(w.Name, ",\n\"") || w.Setup.Function.Header == "" || w.With.Name == "" {
			t.Errorf("%q: %+v", s, w)
		}
		if !w.Pretend && w.Setup.Address.String() == "" {
			t.Errorf("%q is nowhere", s)
		}
		if c, err := NewChannel(w, nil); err == nil {
			c.Judge(5)
			c.Judge(0)
			if d := oneLine(c.Describe()); strings.ContainsAny(d, "\n\r") {
				t.Errorf("%q is described in two lines: %q", s, d)
			}
		}
	})
}
