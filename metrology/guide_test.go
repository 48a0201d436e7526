package metrology_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"halfsplit/metrology"
)

// guideCase is one case of uncertainty-conformity.yaml.
type guideCase struct {
	ID       string            `yaml:"id"`
	Checks   string            `yaml:"checks"`
	Method   string            `yaml:"method"`
	Inputs   guideInputs       `yaml:"inputs"`
	Units    map[string]string `yaml:"units"`
	Expected map[string]struct {
		Value      *float64  `yaml:"value"`
		Values     []float64 `yaml:"values"`
		AbsTol     float64   `yaml:"abs_tol"`
		RelTol     float64   `yaml:"rel_tol"`
		Recomputed *float64  `yaml:"recomputed"`
	} `yaml:"expected"`
	Source          map[string]any `yaml:"source"`
	How             string         `yaml:"how"`
	Verified        bool           `yaml:"verified"`
	TranscribedFrom string         `yaml:"transcribed_from"`
	Note            string         `yaml:"note"`
}

type guideInputs map[string]any

// f returns a number among the inputs.
func (in guideInputs) f(name string) float64 { return must(number(in[name])) }

// list returns a list of numbers among the inputs.
func (in guideInputs) list(name string) []float64 {
	var list []float64
	for _, v := range in[name].([]any) {
		list = append(list, must(number(v)))
	}
	return list
}

// limit returns the tolerance limits among the inputs; a missing side is free.
func (in guideInputs) limit() metrology.Limit {
	l := metrology.Limit{Low: math.Inf(-1), High: math.Inf(1)}
	if _, ok := in["lower"]; ok {
		l.Low = in.f("lower")
	}
	if _, ok := in["upper"]; ok {
		l.High = in.f("upper")
	}
	return l
}

// one wraps a single result; several results are lists already.
func one(v float64) []float64 { return []float64{v} }

// guideMethods calculates the results of each method of the cases.
var guideMethods = map[string]func(in guideInputs) map[string][]float64{
	"gum_voltmeter":       voltmeterTypeB,
	"gum_h1":              endGauge,
	"gum_h2":              impedance,
	"gum_h3":              thermometer,
	"gum_h5":              zenerVariance,
	"welch_satterthwaite": effectiveFreedom,
	"correlated_sum":      resistorsInSeries,
	"t_factor": func(in guideInputs) map[string][]float64 {
		return map[string][]float64{"k": one(must(metrology.CoverageFactor(in.f("level"), in.f("dof"))))}
	},
	"type_b": func(in guideInputs) map[string][]float64 {
		shapes := map[string]func(float64) float64{"rectangular": metrology.Rectangular, "triangular": metrology.Triangular, "arcsine": metrology.Arcsine}
		return map[string][]float64{"u": one(shapes[in["shape"].(string)](in.f("half_width")))}
	},
	"dmm_budget":       multimeterBudget,
	"ratio_correlated": gainByOneMeter,
	"p_conform": func(in guideInputs) map[string][]float64 {
		c := must(metrology.Conform(metrology.Estimate{Value: in.f("y"), U: in.f("u")}, in.limit()))
		return map[string][]float64{"p_conform": one(c.Conforming)}
	},
	"norm_quantile": func(in guideInputs) map[string][]float64 {
		return map[string][]float64{"z": one(must(metrology.MarginFactor(in.f("p"))))}
	},
	"guard_band_risk": func(in guideInputs) map[string][]float64 {
		return map[string][]float64{"max_risk": one(must(metrology.GuardBandRisk(in.f("r"), in.f("k"))))}
	},
	"guard_band_r": func(in guideInputs) map[string][]float64 {
		return map[string][]float64{"r": one(must(metrology.GuardBandFactor(in.f("max_risk"), in.f("k"))))}
	},
	"global_risk": func(in guideInputs) map[string][]float64 {
		half := func(name string) metrology.Limit { return metrology.Limit{Low: -in.f(name), High: in.f(name)} }
		r := must(metrology.GlobalRisks(metrology.Prior{Deviation: in.f("process_sd")}, in.f("measurement_u"), half("tolerance_half"), half("acceptance_half")))
		return map[string][]float64{"nonconforming_fraction": one(r.Nonconforming), "consumer_risk": one(r.Consumer), "producer_risk": one(r.Producer)}
	},
	"specific_with_prior": func(in guideInputs) map[string][]float64 {
		e := metrology.Estimate{Value: in.f("reading"), U: in.f("measurement_u")}
		e = must(e.WithPrior(metrology.Prior{Mean: in.f("process_mean"), Deviation: in.f("process_sd")}))
		return map[string][]float64{"post_mean": one(e.Value), "post_sd": one(e.U), "p_conform": one(must(metrology.Conform(e, in.limit())).Conforming)}
	},
}

// runGuide runs every worked case of JCGM 100, JCGM 106 and the multimeter
// budgets in testdata/uncertainty-conformity.yaml. A case whose method is not
// calculated here, or an expected figure that is not given, fails.
func runGuide(t *testing.T) {
	t.Helper()
	var file struct {
		Cases []guideCase `yaml:"cases"`
	}
	load(t, "uncertainty-conformity.yaml", &file)
	used := map[string]bool{}
	for _, c := range file.Cases {
		t.Run(c.ID, func(t *testing.T) {
			method, known := guideMethods[c.Method]
			if !known {
				t.Fatalf("no calculation for method %q", c.Method)
			}
			used[c.Method] = true
			results := method(c.Inputs)
			if len(c.Expected) == 0 {
				t.Fatal("the case expects nothing")
			}
			for name, want := range c.Expected {
				got, given := results[name]
				values := want.Values
				if want.Value != nil {
					values = one(*want.Value)
				}
				if !given || len(got) != len(values) {
					t.Errorf("%s: got %v, want %v", name, got, values)
					continue
				}
				for i, value := range values {
					if !near(got[i], value, want.AbsTol+want.RelTol*math.Abs(value)) {
						t.Errorf("%s[%d] = %.12g, published %.12g", name, i, got[i], value)
					}
				}
				if want.Recomputed != nil && !near(got[0], *want.Recomputed, 1e-6*math.Abs(*want.Recomputed)) {
					t.Errorf("%s = %.12g, recomputed %.12g", name, got[0], *want.Recomputed)
				}
			}
		})
	}
	for method := range guideMethods {
		if !used[method] {
			t.Errorf("method %q is calculated here and no case asks for it", method)
		}
	}
	if len(file.Cases) < 41 {
		t.Errorf("%d cases; the file had 41", len(file.Cases))
	}
}

// voltmeterTypeB: a mean of readings with a voltmeter of which the maker
// gives parts of reading and of range (JCGM 100, 4.3.7 example 2 and 5.1.5).
func voltmeterTypeB(in guideInputs) map[string][]float64 {
	a := metrology.Accuracy{Range: in.f("range"), OfReading: in.f("spec_rel_reading"), OfRange: in.f("spec_rel_range")}
	half := a.Bound(in.f("mean_reading"))
	u, _, err := metrology.Combine(metrology.Component{U: metrology.Rectangular(half)}, metrology.Component{U: in.f("u_type_a")})
	if err != nil {
		panic(err)
	}
	return map[string][]float64{"half_width": one(half), "u_type_b": one(metrology.Rectangular(half)), "u_combined": one(u), "u_relative": one(u / in.f("mean_reading"))}
}

// endGauge: the length of an end gauge by comparison (JCGM 100, H.1), with
// l = ls + d − ls(δα·θ + αs·δθ).
func endGauge(in guideInputs) map[string][]float64 {
	model := func(x []float64) float64 { return x[0] + x[1] - x[0]*(x[4]*x[3]+x[2]*x[5]) }
	inputs := []metrology.Input{
		{Value: in.f("ls"), U: in.f("u_ls"), DOF: in.f("dof_ls")},
		{Value: in.f("d"), U: in.f("u_d"), DOF: in.f("dof_d")},
		{Value: in.f("alpha_s"), U: in.f("u_alpha_s")},
		{Value: in.f("theta"), U: in.f("u_theta")},
		{Value: in.f("dalpha"), U: in.f("u_dalpha"), DOF: in.f("dof_dalpha")},
		{Value: in.f("dtheta"), U: in.f("u_dtheta"), DOF: in.f("dof_dtheta")},
	}
	p := must(metrology.Propagate(model, inputs, nil))
	k, expanded, err := metrology.Expand(p.U, p.DOF, in.f("level"))
	if err != nil {
		panic(err)
	}
	second := must(metrology.SecondOrder(model, inputs))
	return map[string][]float64{
		"length": one(p.Value), "contrib_dtheta": one(p.Contributions[5]), "contrib_dalpha": one(p.Contributions[4]),
		"u_c": one(p.U), "dof_eff": one(p.DOF), "k": one(k), "U": one(expanded), "u_c_second_order": one(math.Sqrt(p.U*p.U + second)),
	}
}

// impedance: resistance, reactance and impedance from voltage, current and
// phase read together (JCGM 100, H.2).
func impedance(in guideInputs) map[string][]float64 {
	inputs, r, err := metrology.Simultaneous(in.list("voltage"), in.list("current"), in.list("phase"))
	if err != nil {
		panic(err)
	}
	u := []float64{inputs[0].U, inputs[1].U, inputs[2].U}
	resistance := must(metrology.Propagate(func(x []float64) float64 { return x[0] / x[1] * math.Cos(x[2]) }, inputs, r))
	reactance := must(metrology.Propagate(func(x []float64) float64 { return x[0] / x[1] * math.Sin(x[2]) }, inputs, r))
	size := must(metrology.Propagate(func(x []float64) float64 { return x[0] / x[1] }, inputs, r))
	between := func(a, b metrology.Propagated) []float64 {
		return one(must(metrology.Covariance(a.Sensitivities, b.Sensitivities, u, r)) / a.U / b.U)
	}
	return map[string][]float64{
		"u_V": one(u[0]), "u_I": one(u[1]), "u_phi": one(u[2]),
		"r_VI": one(r[0][1]), "r_Vphi": one(r[0][2]), "r_Iphi": one(r[1][2]),
		"R": one(resistance.Value), "X": one(reactance.Value), "Z": one(size.Value),
		"u_R": one(resistance.U), "u_X": one(reactance.U), "u_Z": one(size.U),
		"r_RX": between(resistance, reactance), "r_RZ": between(resistance, size), "r_XZ": between(reactance, size),
	}
}

// thermometer: a calibration line and the correction far beyond its points
// (JCGM 100, H.3).
func thermometer(in guideInputs) map[string][]float64 {
	line := must(metrology.FitCalibration(in.list("t"), in.list("b"), in.f("t_ref")))
	at := line.Correction(in.f("t_predict"))
	return map[string][]float64{
		"y1": one(line.Intercept), "y2": one(line.Slope), "u_y1": one(line.UIntercept), "u_y2": one(line.USlope),
		"r": one(line.Correlation), "s": one(line.Deviation), "b_predict": one(at.Value), "u_predict": one(at.U),
	}
}

// zenerVariance: does a voltage standard change from day to day? (JCGM 100,
// H.5: analysis of variance.)
func zenerVariance(in guideInputs) map[string][]float64 {
	perDay := in.f("per_day")
	days := must(metrology.TypeA(in.list("daily_mean")))
	var groups []metrology.Repeats
	for _, s := range in.list("daily_sd") {
		groups = append(groups, metrology.Repeats{Deviation: s, DOF: perDay - 1})
	}
	within, dofWithin, err := metrology.Pooled(groups...)
	if err != nil {
		panic(err)
	}
	between := math.Sqrt(perDay) * days.Deviation
	f := distuv.F{D1: days.DOF, D2: dofWithin}
	return map[string][]float64{
		"mean": one(days.Mean), "sd_of_means": one(days.Deviation), "u_mean": one(days.U),
		"within_sd": one(within), "between_sd": one(between), "F": one(between * between / (within * within)),
		"F_crit_95": one(f.Quantile(0.95)), "F_crit_975": one(f.Quantile(0.975)),
	}
}

// effectiveFreedom: Welch–Satterthwaite (JCGM 100, G.4.1).
func effectiveFreedom(in guideInputs) map[string][]float64 {
	dof := in.list("dof")
	var parts []metrology.Component
	for i, u := range in.list("u") {
		parts = append(parts, metrology.Component{U: u, DOF: dof[i]})
	}
	u, nu, err := metrology.Combine(parts...)
	if err != nil {
		panic(err)
	}
	k, expanded, err := metrology.Expand(u, nu, in.f("level"))
	if err != nil {
		panic(err)
	}
	return map[string][]float64{"u_c": one(u), "dof_eff": one(nu), "k": one(k), "U": one(expanded)}
}

// resistorsInSeries: ten resistors measured against one standard, whose
// errors add up instead of averaging out (JCGM 100, 5.2.2).
func resistorsInSeries(in guideInputs) map[string][]float64 {
	n := int(in.f("n"))
	inputs := slices.Repeat([]metrology.Input{{Value: in.f("value"), U: in.f("u_each")}}, n)
	r := make(metrology.Correlation, n)
	for i := range r {
		r[i] = slices.Repeat([]float64{in.f("correlation")}, n)
		r[i][i] = 1
	}
	sum := func(x []float64) float64 {
		total := 0.0
		for _, v := range x {
			total += v
		}
		return total
	}
	p := must(metrology.Propagate(sum, inputs, r))
	return map[string][]float64{"total": one(p.Value), "u_total": one(p.U), "u_if_independent": one(must(metrology.Propagate(sum, inputs, nil)).U)}
}

// multimeterBudget: five readings with a meter of 0.5 % + 2 digits.
func multimeterBudget(in guideInputs) map[string][]float64 {
	meter := metrology.Instrument{Name: "meter of the case", Ranges: map[metrology.Function][]metrology.Accuracy{
		metrology.DCVolts: {{Range: 20, Resolution: in.f("resolution"), OfReading: in.f("acc_rel"), Digits: in.f("acc_digits")}},
	}}
	m := must(meter.Evaluate(metrology.Reading{Function: metrology.DCVolts, Values: in.list("readings")}))
	results := map[string][]float64{"mean": one(m.Value)}
	for _, c := range m.Components {
		name, known := map[metrology.Origin]string{metrology.FromInstrument: "u_acc", metrology.FromDisplay: "u_res", metrology.FromRepeats: "u_a"}[c.Origin]
		if !known {
			panic(fmt.Sprintf("a component of origin %s in a plain budget", c.Origin))
		}
		results[name] = one(c.U)
	}
	e := must(m.Estimate())
	results["u_c"], results["dof_eff"], results["U_k2"] = one(e.U), one(e.DOF), one(2*e.U)
	return results
}

// gainByOneMeter: a gain whose two voltages share the scale error of one
// meter, so that it cancels (JCGM 100, 5.2).
func gainByOneMeter(in guideInputs) map[string][]float64 {
	inputs := []metrology.Input{{Value: in.f("v_out"), U: in.f("u_out")}, {Value: in.f("v_in"), U: in.f("u_in")}}
	results := map[string][]float64{}
	for _, r := range in.list("correlations") {
		p := must(metrology.Propagate(func(x []float64) float64 { return x[0] / x[1] }, inputs, metrology.Correlation{{1, r}, {r, 1}}))
		results["gain"] = one(p.Value)
		results["u_gain"] = append(results["u_gain"], p.U)
	}
	return results
}
