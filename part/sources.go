package part

// The sources of limits, as reasons name them.
const (
	// CommonPractice marks a limit that is a bench rule without an authority.
	// A sheet may override it.
	CommonPractice = "common practice, no source"

	// FromSheet marks a limit that the service sheet gives for this part.
	FromSheet = "service sheet"

	// FromMarking marks a limit that follows from the value and tolerance
	// marked on the part.
	FromMarking = "marked value and tolerance"
)

// Published sources. Their full titles and addresses stand with the worked
// cases, in testdata/capacitors.yaml and testdata/kinds.yaml.
const (
	sourceLelon     = "Lelon RGA data sheet"                            // radial aluminium electrolytic, Specifications
	sourceTeapo     = "Teapo SN data sheet"                             // non-polar radial aluminium electrolytic, Electrical characteristics
	sourceShelf     = "Teapo SN and Vishay 158 PUL-SI shelf tests"      // the latter: document 28375, table 4
	sourceVishay    = "Vishay 021 ASM and 158 PUL-SI endurance tests"   // the strictest printed: 15 %, loss or ESR 1.3 times
	sourceMIL       = "MIL-PRF-62F, as the NASA data set states it"     // a rise of the ESR by 100 %
	sourceNTE       = "NTE TD data sheet"                               // resin dipped solid tantalum, Performance specifications
	sourceTEH       = "Panasonic TEH data sheet"                        // solid tantalum, Specifications
	source199D      = "Vishay Sprague 199D data sheet"                  // resin-coated solid tantalum, Life test
	sourceWIMA      = "WIMA table of dielectrics"                       // metallised film in comparison with other dielectrics, PET column
	sourceR41       = "KEMET R41 data sheet"                            // class Y2 film, Damp heat, steady state
	sourceSECI      = "SECI ceramic capacitors, technical data"         // multilayer, classes I and II
	sourceCDE       = "Cornell Dubilier 293 data sheet"                 // mica
	sourceShelfLife = "Cornell Dubilier, shelf life and re-aging, 1993" // aluminium electrolytics
	sourcePaper     = "metallised paper as makers specify, from memory" // class X and Y parts
)
