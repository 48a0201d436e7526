// Package instrument reads bench meters that have a remote interface: over a
// network or a serial line, in the language that such meters share.
//
// A supply that is watched by hand for three quarters of an hour is watched for
// a minute of it. A meter with a remote interface can be asked once a second
// and never looks away. Such meters are set and read by lines of text, among
// them
//
//	*IDN?           who are you?
//	CONF:VOLT:DC    measure DC volts
//	READ?           take a reading, and tell it
//	SYST:ERR?       what was wrong with what I said?
//
// Connect opens the way to a meter, asks who it is, sets what it measures and
// takes its complaints; Meter.Read takes a reading. Kept does the same for a
// long watch: when the cable falls out or the meter is switched off and on, it
// connects again. Only commands of the two standards are used, so that a
// meter of any maker will do that keeps to them:
//
//   - IEEE 488.2-1992, "Codes, formats, protocols and common commands": the
//     commands that begin with an asterisk, and the forms of numbers;
//   - SCPI-1999, "Standard commands for programmable instruments": all others.
//
// Both are cited from memory, and checked against what the manuals of several
// makers print of them; see testdata/ORIGIN.md.
//
// Values are in SI units, temperatures in degrees Celsius. A meter that is too
// small for what it is given says so with the number 9.9E37, which is an
// overload here and never a value.
//
// A meter that is left connected for hours keeps its leads on a live unit for
// hours. docs/meters.md has the usual cautions; the meter's manual, local codes
// and licensed practice go before them.
package instrument
