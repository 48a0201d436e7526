package fault

// Acts lists what a part does to its circuit when it fails, over all modes of
// its kind: kind is the name of a kind of circuit part as package wiring gives
// it ("bridge", "optocoupler"), pins how many nodes it stands between, which
// tells the windings of a transformer and whether an op-amp has supply pins. A
// mode that only shows when warm, cold or moved acts as such a part does while it
// shows. Nil for what cannot stand in a circuit or cannot fail there.
//
// Each mode has few acts, each different in effect. Their figures and shares are
// common practice, no source, except where the tables say otherwise.
func Acts(kind string, pins int) []Act {
	modesOf, known := acting[kind]
	if !known {
		return nil
	}
	k, _ := Find(kind)
	modes := modesOf(pins)
	var list []Act
	for _, m := range k.Modes {
		for _, g := range modes[m.Name] {
			list = append(list, Act{Mode: m.Name, Name: describe(g.changes), Share: g.share, Changes: g.changes})
		}
	}
	return list
}

// graded is one severity of a mode: its share, and what it changes.
type graded struct {
	share   float64
	changes []Change
}

// perMode holds the severities of each mode.
type perMode map[string][]graded

// g makes one severity.
func g(share float64, changes ...Change) graded { return graded{share, changes} }

// always is a mode of one severity.
func always(changes ...Change) []graded { return []graded{{1, changes}} }

// What an open contact and a short still let pass, in ohm. An open part keeps
// what dirt and board let through; a molten junction or film keeps some tenths of
// an ohm. A cracked film or wire inside its coating lets nothing through: beside a
// start-up resistor of 150 kΩ, 10 MΩ would still start many a converter. Common
// practice, no source.
const (
	gone    = 10e6
	cracked = 1e9
	short   = 0.3
)

func across(a, b string, ohms float64) Change {
	return Change{Effect: Across, Pins: []string{a, b}, Value: ohms}
}

// turns lets a share of the turns of a winding be shorted. Each turn has its part
// of the resistance R and of the voltage; seen from the whole winding a shorted
// share s is a load of s R / s² = R / s (ideal transformer, any textbook).
func turns(a, b, resistance string, share float64) Change {
	return Change{Effect: Across, Pins: []string{a, b}, Parameter: resistance, Value: 1 / share}
}

func lead(pin string, ohms float64) Change {
	return Change{Effect: InLead, Pins: []string{pin}, Value: ohms}
}

func open(pin string) Change { return lead(pin, gone) }

func broken(pin string) Change { return lead(pin, cracked) }

func times(parameter string, factor float64) Change {
	return Change{Effect: Times, Parameter: parameter, Value: factor}
}

func becomes(parameter string, value float64) Change {
	return Change{Effect: Becomes, Parameter: parameter, Value: value}
}

func noise(pin string, volts float64) Change {
	return Change{Effect: Noise, Pins: []string{pin}, Value: volts}
}

// of lets a change be about one of the parts that the part is made of.
func (c Change) of(element string) Change {
	c.Element = element
	return c
}

// acting gives the severities of the modes of each kind of circuit part, for a
// number of pins.
var acting = map[string]func(pins int) perMode{
	"resistor":          fixed(resistorActs),
	"carbon resistor":   fixed(carbonActs),
	"power resistor":    fixed(powerResistorActs),
	"potentiometer":     fixed(potentiometerActs),
	"electrolytic":      fixed(electrolyticActs),
	"tantalum":          fixed(capacitorActs(1e3, 100, 10)),
	"film capacitor":    fixed(capacitorActs(1e6, 100e3, 10e3)),
	"ceramic capacitor": fixed(capacitorActs(1e6, 100e3, 1e3)),
	"paper capacitor":   fixed(capacitorActs(1e6, 100e3, 10e3)),
	"inductor":          fixed(inductorActs),
	"transformer":       transformerActs,
	"fuse":              fixed(fuseActs),
	"lamp":              fixed(contactActs("one end")),
	"diode":             fixed(diodeActs),
	"led":               fixed(diodeActs),
	"rectifier":         fixed(diodeActs),
	"bridge":            fixed(bridgeActs),
	"zener":             fixed(zenerActs),
	"reference":         fixed(referenceActs),
	"thyristor":         fixed(thyristorActs("anode", "cathode")),
	"triac":             fixed(thyristorActs("main 2", "main 1")),
	"transistor":        fixed(bipolarActs),
	"power transistor":  fixed(bipolarActs),
	"mosfet":            fixed(fieldEffectActs(times("on resistance", 5))),
	"jfet":              fixed(fieldEffectActs(times("saturated drain current", 0.3))),
	"optocoupler":       fixed(optocouplerActs),
	"regulator":         fixed(regulatorActs),
	"op-amp":            opAmpActs,
	"comparator":        fixed(comparatorActs),
	"switch":            fixed(contactActs("one side")),
	"relay":             fixed(relayActs),
	"connector":         fixed(contactActs("one side")),
	"socket":            fixed(contactActs("one side")),
	"cable":             fixed(contactActs("one side")),
	"joint":             fixed(contactActs("one side")),
	"track":             fixed(contactActs("one side")),
	"battery":           fixed(batteryActs),
}

// fixed is for kinds whose number of pins does not matter.
func fixed(acts perMode) func(int) perMode { return func(int) perMode { return acts } }
