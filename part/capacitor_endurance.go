package part

// EndOfLife is how far a part may move before its life counts as over: the
// criteria with which an endurance test is judged. Between the limit of a new
// part and the end of life it is worn.
type EndOfLife struct {
	CapacitanceChange float64 // fraction of the initial capacitance, either way
	LossMultiple      float64 // of the loss limit of a new part
	LeakageMultiple   float64 // of the leakage limit of a new part

	CapacitanceSource, LossSource, LeakageSource string

	// EarlyChange and EarlyLoss are the strictest criteria that makers print for
	// the kind: the change of capacitance and the multiple of the loss beyond
	// which a part that is known from new has begun to wear. Zero where none is
	// printed.
	EarlyChange, EarlyLoss float64
	EarlySource            string
}

// endsOfLife gives the criteria of each kind. Where a maker's test from new ends
// tighter than would be sensible for a part decades old (film must keep half
// its insulation resistance, tantalum its loss limit), common practice stands
// instead: sound parts would be thrown away. Class 1 ceramic may lose between
// half and two thirds of its Q, by capacitance; half is taken for all.
var endsOfLife = map[CapacitorKind]EndOfLife{
	UnknownCapacitor:      {0.20, 2, 2, CommonPractice, CommonPractice, CommonPractice, 0, 0, ""},
	AluminiumElectrolytic: {0.20, 2, 2, sourceLelon, sourceLelon, sourceShelf, 0.15, 1.3, sourceVishay},
	NonPolarElectrolytic:  {0.25, 1.5, 2, sourceTeapo, sourceTeapo, sourceShelf, 0, 0, ""},
	SolidTantalum:         {0.10, 2, 1.25, source199D, CommonPractice, source199D, 0, 0, ""},
	PlasticFilm:           {0.05, 2, 100, sourceR41, CommonPractice, CommonPractice, 0, 0, ""},
	CeramicClass1:         {0.03, 2, 10, sourceSECI, sourceSECI, sourceSECI, 0, 0, ""},
	CeramicClass2:         {0.10, 5.0 / 3, 10, sourceSECI, sourceSECI, sourceSECI, 0, 0, ""},
	CeramicClass3:         {0.30, 1.5, 10, sourceSECI, sourceSECI, sourceSECI, 0, 0, ""},
	Mica:                  {0.03, 2, 100, sourceCDE, CommonPractice, CommonPractice, 0, 0, ""},
	PaperFoil:             {0.10, 2, 100, CommonPractice, CommonPractice, CommonPractice, 0, 0, ""},
	MetallisedPaper:       {0.10, 2, 100, CommonPractice, CommonPractice, CommonPractice, 0, 0, ""},
}

// EndOfLife returns the criteria for the kind. Each names its source; makers
// differ (for aluminium, loss of 1.3 to 3 times and capacitance changes of 15
// to 50 % are printed), and the ones here belong to the same data sheets as the
// limits of a new part. A kind that is not declared has the zero value.
func (k CapacitorKind) EndOfLife() EndOfLife { return endsOfLife[k] }

// CapacitanceChange returns the change from an initial capacitance as a
// fraction of it: -0.2 for a loss of 20 %. Both are in the same unit and the
// initial one is above zero. Data sheets count the change from what the part
// read when new, not from its marking.
func CapacitanceChange(initial, now float64) float64 { return (now - initial) / initial }
