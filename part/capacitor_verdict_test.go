package part_test

import (
	"strings"
	"testing"

	"halfsplit/part"
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
			[]part.CapacitorReading{{ESR: value(1.5), Frequency: 50e3, Place: out}},
			part.GoodAsFarAsRead, "capacitance, leakage", part.EvidenceOK,
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
			"read cold and in circuit", coupling,
			[]part.CapacitorReading{{ESR: value(60), Place: in, Temperature: celsius - 5}},
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
			"1 µA with an uncertainty as large: no more than 3 µA all the same", coupling,
			[]part.CapacitorReading{{Leakage: about(1e-6, 1e-6), LeakageVoltage: 50, LeakageAfter: 5 * minute, Place: out}},
			part.GoodAsFarAsRead, "capacitance, ESR", part.EvidenceOK,
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
