package metrology_test

import (
	"fmt"
	"strings"
	"testing"

	"halfsplit/metrology"
)

// The words are what people see, so they are pinned; an unknown number says
// what it is.
func TestWords(t *testing.T) {
	for want, got := range map[string]fmt.Stringer{
		"outside":                metrology.Outside,
		"too close to call":      metrology.TooClose,
		"within, near the limit": metrology.WithinNear,
		"within":                 metrology.Within,
		"Word(9)":                metrology.Word(9),
		"both limits":            metrology.BothLimits,
		"low limit":              metrology.LowLimit,
		"high limit":             metrology.HighLimit,
		"Side(9)":                metrology.Side(9),
		"other":                  metrology.FromElsewhere,
		"meter accuracy":         metrology.FromInstrument,
		"last digit":             metrology.FromDisplay,
		"scatter of readings":    metrology.FromRepeats,
		"loading by the meter":   metrology.FromLoading,
		"Origin(9)":              metrology.Origin(9),
		"more readings":          metrology.MoreReadings,
		"more digits":            metrology.MoreDigits,
		"a better meter":         metrology.BetterMeter,
		"a better meter and more readings together":     metrology.BetterAll,
		"nothing at this reading: it lies on the limit": metrology.Nothing,
		"Remedy(9)":         metrology.Remedy(9),
		"below trip range":  metrology.BelowTrip,
		"may trip":          metrology.MayTrip,
		"must have tripped": metrology.MustHaveTripped,
		"Trip(9)":           metrology.Trip(9),
		"undefined":         metrology.LevelUndefined,
		"low":               metrology.LevelLow,
		"high":              metrology.LevelHigh,
		"Level(9)":          metrology.Level(9),
		"mark":              metrology.Mark,
		"space":             metrology.Space,
		"SerialLevel(9)":    metrology.SerialLevel(9),
	} {
		if got.String() != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if got := metrology.SerialUndefined.String(); got != "undefined" {
		t.Errorf("%q, want undefined", got)
	}
}

// A family answers to the names that people use for it.
func TestFamilyNames(t *testing.T) {
	for name, want := range map[string]string{
		"ttl": "TTL", "74LS": "TTL", "LS-TTL": "TTL", "sn74ls": "TTL", "military TTL": "military TTL", "54LS": "military TTL",
		"74": "standard and Schottky TTL", "dynamic RAM": "dynamic RAM 16K×1", "dynamic RAM 16Kx1": "dynamic RAM 16K×1", "4116": "dynamic RAM 16K×1",
		"cmos": "CMOS 4000B", "CD 4000 B": "CMOS 4000B", "rs232": "RS-232 driver", "op amp": "op-amp", "atx": "ATX",
	} {
		rails, err := metrology.FamilyLimits(name)
		if err != nil || rails[0].Family != want {
			t.Errorf("%q is %v, %v; want %q", name, rails, err, want)
		}
	}
	for _, name := range metrology.Families() {
		rails, err := metrology.FamilyLimits(name)
		if err != nil {
			t.Error(err)
		}
		for _, r := range rails {
			if err := r.Limit.Check(); err != nil || r.Limit.Source == "" || r.Name == "" {
				t.Errorf("%s %s: %v, source %q", name, r.Name, err, r.Limit.Source)
			}
			// The middle of each rail is within, and found by its voltage.
			middle := r.Nominal
			if middle == 0 {
				middle = (r.Limit.Low + r.Limit.High) / 2
			}
			if found, err := metrology.FamilyLimit(name, middle); err != nil || found.Limit != r.Limit {
				t.Errorf("%s at %g V is %+v, %v", name, middle, found, err)
			}
			if v := must(metrology.Judge(metrology.FromBound(middle, 0), r.Limit)); v.Word != metrology.Within {
				t.Errorf("%s: the nominal %g V is %q", name, middle, v.Word)
			}
		}
	}
	// A rail that sags by 4 % is still that rail; it is its nominal that is
	// looked up, and 5.5 V is no 5 V rail.
	if _, err := metrology.FamilyLimit("TTL", 5.5); err == nil {
		t.Error("5.5 V was taken for a 5 V rail")
	}
	// Two names for two families never meet.
	seen := map[string]string{}
	for _, name := range metrology.Families() {
		key := strings.ToLower(name)
		if other, twice := seen[key]; twice {
			t.Errorf("%q and %q are the same name", name, other)
		}
		seen[key] = name
	}
}

// Limits of last resort: half of what a raw rail gets, and 1 % of ripple.
func TestCommonPractice(t *testing.T) {
	for _, c := range []struct {
		nominal   float64
		raw       bool
		low, high float64
	}{
		{5, false, 4.75, 5.25}, {-12, false, -12.6, -11.4}, {24, true, 21.6, 26.4},
	} {
		l := must(metrology.CommonPractice(c.nominal, c.raw))
		if !near(l.Low, c.low, 1e-12) || !near(l.High, c.high, 1e-12) || !strings.Contains(l.Source, "no source") {
			t.Errorf("%g V: %+v, want %g to %g", c.nominal, l, c.low, c.high)
		}
	}
	if l := must(metrology.CommonPracticeRipple(-5)); !near(l.High, 0.05, 1e-15) || !l.Contains(0) || !strings.Contains(l.Source, "no source") {
		t.Errorf("ripple at -5 V: %+v", l)
	}
}

// Whatever is typed as a name, it is found or refused, and found by its full
// name from then on.
func FuzzNames(f *testing.F) {
	for _, name := range []string{"TTL", "74 LS", "dynamic RAM 16K×1", "±15 V", "", "handheld 3½-digit multimeter", "\xff", "4000b"} {
		f.Add(name)
	}
	f.Fuzz(func(t *testing.T, name string) {
		if rails, err := metrology.FamilyLimits(name); err == nil {
			if again := must(metrology.FamilyLimits(rails[0].Family)); again[0].Limit != rails[0].Limit {
				t.Errorf("%q and %q differ", name, rails[0].Family)
			}
		}
		if meter, err := metrology.InstrumentByName(name); err == nil {
			if err := meter.Check(); err != nil {
				t.Error(err)
			}
		}
		if th, err := metrology.LogicThresholds(name, 5); err == nil && !(th.InputLowMax < th.InputHighMin) {
			t.Errorf("%q has the levels %+v", name, th)
		}
	})
}
