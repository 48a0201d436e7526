package part_test

import (
	"strings"
	"testing"

	"halfsplit/part"
)

// A reason carries its limits with their sources, and says what was assumed.
func TestReasonsAreData(t *testing.T) {
	verdict, err := coupling.Judge(part.CapacitorReading{ESR: value(20), Place: in})
	if err != nil {
		t.Fatal(err)
	}
	if len(verdict.Reasons) != 1 {
		t.Fatalf("%d reasons", len(verdict.Reasons))
	}
	reason := verdict.Reasons[0]
	if reason.Quantity != part.QuantityESR || reason.Reading.Value != 20 || reason.Clears || !reason.Condemns || reason.Beyond != part.Spent {
		t.Errorf("%+v", reason)
	}
	if len(reason.Limits) != 2 || reason.Limits[0].Word != part.Good || reason.Limits[1].Word != part.Worn {
		t.Fatalf("limits %+v", reason.Limits)
	}
	for _, limit := range reason.Limits {
		if !strings.Contains(limit.Source, "Lelon") {
			t.Errorf("source %q", limit.Source)
		}
	}
	text := reason.String()
	for _, part := range []string{"frequency not noted", "120 Hz carried to 100 kHz", "in circuit", "13.26 Ω", "26.53 Ω", "else spent"} {
		if !strings.Contains(text, part) {
			t.Errorf("%q is not in %q", part, text)
		}
	}
}

// The sentences of reasons and verdicts.
func TestText(t *testing.T) {
	for _, example := range []struct {
		name      string
		capacitor part.Capacitor
		reading   part.CapacitorReading
		verdict   string
		reason    string
	}{
		{
			"too close to call", reservoir, part.CapacitorReading{Capacitance: about(3740e-6, 30e-6), Place: out, Temperature: 293.15},
			"too close to call between good as far as read and worn. Capacitance 3740 µF ± 60 µF (-20.4 %): between good and worn: good 3760 µF to 7050 µF (marked value and tolerance), worn 3008 µF to 8460 µF (Lelon RGA data sheet), else spent. Missing: ESR or tan δ, not read; leakage, not read.",
			"capacitance 3740 µF ± 60 µF (-20.4 %): between good and worn; good 3760 µF to 7050 µF (marked value and tolerance), worn 3008 µF to 8460 µF (Lelon RGA data sheet), else spent; assumed: value when new not known, change counted from the edge of the tolerance",
		},
		{
			"age of an electrolytic", reservoir, part.CapacitorReading{Age: 45 * part.Year},
			"cannot tell. Age 45 years: cannot tell. Missing: capacitance, not read; ESR or tan δ, not read; leakage, not read.",
			"age 45 years: cannot tell; remarked on above 10 years (Cornell Dubilier, shelf life and re-aging, 1993); note: past the usual shelf life; age alone decides nothing, but read the leakage, reforming first where it stood unused",
		},
		{
			"age of paper on the mains", filter, part.CapacitorReading{Age: 45 * part.Year},
			"worn. Age 45 years: worn, paper on the mains takes in water through hairline cracks; usual to replace it on sight, before power. Missing: capacitance, not read; leakage, not read; look, not read.",
			"age 45 years: worn; worn above 20 years (common practice, no source); note: paper on the mains takes in water through hairline cracks; usual to replace it on sight, before power",
		},
		{
			"short of unknown kind", unknown, part.CapacitorReading{Leakage: value(0.25), LeakageVoltage: 0.5, Place: out, Temperature: 293.15},
			"dangerous. Leakage 250 mA: dangerous: dangerous above 5 mA (common practice, no source). Apply no power with it in place; see that it is discharged before touching it; local codes and licensed practice come first. Missing: capacitance, not read; ESR or tan δ, not read.",
			"leakage 250 mA: dangerous; dangerous above 5 mA (common practice, no source); note: no limit is known for a capacitor of unknown kind; the sheet may give one",
		},
		{
			"loss of unknown kind", unknown, part.CapacitorReading{LossTangent: value(0), Frequency: 120, Place: out},
			"cannot tell. tan δ 0: cannot tell. Missing: capacitance, not read; ESR or tan δ, no limit is known for a capacitor of unknown kind; the sheet may give one; leakage, not read.",
			"tan δ 0: cannot tell; note: no limit is known for a capacitor of unknown kind; the sheet may give one",
		},
		{
			"open", film, part.CapacitorReading{Capacitance: value(0), Place: out, Temperature: 293.15},
			"spent. Capacitance 0 F (-100.0 %): spent: good 90 nF to 110 nF (marked value and tolerance), worn 85.5 nF to 115.5 nF (KEMET R41 data sheet), else spent. Missing: leakage, not read.",
			"capacitance 0 F (-100.0 %): spent; good 90 nF to 110 nF (marked value and tolerance), worn 85.5 nF to 115.5 nF (KEMET R41 data sheet), else spent; assumed: value when new not known, change counted from the edge of the tolerance",
		},
		{
			"bulged", reservoir, part.CapacitorReading{Look: part.Bulged},
			"spent. Look \"bulged\": spent. Missing: capacitance, not read; ESR or tan δ, not read; leakage, not read.",
			"look \"bulged\": spent (common practice, no source)",
		},
	} {
		t.Run(example.name, func(t *testing.T) {
			verdict, err := example.capacitor.Judge(example.reading)
			if err != nil {
				t.Fatal(err)
			}
			if got := verdict.String(); got != example.verdict {
				t.Errorf("verdict\n%s\nwant\n%s", got, example.verdict)
			}
			if got := verdict.Reasons[0].String(); got != example.reason {
				t.Errorf("reason\n%s\nwant\n%s", got, example.reason)
			}
		})
	}
}

// A lossy part reads low on a meter in parallel mode; the reason gives what
// that would mean. Cp = 91.74 µF for Cs = 100 µF at D = 0.3 is a reference
// case.
func TestParallelModeIsMentioned(t *testing.T) {
	capacitor := part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: 100e-6, RatedVoltage: 25}
	verdict, err := capacitor.Judge(part.CapacitorReading{
		Capacitance: value(91.7431192661e-6), LossTangent: value(0.3), Frequency: 120, Place: out,
	})
	if err != nil {
		t.Fatal(err)
	}
	if text := strings.Join(verdict.Reasons[0].Assumed, "; "); !strings.Contains(text, "true value is 100 µF") {
		t.Errorf("assumed %q", text)
	}
}

func TestEvidenceOfEveryCondition(t *testing.T) {
	want := map[part.Condition]part.Evidence{
		part.CannotTell: part.EvidenceOK, part.Good: part.EvidenceOK, part.GoodAsFarAsRead: part.EvidenceOK,
		part.Worn: part.EvidenceWeak, part.TooCloseToCall: part.EvidenceWeak,
		part.Spent: part.EvidenceStrong, part.Dangerous: part.EvidenceStrong,
	}
	for condition := part.CannotTell; condition <= part.TooCloseToCall; condition++ {
		if condition.Evidence() != want[condition] {
			t.Errorf("%v: %v, want %v", condition, condition.Evidence(), want[condition])
		}
	}
	// Too close to call between spent and dangerous is strong all the same.
	verdict, err := tantalum.Judge(part.CapacitorReading{Leakage: about(0.16, 0.01), LeakageVoltage: 16, Place: out})
	if err != nil {
		t.Fatal(err)
	}
	if verdict.Condition != part.TooCloseToCall || verdict.Best != part.Spent || verdict.Worst != part.Dangerous || verdict.Evidence() != part.EvidenceStrong {
		t.Errorf("%v: %v to %v, %v", verdict.Condition, verdict.Best, verdict.Worst, verdict.Evidence())
	}
}
