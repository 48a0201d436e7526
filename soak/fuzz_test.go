package soak_test

import (
	"math"
	"reflect"
	"testing"

	"halfsplit/soak"
)

// noNaN returns the path of the first NaN in a value, or "".
func noNaN(v reflect.Value, path string) string {
	switch v.Kind() {
	case reflect.Float64:
		if math.IsNaN(v.Float()) {
			return path
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return noNaN(v.Elem(), path)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if p := noNaN(v.Field(i), path+"."+v.Type().Field(i).Name); p != "" {
				return p
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			if p := noNaN(v.Index(i), path+"[]"); p != "" {
				return p
			}
		}
	}
	return ""
}

// checkSane fails when an assessment holds a NaN or a chance outside [0, 1].
func checkSane(t interface{ Fatalf(string, ...any) }, a soak.Assessment) {
	if path := noNaN(reflect.ValueOf(a), "Assessment"); path != "" {
		t.Fatalf("%s is NaN in %+v", path, a)
	}
	proofs := []soak.Proof{a.Constant}
	if a.Weibull != nil {
		proofs = append(proofs, *a.Weibull)
	}
	for _, p := range proofs {
		for _, chance := range []float64{p.SurvivalIfUnrepaired, p.Fixed, p.NotFixed} {
			if chance < 0 || chance > 1 {
				t.Fatalf("chance %v in %+v", chance, p)
			}
		}
		for _, target := range p.Targets {
			for _, need := range []soak.Need{target.BySurvival, target.ByBelief} {
				if need.Total < 0 || need.Continuing < 0 || need.Restarting < 0 || need.OneMoreFailure < 0 {
					t.Fatalf("negative time in %+v", target)
				}
			}
		}
	}
}

// FuzzAssess feeds what anyone may type: it must end in an error or in an
// assessment without NaN.
func FuzzAssess(f *testing.F) {
	f.Add(30.0, 48.0, 45.0, 50.0, 20.0, 30.0, 0.7, 2.0, uint8(1))
	f.Add(0.0, math.NaN(), 1e12, -300.0, 1e-9, math.Inf(1), 1.0, 0.0, uint8(7))
	f.Add(1e12, 48.0, 1e-9, 48.0, 1e-9, 48.0, 0.0, 1e300, uint8(3))
	f.Add(30.0, 48.0, 30.0, 48.0, 30.0, 48.0, 1e-300, 2.0, uint8(15))
	f.Fuzz(func(t *testing.T, d1, t1, d2, t2, d3, t3, fixed, margin float64, flags uint8) {
		history := []soak.Run{
			{Duration: d1, Temperature: t1, Failed: flags&1 != 0},
			{Duration: d2, Temperature: t2, Failed: flags&2 != 0},
		}
		after := []soak.Run{
			{Duration: d3, Temperature: t3, Failed: flags&4 != 0},
			{Duration: d1, Temperature: t2},
		}
		given := soak.DefaultAssumptions(fixed)
		given.Margin = margin
		if flags&8 != 0 {
			given.Rate = soak.Gamma{}
		}
		a, err := soak.Assess(history, after, given)
		if err == nil {
			checkSane(t, a)
		}
	})
}
