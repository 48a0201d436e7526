// Package pseudoterminal makes a pair of terminals that are joined like the two
// ends of a serial cable, so that what speaks over a serial port can be tested
// without one. It works on Linux only.
package pseudoterminal
