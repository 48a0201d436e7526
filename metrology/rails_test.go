package metrology_test

import (
	"math"
	"strings"
	"testing"

	"halfsplit/metrology"
)

// rail returns a rail of a family by its name.
func rail(family, name string) metrology.Rail {
	for _, r := range must(metrology.FamilyLimits(family)) {
		if strings.HasPrefix(name, r.Name) {
			return r
		}
	}
	panic("no rail " + name + " in " + family)
}

// keeps reports whether a value without uncertainty is within limits.
func keeps(value float64, limit metrology.Limit) bool {
	v := must(metrology.Judge(metrology.FromBound(value, 0), limit))
	if v.Word == metrology.TooClose {
		panic("a value without uncertainty is too close to call")
	}
	return v.Word >= metrology.WithinNear
}

// runRails runs the rail, ripple, trip and level cases of
// testdata/supply-rails.yaml.
func runRails(t *testing.T) {
	t.Helper()
	const supply, trip = "the dynamic behaviour of a supply, not a limit of a reading", "the choice of trip resistors, not a limit of a reading"
	runTrade(t, "supply-rails.yaml", []method{
		{`rail-atx-(5|12|m5|m12|3p3|5sb)-\d+p\d+`, func(c tradeCase) results {
			r := rail("ATX", c.text("rail"))
			return results{"within": keeps(c.si("reading"), r.Limit), "deviation": must(metrology.Deviation(c.si("reading"), r.Nominal))}
		}},
		{`rail-ripple-.*`, func(c tradeCase) results {
			return results{"within": keeps(c.si("ripple_pp"), rail("ATX", c.text("rail")).Ripple)}
		}},
		{`rail-ovp-5-.*`, func(c tradeCase) results {
			return results{"verdict": must(metrology.TripState(c.si("reading"), rail("ATX", "+5VDC").Trip))}
		}},
		{`rail-4116-.*`, func(c tradeCase) results {
			return results{"within": keeps(c.si("reading"), rail("4116", c.text("rail")).Limit)}
		}},
		{`rail-ttl-\d\d-\dp\d+`, func(c tradeCase) results {
			return results{"within": keeps(c.si("vcc"), must(metrology.FamilyLimit(c.text("family"), 5)).Limit)}
		}},
		{`rail-ttl-level-.*`, func(c tradeCase) results {
			return results{"logic": must(metrology.LogicThresholds(c.text("family"), 5)).Level(c.si("level"))}
		}},
		{`rail-(ttl|ls)-margins`, func(c tradeCase) results {
			family := map[string]string{"rail-ttl-margins": "74", "rail-ls-margins": "74LS"}[c.ID]
			th := must(metrology.LogicThresholds(family, 5))
			if th.OutputHighMin != c.si("VOH") || th.InputHighMin != c.si("VIH") || th.InputLowMax != c.si("VIL") || th.OutputLowMax != c.si("VOL") {
				return results{"inputs differ from": th}
			}
			low, high := th.NoiseMargins()
			return results{"low": low, "high": high}
		}},
		{`rail-rs232-[pm]\d+p\d`, func(c tradeCase) results {
			level := metrology.ReceivedLevel(c.si("level"))
			r := results{"name": level, "data_bit": nil, "control": nil}
			if bit, ok := level.Bit(); ok {
				r["data_bit"], r["control"] = bit, map[int]string{0: "on", 1: "off"}[bit]
			}
			return r
		}},
		{`rail-rs232-margin`, func(c tradeCase) results {
			if c.si("driver") != metrology.SerialDriverMin || c.si("receiver") != metrology.SerialReceiverMin {
				return results{}
			}
			return results{"margin": metrology.SerialDriverMin - metrology.SerialReceiverMin}
		}},
		{`rail-15-.*`, func(c tradeCase) results {
			nominal := math.Copysign(15, c.si("reading"))
			return results{"within": keeps(c.si("reading"), must(metrology.FamilyLimit("op-amp", nominal)).Limit)}
		}},
		{`rail-scope-5V-crowbar`, func(c tradeCase) results {
			trip := must(metrology.FamilyLimit("ATX", c.si("rail"))).Trip
			return results{"trip": [2]float64{trip.Low, trip.High}}
		}},
	}, map[string]string{
		"rail-atx-short": supply, "rail-atx-transient": supply, "rail-atx-capload": supply,
		"rail-rs232-slew":          "the choice of a slew capacitor, not a limit of a reading",
		"rail-crowbar-mc3423-1200": trip, "rail-crowbar-mc3423-1500": trip, "rail-crowbar-mc3423-4700": trip, "rail-crowbar-tl431": trip,
	})
}

// TestRailTables holds the table of families against every row of limits in
// testdata/supply-rails.yaml, and checks that what the file marks as recalled
// is marked so here.
func TestRailTables(t *testing.T) {
	var file tradeFile
	load(t, "supply-rails.yaml", &file)
	same := func(t *testing.T, r metrology.Rail, row map[string]any, memory bool) {
		t.Helper()
		if r.Limit.Low != must(number(row["min_V"])) || r.Limit.High != must(number(row["max_V"])) {
			t.Errorf("%s %s runs from %g to %g V, want %v to %v", r.Family, r.Name, r.Limit.Low, r.Limit.High, row["min_V"], row["max_V"])
		}
		if fromMemory(r.Limit.Source) != memory {
			t.Errorf("%s %s: the source is %q; from memory: %v", r.Family, r.Name, r.Limit.Source, memory)
		}
		if row["abs_max_V"] != nil && r.AbsoluteMaximum != must(number(row["abs_max_V"])) {
			t.Errorf("%s: absolute maximum %g, want %v", r.Family, r.AbsoluteMaximum, row["abs_max_V"])
		}
	}
	// series takes the series number off an entry such as "SN54LSxx".
	series := func(entry string) string {
		name, _, _ := strings.Cut(entry, "xx")
		return name
	}

	t.Run("supplies", func(t *testing.T) {
		for _, row := range rows(t, file, "atx_rails") {
			r := rail("ATX", row["rail"].(string))
			same(t, r, row, false)
			if r.Nominal != must(number(row["nominal_V"])) || !near(r.Ripple.High, must(number(row["ripple_mVpp_max"]))/1000, 0) {
				t.Errorf("%s: nominal %g V, ripple %g V; want %v", r.Name, r.Nominal, r.Ripple.High, row)
			}
		}
	})
	t.Run("trips", func(t *testing.T) {
		for _, row := range rows(t, file, "atx_ovp") {
			trip := rail("ATX", row["rail"].(string)).Trip
			if row["min_V"] != nil && trip.Low != must(number(row["min_V"])) || trip.High != must(number(row["max_V"])) {
				t.Errorf("trip from %g to %g V, want %v", trip.Low, trip.High, row)
			}
		}
	})
	t.Run("TTL", func(t *testing.T) {
		for table, memory := range map[string]bool{"ttl_vcc": false, "ttl_vcc_standard": true} {
			for _, row := range rows(t, file, table) {
				same(t, must(metrology.FamilyLimit(series(row["family"].(string)), 5)), row, memory)
			}
		}
	})
	t.Run("other logic", func(t *testing.T) {
		for _, row := range rows(t, file, "ttl_vcc_others") {
			same(t, must(metrology.FamilyLimit(row["family"].(string), 5)), row, true)
		}
	})
	t.Run("CMOS", func(t *testing.T) {
		family := map[string]string{"CD4000B (Harris)": "CD4000B 18 V", "CD4000BC (Fairchild/National)": "CD4000B", "CD4000A (RCA, older)": "CD4000A"}
		for table, memory := range map[string]bool{"cmos_vdd": false, "cmos_vdd_a_series": true} {
			for _, row := range rows(t, file, table) {
				same(t, must(metrology.FamilyLimit(family[row["series"].(string)], 5)), row, memory)
			}
		}
	})
	t.Run("memory", func(t *testing.T) {
		for _, row := range rows(t, file, "dram_supply") {
			part, _, _ := strings.Cut(row["part"].(string), " ")
			part, _, _ = strings.Cut(part, "/")
			same(t, rail(part, row["rail"].(string)), row, false)
		}
		// The original makers' limits, from memory, are nowhere narrower.
		for _, row := range rows(t, file, "dram_supply_memory") {
			r := rail("4116", row["rail"].(string))
			if r.Limit.Low < must(number(row["min_V"])) || r.Limit.High > must(number(row["max_V"])) {
				t.Errorf("%s runs from %g to %g V, which %v does not allow", r.Name, r.Limit.Low, r.Limit.High, row)
			}
		}
	})
	t.Run("levels", func(t *testing.T) {
		for table, memory := range map[string]bool{"ttl_levels": false, "ttl_levels_standard": true} {
			for _, row := range rows(t, file, table) {
				family, _, _ := strings.Cut(row["family"].(string), " ")
				th := must(metrology.LogicThresholds(family, 5))
				for column, got := range map[string]float64{"VIH_min": th.InputHighMin, "VIL_max": th.InputLowMax, "VOH_min": th.OutputHighMin, "VOL_max": th.OutputLowMax} {
					if got != must(number(row[column])) {
						t.Errorf("%s of %s is %g, want %v", column, family, got, row[column])
					}
				}
				if fromMemory(th.Source) != memory {
					t.Errorf("%s: the source is %q; from memory: %v", family, th.Source, memory)
				}
			}
		}
		for _, row := range rows(t, file, "cmos_thresholds") {
			th := must(metrology.LogicThresholds("4000B", must(number(row["VDD"]))))
			low, high := th.NoiseMargins()
			margin := must(number(row["noise_margin"]))
			if th.InputLowMax != must(number(row["VIL_max"])) || th.InputHighMin != must(number(row["VIH_min"])) || low != margin || high != margin {
				t.Errorf("levels %+v with margins %g and %g; want %v", th, low, high, row)
			}
		}
	})
	t.Run("RS-232", func(t *testing.T) {
		got := map[string]float64{
			"driver_min_magnitude": metrology.SerialDriverMin, "receiver_threshold_magnitude": metrology.SerialReceiverMin,
			"receiver_input_max_magnitude": metrology.SerialReceiverMax, "driver_max_magnitude": rail("RS-232", "space").Limit.High,
		}
		seen := 0
		for _, row := range rows(t, file, "rs232") {
			if value, ours := got[row["item"].(string)]; ours {
				seen++
				if value != must(number(row["value"])) {
					t.Errorf("%v is %g, want %v", row["item"], value, row["value"])
				}
			}
		}
		if seen != len(got) {
			t.Errorf("%d of %d levels are in the table", seen, len(got))
		}
		if mark := rail("RS-232", "mark").Limit; mark.Low != -got["driver_max_magnitude"] || mark.High != -metrology.SerialDriverMin {
			t.Errorf("a mark runs from %g to %g V", mark.Low, mark.High)
		}
	})
	t.Run("analogue", func(t *testing.T) {
		for _, row := range rows(t, file, "analog15") {
			r := must(metrology.FamilyLimit("op-amp", must(number(row["nominal_V"]))))
			tolerance := must(number(row["tolerance_percent"])) / 100
			want := must(metrology.Tolerance(r.Nominal, tolerance, tolerance, ""))
			if !near(r.Limit.Low, want.Low, 0) || !near(r.Limit.High, want.High, 0) || !strings.Contains(r.Limit.Source, "no source") {
				t.Errorf("%s: %+v, want %v", r.Name, r.Limit, row)
			}
		}
	})
}
