package sheet_test

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"halfsplit/form"
	"halfsplit/quantity"
	"halfsplit/sheet"
	"halfsplit/signal"
)

// whole reads the sheet that has every section.
func whole(t testing.TB) *sheet.Sheet {
	t.Helper()
	s, err := sheet.Load("testdata/whole.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// texts gives the texts of words.
func texts(words []form.Word) []string {
	var list []string
	for _, w := range words {
		list = append(list, w.Text)
	}
	return list
}

// si gives values in SI units, to compare with what stands on the page.
func si(list ...*quantity.Quantity) []float64 {
	var values []float64
	for _, q := range list {
		values = append(values, q.Value)
	}
	return values
}

// Each section is read into the struct as it stands on the page.
func TestSections(t *testing.T) {
	s := whole(t)
	rail, tp1, screen := s.Rails[0], s.Points[0], s.Points[2]
	c1, r7 := s.Part("C1"), s.Part("R7")
	u4, clock, five := s.Block("U4"), s.Outside[1], s.Circuits[0].Value
	main, check, hazard, photo := s.Memories[0], s.Check("self-test"), s.Hazards[0], s.Photos[0]
	for _, c := range []struct {
		what      string
		got, want any
	}{
		{"version and file", []any{s.Version, s.File()}, []any{1, "testdata/whole.yaml"}},
		{"model", []any{s.Model.Name, s.Model.Maker, s.Model.Kind, s.Model.Year, s.Model.Papers, s.Model.Covers, s.Model.Note},
			[]any{"VT-9", "Ostrel", "display terminal", 1981, "schematic of the VT-8", "supply and memory", "heavy"}},
		{"model, values", si(s.Model.Mains, s.Model.Warm), []float64{230, 900}},
		{"rail, names", []any{rail.Name.Text, texts(rail.From), texts(rail.Through), rail.Note}, []any{"raw", []string{"mains", "secondary"}, []string{"F1", "D1"}, "hot"}},
		{"rail, values", si(rail.Nominal, rail.Load, rail.Least), []float64{9, 1.2, 0.2}},
		{"rail, limits", *rail.Limits.Interval, quantity.Interval{Low: 8, High: 11, Unit: quantity.Volt}},
		{"rail, ripple and trip", si(s.Rails[1].Ripple, s.Rails[1].Trip), []float64{0.05, 6.2}},
		{"rail, family and odds", []any{s.Rails[1].Family.Text, *s.Rails[1].Odds}, []any{"TTL", 2.0}},
		{"rail, tolerance", s.Rails[2].Limits.Around(-12), quantity.Interval{Low: -13.2, High: -10.8}},
		{"point, names", []any{tp1.Name.Text, tp1.Signal.Text, tp1.Twin.Text, tp1.Reach, tp1.Where, tp1.Note}, []any{"TP1", "+5", "TP2", sheet.ReachBoard, "left of U5", "small"}},
		{"point, values", si(tp1.Expect.Value, tp1.Ripple, tp1.Source, tp1.Time), []float64{5, 0.02, 100e3, 180}},
		{"point, limits", tp1.Limits.Around(5), quantity.Interval{Low: 4.75, High: 5.25}},
		{"point, word", []any{screen.Expect.Word, screen.Expect.Value == nil, screen.Reach.Minutes()}, []any{"steady picture", true, 0.5}},
		{"part, words", []any{c1.Kind.Text, c1.Date, c1.Near.Text, c1.Across.Text, *c1.Odds, c1.Where, c1.Note}, []any{"aluminium electrolytic", "8136", "R7", "raw", 3.0, "beside the fuse", "browned"}},
		{"part, values", si(c1.Quantity(), c1.ESR, c1.Leakage, c1.Age, c1.Replace, c1.Measure), []float64{2200e-6, 0.1, 1e-3, 42 * 365.25 * 86400, 1200, 480}},
		{"part, ratings beside the value", []float64{c1.Rating(quantity.Volt), c1.Rating(quantity.Celsius)}, []float64{25, 85}},
		{"part, tolerance beside the value", []any{r7.Quantity().Value, *r7.Tolerance}, []any{4.7, quantity.Tolerance{Low: -0.05, High: 0.05, Unit: quantity.Percent}}},
		{"part, ratings in a list", []float64{r7.Rating(quantity.Watt), r7.Rating(quantity.Celsius), r7.Power.Value}, []float64{5, 155, 5}},
		{"part, class", s.Part("C9").Class, "X2"},
		{"block, names", []any{u4.Kind.Text, texts(u4.Inputs), texts(u4.Outputs), texts(u4.Supply), u4.Twin.Text}, []any{"chip", []string{"clock", "+5"}, []string{"a0", "a1"}, []string{"+5", "-12"}, "U5"}},
		{"block, words", []any{u4.Does, u4.Type, u4.Board, u4.Where, u4.Note, *u4.Odds}, []any{"counts", "74161", "video board", "row 3", "socketed", 0.5}},
		{"block, times", si(u4.Replace, u4.Measure), []float64{1500, 600}},
		{"block, parts", texts(s.Block("U5").Parts), []string{"R7"}},
		{"outside in short", []any{s.Outside[0].Signal.Text, s.Outside[0].Kind.Text, s.Outside[0].Place.Line}, []any{"mains", "", 26}},
		{"outside in full", []any{clock.Signal.Text, clock.Kind.Text, *clock.Odds, clock.Note}, []any{"clock", "oscillator", 0.5, "from the other board"}},
		{"circuit", []any{s.Circuits[0].Key.Text, five.Ground.Text, texts(five.Reach), five.Note, len(five.Parts)}, []any{"plus five", "gnd", []string{"sense"}, "divider", 3}},
		{"circuit, part", []any{texts(five.Parts[1].Nodes), five.Parts[1].Quantity().Value, five.Parts[1].Tolerance.High}, []any{[]string{"+5", "sense"}, 4700.0, 0.02}},
		{"circuit, settings", five.Parts[0].Settings.Keys(), []string{"source resistance", "rise"}},
		{"memory", []any{main.Name.Text, main.ChipKind(), main.Type, texts(main.Inputs), texts(main.Supply)}, []any{"main", "static ram", "1K×4", []string{"a0", "a1"}, []string{"+5"}}},
		{"bank", []any{main.Banks[1].Name.Text, main.Banks[1].From.Text, main.Banks[1].To.Text, texts(main.Banks[1].Chips)}, []any{"1", "$4000", "0x7fff", []string{"U12", "U13"}}},
		{"check", []any{check.Ask, texts(check.Answers), check.Time.Value}, []any{"What does the screen say?", []string{"passes", "RAM error", "blank"}, 60.0}},
		{"check, cause", []any{texts(check.Causes[0].If), check.Causes[0].Then.Keys(), check.Causes[0].Then[0].Value.Value}, []any{[]string{"U10", "U11 output stuck low"}, []string{"RAM error", "blank"}, 0.9}},
		{"check, otherwise", []any{check.Otherwise.Keys(), check.Otherwise[1].Value.Value}, []any{[]string{"passes", "RAM error", "blank"}, 0.02}},
		{"hazard", []any{hazard.Name.Text, hazard.Kind, hazard.Before, hazard.Where, hazard.Do}, []any{"reservoir", sheet.HazardKind("stored energy"), sheet.GateProbe, "C1", "wait"}},
		{"hazard, values", si(hazard.Capacity, hazard.Voltage, hazard.Bleeder), []float64{2200e-6, 325, 220e3}},
		{"photo", []any{photo.File.Text, photo.What, photo.Spots[0].Name.Text, photo.Spots[0].X, photo.Spots[0].Y}, []any{"board.jpg", "supply board", "C1", 0.42, 0.17}},
	} {
		if diff := cmp.Diff(c.want, c.got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.what, diff)
		}
	}
}

func TestFind(t *testing.T) {
	s := whole(t)
	for _, c := range []struct {
		what      string
		got, want any
	}{
		{"signals", s.Signals(), []string{"+5", "-12", "a0", "a1", "clock", "main bank 0 bit 0", "main bank 0 bit 1", "main bank 1 bit 0", "main bank 1 bit 1", "mains", "picture", "raw", "secondary", "video"}},
		{"items", s.Items(), []string{"U4", "U5", "tube", "T1", "F1", "D1", "C1", "R7", "C9", "U10", "U11", "U12", "U13", "V1", "R1", "R2"}},
		{"kinds", []string{s.KindOf("U5"), s.KindOf("C1"), s.KindOf("U12"), s.KindOf("R2"), s.KindOf("U99")}, []string{"multiplexer", "aluminium electrolytic", "static ram", "resistor", ""}},
		{"a part of a circuit", s.Part("R2").Name.Text, "R2"},
		{"points of a signal", len(s.PointsOf("+5")), 1},
		{"a point named like its signal", s.SignalOf(s.Point("main bank 0 bit 1")), "main bank 0 bit 1"},
		{"unknown names", []bool{s.Rail("x") == nil, s.Point("x") == nil, s.Part("x") == nil, s.Block("x") == nil, s.Check("x") == nil, s.PointsOf("x") == nil}, []bool{true, true, true, true, true, true}},
		{"names that halfsplit makes", []string{sheet.SourceOf("+5"), sheet.BitSignal("main", "0", 7)}, []string{"source of +5", "main bank 0 bit 7"}},
		{"a memory's usual chip", (&sheet.Memory{}).ChipKind(), "dynamic ram"},
		{"a rating that is not given", math.IsNaN(s.Part("D1").Rating(quantity.Volt)), true},
	} {
		if diff := cmp.Diff(c.want, c.got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.what, diff)
		}
	}
}

// The limits of a part follow from its tolerance, or else from that of its
// kind: electrolytics from −20 to +50 % (IEC 60062, letter S), others ±5, ±10
// or ±20 % (common practice, no source).
func TestPartLimits(t *testing.T) {
	s := read(t, `sheet: 1
parts:
  - {part: C1, kind: electrolytic, value: 100u}
  - {part: C2, kind: tantalum, value: 10u}
  - {part: C3, kind: film, value: 10n}
  - {part: R1, kind: resistor, value: 1k}
  - {part: R2, kind: resistor, value: 1k ±1 %}
  - {part: R3, kind: resistor, value: 1k, tolerance: ±50 ohm}
  - {part: U1, kind: regulator, value: -12 V}
  - {part: Q1, kind: transistor}
`)
	for name, want := range map[string]quantity.Interval{
		"C1": {Low: 80e-6, High: 150e-6, Unit: quantity.Farad},
		"C2": {Low: 8e-6, High: 12e-6, Unit: quantity.Farad},
		"C3": {Low: 9e-9, High: 11e-9, Unit: quantity.Farad},
		"R1": {Low: 950, High: 1050, Unit: quantity.Ohm},
		"R2": {Low: 990, High: 1010, Unit: quantity.Ohm},
		"R3": {Low: 950, High: 1050, Unit: quantity.Ohm},
		"U1": {Low: -13.2, High: -10.8, Unit: quantity.Volt},
	} {
		nominal, got, ok := s.Part(name).Limits()
		if !ok || got != want || nominal != s.Part(name).Quantity().Value {
			t.Errorf("%s: %v about %v, %v; want %v", name, got, nominal, ok, want)
		}
	}
	if _, _, ok := s.Part("Q1").Limits(); ok {
		t.Error("a part without a value has limits")
	}
}

// read reads a sheet that is without fault.
func read(t testing.TB, text string) *sheet.Sheet {
	t.Helper()
	s, err := sheet.Parse("sheet.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Causes are read by the longest name that fits; a part that stands alone is
// meant as the part, and what follows a signal is a state in any of its words.
func TestCause(t *testing.T) {
	s := read(t, `sheet: 1
outside: [video, video out, U7 output, clock]
rails:
  - {rail: "+5"}
parts:
  - {part: C1, kind: electrolytic, across: "+5"}
blocks:
  - {block: U7, kind: chip, out: data}
  - {block: clock, kind: oscillator, out: ticks}
  - {block: joint of D3, kind: joint, out: rectified}
memories:
  - {memory: main, banks: [{bank: 0, chips: [U10, U11]}]}
circuits:
  a: {ground: gnd, parts: [{part: R1, kind: resistor, nodes: ["+5", gnd]}, {part: R2, kind: resistor, nodes: ["+5", gnd]}]}
`)
	for text, want := range map[string]sheet.Cause{
		"U7":                     {Item: "U7"},
		"U7 output stuck low":    {Signal: "U7 output", State: signal.StuckLow}, // the longer name
		"U7 output stuck high":   {Signal: "U7 output", State: signal.StuckHigh},
		"U7 works wrongly":       {Item: "U7", Mode: "works wrongly"},
		"U7 output open":         {Signal: "U7 output", State: signal.Floating},
		"U7 output clamped":      {Signal: "U7 output", State: signal.Clamped},
		"U10":                    {Item: "U10"},
		"U11 output stuck low":   {Item: "U11", Mode: "output stuck low"},
		"R1 drifted high":        {Item: "R1", Mode: "drifted high"},
		"C1 shorted":             {Item: "C1", Mode: "shorted"},
		"joint of D3":            {Item: "joint of D3"},
		"joint of D3 open":       {Item: "joint of D3", Mode: "open"},
		"video":                  {Signal: "video", Bad: true},
		"video bad":              {Signal: "video", Bad: true},
		"video faulty":           {Signal: "video", Bad: true},
		"video absent":           {Signal: "video", State: signal.Absent},
		"video missing":          {Signal: "video", State: signal.Absent},
		"video out":              {Signal: "video out", Bad: true},
		"video out held low":     {Signal: "video out", State: signal.StuckLow},
		"video good":             {Signal: "video", State: signal.Good},
		"video hum":              {Signal: "video", State: signal.Noisy},
		"+5 bad":                 {Signal: "+5", Bad: true},
		"+5 low":                 {Signal: "+5", State: signal.Low},
		"+5 too high":            {Signal: "+5", State: signal.High},
		"main bank 0 bit 1":      {Signal: "main bank 0 bit 1", Bad: true},
		"main bank 0 bit 1 idle": {},
		"clock":                  {Item: "clock"}, // the block, not the signal
		"clock absent":           {Signal: "clock", State: signal.Absent},
		"clock wrong rate":       {Signal: "clock", State: signal.Wrong},
		"clock does not start":   {Item: "clock", Mode: "does not start"}, // no state, but a mode
		"":                       {},
		"U7 explodes":            {},
		"C1 short":               {},
		"video upside down":      {},
		"videos absent":          {},
		"U1":                     {},
		" U7":                    {},
	} {
		got, err := s.Cause(text)
		if bad := want == (sheet.Cause{}); got != want || (err != nil) != bad {
			t.Errorf("%q: %+v, refused: %v; want %+v", text, got, err != nil, want)
		}
	}
}

// Every reach has its time, and only what is never reached has none.
func TestReach(t *testing.T) {
	for _, word := range sheet.ReachEasy.Words() {
		if minutes := sheet.Reach(word).Minutes(); (minutes > 0) == (word == string(sheet.ReachNone)) {
			t.Errorf("%s: %v min", word, minutes)
		}
	}
	if !slices.Contains(sheet.ReachEasy.Words(), "board out") || sheet.Reach("").Minutes() != sheet.ReachEasy.Minutes() {
		t.Error("reaches")
	}
}
