// Package signal says what a point in a unit is doing: good, absent, too low,
// stuck, humming and so on.
//
// A restorer seldom reads only numbers. "Idle", "stuck low", "half level",
// "hum" are readings too, and each rules some states of the signal in and
// others out. This package holds the ten states that halfsplit tells apart,
// the words people use for them, and how strongly a word or a number speaks
// for each state. A reading never rules anything out entirely: people misread,
// probes slip, and one wrong reading must not be able to hide the truth.
package signal
