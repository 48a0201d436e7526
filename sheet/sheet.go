package sheet

import (
	"halfsplit/form"
	"halfsplit/quantity"
)

// Version is the version of the format that this package reads.
const Version = 1

// Sheet is a service sheet.
type Sheet struct {
	_ struct{} `doc:"A service sheet describes a model of equipment, or the corner of it that is known. Every section but the first line may be left out."`

	Version  int                  `form:"sheet,required" like:"1" doc:"Version of the format: 1."`
	Model    Model                `form:"model" doc:"What the sheet is about."`
	Rails    []Rail               `form:"rails" doc:"Supply rails and the power tree."`
	Points   []Point              `form:"testpoints" doc:"Where one can look or probe, and what should be seen there."`
	Parts    []Part               `form:"parts" doc:"Parts with their values and where they sit."`
	Blocks   []Block              `form:"blocks" doc:"Signal flow: everything that has an output."`
	Outside  []Outside            `form:"outside,lone" doc:"Signals that come from outside the described corner."`
	Circuits form.Pairs[*Circuit] `form:"circuits" doc:"Circuits: lists of parts between named nodes, by name."`
	Memories []Memory             `form:"memories" doc:"Memory arrays: which chip holds which bit."`
	Checks   []Check              `form:"checks" doc:"Observations that follow from faults by a table: self-tests, lamps, beeps."`
	Hazards  []Hazard             `form:"hazards" doc:"What can hurt, and what to do before it does."`
	Photos   []Photo              `form:"photos" doc:"Board pictures with spots on them."`
	Place    form.Place           `form:"-"`

	file string
}

// Begins says how a sheet begins, for the message about an empty file.
func (*Sheet) Begins() string { return `a service sheet begins with the line "sheet: 1"` }

// File is the name under which the sheet was read.
func (s *Sheet) File() string { return s.file }

// Model says what unit a sheet is about.
type Model struct {
	_ struct{} `doc:"The model of equipment."`

	Name   string             `form:"name" like:"VT-9" doc:"Model name or number."`
	Maker  string             `form:"maker" like:"Ostrel" doc:"Maker."`
	Kind   string             `form:"kind" like:"display terminal" doc:"What it is."`
	Year   int                `form:"year" like:"1981" doc:"Year of make, or the first year of the model."`
	Mains  *quantity.Quantity `form:"mains" unit:"V" like:"230 V" doc:"Mains voltage it is made for."`
	Cycles *quantity.Quantity `form:"frequency" unit:"Hz" like:"50 Hz" doc:"Mains frequency; 50 Hz when not given."`
	Power  *quantity.Quantity `form:"power" unit:"W" like:"60 W" doc:"What it takes from the mains in normal use."`
	Class  Protection         `form:"protection" doc:"How it protects those who touch it: earthed, earthed and held in the hand, double insulated, extra-low voltage."`
	Supply SupplyKind         `form:"supply" doc:"Whether its main supply is linear (transformer first) or switching; this decides how it behaves behind a series lamp."`
	Papers string             `form:"papers" doc:"Which papers the sheet was made from, and how far they fit."`
	Covers string             `form:"covers" doc:"Which corner of the unit the sheet describes."`
	Warm   *quantity.Quantity `form:"warm after" unit:"s" like:"10 min" doc:"How long it takes to be warm; 10 min when not given."`
	Note   string             `form:"note" doc:"Anything else worth knowing."`
	Place  form.Place         `form:"-"`
}

// Protection is the protection class of a unit.
type Protection string

// Words lists the protection classes.
func (Protection) Words() []string {
	return []string{"class I", "class I hand-held", "class II", "class III"}
}

// SupplyKind is the kind of a unit's main supply.
type SupplyKind string

// Words lists the kinds of main supply.
func (SupplyKind) Words() []string { return []string{"linear", "switching"} }

// Rail is a supply rail.
type Rail struct {
	_ struct{} `doc:"A supply rail. What it comes from makes the power tree."`

	Name    form.Word          `form:"rail,required" like:"+5" doc:"Name of the rail. It is a signal that blocks can live on and points can probe."`
	Nominal *quantity.Quantity `form:"nominal" unit:"V" like:"5 V" doc:"Nominal voltage, with its sign."`
	Limits  *Limits            `form:"limits" unit:"V" like:"±5 %" doc:"What the load accepts: a tolerance or an interval."`
	Family  form.Word          `form:"family" like:"TTL" doc:"Kind of load whose limits apply when no limits are given."`
	Ripple  *quantity.Quantity `form:"ripple" unit:"V" like:"50 mV" doc:"Most ripple allowed, peak to peak."`
	From    []form.Word        `form:"from,lone" like:"raw" doc:"The rails or signals it is made from."`
	Through []form.Word        `form:"through,lone" like:"[F1, U5]" doc:"Parts it passes through on the way, in order: fuse, series resistor, regulator, connector."`
	Load    *quantity.Quantity `form:"load" unit:"A" like:"1.2 A" doc:"Normal load current."`
	Least   *quantity.Quantity `form:"least load" unit:"A" like:"200 mA" doc:"Load below which it is not to be run or judged."`
	Trip    *quantity.Quantity `form:"trips at" unit:"V" like:"6.2 V" doc:"Voltage at which the over-voltage trip acts."`
	Odds    *float64           `form:"odds" like:"2" doc:"How much likelier than usual its source is to fail; 1 when not given."`
	Note    string             `form:"note" doc:"Anything worth knowing."`
	Place   form.Place         `form:"-"`
}

// Point is a place where one can look or probe.
type Point struct {
	_ struct{} `doc:"A place where one can look or probe: a test point, a pin, a wire, the screen, the loudspeaker."`

	Name   form.Word          `form:"point,required" like:"TP3" doc:"Name of the point, as marked or as you call it."`
	Signal form.Word          `form:"signal" like:"video" doc:"The signal or rail seen there; the point's own name when not given."`
	Expect *Expect            `form:"expect" like:"-75 V" doc:"What should be read: a value, or a word such as high, low, counting, data, picture."`
	Limits *Limits            `form:"limits" like:"±0.5 V" doc:"What is still right: a tolerance or an interval."`
	Ripple *quantity.Quantity `form:"ripple" unit:"V" like:"20 mV" doc:"Most ripple allowed, peak to peak."`
	Source *quantity.Quantity `form:"source resistance" unit:"Ω" like:"100k" doc:"Resistance of what is measured, so that the meter's own loading can be allowed for."`
	Twin   form.Word          `form:"twin" like:"TP4" doc:"A point elsewhere that should look the same."`
	Reach  Reach              `form:"reach" doc:"How hard it is to get at: easy when not given."`
	Time   *quantity.Quantity `form:"takes" unit:"s" like:"3 min" doc:"Time to take a reading there, instead of the usual for its reach."`
	Where  string             `form:"where" like:"positive end of C3, left of the heatsink" doc:"Where to find it."`
	Note   string             `form:"note" doc:"Anything worth knowing."`
	Place  form.Place         `form:"-"`
}

// Reach says how hard it is to get at a point.
type Reach string

// The reaches. A sheet that says nothing means ReachEasy.
const (
	ReachOutside Reach = "outside"
	ReachEasy    Reach = "easy"
	ReachAwkward Reach = "awkward"
	ReachBoard   Reach = "board out"
	ReachNone    Reach = "never"
)

// Words lists the reaches.
func (Reach) Words() []string {
	return []string{string(ReachOutside), string(ReachEasy), string(ReachAwkward), string(ReachBoard), string(ReachNone)}
}

// Minutes is the usual time for a reading at that reach; 0 for one that cannot
// be had. Common practice, no source.
func (r Reach) Minutes() float64 {
	switch r {
	case ReachOutside:
		return 0.5
	case ReachAwkward:
		return 4
	case ReachBoard:
		return 12
	case ReachNone:
		return 0
	}
	return 1
}

// Part is a part with a designator.
type Part struct {
	_ struct{} `doc:"A part. It becomes a suspect when a block lists it, a rail passes through it, or it lies across a rail or signal."`

	Name      form.Word             `form:"part,required" like:"C3" doc:"Designator."`
	Kind      form.Word             `form:"kind" like:"electrolytic" doc:"Kind of part; the kinds are listed below. Needed, except in a circuit for a part or block that stands elsewhere on the sheet."`
	Value     form.Word             `form:"value" like:"4700 uF" doc:"Value as the trade writes it, with ratings and tolerance after it if you like (2200 uF 25 V ±20 %); its unit follows from the kind."`
	Type      string                `form:"type" like:"2N3055" doc:"Type marked on a semiconductor or chip."`
	Rated     []quantity.Quantity   `form:"rated,lone" like:"25 V" doc:"Ratings: voltage, current, power, temperature."`
	Tolerance *quantity.Tolerance   `form:"tolerance" like:"-20..+50 %" doc:"Tolerance; the usual one of its kind when not given."`
	Power     *quantity.Quantity    `form:"power" unit:"W" like:"5 W" doc:"Rated dissipation."`
	ESR       *quantity.Quantity    `form:"highest esr" unit:"Ω" like:"0.1 ohm" doc:"Most series resistance allowed for a capacitor at 100 kHz or as stated by its maker."`
	Leakage   *quantity.Quantity    `form:"highest leakage" unit:"A" like:"1 mA" doc:"Most leakage current allowed."`
	Class     string                `form:"class" like:"X2" doc:"Safety class of a mains filter capacitor."`
	Across    form.Word             `form:"across" like:"+5" doc:"The rail or signal it lies across (to ground): reservoir, decoupling, clamp, crowbar."`
	Nodes     []form.Word           `form:"nodes,lone" like:"[raw, gnd]" doc:"The nodes it connects, in the order that the table of kinds in circuits gives; needed in a circuit."`
	Settings  form.Pairs[form.Word] `form:"settings" like:"0R1" doc:"Further data-sheet values for simulation, by name; the table of kinds in circuits lists them."`
	Drawn     *Drawn                `form:"drawn" like:"3/2 down" doc:"In a circuit: where it stands in the drawing, as column from the left and row from the top, and the way from its first node to its last. What is not given finds its place by itself."`
	Age       *quantity.Quantity    `form:"age" unit:"s" like:"42 y" doc:"Age, where it differs from the unit's."`
	Date      string                `form:"date" like:"8136" doc:"Date code as marked."`
	Near      form.Word             `form:"near" like:"R7" doc:"A part beside it that runs hot."`
	Odds      *float64              `form:"odds" like:"3" doc:"How much likelier than usual it is to fail; 1 when not given."`
	Replace   *quantity.Quantity    `form:"replace" unit:"s" like:"20 min" doc:"Time to replace it."`
	Measure   *quantity.Quantity    `form:"measure" unit:"s" like:"8 min" doc:"Time to lift and measure it."`
	Where     string                `form:"where" doc:"Where to find it."`
	Note      string                `form:"note" doc:"Anything worth knowing."`
	Place     form.Place            `form:"-"`

	value *quantity.Quantity
}

// Quantity is the part's value in SI units; nil when none is given.
func (p *Part) Quantity() *quantity.Quantity { return p.value }

// Block is anything with an output.
type Block struct {
	_ struct{} `doc:"Anything with an output: a chip, a section of a chip, a transistor stage, a cable, a joint, a board. Its output is right when it is healthy, its inputs are right and its own supply is right."`

	Name    form.Word          `form:"block,required" like:"U4" doc:"Name or designator."`
	Kind    form.Word          `form:"kind,required" like:"chip" doc:"What it is; the kinds are listed below."`
	Does    string             `form:"does" like:"counts the sprite position" doc:"What it does."`
	Inputs  []form.Word        `form:"in,lone" like:"[clock, load]" doc:"Signals it needs."`
	Outputs []form.Word        `form:"out,required,lone" like:"[a0, a1, a2, a3]" doc:"Signals it makes. A signal that several blocks make is a bus that each of them can hold."`
	Supply  []form.Word        `form:"supply,lone" like:"+5" doc:"Rails it lives on."`
	Parts   []form.Word        `form:"parts,lone" like:"[Q3, R11, C8]" doc:"Parts inside, where known. They are then the suspects, with the rest of the block as one more."`
	Type    string             `form:"type" like:"74161" doc:"Type marked on it."`
	Twin    form.Word          `form:"twin" like:"U5" doc:"A block that does the same job elsewhere, to compare with."`
	Board   string             `form:"board" like:"video board" doc:"The board or module it is on, so that readings can be taken without it."`
	Odds    *float64           `form:"odds" like:"2" doc:"How much likelier than usual it is to fail; 1 when not given."`
	Replace *quantity.Quantity `form:"replace" unit:"s" like:"25 min" doc:"Time to replace it."`
	Measure *quantity.Quantity `form:"measure" unit:"s" like:"10 min" doc:"Time to take it out and test it by itself."`
	Where   string             `form:"where" doc:"Where to find it."`
	Note    string             `form:"note" doc:"Anything worth knowing."`
	Place   form.Place         `form:"-"`
}

// Outside is a signal from outside the described corner.
type Outside struct {
	_ struct{} `doc:"A signal that comes from outside the described corner. A bare name will do."`

	Signal form.Word  `form:"signal,required" like:"keyboard data" doc:"Name of the signal."`
	Kind   form.Word  `form:"kind" like:"board" doc:"What makes it; a stage when not given."`
	Odds   *float64   `form:"odds" like:"0.5" doc:"How much likelier than usual it is to be the trouble; 1 when not given."`
	Note   string     `form:"note" doc:"Anything worth knowing."`
	Place  form.Place `form:"-"`
}

// Short takes a bare name.
func (o *Outside) Short(name form.Word) error {
	o.Signal, o.Place = name, name.Place
	return nil
}

// Brief gives the bare name of a signal of which nothing else is said, else "".
func (o Outside) Brief() string {
	if o.Kind.Text != "" || o.Odds != nil || o.Note != "" {
		return ""
	}
	return o.Signal.Text
}

// Written says how an outside signal is written in short.
func (Outside) Written() string { return "a signal's name, or the keys below" }

// Circuit is a list of parts between named nodes.
type Circuit struct {
	_ struct{} `doc:"Parts between named nodes, for simulation. A node with the name of a rail or signal is that rail or signal."`

	Ground form.Word   `form:"ground,required" like:"gnd" doc:"The node that voltages are counted from."`
	Parts  []Part      `form:"parts,required" doc:"The parts; each names its nodes. A part of the list of parts, or a block, is referred to by its name, and its kind, value and ratings are taken from there."`
	Reach  []form.Word `form:"reach,lone" like:"[raw, out]" doc:"Nodes that one can probe."`
	Note   string      `form:"note" doc:"Anything worth knowing."`
	Place  form.Place  `form:"-"`
}

// Memory is a memory array.
type Memory struct {
	_ struct{} `doc:"A memory array. Each chip becomes a block whose output is the signal \"NAME bank BANK bit N\"."`

	Name   form.Word   `form:"memory,required" like:"main memory" doc:"Name of the array."`
	Kind   form.Word   `form:"kind" like:"dynamic ram" doc:"Kind of chip; dynamic ram when not given."`
	Type   string      `form:"type" like:"16K×1" doc:"Organisation or type of the chips."`
	Banks  []Bank      `form:"banks,required" doc:"Banks, with their chips."`
	Bits   int         `form:"bits per chip" like:"4" doc:"Bits of a word that one chip holds; 1 when not given."`
	Row    []form.Word `form:"row,lone" like:"A0-A6" doc:"The address lines that reach the chips with the row strobe, lowest first; the lower half of those of a bank when not given."`
	Column []form.Word `form:"column,lone" like:"A7-A13" doc:"The address lines that reach the chips with the column strobe, lowest first; the rest when not given."`
	Inputs []form.Word `form:"in,lone" like:"[ras, cas, mux address]" doc:"Signals that every chip needs."`
	Supply []form.Word `form:"supply,lone" like:"[+5, +12, -5]" doc:"Rails that every chip lives on."`
	Note   string      `form:"note" doc:"Anything worth knowing."`
	Place  form.Place  `form:"-"`
}

// Bank is one bank of a memory array.
type Bank struct {
	_ struct{} `doc:"One bank of a memory array."`

	Name  form.Word   `form:"bank,required" like:"0" doc:"Name or number of the bank."`
	From  form.Word   `form:"from" like:"0000" doc:"First address, in hexadecimal."`
	To    form.Word   `form:"to" like:"3FFF" doc:"Last address, in hexadecimal."`
	Chips []form.Word `form:"chips,required" like:"[U11, U12, U13, U14, U15, U16, U17, U18]" doc:"Designators, bit 0 first."`
	Every int         `form:"every" like:"2" doc:"For interleaved banks: it holds every second (third, fourth ...) address from the first on; every one when not given."`
	Place form.Place  `form:"-"`
}

// Check is an observation with a table of causes and effects.
type Check struct {
	_ struct{} `doc:"An observation that follows from faults by a table rather than by signal flow: what a self-test prints, how often a lamp blinks."`

	Name      form.Word                     `form:"check,required" like:"self-test" doc:"Name of the check."`
	Ask       string                        `form:"ask" like:"What does the screen say after power-on?" doc:"The question, in words."`
	Answers   []form.Word                   `form:"answers,required" like:"[passes, RAM error, blank]" doc:"The answers it can give."`
	Causes    []CheckCause                  `form:"causes" doc:"What each cause leads to."`
	Otherwise form.Pairs[quantity.Quantity] `form:"otherwise" unit:"%" doc:"Chance of each answer when no cause holds; the first answer nearly always when not given."`
	Time      *quantity.Quantity            `form:"takes" unit:"s" like:"2 min" doc:"Time it takes."`
	Note      string                        `form:"note" doc:"Anything worth knowing."`
	Place     form.Place                    `form:"-"`
}

// CheckCause is one line of a check's table.
type CheckCause struct {
	_ struct{} `doc:"One line of a check's table of causes and effects."`

	If    []form.Word                   `form:"if,required,lone" like:"U12" doc:"A block or part that is bad, one with its mode (\"U12 output stuck low\"), or a signal with its state (\"video absent\", \"+5 bad\"). Any one of several suffices."`
	Then  form.Pairs[quantity.Quantity] `form:"then,required" unit:"%" like:"90 %" doc:"Chance of each answer when the cause holds, as in {RAM error: 90 %, blank: 10 %}."`
	Place form.Place                    `form:"-"`
}

// Hazard is something that can hurt.
type Hazard struct {
	_ struct{} `doc:"Something in the unit that can hurt, and what to do about it. Follow local codes; leave work you are not licensed or practised for to those who are."`

	Name     form.Word          `form:"hazard,required" like:"primary reservoir" doc:"Name of the hazard."`
	Kind     HazardKind         `form:"kind,required" doc:"What kind of hazard."`
	Where    string             `form:"where" like:"C1, beside the mains switch" doc:"Where it is."`
	Before   Gate               `form:"before" doc:"The step that must wait until the hazard is answered; power when not given."`
	Parts    []form.Word        `form:"parts,lone" like:"C1" doc:"Parts and blocks it sits in."`
	At       []form.Word        `form:"at,lone" like:"primary" doc:"Rails and signals that carry it. With parts or at, a hazard before probing holds up only what touches those; without, every hand and probe inside."`
	Do       string             `form:"do" like:"discharge through 10k 5 W, then measure" doc:"What to do."`
	Capacity *quantity.Quantity `form:"capacitance" unit:"F" like:"220 uF" doc:"Capacitance that stores the charge."`
	Voltage  *quantity.Quantity `form:"voltage" unit:"V" like:"340 V" doc:"Voltage it can hold."`
	Bleeder  *quantity.Quantity `form:"bleeder" unit:"Ω" like:"100k" doc:"Bleeder resistor, if there is one."`
	Note     string             `form:"note" doc:"Anything worth knowing."`
	Place    form.Place         `form:"-"`
}

// HazardKind is a kind of hazard.
type HazardKind string

// Words lists the kinds of hazard.
func (HazardKind) Words() []string {
	return []string{"mains", "stored energy", "hot chassis", "picture tube", "mains capacitor", "battery", "heat", "moving parts", "laser", "chemical", "other"}
}

// Gate is the step that a hazard holds up.
type Gate string

// The gates.
const (
	GatePower Gate = "power"
	GateOpen  Gate = "opening"
	GateProbe Gate = "probing"
)

// Words lists the gates.
func (Gate) Words() []string { return []string{string(GatePower), string(GateOpen), string(GateProbe)} }

// Photo is a board picture with spots.
type Photo struct {
	_ struct{} `doc:"A picture of a board, with spots that mark points, parts and blocks on it."`

	File  form.Word  `form:"photo,required" like:"supply.jpg" doc:"File of the picture, beside the sheet."`
	What  string     `form:"what" like:"supply board, part side" doc:"What it shows."`
	Spots []Spot     `form:"spots" doc:"Marks on it."`
	Place form.Place `form:"-"`
}

// Spot marks a point, part or block on a photo.
type Spot struct {
	_ struct{} `doc:"A mark on a picture, as fractions of its width from the left and of its height from the top."`

	Name  form.Word  `form:"spot,required" like:"C3" doc:"The point, part or block."`
	X     float64    `form:"x,required" like:"0.42" doc:"From the left edge, 0 to 1."`
	Y     float64    `form:"y,required" like:"0.17" doc:"From the top edge, 0 to 1."`
	Place form.Place `form:"-"`
}
