// Package diagnosis reasons from readings to suspects and from suspects to
// the next test.
//
// A unit on the bench may have several faults at once, so what is weighed are
// sets of faults: every set starts with a prior chance and gains or loses by
// how well it foretells what was read. One further hypothesis always stands
// beside them: that the trouble is something the sheet does not describe.
// From the posterior follow the suspects, the test that tells most per minute,
// the order in which to replace parts when testing no longer pays, and the
// groups of suspects that no reachable test can tell apart.
//
// The package does not know what a fault does: a Model says how likely the
// readings are under a set of faults, be it from signal flow, from a table of
// causes and effects, or from a circuit simulation.
package diagnosis
