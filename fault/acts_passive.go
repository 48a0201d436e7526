package fault

// Resistors drift up as their film or carbon corrodes, seldom down.
var (
	resistorActs = perMode{
		"open":            always(broken("one end")),
		"drifted high":    {g(0.45, times("resistance", 1.3)), g(0.35, times("resistance", 2)), g(0.2, times("resistance", 10))},
		"drifted low":     {g(0.6, times("resistance", 0.7)), g(0.4, times("resistance", 0.3))},
		"opens when warm": always(broken("one end")),
	}
	// Carbon composition of this age is commonly found 10 to 60 % high.
	carbonActs = perMode{
		"open":         always(broken("one end")),
		"drifted high": {g(0.5, times("resistance", 1.25)), g(0.35, times("resistance", 1.6)), g(0.15, times("resistance", 3))},
		"noisy":        always(noise("one end", 5e-3)),
	}
	powerResistorActs = perMode{
		"open":            always(broken("one end")),
		"drifted high":    {g(0.5, times("resistance", 1.5)), g(0.5, times("resistance", 4))},
		"opens when warm": always(broken("one end")),
	}
	potentiometerActs = perMode{
		"wiper noisy": {g(0.5, lead("wiper", 1e3)), g(0.5, lead("wiper", 100e3))},
		"wiper open":  always(open("wiper")),
		"set wrongly": {g(0.25, becomes("position", 0.1)), g(0.25, becomes("position", 0.35)), g(0.25, becomes("position", 0.65)), g(0.25, becomes("position", 0.9))},
	}
)

// dry is a capacitor that has lost its electrolyte, or contact to its film.
func dry(capacitance, resistance float64) []Change {
	return []Change{times("capacitance", capacitance), times("series resistance", resistance)}
}

// stray is what is left of an open capacitor.
var stray = times("capacitance", 1e-6)

// electrolyticActs: the end of life of an aluminium electrolytic is a loss of 20
// to 30 % of its capacitance and two to three times its series resistance (end of
// life criteria of makers and IEC 60384-4); one that is found dry is far beyond.
var electrolyticActs = perMode{
	"dried out":          {g(0.3, dry(0.7, 3)...), g(0.3, dry(0.3, 20)...), g(0.2, dry(0.1, 60)...), g(0.2, dry(0.03, 200)...)},
	"shorted":            always(across("+", "-", short)),
	"leaky":              {g(0.4, across("+", "-", 10e3)), g(0.35, across("+", "-", 1e3)), g(0.25, across("+", "-", 100))},
	"open":               always(stray),
	"gives up when warm": {g(0.6, across("+", "-", 1e3)), g(0.4, dry(0.3, 20)...)},
	"bad until warm":     {g(0.6, dry(0.5, 30)...), g(0.4, dry(0.1, 150)...)},
}

// capacitorActs are those of other capacitors, with three leakages in ohm.
func capacitorActs(mild, middle, heavy float64) perMode {
	a, b := "one end", "other end"
	if mild < 10e3 { // tantalum: polar
		a, b = "+", "-"
	}
	return perMode{
		"dried out":          {g(0.6, dry(0.6, 10)...), g(0.4, dry(0.2, 100)...)},
		"shorted":            always(across(a, b, short)),
		"leaky":              {g(0.35, across(a, b, mild)), g(0.35, across(a, b, middle)), g(0.3, across(a, b, heavy))},
		"open":               always(stray),
		"gives up when warm": {g(0.7, across(a, b, heavy)), g(0.3, stray)},
	}
}

var inductorActs = perMode{
	"open":            always(open("one end")),
	"shorted turns":   {g(0.5, turns("one end", "other end", "resistance", 0.02)), g(0.5, turns("one end", "other end", "resistance", 0.2))},
	"opens when warm": always(open("one end")),
}

// transformerActs: half of the trouble is in the first winding, which has the
// thinnest wire and often a thermal fuse within; the others share the rest.
func transformerActs(pins int) perMode {
	m := perMode{}
	windings := pins / 2
	for k := range windings {
		share := 0.5
		if k > 0 {
			share = 0.5 / float64(windings-1)
		}
		number := string(rune('1' + k))
		dot := number + " dot"
		for _, mode := range []string{"winding opens when warm", "winding open"} {
			m[mode] = append(m[mode], g(share, open(dot)))
		}
		resistance := "resistance of winding " + number
		m["shorted turns"] = append(m["shorted turns"],
			g(share/2, turns(dot, number, resistance, 0.01)), g(share/2, turns(dot, number, resistance, 0.1)))
	}
	return m
}

var fuseActs = perMode{
	"blown":       always(open("one end")),
	"bad contact": {g(0.5, lead("one end", 20)), g(0.5, open("one end"))},
}

// contactActs are those of contacts, joints and filaments, in the lead of a pin.
func contactActs(pin string) perMode {
	return perMode{
		"open":                      always(open(pin)),
		"comes and goes when moved": {g(0.6, open(pin)), g(0.4, lead(pin, 50))},
		"opens when warm":           always(open(pin)),
		"bad when cold":             {g(0.5, lead(pin, 10)), g(0.5, lead(pin, 1e3))},
		"high resistance":           {g(0.4, lead(pin, 1)), g(0.4, lead(pin, 10)), g(0.2, lead(pin, 100))},
	}
}

// relayActs: its contacts fail as contacts do, and now and then its coil opens.
var relayActs = func() perMode {
	m := contactActs("common")
	m["open"] = []graded{g(0.7, open("common")), g(0.3, open("one coil end"))}
	return m
}()

var batteryActs = perMode{
	"flat":   {g(0.5, times("voltage", 0.75), lead("+", 5)), g(0.5, times("voltage", 0.3), lead("+", 100))},
	"leaked": {g(0.5, open("+")), g(0.5, times("voltage", 0.5), lead("+", 200))},
}
