package metrology

import "math"

// family is a group of loads with the same supply limits.
type family struct {
	name    string
	aliases []string
	rails   []Rail
}

// Sources of the table. "From memory" marks figures that were not seen in
// print.
const (
	fromSDLS025  = "recommended operating conditions, Texas Instruments SDLS025B (SN54LS00, SN74LS00), 2003"
	fromTTLBook  = "recommended operating conditions, Texas Instruments TTL data book, 1976 (from memory)"
	fromHarris   = "CD4000B series ratings, Harris, p. 5-3"
	fromCD4512   = "CD4512BC data sheet, Fairchild"
	fromCOSMOS   = "COS/MOS data book, A series, RCA, 1977 (from memory)"
	fromNTE2117  = "±10 %, data sheet of the NTE2117 (4116 type), NTE Electronics"
	fromNTE6664  = "±10 %, data sheet of the NTE6664 (4164 type), NTE Electronics"
	fromNTE21256 = "DC characteristics, data sheet of the NTE21256 (41256 type), NTE Electronics"
	fromNTE2114  = "recommended operating conditions, data sheet of the NTE2114, NTE Electronics"
	fromATX      = "ATX Power Supply Design Guide 0.9, Intel, Tables 3 and 8"
	fromATXTrip  = "ATX Power Supply Design Guide 0.9, Intel, Table 11"
	fromRS232    = "EIA-232-D requirements as quoted in the MC1488 data sheet, Motorola"
	fromPractice = "±5 % for op-amp rails: common practice, no source"
)

// families is the table of supply limits by load. Each call makes it anew, so
// that no caller can change it for another.
func families() []family {
	volts := func(low, high float64, source string) Limit { return Limit{Low: low, High: high, Source: source} }
	ripple := func(millivolts float64) Limit { return volts(math.Inf(-1), millivolts/1000, fromATX) }
	vcc := func(low, high, absolute float64, source string) []Rail {
		return []Rail{{Name: "VCC", Nominal: 5, Limit: volts(low, high, source), AbsoluteMaximum: absolute}}
	}
	vdd := func(low, high, absolute float64, source, note string) []Rail {
		return []Rail{{Name: "VDD", Limit: volts(low, high, source), AbsoluteMaximum: absolute, Note: note}}
	}
	return []family{
		{"TTL", []string{"LS TTL", "74LS", "SN74LS"}, vcc(4.75, 5.25, 7, fromSDLS025)},
		{"standard and Schottky TTL", []string{"standard TTL", "74", "SN74", "7400", "74S", "SN74S"}, vcc(4.75, 5.25, 7, fromTTLBook)},
		{"military TTL", []string{"54LS", "SN54LS"}, vcc(4.5, 5.5, 7, fromSDLS025)},
		{"military standard and Schottky TTL", []string{"54", "SN54", "5400", "54S", "SN54S"}, vcc(4.5, 5.5, 7, fromTTLBook)},
		{"advanced TTL", []string{"74ALS", "74F", "ALS", "FAST"}, vcc(4.5, 5.5, 0, fromTTLBook)},
		{"TTL-compatible CMOS", []string{"74HCT", "HCT"}, vcc(4.5, 5.5, 0, fromTTLBook)},
		{"high-speed CMOS", []string{"74HC", "74AC", "HC", "AC"}, vdd(2, 6, 0, fromTTLBook, "")},
		{"74C CMOS", []string{"74C"}, vdd(3, 15, 0, fromTTLBook, "")},
		{"CMOS 4000B", []string{"CMOS", "CMOS 4000", "4000B", "CD4000B"}, vdd(3, 15, 18, fromCD4512,
			"makers differ: this is the lower ceiling; others allow 18 V ("+fromHarris+"). Oscillators and linear use need 4 V or more.")},
		{"CMOS 4000B, 18 V", []string{"CD4000B 18 V"}, vdd(3, 18, 20, fromHarris, "")},
		{"CMOS 4000A", []string{"4000A", "CD4000A"}, vdd(3, 12, 15, fromCOSMOS, "the older series; do not run it at 15 V")},
		{"dynamic RAM 16K×1", []string{"4116", "16K dynamic RAM", "dynamic RAM 4116", "dynamic RAM", "DRAM"}, []Rail{
			{Name: "VDD", Nominal: 12, Limit: volts(10.8, 13.2, fromNTE2117)},
			{Name: "VCC", Nominal: 5, Limit: volts(4.5, 5.5, fromNTE2117)},
			{Name: "VBB", Nominal: -5, Limit: volts(-5.5, -4.5, fromNTE2117),
				Note: "must be there before VDD and stay until after it: without VBB the part is destroyed. One maker allows −5.7 V. Both from memory."},
		}},
		{"dynamic RAM 64K×1", []string{"4164", "6664", "64K dynamic RAM", "dynamic RAM 4164"}, vcc(4.5, 5.5, 0, fromNTE6664)},
		{"dynamic RAM 256K×1", []string{"41256", "256K dynamic RAM", "dynamic RAM 41256"}, vcc(4.5, 5.5, 0, fromNTE21256)},
		{"static RAM 1K×4", []string{"2114", "static RAM 2114"}, vcc(4.75, 5.25, 0, fromNTE2114)},
		{"RS-232 driver", []string{"RS-232", "EIA-232"}, []Rail{
			{Name: "space", Limit: volts(5, 15, fromRS232), Note: "output level into 3 to 7 kΩ"},
			{Name: "mark", Limit: volts(-15, -5, fromRS232), Note: "output level into 3 to 7 kΩ"},
		}},
		{"op-amp", []string{"op-amps", "analogue", "analog", "±15 V"}, []Rail{
			{Name: "+15 V", Nominal: 15, Limit: volts(14.25, 15.75, fromPractice), AbsoluteMaximum: 18, Note: "absolute maximum 18 V for the weakest common types, from memory"},
			{Name: "-15 V", Nominal: -15, Limit: volts(-15.75, -14.25, fromPractice), AbsoluteMaximum: 18, Note: "absolute maximum 18 V for the weakest common types, from memory"},
		}},
		{"ATX", nil, []Rail{
			{Name: "+12VDC", Nominal: 12, Limit: volts(11.4, 12.6, fromATX), Ripple: ripple(120), Trip: volts(13.4, 15.6, "ATX Power Supply Design Guide 0.9, Intel, Table 11 (upper end); a maker's owner manual (lower end)"), Note: "may reach ±10 % at peak load"},
			{Name: "+5VDC", Nominal: 5, Limit: volts(4.75, 5.25, fromATX), Ripple: ripple(50), Trip: volts(5.74, 7, fromATXTrip)},
			{Name: "+3.3VDC", Nominal: 3.3, Limit: volts(3.14, 3.47, fromATX), Ripple: ripple(50), Trip: volts(3.76, 4.3, fromATXTrip), Note: "±5 %, rounded; some documents say ±4 %"},
			{Name: "-5VDC", Nominal: -5, Limit: volts(-5.5, -4.5, fromATX), Ripple: ripple(100)},
			{Name: "-12VDC", Nominal: -12, Limit: volts(-13.2, -10.8, fromATX), Ripple: ripple(120)},
			{Name: "+5VSB", Nominal: 5, Limit: volts(4.75, 5.25, fromATX), Ripple: ripple(50)},
		}},
	}
}
