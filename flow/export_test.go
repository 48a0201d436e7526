package flow

// The weights of common practice that the tests' slow reference shares with the
// model.
const (
	Helps  = helps
	Sweeps = sweeps
)
