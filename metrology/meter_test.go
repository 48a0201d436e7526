package metrology_test

import (
	"math"
	"testing"

	"halfsplit/metrology"
)

// runMeasurement runs the meter, loading, waveform and verdict cases of
// testdata/measurement.yaml.
func runMeasurement(t *testing.T) {
	t.Helper()
	waves := map[string]metrology.Waveform{"sine": metrology.Sine(), "triangle": metrology.Triangle(), "square": metrology.Square()}
	loaded := func(source, meter, open float64) (reading float64, l metrology.Loading) {
		l = must(metrology.VoltmeterLoading(metrology.Resistance{Ohms: source}, metrology.Resistance{Ohms: meter}))
		return open * l.Ratio(), l
	}
	runTrade(t, "measurement.yaml", []method{
		{`meas-acc-(gvda\d|sanwa|bat|digitek|zero|neg|ohm|fluke5mV)`, func(c tradeCase) results {
			a := metrology.Accuracy{Range: 1e4, Resolution: c.si("resolution"), OfReading: c.si("percent"), Digits: c.si("counts")}
			x := c.si("reading")
			bound := a.Bound(x)
			return results{"uncertainty": bound, "low": x - bound, "high": x + bound}
		}},
		{`meas-acc-hioki`, func(c tradeCase) results {
			a := metrology.Accuracy{Range: c.si("range"), OfReading: c.si("percent_rdg"), OfRange: c.si("percent_fs") + c.si("extra_fs")}
			return results{"uncertainty": a.Bound(c.si("reading"))}
		}},
		// The probe is good to 0.55 K at 30 °C and 0.012 K more for each kelvin
		// away from it: a band of no width.
		{`meas-acc-hioki-temp`, func(c tradeCase) results {
			a := metrology.Accuracy{Range: 100, Fixed: 0.55, Tempco: 0.012 / 0.55, BandLow: 30, BandHigh: 30}
			return results{"uncertainty": a.BoundAt(0, c.si("t"))}
		}},
		// A copper winding's resistance referred to 20 °C, by a thermometer that
		// is out by dt.
		{`meas-acc-hioki-tc`, func(c tradeCase) results {
			alpha, reference, dt := c.si("alpha"), c.si("reference"), c.si("dt")
			p := must(metrology.Propagate(func(x []float64) float64 { return 1 / (1 + alpha*(x[0]-reference)) }, []metrology.Input{{Value: c.si("t"), U: dt}}, nil))
			change := p.Sensitivities[0] * dt / p.Value
			return results{"plus_dt_percent": change, "minus_dt_percent": -change}
		}},
		{`meas-counts-range`, func(c tradeCase) results {
			return results{"resolution": must(metrology.Resolution(c.si("range"), c.si("counts")))}
		}},
		{`meas-tempco-.*`, func(c tradeCase) results {
			a := metrology.Accuracy{Range: 1, OfReading: c.si("spec"), Tempco: c.si("coefficient_per_C"), BandLow: 18, BandHigh: 28}
			ambient := c.si("ambient")
			return results{"degrees_outside": a.Outside(ambient), "factor": a.BoundAt(1, ambient) / a.Bound(1), "accuracy": a.BoundAt(1, ambient)}
		}},
		{`meas-load-\d+-\d+`, func(c tradeCase) results {
			_, l := loaded(c.si("source_resistance"), c.si("meter"), 1)
			return results{"ratio": l.Ratio(), "error_percent": l.Error()}
		}},
		{`meas-load-divider`, func(c tradeCase) results {
			open, source, err := metrology.Divider(c.si("supply"), c.si("r_top"), c.si("r_bottom"))
			if err != nil {
				panic(err)
			}
			reading, l := loaded(source, c.si("meter"), open)
			return results{"true": open, "thevenin_r": source, "reading": reading, "error_percent": l.Error()}
		}},
		// An old meter's resistance is so many ohms for each volt of its range.
		{`meas-load-(analog|1000)`, func(c tradeCase) results {
			meter := c.si("sensitivity") * c.si("range")
			reading, _ := loaded(c.si("source_resistance"), meter, c.si("true"))
			return results{"meter_resistance": meter, "reading": reading}
		}},
		{`meas-load-undo`, func(c tradeCase) results {
			volts, ohms, err := metrology.SourceFromTwo(c.si("reading_1"), c.si("meter_1"), c.si("reading_2"), c.si("meter_2"))
			if err != nil {
				panic(err)
			}
			return results{"true": volts, "source_resistance": ohms}
		}},
		{`meas-shunt-.*`, func(c tradeCase) results {
			volts, watts := metrology.Burden(c.si("shunt"), c.si("current"))
			return results{"burden": volts, "power": watts}
		}},
		{`meas-burden-error`, func(c tradeCase) results {
			truth := c.si("supply") / c.si("load")
			l := must(metrology.BurdenLoading(metrology.Resistance{Ohms: c.si("meter_shunt")}, metrology.Resistance{Ohms: c.si("load")}))
			return results{"true_current": truth, "reading": truth * l.Ratio(), "error_percent": l.Error()}
		}},
		{`meas-lead-null`, func(c tradeCase) results {
			r := must(metrology.LeadCorrection(metrology.Resistance{Ohms: c.si("reading")}, metrology.Resistance{Ohms: c.si("leads")}))
			return results{"value": r.Ohms}
		}},
		{`meas-crest-pulse-.*`, func(c tradeCase) results {
			crest := must(metrology.PulseCrest(c.si("duty")))
			return results{"crest": crest, "rms_over_peak": 1 / crest}
		}},
		{`meas-pp-.*`, func(c tradeCase) results {
			return results{"rms": must(waves[c.text("wave")].FromPeakToPeak(c.si("pp")))}
		}},
		{`meas-avg-(square|triangle)`, func(c tradeCase) results {
			w := waves[c.ID[len("meas-avg-"):]]
			truth := c.si("peak") * w.RMSOverPeak()
			reading := truth * w.AverageMeterRatio
			return results{"true_rms": must(w.FromAverageReading(reading)), "reading": reading, "error_percent": reading/truth - 1}
		}},
		{`meas-acdc-rms`, func(c tradeCase) results {
			return results{"total": metrology.TotalRMS(c.si("dc"), c.si("ac_rms"))}
		}},
		{`meas-ripple-percent`, func(c tradeCase) results {
			return results{"percent_pp": must(metrology.Ripple(c.si("ripple_pp"), c.si("dc")))}
		}},
		{`meas-scope-rise`, func(c tradeCase) results {
			return results{"rise": must(metrology.RiseTime(c.si("bandwidth")))}
		}},
		{`meas-scope-combined`, func(c tradeCase) results {
			return results{"seen": metrology.Quadrature(c.si("signal"), c.si("scope"), c.si("probe"))}
		}},
		{`meas-dbm`, func(tradeCase) results {
			return results{"v600": must(metrology.LevelVolts(0, 600)), "v50": must(metrology.LevelVolts(0, 50))}
		}},
		{`meas-guard-.*`, func(c tradeCase) results {
			limit := metrology.Limit{Low: c.si("low"), High: c.si("high")}
			v := must(metrology.Judge(metrology.FromBound(c.si("reading"), c.si("uncertainty")), limit))
			words := map[metrology.Word]string{metrology.Within: "pass", metrology.WithinNear: "pass", metrology.TooClose: "inconclusive", metrology.Outside: "fail"}
			return results{"verdict": words[v.Word]}
		}},
		{`meas-rect`, func(c tradeCase) results {
			return results{"standard": metrology.Rectangular(c.si("limit"))}
		}},
		{`meas-product`, func(c tradeCase) results {
			inputs := []metrology.Input{{Value: c.si("u"), U: c.si("u_err")}, {Value: c.si("i"), U: c.si("i_err")}}
			p := must(metrology.Propagate(func(x []float64) float64 { return x[0] * x[1] }, inputs, nil))
			return results{"p": p.Value, "rss": p.U, "worst": p.Contributions[0] + p.Contributions[1] + inputs[0].U*inputs[1].U}
		}},
	}, nil)
}

// TestWaveformTable holds the wave factors against the table of
// testdata/measurement.yaml (derived; any textbook of measurement).
//
// Outside: wave factors, closed forms (any textbook of measurement). Within: 1e-14.
func TestWaveformTable(t *testing.T) {
	var file tradeFile
	load(t, "measurement.yaml", &file)
	waves := map[string]metrology.Waveform{
		"sine": metrology.Sine(), "square 50 %": metrology.Square(), "triangle or sawtooth": metrology.Triangle(),
		"half-wave sine": metrology.HalfWave(), "full-wave sine": metrology.FullWave(),
	}
	table := rows(t, file, "waveforms")
	if len(table) != len(waves) {
		t.Errorf("the table has %d waves and the package %d", len(table), len(waves))
	}
	for _, row := range table {
		name := row["wave"].(string)
		w, known := waves[name]
		if !known {
			t.Errorf("no factors for the wave %q", name)
			continue
		}
		got := map[string]float64{"crest": w.Crest, "form": w.Form, "rms_over_peak": w.RMSOverPeak(), "rms_over_pp": w.RMSOverPeakToPeak, "average_meter_over_true": w.AverageMeterRatio}
		for column, value := range got {
			want := 0.0 // not defined
			if row[column] != nil {
				want = must(number(row[column]))
			}
			if math.Abs(value-want) > 1e-14 {
				t.Errorf("%s of %s is %v, want %v", column, name, value, want)
			}
		}
	}
}
