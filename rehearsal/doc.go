// Package rehearsal plays the hunt for a fault before anybody picks up a probe.
//
// Of a unit it is known what can be wrong, what each test would read, and what
// each test costs. So a fault can be put in on paper, the tests answered as the
// faulty unit would answer them, misreadings and tolerances included, and the
// program left to find it. Done some hundreds of times, that tells what to
// expect on the bench: how many tests it takes, how often the first suspect is
// the right one, whether "90 %" is right nine times of ten, which suspects no
// test tells apart, and how often a fault of which the sheet knows nothing is
// taken for one instead of being blamed on an innocent part. Beside it stand
// what the best of all plans would cost, what no plan can go below, and what
// plain strategies cost: changing the usual suspects, halving by position,
// testing at random.
//
// A unit can be described by how its parts depend on one another (a [Network]), or
// by a circuit that can be solved (a [Circuit]): then every faulty unit is solved
// with its good parts off within their tolerances, and read in figures, while the
// program has only what was foretold for the circuit as drawn.
package rehearsal
