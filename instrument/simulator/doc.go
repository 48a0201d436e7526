// Package simulator is a bench meter made of software: it takes the commands of
// IEEE 488.2 and SCPI that package instrument sends, over a TCP port or any
// other stream, and gives readings of whatever it is told to measure.
//
// It serves those who want to try a watch and have no such meter, and the tests,
// which need a meter that misbehaves when told to: one that falls silent, gives
// half an answer or rubbish, hangs up, shows an overload, or complains until
// its error queue is full.
package simulator
