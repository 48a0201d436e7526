package part_test

import (
	"math"
	"os"
	"testing"

	"go.yaml.in/yaml/v4"

	"halfsplit/part"
)

// The limits of tantalum, film, ceramic and mica parts, against makers' sheets.
//
// Outside: cases of testdata/kinds.yaml. Within: 1e-9.
func TestKindLimits(t *testing.T) {
	text, err := os.ReadFile("testdata/kinds.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases []struct {
			ID            string
			Kind          string
			RatedV        float64 `yaml:"rated_V"`
			CapacitanceUF float64 `yaml:"capacitance_uF"`
			FreqHz        float64 `yaml:"freq_Hz"`
			Expected      map[string]float64
		}
	}
	if err := yaml.Unmarshal(text, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Cases) == 0 {
		t.Fatal("no cases")
	}
	kinds := map[string]part.CapacitorKind{}
	for kind := part.UnknownCapacitor; kind <= part.MetallisedPaper; kind++ {
		kinds[kind.String()] = kind
	}
	for _, example := range file.Cases {
		t.Run(example.ID, func(t *testing.T) {
			kind, ok := kinds[example.Kind]
			if !ok {
				t.Fatalf("kind %q", example.Kind)
			}
			capacitor := part.Capacitor{Kind: kind, Nominal: example.CapacitanceUF * 1e-6, RatedVoltage: example.RatedV}
			loss, _ := capacitor.LossLimit(example.FreqHz)
			leakage, _ := capacitor.LeakageLimit()
			proof, _ := part.ClassX2.ProofVoltage(example.RatedV)
			end := kind.EndOfLife()
			got := map[string]float64{
				"tan_delta_max":    loss.LossTangent,
				"q_min":            part.QualityFactor(loss.LossTangent),
				"end_tan_delta":    loss.LossTangent * end.LossMultiple,
				"leakage_uA":       leakage.Current * 1e6,
				"after_s":          leakage.After,
				"at_V":             leakage.Voltage,
				"insulation_Mohm":  leakage.Voltage / leakage.Current * 1e-6,
				"change":           end.CapacitanceChange,
				"leakage_multiple": end.LeakageMultiple,
				"proof_V":          proof,
			}
			for name, want := range example.Expected {
				value, ok := got[name]
				if !ok {
					t.Fatalf("expected %q is not known to this test", name)
				}
				if math.Abs(value-want) > 1e-9*want {
					t.Errorf("%s = %v, want %v", name, value, want)
				}
			}
			if example.FreqHz > 0 && loss.Frequency != example.FreqHz {
				t.Errorf("loss limit at %v Hz, want %v", loss.Frequency, example.FreqHz)
			}
		})
	}
}

// Every kind has a name, a tolerance and an end of life; every kind but the
// unknown one has limits with a source.
func TestEveryKindIsComplete(t *testing.T) {
	for kind := part.UnknownCapacitor; kind <= part.MetallisedPaper; kind++ {
		capacitor := part.Capacitor{Kind: kind, Nominal: 1e-6, RatedVoltage: 100}
		if err := capacitor.Validate(); err != nil {
			t.Errorf("%v: %v", kind, err)
		}
		if low, high, assumed := capacitor.Tolerance(); !assumed || low >= 0 || high <= 0 {
			t.Errorf("%v: tolerance %v to %v, assumed %v", kind, low, high, assumed)
		}
		end := kind.EndOfLife()
		if end.CapacitanceChange <= 0 || end.LossMultiple <= 1 || end.LeakageMultiple <= 1 ||
			end.CapacitanceSource == "" || end.LossSource == "" || end.LeakageSource == "" {
			t.Errorf("%v: end of life %+v", kind, end)
		}
		loss, hasLoss := capacitor.LossLimit(1000)
		leakage, hasLeakage := capacitor.LeakageLimit()
		known := kind != part.UnknownCapacitor
		if hasLoss != known || hasLeakage != known {
			t.Errorf("%v: loss limit %v, leakage limit %v", kind, hasLoss, hasLeakage)
		}
		if known && (loss.Source == "" || leakage.Source == "" || loss.LossTangent <= 0 || leakage.Current <= 0) {
			t.Errorf("%v: %+v %+v", kind, loss, leakage)
		}
	}
}

// A rating between the rows of the table takes the laxer neighbour; beyond the
// table the nearest row; and the limit says so.
func TestRatingOutsideTheTable(t *testing.T) {
	for _, example := range []struct {
		rated, want float64
	}{
		{4, 0.23},   // below the first row, 6.3 V
		{40, 0.12},  // a European rating between 35 V (0.12) and 50 V (0.10)
		{385, 0.25}, // between 350 V (0.20) and 400 V (0.25)
		{500, 0.25}, // above the last row, 450 V
	} {
		limit, _ := part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: 47e-6, RatedVoltage: example.rated}.LossLimit(120)
		if limit.LossTangent != example.want || len(limit.Assumed) != 1 {
			t.Errorf("%v V: %v, assumed %q; want %v", example.rated, limit.LossTangent, limit.Assumed, example.want)
		}
	}
}
