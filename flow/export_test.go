package flow

// The weights of common practice that the tests' slow reference shares with the
// model.
const (
	Helps         = helps
	Sweeps        = sweeps
	Shows         = shows
	Hides         = hides
	AsFound       = asFound
	WhenDisturbed = whenDisturbd
	Stays         = stays
	Together      = together
	Complaint     = complaint
	FalseAlarm    = falseAlarm
)

// LevelOf is the answer of Levels that a state reads as.
var LevelOf = levelOf
