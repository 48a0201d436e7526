package fault

var diodeActs = perMode{
	"open":            always(open("anode")),
	"shorted":         always(across("anode", "cathode", short)),
	"leaky":           {g(0.35, across("anode", "cathode", 100e3)), g(0.35, across("anode", "cathode", 5e3)), g(0.3, across("anode", "cathode", 300))},
	"fails when warm": {g(0.4, open("anode")), g(0.3, across("anode", "cathode", 1e3)), g(0.3, across("anode", "cathode", short))},
}

// bridgeActs: any of the four may fail, seldom two; both that share an ac pin
// together short it to the other.
var bridgeActs = func() perMode {
	m := perMode{}
	for _, d := range [4]struct{ element, anode, cathode string }{
		{"one ac to +", "one ac", "+"}, {"other ac to +", "other ac", "+"}, {"- to one ac", "-", "one ac"}, {"- to other ac", "-", "other ac"},
	} {
		m["open"] = append(m["open"], g(0.25, open("anode").of(d.element)))
		m["fails when warm"] = append(m["fails when warm"], g(0.25, open("anode").of(d.element)))
		m["shorted"] = append(m["shorted"], g(0.225, across(d.anode, d.cathode, short)))
	}
	m["shorted"] = append(m["shorted"], g(0.1, across("one ac", "other ac", short)))
	return m
}()

var zenerActs = perMode{
	"open":             always(open("cathode")),
	"shorted":          always(across("anode", "cathode", short)),
	"drifts when warm": {g(0.5, times("voltage", 0.9)), g(0.5, times("voltage", 1.1))},
	"drifted or noisy": {g(0.3, times("voltage", 0.95)), g(0.25, times("voltage", 0.8)), g(0.25, times("voltage", 1.1)), g(0.2, noise("cathode", 20e-3))},
}

var referenceActs = perMode{
	"open":             {g(0.6, open("cathode")), g(0.25, open("reference")), g(0.15, open("anode"))},
	"shorted":          {g(0.7, across("cathode", "anode", 3)), g(0.3, across("reference", "anode", 10))},
	"drifts when warm": {g(0.5, times("reference voltage", 0.95)), g(0.5, times("reference voltage", 1.05))},
	"drifted or noisy": {g(0.3, times("reference voltage", 0.97)), g(0.2, times("reference voltage", 0.85)), g(0.3, times("reference voltage", 1.05)), g(0.2, noise("cathode", 20e-3))},
}

// thyristorActs: one that fires too early leaks into its own gate, or needs far
// less gate current than it should.
func thyristorActs(anode, cathode string) perMode {
	return perMode{
		"shorted":         always(across(anode, cathode, short)),
		"fires too early": {g(0.5, across(anode, "gate", 220)), g(0.5, across(anode, "gate", 4.7e3), times("gate current", 0.1), times("gate voltage", 0.6))},
		"open":            {g(0.6, open(anode)), g(0.4, open("gate"))},
	}
}

// bipolarActs: of shorted transistors most are shorted from collector to emitter.
var bipolarActs = perMode{
	"open": {g(0.35, open("base")), g(0.25, open("collector")), g(0.4, open("emitter"))},
	"shorted": {g(0.55, across("collector", "emitter", short)), g(0.12, across("base", "emitter", short)), g(0.13, across("collector", "base", short)),
		g(0.2, across("collector", "emitter", short), across("base", "emitter", short))},
	"leaky or low gain": {g(0.4, times("gain", 0.2)), g(0.2, across("collector", "emitter", 10e3)), g(0.15, across("collector", "emitter", 500)),
		g(0.15, across("collector", "base", 50e3)), g(0.1, across("base", "emitter", 1e3))},
	"noisy":           always(noise("collector", 20e-3)),
	"fails when warm": {g(0.35, open("base")), g(0.25, open("emitter")), g(0.25, across("collector", "emitter", 500)), g(0.15, times("gain", 0.1))},
}

// fieldEffectActs are those of field-effect transistors; weak is what the channel
// loses.
func fieldEffectActs(weak Change) perMode {
	return perMode{
		"open": {g(0.4, open("drain")), g(0.3, open("gate")), g(0.3, open("source"))},
		"shorted": {g(0.45, across("drain", "source", short)), g(0.25, across("gate", "source", 10)),
			g(0.3, across("drain", "source", short), across("gate", "source", 10))},
		"leaky or low gain": {g(0.4, weak), g(0.3, across("drain", "source", 10e3)), g(0.3, across("gate", "source", 10e3))},
		"noisy":             always(noise("drain", 20e-3)),
		"fails when warm":   {g(0.4, open("gate")), g(0.3, open("source")), g(0.3, across("drain", "source", 500))},
	}
}

// optocouplerActs: the lamp grows dim with its hours; it or the transistor opens.
var optocouplerActs = perMode{
	"leaks":              {g(0.6, across("collector", "emitter", 50e3)), g(0.4, across("collector", "emitter", 2e3))},
	"weak":               {g(0.5, times("transfer ratio", 0.5)), g(0.5, times("transfer ratio", 0.2))},
	"gives up when warm": {g(0.6, times("transfer ratio", 0.1)), g(0.4, open("anode"))},
	"dead":               {g(0.55, open("anode")), g(0.3, open("collector")), g(0.15, across("collector", "emitter", 3))},
}

var regulatorActs = perMode{
	"dead":                 {g(0.75, open("out")), g(0.25, open("in"))},
	"passes too much":      {g(0.6, across("in", "out", short)), g(0.2, open("common")), g(0.2, times("output voltage", 1.2))},
	"low":                  {g(0.4, times("output voltage", 0.93)), g(0.3, times("output voltage", 0.75)), g(0.3, times("current limit", 0.15))},
	"oscillates":           always(noise("out", 0.2)),
	"shuts down when warm": {g(0.6, open("out")), g(0.4, times("current limit", 0.1))},
}

// opAmpActs: an output at a rail is told by an offset that no feedback evens out.
func opAmpActs(pins int) perMode {
	dead, loads := always(open("out")), always(across("in +", "in -", 100))
	if pins == 5 {
		dead = []graded{g(0.6, open("out")), g(0.25, open("supply +")), g(0.15, open("supply -"))}
		loads = []graded{g(0.5, across("supply +", "supply -", 20)), g(0.5, across("supply +", "supply -", 200))}
	}
	return perMode{
		"output at a rail":             {g(0.5, becomes("offset", 100)), g(0.5, becomes("offset", -100))},
		"dead":                         dead,
		"drifts, distorts or is noisy": {g(0.3, becomes("offset", 30e-3)), g(0.3, becomes("offset", -30e-3)), g(0.4, noise("out", 50e-3))},
		"loads its supply":             loads,
		"fails when warm":              {g(0.3, becomes("offset", 100)), g(0.3, becomes("offset", -100)), g(0.4, open("out"))},
	}
}

// comparatorActs: one that never goes high has a hysteresis beyond any input.
var comparatorActs = perMode{
	"output at a rail":             {g(0.5, becomes("hysteresis", 1e4)), g(0.5, open("out"))},
	"dead":                         always(open("out")),
	"drifts, distorts or is noisy": {g(0.5, becomes("hysteresis", 0.1)), g(0.5, noise("out", 50e-3))},
	"loads its supply":             always(across("in +", "in -", 100)),
	"fails when warm":              {g(0.5, becomes("hysteresis", 1e4)), g(0.5, open("out"))},
}
