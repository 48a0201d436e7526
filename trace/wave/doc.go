// Package wave reads sound files, for those who record hum or ripple with a
// sound card: WAV files with plain samples, of one or more channels.
//
// A sound card says nothing of volts. Values are shares of full scale, from -1
// to 1; who has measured what full scale is in volts multiplies by that.
package wave
