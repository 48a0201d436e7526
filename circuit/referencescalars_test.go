package circuit

import (
	"fmt"
	"math"
	"math/cmplx"
)

// A special finds a value that the grammar has no expression for. The key is
// its name, or case/name where the same name means different things.
type special func(b *bench, e expectation) (float64, error)

// first passes on the first error.
func first(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// magnitude is |q| at a frequency.
func (b *bench) magnitude(q Quantity) func(float64) (float64, error) {
	return func(f float64) (float64, error) {
		z, err := b.phasor(q, f)
		return cmplx.Abs(z), err
	}
}

var scalars map[string]special

func init() {
	out := Voltage("out")
	ratio := func(a, c Quantity) special {
		return func(b *bench, _ expectation) (float64, error) {
			x, err1 := b.value(a, nil)
			y, err2 := b.value(c, nil)
			return x / y, first(err1, err2)
		}
	}
	cross := func(q Quantity, level float64, up bool) special {
		return func(b *bench, _ expectation) (float64, error) { return b.crossing(q, level, up) }
	}
	spell := func(part string, on bool) special {
		return func(b *bench, _ expectation) (float64, error) { return b.spell(part, on) }
	}
	pace := func(b *bench, _ expectation) (float64, error) {
		err := b.settle()
		if err != nil {
			return 0, err
		}
		return 1 / b.steady.Period, nil
	}
	extreme := func(low, high, sign float64) func(b *bench) (float64, error) {
		return func(b *bench) (float64, error) {
			f := b.magnitude(out)
			return peak(low, high, func(x float64) (float64, error) { v, err := f(x); return sign * v, err })
		}
	}
	where := func(f func(b *bench) (float64, error)) special {
		return func(b *bench, _ expectation) (float64, error) { return f(b) }
	}
	size := func(f func(b *bench) (float64, error)) special {
		return func(b *bench, _ expectation) (float64, error) {
			at, err := f(b)
			if err != nil {
				return 0, err
			}
			return b.magnitude(out)(at)
		}
	}
	rising := func(b *bench) (float64, error) { return b.threshold(0, 10, -5) }
	falling := func(b *bench) (float64, error) { return b.threshold(-5, 5, 9) }
	magnetising := func(pick func(Reading) float64) special {
		return func(b *bench, _ expectation) (float64, error) { return b.magnetising(pick) }
	}
	scalars = map[string]special{
		"reading_error": func(b *bench, _ expectation) (float64, error) {
			with, err1 := b.value(Voltage("mid"), nil)
			without, err2 := b.value(Voltage("mid"), map[string]any{"M1": "removed"})
			return with/without - 1, first(err1, err2)
		},
		"thevenin_ohms": func(b *bench, _ expectation) (float64, error) {
			loaded, err1 := b.value(Voltage("n3"), nil)
			free, err2 := b.value(Voltage("n3"), map[string]any{"RL": "removed"})
			return b.main("RL") * (free/loaded - 1), first(err1, err2)
		},
		"corner_hz": func(b *bench, _ expectation) (float64, error) {
			return bisect(1, 1e6, func(f float64) (float64, error) { m, err := b.magnitude(out)(f); return m - math.Sqrt(0.5), err })
		},
		"f0_hz": func(b *bench, _ expectation) (float64, error) {
			s, err := b.pole()
			return cmplx.Abs(s) / (2 * math.Pi), err
		},
		"q": func(b *bench, _ expectation) (float64, error) {
			s, err := b.pole()
			if imag(s) == 0 && err == nil { // two real poles
				list, err := b.poles()
				return math.Sqrt(real(list[0])*real(list[1])) / -(real(list[0]) + real(list[1])), err
			}
			return -cmplx.Abs(s) / (2 * real(s)), err
		},
		"ac-sallen-key-bp-ideal/f0_hz": func(b *bench, _ expectation) (float64, error) {
			list, err := b.poles()
			if err != nil || len(list) != 2 {
				return 0, fmt.Errorf("%d poles, %v", len(list), err)
			}
			return cmplx.Abs(cmplx.Sqrt(list[0]*list[1])) / (2 * math.Pi), nil
		},
		"ac-sallen-key-bp-ideal/peak_mag": size(extreme(1e4, 6e4, 1)),
		"ac-sallen-key-bp-1pole/peak_hz":  where(extreme(1e4, 6e4, 1)),
		"ac-sallen-key-bp-1pole/peak_mag": size(extreme(1e4, 6e4, 1)),
		"ac-series-rlc/peak_hz":           where(extreme(1e4, 2e4, 1)),
		"ac-series-rlc/peak_mag":          size(extreme(1e4, 2e4, 1)),
		"notch_hz":                        where(extreme(1400, 1700, -1)),
		"notch_mag":                       size(extreme(1400, 1700, -1)),
		"slowest_pole_real": func(b *bench, _ expectation) (float64, error) {
			list, err := b.poles()
			most := math.Inf(-1)
			for _, s := range list {
				most = max(most, real(s))
			}
			return most, err
		},
		"mutual_h": func(b *bench, _ expectation) (float64, error) {
			op, err := b.operating(nil)
			if err != nil {
				return 0, err
			}
			set := op.s.devices[op.s.deviceOf["K1"]].(*coupling).set
			return set.ratios[1][0] * set.own[0], nil // what one adds to the other, by way of their core
		},
		"t_cross_6v": cross(out, 6, true),
		"t_half":     cross(Voltage("n3"), 0.5, true),
		"t_dropout":  cross(Current("L1"), 0.025, false),
		"t_zero":     func(b *bench, _ expectation) (float64, error) { return b.turnedOff("D1", 0.01) },
		"t_off":      func(b *bench, _ expectation) (float64, error) { return b.turnedOff("D1", 0.0015) },
		"tr-rlc-step/t_peak": func(b *bench, _ expectation) (float64, error) {
			// The voltage of the capacitor is greatest as its current passes zero.
			return b.crossing(Current("L1"), 0, false)
		},
		"v_peak": func(b *bench, _ expectation) (float64, error) {
			tr, err := b.run(0)
			if err != nil {
				return 0, err
			}
			r, err := tr.Whole(out)
			return r.Max, err
		},
		"v_held": func(b *bench, _ expectation) (float64, error) { return b.timed(out, 1, 0.0015) },
		"i_peak": func(b *bench, _ expectation) (float64, error) {
			tr, err := b.run(0.0015)
			if err != nil {
				return 0, err
			}
			r, err := tr.Whole(Current("L1"))
			return r.Max, err
		},
		"forced_beta":       ratio(PinCurrent("Q1", "collector"), PinCurrent("Q1", "base")),
		"mirror_ratio":      ratio(PinCurrent("Q2", "collector"), Current("R1")),
		"threshold_rising":  where(rising),
		"threshold_falling": where(falling),
		"hysteresis": func(b *bench, _ expectation) (float64, error) {
			up, err1 := rising(b)
			down, err2 := falling(b)
			return up - down, first(err1, err2)
		},
		"theta1_deg": func(b *bench, _ expectation) (float64, error) { return b.angle(true) },
		"theta2_deg": func(b *bench, _ expectation) (float64, error) { return b.angle(false) },
		"i_turn_on": func(b *bench, _ expectation) (float64, error) {
			r, err := b.periodic(Current("D1"))
			return r.Max, err
		},
		"ripple_hz":                   func(b *bench, _ expectation) (float64, error) { return b.ripple() },
		"osc-opamp-relaxation/t_high": spell("U1", true),
		"osc-opamp-relaxation/t_low":  spell("U1", false),
		"osc-opamp-relaxation/duty":   duty("U1", true),
		"osc-555-astable/t_high":      spell("S1", false),
		"osc-555-astable/t_low":       spell("S1", true),
		"osc-555-astable/duty":        duty("S1", false),
		"osc-555-diode/t_high":        spell("S1", false),
		"osc-555-diode/t_low":         spell("S1", true),
		"osc-555-diode/duty":          duty("S1", false),
		"freq_hz":                     pace,
		"t_first": func(b *bench, _ expectation) (float64, error) {
			tr, err := b.run(0.01)
			if err != nil {
				return 0, err
			}
			if len(tr.Events) == 0 {
				return 0, fmt.Errorf("nothing happens")
			}
			return tr.Events[0].Time, nil
		},
		"blocking-converter/t_on":  spell("S1", true),
		"blocking-converter/t_off": spell("S1", false),
		"diode_duty": func(b *bench, _ expectation) (float64, error) {
			on, err := b.spell("D1", true)
			return on / b.steady.Period, err
		},
		"t_diode":       spell("D1", true),
		"critical_ohms": func(b *bench, _ expectation) (float64, error) { return b.critical() },
		"lossless_v(out)": func(b *bench, _ expectation) (float64, error) {
			return b.lossless()
		},
		"mean i_magnetising": magnetising(func(r Reading) float64 { return r.Mean }),
		"min i_magnetising":  magnetising(func(r Reading) float64 { return r.Min }),
		"max i_magnetising":  magnetising(func(r Reading) float64 { return r.Max }),
		"pp i_magnetising":   magnetising(func(r Reading) float64 { return r.PeakToPeak }),
		"scr_on": func(b *bench, e expectation) (float64, error) {
			op, err := b.inSequence(e.step)
			if err != nil {
				return 0, err
			}
			on, err := op.On("T1")
			return float64(b2i(on)), err
		},
		"trip_v1": func(b *bench, _ expectation) (float64, error) {
			return bisect(5, 20, func(v float64) (float64, error) {
				s, err := b.solver(map[string]any{"V1": v}, Settings{})
				if err != nil {
					return 0, err
				}
				op, err := s.OperatingPoint(background)
				if err != nil {
					return 0, err
				}
				on, err := op.On("T1")
				return float64(b2i(on)) - 0.5, err
			})
		},
	}
	for _, name := range []string{"mean", "sd", "kurtosis", "worst_low", "worst_high", "nominal", "sd_first_order"} {
		scalars[name] = func(b *bench, e expectation) (float64, error) { return b.statistic(e.of) }
	}
}
