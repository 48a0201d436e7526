package memory_test

import (
	"strings"
	"testing"

	"halfsplit/memory"
)

// TestMarchLengths compares lengths and elements with the collected tables
// (testdata/memory.yaml: march_tests, march_lengths_printed and cases).
//
// Outside: cases of testdata/memory.yaml only mem-march*. Within: exact.
func TestMarchLengths(t *testing.T) {
	f := reference(t)
	for _, row := range f.Tables["march_tests"].Rows {
		m, err := memory.FindMarch(row[0].(string))
		if err != nil || m.String() != strings.ReplaceAll(row[1].(string), " ", "") && m.String() != row[1] || float64(m.Length()) != number(row[2]) {
			t.Errorf("%v: %v, %d operations, %v", row, m, m.Length(), err)
		}
	}
	for _, row := range f.Tables["march_lengths_printed"].Rows {
		if m, err := memory.FindMarch(row[0].(string)); err == nil && float64(m.Length()) != number(row[1]) {
			t.Errorf("%v: %d", row, m.Length())
		}
	}
	checked := 0
	for _, c := range f.Cases {
		if c.Checks != "operations for 16384 cells" {
			continue
		}
		checked++
		m, err := memory.FindMarch(c.Inputs["test"].(string))
		if err != nil || float64(m.Length()*16384) != number(c.Expected["operations"]) {
			t.Errorf("%s: %d, %v", c.ID, m.Length(), err)
		}
	}
	for _, c := range f.Cases {
		if c.Checks != "does the test guarantee the fault class" {
			continue
		}
		checked++
		m, err := memory.FindMarch(c.Inputs["test"].(string))
		if err != nil {
			t.Fatal(err)
		}
		model := memory.FaultModel(c.Inputs["fault"].(string))
		found, of := m.Coverage(model)
		if float64(found) != number(c.Expected["detected"]) || float64(of) != number(c.Expected["instances"]) || m.Guarantees(model) != c.Expected["guaranteed"] {
			t.Errorf("%s: %d of %d", c.ID, found, of)
		}
	}
	if checked != 18 {
		t.Errorf("%d cases, want 18", checked)
	}
}

// TestParseMarchRefuses: what is no march test is refused with the reason.
func TestParseMarchRefuses(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"", "begins with"}, {"up", "brackets"}, {"up(", "brackets"}, {"up(w0) x", "brackets"}, {"sideways(w0)", `begins with "sideways"`},
		{"any(w2)", "no operation"}, {"any(w0,)", "no operation"}, {"up(r0)", "what was not written"}, {"any(w0); up(r1,w1)", "what was not written"},
		{"any(w0" + strings.Repeat(",w0", 300) + ")", "more than 200"},
	} {
		if _, err := memory.ParseMarch(c.text); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.40q: %v, want %q", c.text, err, c.want)
		}
	}
	if _, err := memory.FindMarch("March Q"); err == nil || !strings.Contains(err.Error(), "known here: MATS, MATS+") {
		t.Errorf("March Q: %v", err)
	}
	if m, err := memory.FindMarch("march c−"); err != nil || m.Length() != 10 {
		t.Errorf("march c with a true minus: %v, %v", m, err)
	}
}

// FuzzParseMarch reads anything; what is read is written and read again the
// same.
func FuzzParseMarch(f *testing.F) {
	for _, m := range memory.Marches() {
		f.Add(m.String())
	}
	f.Add("⇕(w0);⇑(r0,w1);⇓(r1)")
	f.Fuzz(func(t *testing.T, text string) {
		m, err := memory.ParseMarch(text)
		if err != nil {
			return
		}
		again, err := memory.ParseMarch(m.String())
		if err != nil || again.String() != m.String() || again.Length() != m.Length() {
			t.Fatalf("%q reads as %v, then %v, %v", text, m, again, err)
		}
	})
}
