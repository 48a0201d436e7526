package hazard

// Where limits come from. "Second-hand" marks a text that was read only as
// quoted by others; "from memory" one that could not be read at all. Titles and
// addresses stand in testdata/safety.yaml.
const (
	sourcePractice  = "common practice, no source"
	source60950     = "IEC 60950-1, 2.1.1.7 (second-hand)"
	source60950High = "IEC 60950-1, hazardous energy level (from memory)"
	source60950T    = "IEC 60950-1, 5.1, table 5A (second-hand)"
	source60335     = "IEC 60335-1, 8.1.4 (second-hand)"
	source60065     = "IEC 60065 and IEC 60990, quoted in a television manual"
	source62368     = "IEC 62368-1, 5.5.2.2 (60 V from memory, 2 s from a test report form)"
	sourceES        = "IEC 62368-1, 5.2.2 (from memory)"
	sourceHot       = "leakage hot check of service manuals (Panasonic, 1.1.2)"
	sourceCold      = "leakage cold check of service manuals (Panasonic, 1.1.1)"
	sourceEarth     = "UK in-service practice (patinfo.co.uk); allowance for the lead: IET Code of Practice (from memory)"
	sourceInsulate1 = "UK in-service practice, class I (second-hand)"
	sourceInsulate  = "IET Code of Practice and EN 50699 (from memory)"
	sourceHeating   = "IET Code of Practice, quoted by pat-testing-course.com"
	sourceTube      = "VR320 service guide, 3.2.3 (Digital Equipment); discharging the CRT, 3.1 (Brunswick)"
	sourceTungsten  = "H. A. Jones, I. Langmuir, General Electric Review 30 (1927) (from memory)"
)

// Judgement is how a value stands against a limit.
type Judgement struct {
	Rule   string `json:"rule"`   // what the limit is for, in words
	Passes bool   `json:"passes"` // whether the value is within it
	Text   string `json:"text"`   // value and limit, in words
	Source string `json:"source"` // where the limit comes from
}
