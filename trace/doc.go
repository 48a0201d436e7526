// Package trace holds what a logger or a scope recorded: readings of one or
// more channels over time.
//
// "It ran three quarters of an hour and the rail looked steady" is a memory; a
// trace is a record. The packages below this one each do one thing with it:
//
//   - table reads the text files that loggers, meters and scopes export;
//   - wave reads sound files, for those who record hum with a sound card;
//   - column keeps a trace in a file that is checked as it is read, and from
//     which any stretch can be drawn at once, however long the trace is;
//   - event finds dropouts, restarts, cycling, steps and drift;
//   - fit fits the warm-up, the drift with temperature, and the temperature at
//     which a thermal intermittent fails;
//   - spectrum tells what ripple consists of.
//
// Time is in seconds from the beginning of the trace, or from its trigger.
// Values are in SI units without prefix. A reading that is missing is NaN; one
// that was too large for the meter is infinite.
package trace
