// Package dumps asks what dumps of a read-only memory show: sums, lines that do
// not move, and what several dumps say together, in words, figures for programs
// and a picture.
package dumps
