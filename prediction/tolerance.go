package prediction

import (
	"hash/fnv"
	"math"
	"slices"
	"strings"

	"halfsplit/circuit"
	"halfsplit/quantity"
	"halfsplit/wiring"
)

// knob is a figure of a good part that may differ from what is drawn.
type knob struct {
	part, parameter string // as package circuit names them; "amplitude" of a source that moves
	nominal         float64
	deviation       float64 // standard deviation: a share, or absolute where the nominal value is zero
}

// amplitude is the parameter of a knob on a source that moves.
const amplitude = "amplitude"

// turned is the value of a knob a number of deviations off. Shares multiply, so
// that nothing changes its sign.
func (k knob) turned(by float64) float64 {
	if k.nominal == 0 {
		return by * k.deviation
	}
	return k.nominal * math.Exp(by*k.deviation)
}

// draw is the position of a knob in one sample, in deviations: normal, within two
// and a half. Samples come in pairs that lie opposite. It depends on nothing but
// the names and the number, so that a part is off alike under every trouble
// (common random numbers), and differences between troubles are not noise.
func (k knob) draw(sample int) float64 {
	h := fnv.New64a()
	h.Write([]byte(k.part + "\x00" + k.parameter))
	h.Write([]byte{byte(sample / 2), byte(sample / 512)})
	bits := h.Sum64()
	bits ^= bits >> 31 // mixes the last letters into the top (murmur finalizer)
	bits *= 0x7fb5d329728ea185
	bits ^= bits >> 27
	bits *= 0x81dadef4bc2dd44d
	bits ^= bits >> 33
	u := (float64(bits>>11) + 0.5) / (1 << 53)
	z := min(max(math.Sqrt2*math.Erfinv(2*u-1), -2.5), 2.5)
	if sample%2 == 1 {
		return -z
	}
	return z
}

// sign is the first bit of a draw.
func (k knob) sign(sample int) float64 { return math.Copysign(1, k.draw(2*sample)) }

// usual are the standard deviations of the figures of good parts by the kind of
// part and the name of the figure, as a share. The entry under "" is for any
// other kind. Common practice from data-sheet limits taken as two deviations, no
// single source; the mains after EN 50160 (95 % of the time within ±10 %, from
// memory), of which a bench sees less.
var usual = map[string]map[string]float64{
	"": {
		"resistance": 0.03, "capacitance": 0.1, "series resistance": 0.3, "leakage resistance": 0.5, "inductance": 0.1,
		"magnetizing inductance": 0.15, "saturation current": 0.35, "gain": 0.3, "transfer ratio": 0.25, "output voltage": 0.012, "dropout": 0.15,
		"current limit": 0.15, "quiescent current": 0.2, "reference voltage": 0.01, "threshold": 0.1, "on resistance": 0.2,
		"saturated drain current": 0.3, "cut-off voltage": 0.25, "gate voltage": 0.1, "gate current": 0.3, "on voltage": 0.05, "forward drop": 0.04,
		"slope resistance": 0.2, "cold resistance": 0.05, "coil resistance": 0.05, "contact resistance": 0.3, "position": 0.05, "LED saturation current": 0.35,
		"voltage": 0.025,
	},
	"load": {"resistance": 0.1}, "mains source": {amplitude: 0.03, "resistance": 0.3}, "dc source": {"voltage": 0.015, "resistance": 0.2},
	"battery": {"voltage": 0.04, "resistance": 0.3}, "sine source": {amplitude: 0.01}, "pulse source": {amplitude: 0.01}, "current source": {"current": 0.02},
	"fuse": {"resistance": 0.2}, "inductor": {"resistance": 0.1}, "electrolytic": {"capacitance": 0.12}, "connector": {"resistance": 0.4}, "joint": {"resistance": 0.4},
	"switch": {"on resistance": 0.3},
}

// byWinding are the same for figures of each winding of a transformer.
var byWinding = map[string]float64{"turns of winding": 0.007, "resistance of winding": 0.07, "leakage of winding": 0.2}

// usualOffset is that of an op-amp, in volt: a data-sheet limit of 5 mV or so is
// three deviations.
const usualOffset = 2e-3

// tight are figures that are better kept than the tolerance that a sheet assumes
// for any value.
var tight = map[string]bool{"output voltage": true, "reference voltage": true}

// stated are the figures whose tolerance a sheet states with the value of a part.
var stated = map[string]bool{"resistance": true, "capacitance": true, "inductance": true, "voltage": true, "output voltage": true, "reference voltage": true}

// knobs lists the figures of the parts of a circuit that may be off. Parts that a
// fault is made of are known for certain.
func knobs(c *wiring.Circuit, s *circuit.Solver) []knob {
	of := map[string]*wiring.Placed{}
	for i := range c.Parts {
		for _, inside := range c.Parts[i].Inside {
			of[inside] = &c.Parts[i]
		}
	}
	var list []knob
	for _, p := range s.Parameters() {
		placed := of[p.Part]
		if placed == nil {
			continue
		}
		k := knob{p.Part, p.Name, p.Value(), deviation(placed, p)}
		if p.Name == "offset" && k.nominal == 0 {
			k.deviation = usualOffset
		} else if k.nominal == 0 {
			continue
		}
		if k.deviation > 0 {
			list = append(list, k)
		}
	}
	for i := range c.Parts {
		if d := usual[c.Parts[i].Is.Name][amplitude]; d > 0 {
			list = append(list, knob{c.Parts[i].Name, amplitude, 1, d})
		}
	}
	return list
}

// deviation is the standard deviation of a figure: what the sheet states, as of an
// even spread between its limits (JCGM 100:2008, 4.3.7), or what is usual.
func deviation(placed *wiring.Placed, p circuit.Parameter) float64 {
	t, v := placed.Tolerance, placed.Value
	if t != nil && v != nil && v.Value != 0 && stated[p.Name] && len(placed.Inside) == 1 {
		half := (t.High - t.Low) / 2
		if t.Unit != quantity.Percent {
			half /= math.Abs(v.Value)
		}
		if given := half / math.Sqrt(3); !tight[p.Name] || given < usual[""][p.Name] {
			return given
		}
	}
	if d, ok := usual[placed.Is.Name][p.Name]; ok {
		return d
	}
	for start, d := range byWinding {
		if strings.HasPrefix(p.Name, start) {
			return d
		}
	}
	return usual[""][p.Name]
}

// setting is a knob at a position.
type setting struct {
	knob
	by float64 // deviations
}

// sourcesOf are the shares of sources among settings.
func sourcesOf(settings []setting) map[string]float64 {
	var shares map[string]float64
	for _, s := range settings {
		if s.parameter == amplitude {
			if shares == nil {
				shares = map[string]float64{}
			}
			shares[s.part] = s.turned(s.by)
		}
	}
	return shares
}

// solver sets up the equations of a circuit with knobs turned.
func solver(c *wiring.Circuit, set circuit.Settings, settings []setting) (*circuit.Solver, error) {
	if shares := sourcesOf(settings); shares != nil {
		var err error
		if c, err = c.Failing(wiring.Failing{Sources: shares}); err != nil {
			return nil, err
		}
	}
	s, err := c.Solver(set)
	if err != nil {
		return nil, err
	}
	for _, k := range settings {
		if k.parameter == amplitude {
			continue
		}
		if err := s.Set(k.part, k.parameter, k.turned(k.by)); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// sample turns every knob at random.
func sample(list []knob, number int) []setting {
	settings := make([]setting, len(list))
	for i, k := range list {
		settings[i] = setting{k, k.draw(number)}
	}
	return settings
}

// alone turns one knob by one deviation.
func alone(k knob) []setting { return []setting{{k, 1}} }

// opposite turns the same knobs to the other side.
func opposite(list []setting) []setting {
	settings := slices.Clone(list)
	for i := range settings {
		settings[i].by = -settings[i].by
	}
	return settings
}

// together turns several knobs by one deviation each, to sides that are told by a
// number. Its effect squared is, on average, the sum of the squares of theirs.
func together(list []knob, number int) []setting {
	var settings []setting
	for _, k := range list {
		settings = append(settings, setting{k, k.sign(number)})
	}
	return slices.Clip(settings)
}
