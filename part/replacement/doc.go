// Package replacement says what may stand in the place of a part: which value,
// which ratings, which kind, and why another must not.
//
// Begin with the part as it is marked ([Part]), and, where the circuit is known,
// with what it really bears ([Stress]): the marking says what the maker chose from
// his catalogue, the circuit what is needed. [For] gives the requirements, each
// with its reason and its source, and a pick from the values and ratings that are
// made. [Need.Check] holds a candidate against them and names every reason to
// refuse it; [Need.Combine] looks through the parts at hand for single ones, and
// for two or three in series or in parallel, that will serve.
//
// A rating of the original is kept unless the circuit is known. Where it is, a
// margin goes on top of what was found, since the mains may be high and a
// simulation is not the unit. The margins are common practice, no source, where
// no source is named.
//
// Classes of mains capacitors never go down; a part that is fusible, fast or
// matched is replaced by one that is too. Where mains or stored energy is involved,
// local codes and licensed practice come first.
package replacement
