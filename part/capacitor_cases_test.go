package part_test

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"

	"halfsplit/part"
)

// figure is a quantity of the reference files: a value or a plain word, a unit
// and a tolerance.
type figure struct {
	Value    float64
	Unit     string
	Abs, Rel float64
	Word     bool   // a plain true or false
	Text     string // a plain word
	List     []float64
}

func (f *figure) UnmarshalYAML(node *yaml.Node) error {
	if node.Kind == yaml.ScalarNode {
		if node.Tag == "!!bool" {
			return node.Decode(&f.Word)
		}
		if node.Tag == "!!int" || node.Tag == "!!float" {
			return node.Decode(&f.Value)
		}
		return node.Decode(&f.Text)
	}
	if node.Kind != yaml.MappingNode {
		return node.Decode(&f.List)
	}
	type plain figure
	return node.Decode((*plain)(f))
}

// si gives the value in the SI unit.
func (f figure) si(t *testing.T) float64 {
	t.Helper()
	factors := map[string]float64{"": 1, "V": 1, "V dc": 1, "Hz": 1, "ohm": 1, "uF": 1e-6, "uA": 1e-6, "%": 1e-2}
	factor, ok := factors[f.Unit]
	if !ok {
		t.Fatalf("unit %q of the reference file is not known to this test", f.Unit)
	}
	return f.Value * factor
}

// check compares a result in SI with the figure and its tolerance.
func (f figure) check(t *testing.T, name string, got float64) {
	t.Helper()
	want := f.si(t)
	scale := 1.0
	if f.Value != 0 {
		scale = want / f.Value
	}
	tolerance := math.Max(f.Abs*math.Abs(scale), math.Max(f.Rel, 1e-12)*math.Abs(want))
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %v, want %v ± %.2g", name, got, want, tolerance)
	}
}

type referenceCase struct {
	ID       string
	Checks   string
	Inputs   map[string]figure
	Expected map[string]figure
	Source   []string
	How      string
}

type referenceFile struct {
	Tables map[string]struct {
		Rows [][]any
	}
	Cases []referenceCase
}

func readReference(t *testing.T) referenceFile {
	t.Helper()
	text, err := os.ReadFile("testdata/capacitors.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file referenceFile
	if err := yaml.Unmarshal(text, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Cases) == 0 {
		t.Fatal("no cases in the reference file")
	}
	return file
}

// families of reference cases that this package answers, by the start of their
// id. The longest start that fits counts.
var families = map[string]func(*testing.T, referenceCase){
	"cap-tand-":          lossLimitCase,
	"cap-tand-from-esr":  lossFromESRCase,
	"cap-leak-":          leakageLimitCase,
	"cap-eol-":           endOfLifeCase,
	"cap-esr-":           esrCase,
	"cap-parallel-":      parallelCase,
	"cap-xy-proof-":      proofVoltageCase,
	"cap-tand-16V-4700u": partStepCase,
	"cap-ta-":            tantalumCase,
	"cap-ta-poly-":       polymerTantalumCase,
	"cap-xy-X":           impulseCase,
	"cap-xy-Y":           impulseCase,
	"cap-xy-sub-":        substitutionCase,
}

// elsewhere are the families that other packages answer, with how many cases
// each has, and where.
var elsewhere = map[string]struct {
	cases int
	where string
}{
	"cap-life-":   {19, "package life"},
	"cap-reform-": {9, "package reform"},
}

// Outside: cases of testdata/capacitors.yaml but cap-life-*, cap-reform-*. Within:
// 1e-12.
func TestReferenceCases(t *testing.T) {
	waiting := map[string]int{}
	for _, example := range readReference(t).Cases {
		family := ""
		for _, start := range slices.Concat(keys(families), keys(elsewhere)) {
			if strings.HasPrefix(example.ID, start) && len(start) > len(family) {
				family = start
			}
		}
		if check, ok := families[family]; ok {
			t.Run(example.ID, func(t *testing.T) {
				t.Logf("%s (%s, %s)", example.Checks, strings.Join(example.Source, ", "), example.How)
				check(t, example)
			})
			continue
		}
		if _, ok := elsewhere[family]; !ok {
			t.Errorf("case %s belongs to no known family: answer it, or say where it is answered", example.ID)
		}
		waiting[family]++
	}
	for start, other := range elsewhere {
		if waiting[start] != other.cases {
			t.Errorf("%d cases %s… (%s), but %d are listed", waiting[start], start, other.where, other.cases)
		}
	}
}

func keys[V any](m map[string]V) []string {
	var list []string
	for key := range m {
		list = append(list, key)
	}
	return list
}

func tantalumCase(t *testing.T, example referenceCase) {
	if want, ok := example.Expected["recommended_max"]; ok {
		want.check(t, "working voltage", part.TantalumWorkingVoltage(example.Inputs["rated"].si(t)))
		return
	}
	for _, rated := range example.Inputs["ratings"].List {
		if part.TantalumWorkingVoltage(rated) >= example.Inputs["rail"].si(t) {
			example.Expected["rating"].check(t, "smallest rating", rated)
			return
		}
	}
	t.Error("no rating is enough")
}

func polymerTantalumCase(t *testing.T, example referenceCase) {
	example.Expected["recommended_max"].check(t, "working voltage", part.PolymerTantalumWorkingVoltage(example.Inputs["rated"].si(t)))
}

func impulseCase(t *testing.T, example referenceCase) {
	class, err := part.ParseSafetyClass(example.Inputs["class"].Text)
	if err != nil {
		t.Fatal(err)
	}
	got, ok := class.ImpulseVoltage(example.Inputs["capacitance"].si(t))
	if !ok {
		t.Fatal("no impulse voltage")
	}
	example.Expected["impulse"].check(t, "impulse voltage", got)
}

func substitutionCase(t *testing.T, example referenceCase) {
	from, to, ok := strings.Cut(strings.TrimPrefix(example.Inputs["swap"].Text, "replace "), " by ")
	original, err := part.ParseSafetyClass(from)
	if !ok || err != nil {
		t.Fatal(from, to, err)
	}
	class, _ := part.ParseSafetyClass(to) // an ordinary part has none
	allowed, why := class.MayServeAs(original)
	if allowed != example.Expected["allowed"].Word || !allowed && why == "" {
		t.Errorf("allowed: %v, %s", allowed, why)
	}
}

// described makes the capacitor of a case. Cases whose source is the Teapo
// sheet are about non-polar parts.
func described(t *testing.T, example referenceCase) part.Capacitor {
	t.Helper()
	capacitor := part.Capacitor{Kind: part.AluminiumElectrolytic, RatedVoltage: example.Inputs["rated"].si(t)}
	if slices.Contains(example.Source, "teapo") {
		capacitor.Kind = part.NonPolarElectrolytic
	}
	for _, name := range []string{"initial", "nominal", "capacitance"} {
		if given, ok := example.Inputs[name]; ok {
			capacitor.Nominal = given.si(t)
		}
	}
	return capacitor
}

func lossLimitCase(t *testing.T, example referenceCase) {
	limit, ok := described(t, example).LossLimit(120)
	if !ok {
		t.Fatal("no limit")
	}
	example.Expected["tan_delta_max"].check(t, "tan δ limit", limit.LossTangent)
	if limit.Frequency != 120 {
		t.Errorf("limit at %v Hz, want 120", limit.Frequency)
	}
}

// Makers do not say how a part step of 1000 µF counts. The rule of this package
// is that only whole steps do.
func partStepCase(t *testing.T, example referenceCase) {
	limit, ok := described(t, example).LossLimit(120)
	if !ok {
		t.Fatal("no limit")
	}
	example.Expected["step_rounded_down"].check(t, "tan δ limit", limit.LossTangent)
}

func lossFromESRCase(t *testing.T, example referenceCase) {
	in := example.Inputs
	loss := part.LossTangent(in["esr"].si(t), in["freq"].si(t), in["capacitance"].si(t))
	example.Expected["tan_delta"].check(t, "tan δ", loss)
	example.Expected["q_factor"].check(t, "Q", part.QualityFactor(loss))
}

func leakageLimitCase(t *testing.T, example referenceCase) {
	limit, ok := described(t, example).LeakageLimit()
	if !ok {
		t.Fatal("no limit")
	}
	example.Expected["leakage_max"].check(t, "leakage limit", limit.Current)
	if limit.Voltage != example.Inputs["rated"].si(t) {
		t.Errorf("limit at %v V, want the rated voltage", limit.Voltage)
	}
}

func esrCase(t *testing.T, example referenceCase) {
	in := example.Inputs
	got := part.ESR(in["tan_delta"].si(t), in["freq"].si(t), in["capacitance"].si(t))
	example.Expected["esr"].check(t, "ESR", got)
}

func parallelCase(t *testing.T, example referenceCase) {
	in := example.Inputs
	got := part.ParallelCapacitance(in["cs"].si(t), in["d"].si(t))
	example.Expected["cp"].check(t, "parallel capacitance", got)
	if back := part.SeriesCapacitance(got, in["d"].si(t)); math.Abs(back/in["cs"].si(t)-1) > 1e-12 {
		t.Errorf("back to series: %v", back)
	}
}

func proofVoltageCase(t *testing.T, example referenceCase) {
	got, ok := part.ClassX2.ProofVoltage(example.Inputs["rated"].si(t))
	if !ok {
		t.Fatal("no proof voltage for class X2")
	}
	example.Expected["proof"].check(t, "proof voltage", got)
	if _, ok := part.ClassY2.ProofVoltage(250); ok {
		t.Error("class Y2 given the proof voltage of class X")
	}
}

// A case of end of life gives a reading; beyond the criteria the verdict must
// be spent, within them it must not.
func endOfLifeCase(t *testing.T, example referenceCase) {
	in := example.Inputs
	capacitor := described(t, example)
	capacitor.Initial = in["initial"].si(t)
	verdict, err := capacitor.Judge(part.CapacitorReading{
		Capacitance: &part.Measured{Value: in["now"].si(t)},
		LossTangent: &part.Measured{Value: in["tan_delta"].si(t)},
		Frequency:   120,
		Place:       part.OutOfCircuit,
	})
	if err != nil {
		t.Fatal(err)
	}
	if spent := verdict.Condition == part.Spent; spent != example.Expected["end_of_life"].Word {
		t.Errorf("verdict %v, but end of life is %v: %v", verdict.Condition, example.Expected["end_of_life"].Word, verdict)
	}
	if change, ok := example.Expected["delta_c"]; ok {
		change.check(t, "change", part.CapacitanceChange(in["initial"].si(t), in["now"].si(t)))
	}
	if limit, ok := example.Expected["tan_delta_limit"]; ok {
		for _, reason := range verdict.Reasons {
			if reason.Quantity == part.QuantityLossTangent {
				limit.check(t, "tan δ at end of life", reason.Limits[1].High)
			}
		}
	}
}

// Every row of the makers' tables comes back from the limit of a small part.
func TestLossTables(t *testing.T) {
	tables := readReference(t).Tables
	for name, kind := range map[string]part.CapacitorKind{
		"tan_delta_lelon_rga": part.AluminiumElectrolytic,
		"tan_delta_teapo_sn":  part.NonPolarElectrolytic,
	} {
		rows := tables[name].Rows
		if len(rows) < 7 {
			t.Fatalf("table %s has %d rows", name, len(rows))
		}
		for _, row := range rows {
			rated, want := number(t, row[0]), number(t, row[1])
			limit, _ := part.Capacitor{Kind: kind, Nominal: 10e-6, RatedVoltage: rated}.LossLimit(120)
			if limit.LossTangent != want || len(limit.Assumed) > 0 {
				t.Errorf("%s, %v V: tan δ %v, assumed %q; want %v", name, rated, limit.LossTangent, limit.Assumed, want)
			}
		}
	}
}

// Older 85 °C parts were specified within a step or two of the table used, so a
// good one of them is at worst called worn. The figures are from memory and a
// sanity range only.
//
// Outside: limits of older parts, from memory. Within: a sanity range.
func TestOlderPartsAreNotSpentWhenNew(t *testing.T) {
	rows := readReference(t).Tables["tan_delta_85c_typical"].Rows
	if len(rows) == 0 {
		t.Fatal("no rows")
	}
	for _, row := range rows {
		rated, older := number(t, row[0]), number(t, row[1])
		limit, _ := part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: 10e-6, RatedVoltage: rated}.LossLimit(120)
		if ratio := older / limit.LossTangent; ratio < 0.8 || ratio > 1.3 {
			t.Errorf("%v V: limit %v, older parts %v", rated, limit.LossTangent, older)
		}
	}
}

// The end of life of the aluminium kinds is that of the makers' load tests.
func TestEndOfLifeTable(t *testing.T) {
	rows := readReference(t).Tables["end_of_life"].Rows
	find := func(maker, test string) []any {
		for _, row := range rows {
			if row[0] == maker && strings.HasPrefix(row[1].(string), test) {
				return row
			}
		}
		t.Fatalf("no row of %s for %s", maker, test)
		return nil
	}
	percent := func(text any) float64 {
		before, _, _ := strings.Cut(text.(string), " ")
		var value float64
		if err := yaml.Unmarshal([]byte(before), &value); err != nil {
			t.Fatal(err)
		}
		return value / 100
	}
	for maker, kind := range map[string]part.CapacitorKind{"lelon": part.AluminiumElectrolytic, "teapo": part.NonPolarElectrolytic} {
		got, row := kind.EndOfLife(), find(maker, "load")
		if got.CapacitanceChange != percent(row[2]) || got.LossMultiple != percent(row[3]) {
			t.Errorf("%v: %+v, want the row %v", kind, got, row)
		}
		if shelf := find("teapo", "shelf"); got.LeakageMultiple != percent(shelf[4]) {
			t.Errorf("%v: leakage multiple %v, want that of %v", kind, got.LeakageMultiple, shelf)
		}
	}
}

func number(t *testing.T, x any) float64 {
	t.Helper()
	switch x := x.(type) {
	case float64:
		return x
	case int:
		return float64(x)
	}
	t.Fatalf("%v is no number", x)
	return 0
}
