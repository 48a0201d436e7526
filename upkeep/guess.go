package upkeep

import (
	"strings"

	"halfsplit/hazard"
)

// Names by which what is guessed of a unit can be answered, replaced or seen damaged.
const (
	GuessedFilter  = "mains filter capacitor"
	GuessedTube    = "picture tube"
	GuessedBattery = "memory battery"
)

// usualUnit is what a kind of unit usually holds. Common practice, no source.
type usualUnit struct {
	words   []string // that its kind may hold
	like    string   // what it is taken for, in words
	parts   []Part
	paper   float64 // chance of a paper capacitor across the mains in a unit made before 1990
	battery float64 // chance of a memory battery
	tube    bool
}

// lastPaper is the year until which metallised paper was usual across the mains.
// Common practice, no source.
const lastPaper = 1990

// usualUnits lists them; the first that fits is taken, and the last fits all.
var usualUnits = []usualUnit{
	{[]string{"terminal", "monitor", "television", "display"}, "a display unit with a picture tube", usualParts(40, 4, 40, 30), 0.7, 0.2, true},
	{[]string{"oscilloscope", "scope"}, "an oscilloscope", usualParts(40, 20, 20, 60), 0.4, 0.1, true},
	{[]string{"computer", "workstation"}, "a computer", usualParts(30, 10, 80, 15), 0.6, 0.5, false},
	{[]string{"synthesizer", "synthesiser", "drum machine", "sampler", "sequencer", "keyboard", "organ"}, "an electronic instrument with a memory", usualParts(40, 10, 60, 60), 0.3, 0.6, false},
	{[]string{"receiver", "tuner", "amplifier", "radio"}, "a receiver or amplifier", usualParts(50, 4, 5, 80), 0.5, 0, false},
	{[]string{"tape", "cassette", "recorder", "deck"}, "a tape machine", usualParts(50, 4, 10, 60), 0.5, 0.05, false},
	{[]string{"counter", "meter", "generator", "analyser", "analyzer", "instrument", "supply"}, "a test instrument", usualParts(30, 15, 40, 40), 0.4, 0.15, false},
	{nil, "a unit of the period", usualParts(30, 6, 30, 40), 0.4, 0.2, false},
}

// usualParts are so many like parts of each kind.
func usualParts(electrolytics, tantalums, chips, transistors int) []Part {
	return []Part{
		{Name: "electrolytics", Kind: "electrolytic", Count: electrolytics}, {Name: "tantalums", Kind: "tantalum", Count: tantalums},
		{Name: "chips", Kind: "chip", Count: chips}, {Name: "transistors", Kind: "transistor", Count: transistors},
		{Name: "contacts", Kind: "connector", Count: 10}, {Name: "joints under strain", Kind: "joint", Count: 20},
	}
}

// usually gives what a kind of unit usually holds.
func usually(kind string) *usualUnit {
	kind = strings.ToLower(kind)
	for i := range usualUnits {
		c := &usualUnits[i]
		if c.words == nil {
			return c
		}
		for _, w := range c.words {
			if strings.Contains(kind, w) {
				return c
			}
		}
	}
	return nil // the last fits all
}

// The parts that are guessed beside those that are counted.
var (
	guessedFilter  = Part{Name: GuessedFilter, Kind: "paper capacitor", Class: "X or Y"}
	guessedBattery = Battery{Name: GuessedBattery}
	guessedTube    = hazard.Item{Name: GuessedTube, Kind: hazard.PictureTube, Where: "anode cup and neck", Before: hazard.BeforeOpening, Do: hazard.PictureTube.Usual().Do, Because: "units of its kind have one"}
)
