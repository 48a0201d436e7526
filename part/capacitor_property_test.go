package part_test

import (
	"math"
	"math/cmplx"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/part"
)

// badness orders the words from best to worst.
func badness(condition part.Condition) int {
	return slices.Index([]part.Condition{part.Good, part.GoodAsFarAsRead, part.CannotTell, part.Worn, part.Spent, part.Dangerous}, condition)
}

// logUniform draws a number evenly over the decades.
func logUniform(t *rapid.T, least, most float64, label string) float64 {
	return math.Exp(rapid.Float64Range(math.Log(least), math.Log(most)).Draw(t, label))
}

func drawCapacitor(t *rapid.T) part.Capacitor {
	c := part.Capacitor{
		Kind:         part.CapacitorKind(rapid.IntRange(int(part.UnknownCapacitor), int(part.MetallisedPaper)).Draw(t, "kind")),
		Nominal:      logUniform(t, 1e-11, 1e-2, "nominal"),
		RatedVoltage: logUniform(t, 2, 1000, "rated"),
	}
	if rapid.Bool().Draw(t, "marked") {
		c.ToleranceLow = -rapid.Float64Range(0.01, 0.5).Draw(t, "low")
		c.ToleranceHigh = rapid.Float64Range(0, 1).Draw(t, "high")
	}
	switch c.Kind {
	case part.AluminiumElectrolytic, part.NonPolarElectrolytic, part.SolidTantalum:
		c.AcrossMains = rapid.Bool().Draw(t, "mains")
	default:
		c.SafetyClass = part.SafetyClass(rapid.IntRange(int(part.NoSafetyClass), int(part.ClassY4)).Draw(t, "class"))
	}
	if rapid.Bool().Draw(t, "sheet") {
		reactance := 1 / (2 * math.Pi * 120 * c.Nominal)
		c.Limits = part.CapacitorLimits{
			ESR:           reactance * rapid.Float64Range(0, 0.5).Draw(t, "sheet ESR"),
			ESRFrequency:  rapid.SampledFrom([]float64{0, 120, 1e5}).Draw(t, "sheet ESR frequency"),
			LossTangent:   rapid.Float64Range(0, 0.5).Draw(t, "sheet loss"),
			LossFrequency: rapid.SampledFrom([]float64{0, 120, 1e3}).Draw(t, "sheet loss frequency"),
			Leakage:       rapid.Float64Range(0, 1e-3).Draw(t, "sheet leakage"),
		}
	}
	if rapid.Bool().Draw(t, "initial known") {
		low, high, _ := c.Tolerance()
		c.Initial = c.Nominal * rapid.Float64Range(1+low, 1+high).Draw(t, "initial")
	}
	return c
}

func drawMeasured(t *rapid.T, least, most float64, label string) *part.Measured {
	if !rapid.Bool().Draw(t, label+" read") {
		return nil
	}
	m := part.Measured{Value: logUniform(t, least, most, label)}
	if rapid.Bool().Draw(t, label+" uncertain") {
		m.Uncertainty = m.Value * rapid.Float64Range(0, 0.3).Draw(t, label+" uncertainty")
	}
	return &m
}

func drawReading(t *rapid.T, c part.Capacitor) part.CapacitorReading {
	reactance := 1 / (2 * math.Pi * 120 * c.Nominal)
	return part.CapacitorReading{
		Capacitance:    drawMeasured(t, 0.2*c.Nominal, 5*c.Nominal, "capacitance"),
		ESR:            drawMeasured(t, 1e-4*reactance, 10*reactance, "ESR"),
		LossTangent:    drawMeasured(t, 1e-5, 10, "loss"),
		Frequency:      rapid.SampledFrom([]float64{50, 100, 120, 1e3, 1e4, 1e5, 1e6}).Draw(t, "frequency"),
		Leakage:        drawMeasured(t, 1e-9, 1, "leakage"),
		LeakageVoltage: c.RatedVoltage * rapid.SampledFrom([]float64{0.01, 0.5, 1, 2, 5}).Draw(t, "leakage voltage"),
		LeakageAfter:   rapid.SampledFrom([]float64{0, 10, 60, 120, 600}).Draw(t, "leakage time"),
		Temperature:    rapid.SampledFrom([]float64{0, 263.15, 293.15, 343.15}).Draw(t, "temperature"),
		Age:            rapid.SampledFrom([]float64{0, 5, 15, 45}).Draw(t, "age") * part.Year,
		Look:           part.Look(rapid.SampledFrom([]part.Look{0, part.LooksSound, part.Residue, part.Bulged, part.Cracked | part.Burnt}).Draw(t, "look")),
		Place:          part.Place(rapid.IntRange(int(part.PlaceNotNoted), int(part.OutOfCircuit)).Draw(t, "place")),
	}
}

func judge(t *rapid.T, c part.Capacitor, readings ...part.CapacitorReading) part.CapacitorVerdict {
	verdict, err := c.Judge(readings...)
	if err != nil {
		t.Fatal(err)
	}
	return verdict
}

// A worse reading never gives a better word, at either end of the range.
func TestWorseReadingNeverGivesBetterWord(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		capacitor := drawCapacitor(t)
		reading := drawReading(t, capacitor)
		worse := reading
		factor := rapid.Float64Range(1, 4).Draw(t, "worse by")
		higher := func(m *part.Measured) *part.Measured {
			if m == nil {
				return nil
			}
			return &part.Measured{Value: m.Value * factor, Uncertainty: m.Uncertainty}
		}
		switch rapid.SampledFrom([]string{"capacitance", "ESR", "loss", "leakage", "look", "age"}).Draw(t, "what") {
		case "capacitance":
			if reading.Capacitance == nil {
				return
			}
			// Worse is farther from the range of a good part, on either side,
			// of a part with no uncertainty to speak of.
			low, high, _ := capacitor.Tolerance()
			capacitor.Initial = 0
			now := reading.Capacitance.Value
			exact := func(x float64) *part.Measured { return &part.Measured{Value: x} }
			reading.Capacitance = exact(now)
			switch {
			case now < capacitor.Nominal*(1+low):
				worse.Capacitance = exact(now / factor)
			case now > capacitor.Nominal*(1+high):
				worse.Capacitance = exact(now * factor)
			case rapid.Bool().Draw(t, "downward"):
				worse.Capacitance = exact(capacitor.Nominal * (1 + low) / factor)
			default:
				worse.Capacitance = exact(capacitor.Nominal * (1 + high) * factor)
			}
		case "ESR":
			worse.ESR = higher(reading.ESR)
		case "loss":
			if reading.Capacitance != nil {
				return // tan δ also corrects the capacitance
			}
			worse.LossTangent = higher(reading.LossTangent)
		case "leakage":
			worse.Leakage = higher(reading.Leakage)
		case "look":
			worse.Look = reading.Look&^part.LooksSound | part.Leaked
		case "age":
			worse.Age += 30 * part.Year
		}
		before, after := judge(t, capacitor, reading), judge(t, capacitor, worse)
		if badness(after.Best) < badness(before.Best) || badness(after.Worst) < badness(before.Worst) {
			t.Fatalf("worse reading, better word:\n%v\n%v", before, after)
		}
	})
}

// The order of readings changes nothing but the order of reasons, and a second
// sitting never withdraws what the first proved against the part.
func TestOrderOfReadingsIsIrrelevant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		capacitor := drawCapacitor(t)
		first, second := drawReading(t, capacitor), drawReading(t, capacitor)
		one, other := judge(t, capacitor, first, second), judge(t, capacitor, second, first)
		if one.Condition != other.Condition || one.Best != other.Best || one.Worst != other.Worst || len(one.Missing) != len(other.Missing) {
			t.Fatalf("order matters:\n%v\n%v", one, other)
		}
		alone := judge(t, capacitor, first)
		if badness(alone.Best) >= badness(part.Worn) && badness(one.Best) < badness(alone.Best) {
			t.Fatalf("a second sitting withdrew a proof:\n%v\n%v", alone, one)
		}
	})
}

// The word agrees with its range and with what is missing.
func TestVerdictIsConsistent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		capacitor := drawCapacitor(t)
		verdict := judge(t, capacitor, drawReading(t, capacitor))
		if badness(verdict.Best) < 0 || badness(verdict.Worst) < badness(verdict.Best) {
			t.Fatalf("range %v to %v", verdict.Best, verdict.Worst)
		}
		switch verdict.Condition {
		case part.TooCloseToCall:
			if verdict.Best == verdict.Worst {
				t.Fatal("too close to call between one word")
			}
		case part.Good:
			if len(verdict.Missing) > 0 {
				t.Fatalf("good, yet missing %v", verdict.Missing)
			}
		case part.GoodAsFarAsRead:
			if len(verdict.Missing) == 0 {
				t.Fatal("good as far as read, but nothing is missing")
			}
		}
		for _, reason := range verdict.Reasons {
			if badness(reason.Worst) < badness(reason.Best) {
				t.Fatalf("reason from %v to %v", reason.Best, reason.Worst)
			}
			if reason.Quantity <= part.QuantityLeakage && !reason.Clears && reason.Best == part.Good ||
				reason.Quantity <= part.QuantityLeakage && !reason.Condemns && badness(reason.Worst) >= badness(part.Worn) {
				t.Fatalf("reason says what it cannot prove: %v", reason)
			}
			if reason.Best == part.CannotTell && len(reason.Because) == 0 {
				t.Fatalf("cannot tell, but not why: %v", reason)
			}
			for i := range reason.Limits {
				if i > 0 && (reason.Limits[i].Low > reason.Limits[i-1].Low || reason.Limits[i].High < reason.Limits[i-1].High) {
					t.Fatalf("limits are not nested: %+v", reason.Limits)
				}
			}
		}
	})
}

// In circuit, whatever resistor and capacitor lie across a good part, its ESR
// and its series capacitance as read never speak against it. The circuit is
// worked out here with complex impedances.
func TestGoodPartInCircuitIsNeverCondemned(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		capacitor := drawCapacitor(t)
		capacitor.Initial, capacitor.Limits = 0, part.CapacitorLimits{}
		frequency := rapid.SampledFrom([]float64{100, 120, 1e3, 1e5}).Draw(t, "frequency")
		limit, known := capacitor.LossLimit(frequency)
		if !known || limit.Frequency > frequency*1.25 {
			return // nothing is known at this frequency
		}
		low, high, _ := capacitor.Tolerance()
		actual := capacitor.Nominal * rapid.Float64Range(1+low, 1+high).Draw(t, "actual")
		esr := part.ESR(limit.LossTangent, math.Min(frequency, limit.Frequency), capacitor.Nominal) * rapid.Float64Range(0, 1).Draw(t, "health")
		if frequency < limit.Frequency {
			esr = part.ESR(limit.LossTangent, frequency, capacitor.Nominal) * rapid.Float64Range(0, 1).Draw(t, "health below")
		}
		omega := 2 * math.Pi * frequency
		reactance := 1 / (omega * actual)
		resistor := reactance * logUniform(t, 1e-3, 1e3, "resistor")
		neighbour := actual * rapid.Float64Range(0, 10).Draw(t, "neighbour")
		impedance := 1 / (1/complex(esr, -reactance) + complex(1/resistor, omega*neighbour))
		if cmplx.IsNaN(impedance) {
			return
		}
		reading := part.CapacitorReading{ESR: value(real(impedance)), Frequency: frequency, Place: part.InCircuit}
		if esr < reactance { // a lossier part hides part of its own reactance
			reading.Capacitance = value(-1 / (omega * imag(impedance)))
		}
		verdict := judge(t, capacitor, reading)
		if verdict.Condition != part.CannotTell {
			t.Fatalf("a good part in circuit: %v", verdict)
		}
	})
}

// Whatever is typed is judged or refused, and a verdict prints no nonsense.
func TestAnyInputIsAnsweredOrRefused(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		usual, positive := rapid.Float64Range(0, 1), rapid.Float64Min(0)
		strange := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{0, 5e-324, math.MaxFloat64, math.NaN(), math.Inf(1), math.Inf(-1)}))
		wild := rapid.Bool().Draw(t, "wild")
		any := func(label string) float64 {
			if wild {
				return rapid.OneOf(usual, usual, usual, usual, positive, strange).Draw(t, label)
			}
			return rapid.OneOf(usual, positive).Draw(t, label)
		}
		byteOf := func(label string) uint8 {
			if wild {
				return rapid.Uint8().Draw(t, label)
			}
			return rapid.Uint8Range(0, 2).Draw(t, label)
		}
		measured := func(label string) *part.Measured {
			return &part.Measured{Value: any(label), Uncertainty: any(label + " uncertainty")}
		}
		capacitor := part.Capacitor{
			Kind: part.CapacitorKind(byteOf("kind")), Nominal: any("nominal"), RatedVoltage: any("rated"),
			ToleranceLow: -any("low"), ToleranceHigh: any("high"), SafetyClass: part.SafetyClass(byteOf("class")), Initial: any("initial"),
		}
		reading := part.CapacitorReading{
			Capacitance: measured("capacitance"), ESR: measured("ESR"), LossTangent: measured("loss"), Frequency: any("frequency"),
			Leakage: measured("leakage"), LeakageVoltage: any("voltage"), LeakageAfter: any("time"),
			Temperature: any("temperature"), Age: any("age"), Look: part.Look(byteOf("look")), Place: part.Place(byteOf("place")),
		}
		verdict, err := capacitor.Judge(reading)
		if err != nil {
			if verdict.Condition != part.CannotTell || len(verdict.Reasons) > 0 {
				t.Fatalf("refused, yet %v", verdict)
			}
			return
		}
		if text := verdict.String(); strings.Contains(text, "NaN") || strings.Contains(text, "Condition(") {
			t.Fatal(text)
		}
	})
}
