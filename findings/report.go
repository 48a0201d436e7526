package findings

import (
	"halfsplit/metrology"
	"halfsplit/quantity"
	"halfsplit/soak"
)

// Report is everything that follows from a case. It marshals to JSON; times
// are in seconds unless a name says minutes, everything else in SI units.
type Report struct {
	Unit       string      `json:"unit"`
	Serial     string      `json:"serial,omitempty"`
	Sheet      string      `json:"sheet"`
	Covers     string      `json:"covers,omitempty"`
	Hazards    []Hazard    `json:"hazards,omitempty"`
	Verdicts   []Verdict   `json:"verdicts,omitempty"`
	Capacitors []Capacitor `json:"capacitors,omitempty"`
	Memories   []Memory    `json:"memories,omitempty"`
	Disputes   []Dispute   `json:"contradictions,omitempty"`
	Suspects   []Suspect   `json:"suspects"`
	Sets       []FaultSet  `json:"explanations"`
	Beyond     float64     `json:"not_described"`
	Clear      float64     `json:"nothing_wrong_any_more"`
	Replaced   []Replaced  `json:"replaced,omitempty"`
	Search     Search      `json:"search"`
	Advice     Advice      `json:"advice"`
	Tests      []Proposal  `json:"next_tests"`
	// Ahead tells that the first test was chosen by looking more than one test
	// ahead.
	Ahead     bool         `json:"looked_ahead,omitempty"`
	Forbidden []Forbidden  `json:"forbidden_tests,omitempty"`
	Guard     *Guard       `json:"guard,omitempty"`
	Order     *Replacement `json:"repair_by_replacement,omitempty"`
	Groups    [][]string   `json:"not_told_apart_by_probing,omitempty"`
	Proof     *Proof       `json:"proof,omitempty"`
	Unused    []Unused     `json:"not_used,omitempty"`
	// Solved are the circuits that were solved with each of their parts failing,
	// NotSolved those that were not.
	Solved    []Solved    `json:"circuits_solved,omitempty"`
	NotSolved []NotSolved `json:"circuits_not_solved,omitempty"`
}

// Solved is a circuit that was solved.
type Solved struct {
	Circuit string `json:"circuit"`
	Faults  int    `json:"faults_tried"`
}

// NotSolved is a circuit that was not solved, with the reason.
type NotSolved struct {
	Circuit string `json:"circuit"`
	Why     string `json:"why"`
}

// Hazard is a hazard of the sheet and whether it was answered.
type Hazard struct {
	Name     string `json:"name"`
	Kind     string `json:"kind"`
	Where    string `json:"where,omitempty"`
	Do       string `json:"do,omitempty"`
	Before   string `json:"before"`
	Answered bool   `json:"answered"`
	// Accepted tells that the unit was powered without an answer, as the log
	// owns; tests are held up all the same.
	Accepted bool `json:"accepted,omitempty"`
	// Found says from what it was found; empty when the sheet lists it.
	Found string `json:"found_because,omitempty"`
	// Energy is what it can store, in joules; 0 when not known.
	Energy float64 `json:"energy,omitempty"`
	// Discharge is the time in seconds to 50 V through its bleeder; 0 when
	// there is none or it is not known.
	Discharge float64 `json:"discharge,omitempty"`
}

// Verdict is the judgement of one measurement.
type Verdict struct {
	Line        int           `json:"line"` // of the case file
	At          string        `json:"at"`
	Reading     string        `json:"reading"`
	Value       float64       `json:"value"`
	Unit        quantity.Unit `json:"unit"`
	Uncertainty float64       `json:"expanded_uncertainty"`
	// Low and High are the limits; nil for a side that is free.
	Low        *float64 `json:"low,omitempty"`
	High       *float64 `json:"high,omitempty"`
	Source     string   `json:"limits_from"`
	Word       string   `json:"verdict"`
	Conformity float64  `json:"probability_of_conformity"`
	Limit      string   `json:"nearer_limit"`
	Settle     string   `json:"would_settle_it,omitempty"`
	Meter      string   `json:"meter"`
	State      string   `json:"state,omitempty"`
	verdict    metrology.Verdict
}

// Limits are the limits as an interval, with infinities for a free side.
func (v *Verdict) Limits() quantity.Interval {
	return quantity.Interval{Low: v.verdict.Limit.Low, High: v.verdict.Limit.High, Unit: v.Unit}
}

// Capacitor is the verdict on a capacitor that was measured by itself.
type Capacitor struct {
	Line      int      `json:"line"`
	Part      string   `json:"part"`
	Condition string   `json:"condition"`
	Reasons   []string `json:"reasons"`
	Missing   []string `json:"not_read,omitempty"`
}

// Dispute is two readings that do not go together.
type Dispute struct {
	Lines []int  `json:"lines"`
	Text  string `json:"text"`
}

// Suspect is an item that may still be bad.
type Suspect struct {
	Name        string  `json:"name"`
	Kind        string  `json:"kind"`
	In          string  `json:"in,omitempty"` // the block it is in
	Probability float64 `json:"probability"`
	Mode        string  `json:"most_likely_mode"`
	// Explains tells whether it explains any of the signals that were read. One
	// that does not was only tested bad by itself.
	Explains bool `json:"explains_signals"`
	// Odds are the reasons from age, warmth and strain for its odds beforehand.
	Odds []OddsFactor `json:"odds_beforehand,omitempty"`
	// Serves says what will do in its place; empty where its marking on the sheet
	// does not tell.
	Serves string `json:"will_serve,omitempty"`
	// Dated says when it was made by the date marked on it, and how that fits the
	// unit.
	Dated   string    `json:"dated,omitempty"`
	For     []Support `json:"for,omitempty"`
	Against []Support `json:"against,omitempty"`
	// Foretold are the numbers that were read in a circuit beside what this
	// suspect would make of them.
	Foretold []Foretold `json:"foretold,omitempty"`
}

// OddsFactor is one factor of the odds of an item, and where it comes from.
type OddsFactor struct {
	Text   string  `json:"text"`
	Factor float64 `json:"factor"`
	Source string  `json:"source"`
}

// Foretold is a number that was read in a circuit, and what it should then have
// been, with the standard deviation that tolerances leave.
type Foretold struct {
	Line      int           `json:"line"`
	At        string        `json:"at"`
	Of        string        `json:"of"` // level, ripple …
	Unit      quantity.Unit `json:"unit"`
	Read      float64       `json:"read"`
	U         float64       `json:"standard_uncertainty"`
	Mean      float64       `json:"with_it_bad"`
	Deviation float64       `json:"with_it_bad_deviation"`
	Sound     float64       `json:"sound"`
	Spread    float64       `json:"sound_deviation"`
}

// first is the leading suspect that explains something, or the leading one when
// none does, or nil.
func (r *Report) first() *Suspect {
	for i := range r.Suspects {
		if r.Suspects[i].Explains {
			return &r.Suspects[i]
		}
	}
	if len(r.Suspects) > 0 {
		return &r.Suspects[0]
	}
	return nil
}

// Support is a reading that speaks for or against a suspect.
type Support struct {
	Line int    `json:"line"`
	Text string `json:"text"`
	// Ratio is how many times likelier (above 1) the reading is with the suspect
	// bad than with it good, or than under the best explanation without it; or
	// how many times less likely (below 1) than under the leading explanation.
	Ratio float64 `json:"ratio"`
}

// FaultSet is a set of items that together explain what was read.
type FaultSet struct {
	Items       []string `json:"items"`
	Probability float64  `json:"probability"`
}

// Replaced is an item that was replaced or mended.
type Replaced struct {
	Name string `json:"name"`
	// Needed is the probability that it was bad.
	Needed float64 `json:"probability_it_was_bad"`
}

// Search says how thoroughly sets of faults were weighed.
type Search struct {
	Sets    int     `json:"sets_weighed"`
	Largest int     `json:"largest_set"`
	Exact   bool    `json:"exact"`
	LeftOut float64 `json:"at_most_left_out"`
	Guess   float64 `json:"left_out_by_extrapolation"`
	Items   int     `json:"items"`
	// Unplaced counts parts of the sheet that no block, rail or net uses.
	Unplaced int `json:"parts_not_placed,omitempty"`
}

// Advice is the one thing to do next.
type Advice struct {
	Do    string `json:"do"` // "make safe", "test", "replace", "prove", "hand back", "look beyond", "record a symptom"
	What  string `json:"what,omitempty"`
	Why   string `json:"why"`
	First string `json:"first,omitempty"` // what must be done before
	Care  string `json:"care,omitempty"`  // how to make the test without harm
}

// Proposal is a test that could be made next.
type Proposal struct {
	Test    string  `json:"test"`
	At      string  `json:"at,omitempty"`
	Where   string  `json:"where,omitempty"`
	Care    string  `json:"care,omitempty"` // on the mains side: how to do it without harm
	Bits    float64 `json:"bits"`
	Minutes float64 `json:"minutes"`
	// Saves is the expected saving in minutes against repair by replacement
	// straight away; negative when the test costs more than it saves.
	Saves   float64   `json:"minutes_saved"`
	Answers []Meaning `json:"answers"`
}

// Meaning is what one answer of a test would mean.
type Meaning struct {
	Answer string  `json:"answer"`
	Chance float64 `json:"chance"`
	// Then are the leading suspects after that answer.
	Then []FaultSet `json:"then"`
}

// Guard is what to make sure of before an item is swapped.
type Guard struct {
	Item   string  `json:"item"`
	Points []Shown `json:"points"`
	Proves string  `json:"the_swap_would_prove"`
}

// Shown is one point of a guard: whether it was shown, and by which entry.
type Shown struct {
	What string `json:"what"` // "input clock good"
	// Yes, no, or not yet: "shown", "shown otherwise", "not shown".
	Word string `json:"word"`
	Line int    `json:"line,omitempty"`
}

// Forbidden are tests that would tell much, but that are not proposed because a
// hazard is not answered.
type Forbidden struct {
	Hazard string   `json:"hazard"`
	Kind   string   `json:"kind"`
	Before string   `json:"before"`
	Why    string   `json:"why"` // why the hazard holds them up
	Do     string   `json:"do,omitempty"`
	Tests  []string `json:"tests"` // the best for its time first
}

// Replacement is repair by replacement alone.
type Replacement struct {
	Order   []string `json:"order"`
	Minutes float64  `json:"expected_minutes"`
}

// Proof is how far the repair is proved.
type Proof struct {
	Assessment soak.Assessment `json:"-"`
	Sure       float64         `json:"sure"`
	Prior      float64         `json:"repair_right"`
	PriorFrom  string          `json:"repair_right_from"`
	Repaired   bool            `json:"repaired"`
	Again      bool            `json:"failed_since_repair"`
	// Steady tells that the fault was there whenever the unit was on, so that its
	// absence proves the repair; Done is what the case says when it is done.
	Steady   bool             `json:"fault_was_always_there,omitempty"`
	Done     string           `json:"done_when,omitempty"`
	Survival float64          `json:"chance_an_unrepaired_unit_had_survived"`
	Fixed    float64          `json:"probability_fixed"`
	Needs    []Need           `json:"needs"`
	Starts   *soak.StartProof `json:"-"`
	Failures int              `json:"failures_before_repair"`
	Clean    float64          `json:"clean_seconds_since"`
	Law      string           `json:"law"`
	Cautions []string         `json:"cautions,omitempty"`
	OneMore  float64          `json:"one_more_failure_before_repair_would_save"` // s
}

// Need is the further running for a level of sureness.
type Need struct {
	Level float64 `json:"level"`
	// Further is the running still needed, in seconds; +Inf becomes −1 in JSON.
	Further float64 `json:"further_seconds"`
}

// Unused is an entry that could not be used in reasoning, with the reason.
type Unused struct {
	Line int    `json:"line"`
	Why  string `json:"why"`
}
