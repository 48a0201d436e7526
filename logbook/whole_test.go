package logbook_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"halfsplit/form"
	"halfsplit/logbook"
	"halfsplit/sheet"
)

// bench reads the sheet of the tests, and whole the case with every key.
func bench(t testing.TB) *sheet.Sheet {
	t.Helper()
	s, err := sheet.Load("testdata/bench.sheet.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func whole(t testing.TB) *logbook.Case {
	t.Helper()
	c, s, err := logbook.Load("testdata/whole.case.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if s.File() != "testdata/bench.sheet.yaml" {
		t.Fatalf("the sheet is %s", s.File())
	}
	return c
}

func texts(words []form.Word) []string {
	var list []string
	for _, w := range words {
		list = append(list, w.Text)
	}
	return list
}

// Each key is read into the struct as it stands on the page.
func TestSections(t *testing.T) {
	c := whole(t)
	measure, test, capacitor, look, swap := c.Log[2], c.Log[3], c.Log[4], c.Log[5], c.Log[13]
	state, dmm := measure.State, c.Meters[1]
	for _, one := range []struct {
		what      string
		got, want any
	}{
		{"case", []any{c.Version, c.File(), c.Sheet.Text, len(c.Log)}, []any{1, "testdata/whole.case.yaml", "bench.sheet.yaml", 22}},
		{"unit", []any{c.Unit.Model, c.Unit.Serial, c.Unit.Year, c.Unit.Owner, c.Unit.History, c.Unit.Mains.Value, c.Unit.Note}, []any{"Ostrel VT-9", "004417", 1981, "Saltmarsh Sound Archive", "stored dry", 230.0, "heavy"}},
		{"usual meter", []any{c.Meters[0].Name.Text, c.Meters[0].Like, c.Meters[0].Calibrated}, []any{"bench meter", "bench 6½-digit multimeter", "2024-05"}},
		{"meter", []float64{dmm.VoltsDC.Reading, dmm.VoltsDC.Digits, dmm.VoltsAC.Reading, dmm.VoltsAC.Digits, dmm.Ohms.Reading, dmm.Farads.Digits, dmm.Hertz.Reading, dmm.Amps.Reading, dmm.Amps.Digits, dmm.Resistance.Value},
			[]float64{0.005, 2, 0.01, 4, 0.008, 4, 50e-6, 0.012, 0, 10e6}},
		{"symptom", []any{c.Log[0].Symptom, c.Log[0].At.Text, c.Log[0].Who, c.Log[0].When}, []any{"no picture after ten minutes", "screen", "Ines", "2026-03-02 10:40"}},
		{"measure", []any{texts(measure.Measure), texts(measure.Reads), measure.Expect.Text, measure.Limits.Text, measure.With.Text, measure.Name.Text, measure.Why}, []any{[]string{"TP1", "+5"}, []string{"4.62 V", "4.63 V"}, "5 V", "±5 %", "DMM", "a3", "the rail first"}},
		{"state", []any{state.Power, *state.Warm, state.Minutes.Value, state.Temperature.Value, state.Load, state.Mode, texts(state.Without), texts(state.Lifted), texts(state.Injected)},
			[]any{logbook.PowerOn, true, 720.0, 38.0, logbook.LoadDummy, logbook.ModeAC, []string{"video board", "U4"}, []string{"C3"}, []string{"audio in"}}},
		{"test", []any{texts(test.Test), test.How}, []any{[]string{"C3", "R7"}, logbook.ByEye}},
		{"capacitor", []float64{capacitor.Capacity.Value, capacitor.ESR.Value, capacitor.Loss.Value, capacitor.Frequency.Value, capacitor.Leakage.Value, capacitor.Volts.Value}, []float64{39e-6, 0.31, 0.12, 100e3, 2e-3, 25}},
		{"capacitor, by eye", []any{capacitor.Seen, capacitor.How}, []any{[]logbook.Look{"bulged", "residue"}, logbook.OutOfCircuit}},
		{"look", []any{look.Look, look.At.Text, texts(look.Reads)}, []any{"a ring crack", "joint of D3", []string{"cracked"}}},
		{"swap", []any{texts(swap.Swap), swap.New, swap.Old, swap.Took.Value}, []any{[]string{"U4"}, "dated 8309", "dated 8112", 1200.0}},
		{"runs", []any{c.Log[15].Failed.Value, c.Log[16].Soak.Value, *c.Log[17].Cycles}, []any{1800.0, 2700.0, 5}},
		{"proof", []any{c.Proof.Sure.Value, c.Proof.Right.Value, c.Proof.Done}, []any{0.95, 0.8, "three hours hot"}},
	} {
		if diff := cmp.Diff(one.want, one.got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", one.what, diff)
		}
	}
}

// The verb of an entry is the key that says what was done; a note beside it is
// a remark.
func TestVerb(t *testing.T) {
	var verbs []string
	c := whole(t)
	for i := range c.Log {
		verbs = append(verbs, c.Log[i].Verb())
	}
	want := []string{"symptom", "accept", "measure", "test", "test", "look", "check", "memory", "memory", "chill", "heat", "press", "piggyback", "swap", "mend", "failed", "soak", "cold starts", "safe", "decide", "note", "photo"}
	if diff := cmp.Diff(want, verbs); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	if verb := new(logbook.Entry).Verb(); verb != "" {
		t.Errorf("an empty entry: %q", verb)
	}
}

// An entry that a later one corrects stays in the log, but is marked.
func TestCorrected(t *testing.T) {
	c := whole(t)
	for i := range c.Log {
		if got, want := c.Log[i].Corrected(), c.Log[i].Name.Text == "a3"; got != want {
			t.Errorf("entry %d: corrected is %v", i, got)
		}
	}
}
