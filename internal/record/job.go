package record

import "time"

// Stage is where a job is in the flow.
type Stage string

// The stages, in the order of the flow; a job may go back to any.
const (
	Intake   Stage = "intake"
	MakeSafe Stage = "make safe"
	Measure  Stage = "measure"
	Suspects Stage = "suspects"
	Repair   Stage = "repair"
	Prove    Stage = "prove"
	HandBack Stage = "hand back"
)

// Stages lists them in order.
func Stages() []Stage {
	return []Stage{Intake, MakeSafe, Measure, Suspects, Repair, Prove, HandBack}
}

// Outcome is how a job ended; "" while it is open.
type Outcome string

// The outcomes.
const (
	Open         Outcome = ""
	Repaired     Outcome = "repaired"
	NoFault      Outcome = "no fault found"
	BeyondRepair Outcome = "beyond repair"
	NotWorthIt   Outcome = "not worth it"
	Unrepaired   Outcome = "handed back unrepaired"
)

// Outcomes lists the ways a job may end.
func Outcomes() []Outcome {
	return []Outcome{Repaired, NoFault, BeyondRepair, NotWorthIt, Unrepaired}
}

// Job is one piece of work on a unit.
type Job struct {
	ID       ID  `json:"id"`
	Revision int `json:"revision"`
	Unit     ID  `json:"unit"`

	Title     string `json:"title"`               // "shuts down when warm"
	Complaint string `json:"complaint,omitempty"` // in the owner's words
	Stage     Stage  `json:"stage"`

	// Sheet is the version of a service sheet that the job is reasoned with; 0
	// none.
	Sheet ID `json:"sheet,omitempty"`
	// Instruments are those used in it; their accuracy judges readings.
	Instruments []ID `json:"instruments,omitempty"`

	// What counts as done, written before: how sure one wants to be (0..1, 0 for
	// 95 %), how likely the repair was right before the proof (0 from the
	// suspects), and in words.
	Sure        float64 `json:"sure,omitempty"`
	RepairRight float64 `json:"repair_right,omitempty"`
	DoneWhen    string  `json:"done_when,omitempty"`

	Outcome Outcome   `json:"outcome,omitempty"`
	Reason  string    `json:"reason,omitempty"` // of the outcome
	Lesson  string    `json:"lesson,omitempty"` // what makes the next one easier
	Opened  time.Time `json:"opened"`
	Closed  time.Time `json:"closed,omitzero"`
	Changed time.Time `json:"changed"`
}

// IsOpen reports whether the job is still worked on.
func (j *Job) IsOpen() bool { return j.Outcome == Open }

// Check finds what cannot be right in a job; the error is Invalid.
func (j *Job) Check() error {
	var wrong Invalid
	if j.Unit <= 0 {
		wrong.add("unit", "a job belongs to a unit")
	}
	line("title", j.Title, true, &wrong)
	prose("complaint", j.Complaint, &wrong)
	prose("done_when", j.DoneWhen, &wrong)
	prose("reason", j.Reason, &wrong)
	prose("lesson", j.Lesson, &wrong)
	among("stage", j.Stage, Stages(), &wrong)
	if j.Outcome != Open {
		among("outcome", j.Outcome, Outcomes(), &wrong)
	}
	if j.Outcome == Open && !j.Closed.IsZero() {
		wrong.add("closed", "an open job has no closing date")
	}
	if (j.Outcome == BeyondRepair || j.Outcome == NotWorthIt) && j.Reason == "" {
		wrong.add("reason", "%q is an honest outcome and carries its reason", string(j.Outcome))
	}
	share := func(field string, p float64) {
		if p < 0 || p >= 1 || p != p {
			wrong.add(field, "%g is not a share below 1, such as 0.95", p)
		}
	}
	share("sure", j.Sure)
	share("repair_right", j.RepairRight)
	return wrong.err()
}
