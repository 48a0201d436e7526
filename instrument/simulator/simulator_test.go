package simulator

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"net"
	"os"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"
)

// TestHeaders checks the rules of headers: short and long form and nothing
// between, any case, optional nodes (SCPI-1999, from memory; the [:NEXT] node is
// printed in the GSG-5 series SCPI manual, Orolia).
//
// Outside: GSG-5 series SCPI manual, Orolia, and SCPI-1999 from memory. Within: exact.
// Outside: cases of ../testdata/scpi.yaml only scpi-header-*. Within: exact.
func TestHeaders(t *testing.T) {
	data, err := os.ReadFile("../testdata/scpi.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases []struct {
			ID       string
			Inputs   map[string]yaml.Node
			Expected map[string]yaml.Node
		}
	}
	if err := yaml.Load(data, &file); err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, c := range file.Cases {
		if !strings.HasPrefix(c.ID, "scpi-header-") {
			continue
		}
		checked++
		header, want := c.Inputs["header"], c.Expected["matches"]
		if got := matches("SYSTem:ERRor[:NEXT]?", header.Value); fmt.Sprint(got) != want.Value {
			t.Errorf("%s: %q: %v", c.ID, header.Value, got)
		}
	}
	if checked != 7 {
		t.Errorf("%d headers checked", checked)
	}
	for _, c := range []struct {
		pattern, header string
		want            bool
	}{
		{"[SENSe:]FUNCtion[:ON]", "SENS:FUNC", true},
		{"[SENSe:]FUNCtion[:ON]", "func:on", true},
		{"[SENSe:]FUNCtion[:ON]", ":SENSe:FUNCtion:ON", true},
		{"[SENSe:]FUNCtion[:ON]", "SENS", false},
		{"CONFigure:VOLTage[:DC]", "CONF:VOLT", true},
		{"CONFigure:VOLTage[:DC]", "CONF:VOLT:AC", false},
		{"READ?", "READ", false},
		{"READ?", "read?", true},
		{"READ?", "", false},
		{"READ?", "?", false},
	} {
		if got := matches(c.pattern, c.header); got != c.want {
			t.Errorf("%s, %s: %v", c.pattern, c.header, got)
		}
	}
}

// TestExecute plays whole conversations. Codes and texts of the errors are those
// of the 5492 manual, table 7-5, B&K Precision; "Queue overflow" is from
// memory.
//
// Outside: 5492 manual, table 7-5, B&K Precision. Within: exact.
func TestExecute(t *testing.T) {
	for _, c := range []struct {
		name  string
		meter *Meter
		talk  []string // question, answer, ...; an empty answer for none
	}{
		{"who", &Meter{Identity: "Tarn,Bench 60,0,1"}, []string{"*IDN?", "Tarn,Bench 60,0,1", "*idn?", "Tarn,Bench 60,0,1"}},
		{"wakes up with DC volts", &Meter{}, []string{"READ?", "+7.00000000E+00"}},
		{"set and read", &Meter{}, []string{"CONF:RES", "", "READ?", "+3.00000000E+00", "CONFigure:VOLTage:DC 10", "", "READ?", "+7.00000000E+00", "*RST", "", "READ?", "+7.00000000E+00"}},
		{"several in a line", &Meter{}, []string{"CONF:TEMP;UNIT:TEMP C;READ?;SYST:ERR?", `+4.00000000E+00;+0,"No error"`}},
		{"measure", &Meter{}, []string{"MEAS:FREQ?", "+4.00000000E+00", "MEAS:FREQ", "", "SYST:ERR?", `-113,"Undefined header"`}},
		{"errors", &Meter{}, []string{"NONSENSE", "", "UNIT:TEMP X", "", "*STB?", "4", "SYST:ERR?", `-113,"Undefined header"`, "SYST:ERR:NEXT?", `-224,"Illegal parameter value"`, "SYST:ERR?", `+0,"No error"`, "*ESR?", "48", "*ESR?", "0", "*STB?", "0"}},
		{"cleared", &Meter{}, []string{"NONSENSE", "", "*CLS", "", "SYST:ERR?", `+0,"No error"`, "*ESR?", "0"}},
		{"mandatory commands", &Meter{}, []string{"*ESE 0", "", "*ESE?", "0", "*OPC", "", "*OPC?", "1", "*SRE 0", "", "*SRE?", "0", "*TST?", "0", "*WAI", "", "SYST:ERR?", `+0,"No error"`}},
		{"no queue", &Meter{NoQueue: true}, []string{"SYST:ERR?", "", "*ESR?", "32"}},
		{"set by function only", &Meter{NoConfigure: true}, []string{"CONF:RES", "", "*ESR?", "32", `SENS:FUNC "RES"`, "", "READ?", "+3.00000000E+00"}},
		{"lacks a function", &Meter{Only: []string{"VOLT:DC"}}, []string{"CONF:RES", "", "SYST:ERR?", `-113,"Undefined header"`, "CONF:VOLT:DC", "", "SYST:ERR?", `+0,"No error"`}},
		{"blank", &Meter{}, []string{";; ;", ""}},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.meter.Source = func(f string) float64 { return float64(len(f)) }
			for i := 0; i < len(c.talk); i += 2 {
				answer, answers := c.meter.Execute(c.talk[i])
				if answer != c.talk[i+1] || answers != (answer != "") {
					t.Errorf("%s: %q, %v, not %q", c.talk[i], answer, answers, c.talk[i+1])
				}
			}
		})
	}
}

func TestQueueOverflows(t *testing.T) {
	m := Meter{}
	for range QueueDepth + 5 {
		m.Execute("NONSENSE")
	}
	for i := range QueueDepth {
		want := `-113,"Undefined header"`
		if i == QueueDepth-1 {
			want = `-350,"Queue overflow"`
		}
		if got, _ := m.Execute("SYST:ERR?"); got != want {
			t.Errorf("entry %d: %s", i, got)
		}
	}
	if got, _ := m.Execute("SYST:ERR?"); got != `+0,"No error"` {
		t.Error(got)
	}
}

// TestSpecialNumbers checks how overload and no reading are written
// (54620A programming, p. 57; E4418B programming guide, p. 1-96).
func TestSpecialNumbers(t *testing.T) {
	for want, v := range map[string]float64{"+9.90000000E+37": math.Inf(1), "-9.90000000E+37": math.Inf(-1), "+9.91000000E+37": math.NaN(), "+0.00000000E+00": 0, "-4.70000000E-09": -4.7e-9} {
		if got := number(v); got != want {
			t.Errorf("%v is written %s", v, got)
		}
	}
}

// TestPlans checks which answers the plans spoil.
func TestPlans(t *testing.T) {
	spoilt := func(p Plan) (n []int) {
		for i := range 6 {
			if p("READ?", i) != None {
				n = append(n, i)
			}
			if p("*IDN?", i) != None {
				t.Error("another answer is spoilt")
			}
		}
		return n
	}
	if got := fmt.Sprint(spoilt(Once("READ?", 3, Late))); got != "[2]" {
		t.Error(got)
	}
	if got := len(spoilt(Always("READ?", Late))); got != 6 {
		t.Error(got)
	}
	p, n := Random(rand.New(rand.NewPCG(1, 2)), 0.25, Overload, Late), 0
	for i := range 4000 {
		if p("READ?", i) != None {
			n++
		}
	}
	if n < 900 || n > 1100 {
		t.Errorf("%d of 4000", n)
	}
	for _, f := range append(Faults(), None) {
		if f.String() == "" {
			t.Errorf("fault %d has no name", f)
		}
	}
}

// FuzzExecute sends anything to a meter.
func FuzzExecute(f *testing.F) {
	for _, s := range []string{"*IDN?", "CONF:VOLT:DC 10,0.001", "READ?;SYST:ERR?", "SENS:FUNC \"RES\"", ":::::", "[?]", "\x00\xff", "; ;", "MEAS:?", "a b c"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m := Meter{Identity: "a,b,c,d", Source: func(string) float64 { return 1 }}
		answer, answers := m.Execute(s)
		if !answers && answer != "" {
			t.Errorf("%q is answered by %q, and not", s, answer)
		}
	})
}

func ExampleMeter() {
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	m := &Meter{Identity: "Tarn,Bench 60,0,1", Source: func(string) float64 { return 5.02 }}
	address, wait, err := m.Listen(ctx, "127.0.0.1:0")
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := net.Dial("tcp", address)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Fprint(c, "CONF:VOLT:DC\nREAD?\n")
	var answer string
	fmt.Fscan(c, &answer)
	fmt.Println(answer)
	stop()
	wait()
	// Output: +5.02000000E+00
}
