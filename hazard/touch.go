package hazard

import (
	"fmt"
	"math"

	"halfsplit/quantity"
)

// Class says how a unit protects those who touch it.
type Class string

// The classes.
const (
	ClassI         Class = "class I"           // earthed, stands on a bench
	ClassIHandHeld Class = "class I hand-held" // earthed, held in the hand
	ClassII        Class = "class II"          // double insulated, no earth
	ClassIII       Class = "class III"         // extra-low voltage only
)

// Classes lists the classes.
func Classes() []Class { return []Class{ClassI, ClassIHandHeld, ClassII, ClassIII} }

// TouchCurrent is the current in amperes (RMS) that a capacitance in farads from
// the mains to touchable metal lets flow through whoever bridges it to earth:
// 2πfCV, with the mains in volts (RMS) and hertz.
func TouchCurrent(capacitance, mains, frequency float64) (float64, error) {
	if err := notBelow(amount{"the capacitance", capacitance}); err != nil {
		return 0, err
	}
	if err := above(amount{"the mains voltage", mains}, amount{"the mains frequency", frequency}); err != nil {
		return 0, err
	}
	return 2 * math.Pi * frequency * capacitance * mains, nil
}

// TouchLimit is the most touch current allowed, in amperes (RMS): 0.25 mA for
// class II, 0.75 mA for class I held in the hand, 3.5 mA for other class I
// (IEC 60950-1, table 5A, second-hand); 0.5 mA for class III (in-service
// practice). The error names a class that is none.
func TouchLimit(c Class) (float64, string, error) {
	switch c {
	case ClassII:
		return 0.25e-3, source60950T, nil
	case ClassIHandHeld:
		return 0.75e-3, source60950T, nil
	case ClassI:
		return 3.5e-3, source60950T, nil
	case ClassIII:
		return 0.5e-3, sourceHeating, nil
	}
	return 0, "", fmt.Errorf("%q is no protection class; write class I, class I hand-held, class II or class III", c)
}

// JudgeTouch judges a touch current in amperes.
func JudgeTouch(c Class, current float64) (Judgement, error) {
	if err := notBelow(amount{"the touch current", current}); err != nil {
		return Judgement{}, err
	}
	limit, source, err := TouchLimit(c)
	if err != nil {
		return Judgement{}, err
	}
	return Judgement{
		Rule: "touch current, " + string(c), Passes: current <= limit*(1+1e-12), Source: source,
		Text: fmt.Sprintf("%s; at most %s", quantity.FormatDigits(current, quantity.Ampere, 3), quantity.FormatDigits(limit, quantity.Ampere, 3)),
	}, nil
}

// HeatingLimit is the most leakage current allowed of an earthed heating
// appliance, in amperes: 0.75 mA for each kilowatt, at least 0.75 mA and at most
// 5 mA (in-service practice).
func HeatingLimit(power float64) float64 {
	return min(max(0.75e-3*power/1000, 0.75e-3), 5e-3)
}

// The network through which service manuals let the leakage of touchable metal
// flow to earth while its voltage is read: 1500 Ω beside 0.15 µF.
const (
	hotOhms   = 1500.0
	hotFarads = 0.15e-6
	hotVolts  = 0.75 // the most allowed; some makers ask for 0.35 V or 0.15 V
)

// HotCheck gives the leakage current in amperes from the voltage (RMS) read
// across 1500 Ω beside 0.15 µF between touchable metal and earth ground, and
// judges it by 0.75 V, 0.5 mA. The check is made with the plug both ways round
// and without an isolation transformer; makers differ (0.75, 0.35 or 0.15 V),
// and the unit's own manual comes first.
func HotCheck(volts, frequency float64) (current float64, j Judgement, err error) {
	if err := notBelow(amount{"the voltage", volts}); err != nil {
		return 0, j, err
	}
	if err := above(amount{"the mains frequency", frequency}); err != nil {
		return 0, j, err
	}
	current = volts / networkOhms(frequency)
	return current, Judgement{
		Rule: "leakage hot check", Passes: volts <= hotVolts, Source: sourceHot,
		Text: fmt.Sprintf("%s across the network is %s; at most 0.75 V", quantity.FormatDigits(volts, quantity.Volt, 3), quantity.FormatDigits(current, quantity.Ampere, 3)),
	}, nil
}

// networkOhms is the impedance of the network of the hot check, in ohms.
func networkOhms(frequency float64) float64 {
	return hotOhms / math.Sqrt(1+math.Pow(2*math.Pi*frequency*hotOhms*hotFarads, 2))
}

// TouchFromNetwork is the touch current in amperes (peak) from the peak voltage
// U₂ across the 500 Ω of the measuring network of IEC 60990 (quoted in a
// television manual); at most 0.7 mA peak.
func TouchFromNetwork(peak float64) (float64, Judgement) {
	current := peak / 500
	return current, Judgement{
		Rule: "touch current from U₂", Passes: current <= 0.7e-3*(1+1e-12), Source: source60065,
		Text: fmt.Sprintf("%s peak; at most 0.7 mA peak", quantity.FormatDigits(current, quantity.Ampere, 3)),
	}
}

// ColdCheck judges the resistance between the joined prongs of the unplugged
// mains plug and touchable metal: 1 MΩ to 5.2 MΩ where the metal returns to the
// chassis, infinite elsewhere.
func ColdCheck(resistance float64, returns bool) Judgement {
	j := Judgement{Rule: "leakage cold check", Source: sourceCold}
	if returns {
		j.Passes = resistance >= 1e6 && resistance <= 5.2e6
		j.Text = fmt.Sprintf("%s; between 1 MΩ and 5.2 MΩ where the metal returns to the chassis", ohms(resistance))
		return j
	}
	j.Passes = math.IsInf(resistance, 1)
	j.Text = fmt.Sprintf("%s; infinite where nothing returns to the chassis", ohms(resistance))
	return j
}

func ohms(r float64) string {
	if math.IsInf(r, 1) {
		return "infinite"
	}
	return quantity.FormatDigits(r, quantity.Ohm, 3)
}
