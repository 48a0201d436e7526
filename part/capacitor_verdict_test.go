package part_test

import (
	"strings"
	"testing"

	"halfsplit/part"
)

// The parts of the worked cases below.
var (
	// The reservoir of a linear supply, marked -20..+50 %. Its tan δ limit is
	// 0.12 + 3 × 0.02 = 0.18 at 120 Hz (Lelon RGA), 50.8 mΩ.
	reservoir = part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: 4700e-6, ToleranceLow: -0.2, ToleranceHigh: 0.5, RatedVoltage: 35}

	// A small electrolytic: tan δ at most 0.10, 13.26 Ω at 120 Hz; leakage at
	// most 5 µA after 2 minutes at 50 V (Lelon RGA).
	coupling = part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: 10e-6, ToleranceLow: -0.2, ToleranceHigh: 0.2, RatedVoltage: 50}

	// A capacitor of a mains filter, metallised paper.
	filter = part.Capacitor{Kind: part.MetallisedPaper, Nominal: 100e-9, ToleranceLow: -0.2, ToleranceHigh: 0.2, RatedVoltage: 250, SafetyClass: part.ClassX2}

	film     = part.Capacitor{Kind: part.PlasticFilm, Nominal: 100e-9, ToleranceLow: -0.1, ToleranceHigh: 0.1, RatedVoltage: 400}
	tantalum = part.Capacitor{Kind: part.SolidTantalum, Nominal: 10e-6, ToleranceLow: -0.2, ToleranceHigh: 0.2, RatedVoltage: 16}
	unknown  = part.Capacitor{Nominal: 1e-6, RatedVoltage: 100}
)

// value is a reading taken as exact.
func value(x float64) *part.Measured { return &part.Measured{Value: x} }

// about is a reading with its standard uncertainty.
func about(x, uncertainty float64) *part.Measured {
	return &part.Measured{Value: x, Uncertainty: uncertainty}
}

const (
	out     = part.OutOfCircuit
	in      = part.InCircuit
	celsius = 273.15
	minute  = 60
)

func TestVerdicts(t *testing.T) {
	with := func(capacitor part.Capacitor, change func(*part.Capacitor)) part.Capacitor {
		change(&capacitor)
		return capacitor
	}
	for _, example := range []struct {
		name      string
		capacitor part.Capacitor
		readings  []part.CapacitorReading
		want      part.Condition
		missing   string // quantities, in order
		evidence  part.Evidence
	}{
		// Capacitance.
		{
			// A published repair (berikv.github.io, 15 May 2025): the reservoir
			// of a receiver's negative rail was changed at 4200 µF, needlessly:
			// -10.6 % lies well within -20..+50 %.
			"reservoir 4700 µF reads 4200 µF", reservoir,
			[]part.CapacitorReading{{Capacitance: value(4200e-6), Place: out}},
			part.GoodAsFarAsRead, "ESR, leakage", part.EvidenceOK,
		},
		{
			"reservoir at 3500 µF, out of tolerance, less than 20 % beyond it", reservoir,
			[]part.CapacitorReading{{Capacitance: value(3500e-6), Place: out}},
			part.Worn, "ESR, leakage", part.EvidenceWeak,
		},
		{
			"reservoir at 2900 µF, more than 20 % below its tolerance", reservoir,
			[]part.CapacitorReading{{Capacitance: value(2900e-6), Place: out}},
			part.Spent, "ESR, leakage", part.EvidenceStrong,
		},
		{
			"reservoir that read 6500 µF when new, now 4700 µF: marked value, yet 28 % lost",
			with(reservoir, func(c *part.Capacitor) { c.Initial = 6500e-6 }),
			[]part.CapacitorReading{{Capacitance: value(4700e-6), Place: out}},
			part.Spent, "ESR, leakage", part.EvidenceStrong,
		},
		{
			"open: no capacitance at all", film,
			[]part.CapacitorReading{{Capacitance: value(0), Place: out}},
			part.Spent, "leakage", part.EvidenceStrong,
		},
		{
			"tolerance edge within the uncertainty of the meter", reservoir,
			[]part.CapacitorReading{{Capacitance: about(3740e-6, 30e-6), Place: out}},
			part.TooCloseToCall, "ESR, leakage", part.EvidenceWeak,
		},
		{
			"in circuit a good capacitance clears nothing", reservoir,
			[]part.CapacitorReading{{Capacitance: value(4200e-6), Place: in}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"in circuit a low capacitance holds", reservoir,
			[]part.CapacitorReading{{Capacitance: value(2900e-6), Place: in}},
			part.Spent, "ESR, leakage", part.EvidenceStrong,
		},
		{
			"in circuit a high capacitance may be the neighbour's", reservoir,
			[]part.CapacitorReading{{Capacitance: value(9900e-6), Place: in}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"place not noted: as in circuit", reservoir,
			[]part.CapacitorReading{{Capacitance: value(4200e-6)}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"read cold, a low capacitance may recover", reservoir,
			[]part.CapacitorReading{{Capacitance: value(3500e-6), Place: out, Temperature: celsius + 2}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"X7R ceramic read hot: it loses capacitance there", part.Capacitor{Kind: part.CeramicClass2, Nominal: 100e-9, RatedVoltage: 50},
			[]part.CapacitorReading{{Capacitance: value(60e-9), Place: out, Temperature: celsius + 80}},
			part.CannotTell, "capacitance, leakage", part.EvidenceOK,
		},
		{
			"C0G ceramic read hot: it does not", part.Capacitor{Kind: part.CeramicClass1, Nominal: 1e-9, RatedVoltage: 50},
			[]part.CapacitorReading{{Capacitance: value(0.6e-9), Place: out, Temperature: celsius + 80}},
			part.Spent, "leakage", part.EvidenceStrong,
		},

		// Loss.
		{
			"all three read and within limits", coupling,
			[]part.CapacitorReading{{
				Capacitance: value(9.5e-6), LossTangent: value(0.06), Frequency: 120,
				Leakage: value(2e-6), LeakageVoltage: 50, LeakageAfter: 2 * minute, Place: out,
			}},
			part.Good, "", part.EvidenceOK,
		},
		{
			"capacitance in tolerance, ESR twice the limit", coupling,
			[]part.CapacitorReading{{Capacitance: value(9.5e-6), ESR: value(20), Frequency: 120, Place: out}},
			part.Worn, "leakage", part.EvidenceWeak,
		},
		{
			"capacitance in tolerance, ESR far beyond", coupling,
			[]part.CapacitorReading{{Capacitance: value(9.5e-6), ESR: value(60), Frequency: 120, Place: out}},
			part.Spent, "leakage", part.EvidenceStrong,
		},
		{
			"ESR meter at 100 kHz: the limit of 120 Hz, as a resistance", coupling,
			[]part.CapacitorReading{{ESR: value(30), Frequency: 100e3, Place: out}},
			part.Spent, "capacitance, leakage", part.EvidenceStrong,
		},
		{
			"ESR meter in circuit, low: no proof of health", coupling,
			[]part.CapacitorReading{{ESR: value(0.2), Place: in}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"ESR meter in circuit, high: proof", coupling,
			[]part.CapacitorReading{{ESR: value(30), Place: in}},
			part.Spent, "capacitance, leakage", part.EvidenceStrong,
		},
		{
			"120 Hz in circuit, 60 Ω: a resistor of 160 Ω across a good part reads as much", coupling,
			[]part.CapacitorReading{{ESR: value(60), Frequency: 120, Place: in}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"120 Hz in circuit, 100 Ω: more than half the reactance, no resistor feigns it", coupling,
			[]part.CapacitorReading{{ESR: value(100), Frequency: 120, Place: in}},
			part.Spent, "capacitance, leakage", part.EvidenceStrong,
		},
		{
			"tan δ in circuit decides nothing", coupling,
			[]part.CapacitorReading{{LossTangent: value(0.9), Frequency: 120, Place: in}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"in circuit first, then a leg lifted", coupling,
			[]part.CapacitorReading{
				{ESR: value(60), Frequency: 120, Place: in},
				{ESR: value(5), Frequency: 120, Capacitance: value(10e-6), Place: out},
			},
			part.GoodAsFarAsRead, "leakage", part.EvidenceOK,
		},
		{
			"the sheet asks for 20 mΩ at 100 kHz",
			with(reservoir, func(c *part.Capacitor) { c.Limits.ESR, c.Limits.ESRFrequency = 0.020, 100e3 }),
			[]part.CapacitorReading{{ESR: value(0.030), Frequency: 100e3, Place: out}},
			part.Worn, "capacitance, leakage", part.EvidenceWeak,
		},
		{
			"the sheet's limit at 100 kHz does not condemn a reading at 120 Hz",
			with(reservoir, func(c *part.Capacitor) { c.Limits.ESR, c.Limits.ESRFrequency = 0.020, 100e3 }),
			[]part.CapacitorReading{{ESR: value(0.045), Frequency: 120, Place: out}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"the sheet's tan δ of 0.05 is 6.63 Ω of 10 µF at 120 Hz",
			with(coupling, func(c *part.Capacitor) { c.Limits.LossTangent, c.Limits.LossFrequency = 0.05, 120 }),
			[]part.CapacitorReading{{ESR: value(10), Frequency: 120, Place: out}},
			part.Worn, "capacitance, leakage", part.EvidenceWeak,
		},
		{
			"the sheet gives both limits: each reading meets its own",
			with(coupling, func(c *part.Capacitor) {
				c.Limits = part.CapacitorLimits{ESR: 1, ESRFrequency: 120, LossTangent: 0.08, LossFrequency: 120}
			}),
			[]part.CapacitorReading{{LossTangent: value(0.07), Frequency: 120, Place: out}},
			part.GoodAsFarAsRead, "capacitance, leakage", part.EvidenceOK,
		},
		{
			"the sheet's ESR of 1 Ω, held against a tan δ at 120 Hz: 0.0075",
			with(coupling, func(c *part.Capacitor) { c.Limits = part.CapacitorLimits{ESR: 1, ESRFrequency: 120} }),
			[]part.CapacitorReading{{LossTangent: value(0.07), Frequency: 120, Place: out}},
			part.Spent, "capacitance, leakage", part.EvidenceStrong,
		},
		{
			"a limit of the sheet without a frequency holds at that of the reading",
			with(film, func(c *part.Capacitor) { c.Limits.ESR = 2 }),
			[]part.CapacitorReading{{ESR: value(3), Frequency: 50e3, Place: out}},
			part.Worn, "capacitance, leakage", part.EvidenceWeak,
		},
		{
			"film, the sheet's ESR at 1 kHz: lower at 100 kHz is normal and clears nothing",
			with(film, func(c *part.Capacitor) { c.Limits.ESR, c.Limits.ESRFrequency = 10, 1e3 }),
			[]part.CapacitorReading{{ESR: value(5), Frequency: 100e3, Place: out}},
			part.CannotTell, "capacitance, leakage", part.EvidenceOK,
		},
		{
			"film read at 120 Hz, tan δ 0.6 %: less is normal there, it clears nothing", film,
			[]part.CapacitorReading{{LossTangent: value(0.006), Frequency: 120, Place: out}},
			part.CannotTell, "capacitance, leakage", part.EvidenceOK,
		},
		{
			"film read at 1 kHz, tan δ 0.6 %", film,
			[]part.CapacitorReading{{Capacitance: value(101e-9), LossTangent: value(0.006), Frequency: 1e3, Place: out}},
			part.GoodAsFarAsRead, "leakage", part.EvidenceOK,
		},
		{
			"film with 5 % loss at 1 kHz", film,
			[]part.CapacitorReading{{LossTangent: value(0.05), Frequency: 1e3, Place: out}},
			part.Spent, "capacitance, leakage", part.EvidenceStrong,
		},
		{
			"film read at 5 kHz: more loss is normal there", film,
			[]part.CapacitorReading{{LossTangent: value(0.05), Frequency: 5e3, Place: out}},
			part.CannotTell, "capacitance, leakage", part.EvidenceOK,
		},
		{
			"read cold, a high ESR is normal", coupling,
			[]part.CapacitorReading{{ESR: value(60), Frequency: 120, Place: out, Temperature: celsius - 5}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"read hot, a low ESR clears nothing", coupling,
			[]part.CapacitorReading{{ESR: value(5), Frequency: 120, Place: out, Temperature: celsius + 70}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"ESR between worn and spent, both within the uncertainty", coupling,
			[]part.CapacitorReading{{ESR: about(26, 1), Frequency: 120, Place: out}},
			part.TooCloseToCall, "capacitance, leakage", part.EvidenceWeak,
		},
		{
			"kind unknown, no limit of the sheet: loss decides nothing", unknown,
			[]part.CapacitorReading{{Capacitance: value(1e-6), LossTangent: value(0.5), Frequency: 120, Place: out}},
			part.GoodAsFarAsRead, "ESR, leakage", part.EvidenceOK,
		},

		// Leakage.
		{
			"10 µA where 5 µA is allowed: the shelf test allows twice", coupling,
			[]part.CapacitorReading{{Leakage: value(10e-6), LeakageVoltage: 50, LeakageAfter: 5 * minute, Place: out}},
			part.Worn, "capacitance, ESR", part.EvidenceWeak,
		},
		{
			"50 µA after five minutes", coupling,
			[]part.CapacitorReading{{Leakage: value(50e-6), LeakageVoltage: 50, LeakageAfter: 5 * minute, Place: out}},
			part.Spent, "capacitance, ESR", part.EvidenceStrong,
		},
		{
			"50 µA after half a minute: still charging", coupling,
			[]part.CapacitorReading{{Leakage: value(50e-6), LeakageVoltage: 50, LeakageAfter: 30, Place: out}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"1 µA at 9 V clears nothing at 50 V", coupling,
			[]part.CapacitorReading{{Leakage: value(1e-6), LeakageVoltage: 9, LeakageAfter: 5 * minute, Place: out}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"50 µA at 9 V condemns all the same", coupling,
			[]part.CapacitorReading{{Leakage: value(50e-6), LeakageVoltage: 9, LeakageAfter: 5 * minute, Place: out}},
			part.Spent, "capacitance, ESR", part.EvidenceStrong,
		},
		{
			"50 µA at 80 V says nothing against a part of 50 V", coupling,
			[]part.CapacitorReading{{Leakage: value(50e-6), LeakageVoltage: 80, LeakageAfter: 5 * minute, Place: out}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"in circuit a low leakage holds", coupling,
			[]part.CapacitorReading{{Leakage: value(2e-6), LeakageVoltage: 50, LeakageAfter: 5 * minute, Place: in}},
			part.GoodAsFarAsRead, "capacitance, ESR", part.EvidenceOK,
		},
		{
			"in circuit a high leakage may be the neighbour's", coupling,
			[]part.CapacitorReading{{Leakage: value(5e-3), LeakageVoltage: 50, LeakageAfter: 5 * minute, Place: in}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"in circuit a leakage at the limit, within the uncertainty: no longer clear, no proof either", coupling,
			[]part.CapacitorReading{{Leakage: about(5e-6, 1e-6), LeakageVoltage: 50, LeakageAfter: 5 * minute, Place: in}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"tantalum shorted: an ohmmeter of 0.5 V reads 2 Ω", tantalum,
			[]part.CapacitorReading{{Leakage: value(0.25), LeakageVoltage: 0.5, Place: out}},
			part.Dangerous, "capacitance, ESR", part.EvidenceStrong,
		},
		{
			"shorted, whatever the kind", unknown,
			[]part.CapacitorReading{{Leakage: value(0.25), LeakageVoltage: 0.5, Place: out}},
			part.Dangerous, "capacitance, ESR", part.EvidenceStrong,
		},
		{
			"coupling film of 1 GΩ: less than new, far from useless", film,
			[]part.CapacitorReading{{Leakage: value(100e-9), LeakageVoltage: 100, LeakageAfter: minute, Place: out}},
			part.Worn, "capacitance", part.EvidenceWeak,
		},
		{
			"coupling film of 10 MΩ", film,
			[]part.CapacitorReading{{Leakage: value(10e-6), LeakageVoltage: 100, LeakageAfter: minute, Place: out}},
			part.Spent, "capacitance", part.EvidenceStrong,
		},
		{
			"hot, a high leakage is normal", coupling,
			[]part.CapacitorReading{{Leakage: value(50e-6), LeakageVoltage: 50, LeakageAfter: 5 * minute, Place: out, Temperature: celsius + 60}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"the sheet allows 1 µA",
			with(coupling, func(c *part.Capacitor) { c.Limits.Leakage = 1e-6 }),
			[]part.CapacitorReading{{Leakage: value(3e-6), LeakageVoltage: 50, LeakageAfter: 5 * minute, Place: out}},
			part.Spent, "capacitance, ESR", part.EvidenceStrong,
		},

		// On the mains.
		{
			"filter capacitor, cracked, reads perfectly", filter,
			[]part.CapacitorReading{{
				Capacitance: value(104e-9), Leakage: value(10e-9), LeakageVoltage: 250, LeakageAfter: minute,
				Look: part.Cracked, Place: out,
			}},
			part.Dangerous, "", part.EvidenceStrong,
		},
		{
			"filter capacitor leaking: 50 MΩ at 500 V", filter,
			[]part.CapacitorReading{{Leakage: value(10e-6), LeakageVoltage: 500, LeakageAfter: minute, Place: out}},
			part.Dangerous, "capacitance, look", part.EvidenceStrong,
		},
		{
			"the same leakage of a film part that is not on the mains", film,
			[]part.CapacitorReading{{Leakage: value(10e-6), LeakageVoltage: 400, LeakageAfter: minute, Place: out}},
			part.Spent, "capacitance", part.EvidenceStrong,
		},
		{
			"and across the mains without a class",
			with(film, func(c *part.Capacitor) { c.AcrossMains = true }),
			[]part.CapacitorReading{{Leakage: value(10e-6), LeakageVoltage: 400, LeakageAfter: minute, Place: out}},
			part.Dangerous, "capacitance", part.EvidenceStrong,
		},
		{
			"filter capacitor of paper, measured and good, but nobody looked at it", filter,
			[]part.CapacitorReading{{Capacitance: value(104e-9), Leakage: value(10e-9), LeakageVoltage: 250, LeakageAfter: minute, Place: out}},
			part.GoodAsFarAsRead, "look", part.EvidenceOK,
		},
		{
			"filter capacitor of paper, measured, looked at, not old", filter,
			[]part.CapacitorReading{{Capacitance: value(104e-9), Leakage: value(10e-9), LeakageVoltage: 250, LeakageAfter: minute, Look: part.LooksSound, Place: out}},
			part.Good, "", part.EvidenceOK,
		},
		{
			"the same, 45 years old: replace before power", filter,
			[]part.CapacitorReading{{Capacitance: value(104e-9), Leakage: value(10e-9), LeakageVoltage: 250, LeakageAfter: minute, Look: part.LooksSound, Age: 45 * part.Year, Place: out}},
			part.Worn, "", part.EvidenceWeak,
		},
		{
			"class X film that lost capacitance is spent, not dangerous",
			with(film, func(c *part.Capacitor) { c.SafetyClass, c.RatedVoltage = part.ClassX2, 275 }),
			[]part.CapacitorReading{{Capacitance: value(60e-9), Place: out}},
			part.Spent, "leakage", part.EvidenceStrong,
		},

		// Looks and age.
		{
			"bulged", reservoir, []part.CapacitorReading{{Look: part.Bulged}},
			part.Spent, "capacitance, ESR, leakage", part.EvidenceStrong,
		},
		{
			"a residue that may be glue", reservoir, []part.CapacitorReading{{Look: part.Residue}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"looks sound, nothing measured", reservoir, []part.CapacitorReading{{Look: part.LooksSound}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"age alone condemns no electrolytic", reservoir, []part.CapacitorReading{{Age: 45 * part.Year}},
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
		{
			"nothing read", reservoir, nil,
			part.CannotTell, "capacitance, ESR, leakage", part.EvidenceOK,
		},
	} {
		t.Run(example.name, func(t *testing.T) {
			verdict, err := example.capacitor.Judge(example.readings...)
			if err != nil {
				t.Fatal(err)
			}
			if verdict.Condition != example.want {
				t.Errorf("verdict %v, want %v", verdict.Condition, example.want)
			}
			var missing []string
			for _, one := range verdict.Missing {
				missing = append(missing, one.Quantity.String())
			}
			if got := strings.Join(missing, ", "); got != example.missing {
				t.Errorf("missing %q, want %q", got, example.missing)
			}
			if got := verdict.Evidence(); got != example.evidence {
				t.Errorf("evidence %v, want %v", got, example.evidence)
			}
			if t.Failed() {
				t.Log(verdict)
			}
		})
	}
}

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
