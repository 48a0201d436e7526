// Package table reads the text files that loggers, bench meters and scopes
// export.
//
// No two of them write alike: commas, semicolons, tabs or blanks between the
// fields; a point or a comma before the decimals; names in one line, units in
// the next, or neither; time as seconds, as a date, as a clock that starts
// again at midnight, or not at all, only a rate. Open looks at the beginning of
// a file, says how it understands it and why, and lets each of these guesses be
// overruled. Read then goes through the file, however long, in pieces, on
// several cores, in little memory.
//
// Nothing is dropped in silence. A row that cannot be used and a field that is
// no number are counted, and the first of them are listed with line, field and
// what stands there. A missing reading is kept as NaN, an overload as infinity.
package table
