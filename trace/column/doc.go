// Package column keeps a trace in a file: column by column, each stretch with
// its checksum, and above them a pyramid of lowest and highest values, so that
// any stretch of a long trace is drawn at once.
//
// A trace of ten million readings cannot be looked at reading by reading, and a
// picture has room for two thousand of them. The pyramid holds the lowest and
// the highest of every 64 readings, of every 1024, and so on; a picture of any
// window takes the step that has just enough points, and no dropout of a single
// reading is lost in it.
//
// Every stretch can be checked by itself, so a damaged file says which readings
// are affected. A file whose writing was cut off, by a power failure or by hand,
// is read up to the last stretch that is whole. The format is written down byte
// by byte in docs/traces.md.
package column
