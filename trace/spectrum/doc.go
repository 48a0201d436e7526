// Package spectrum tells what ripple consists of: its lines, how large each is,
// and what each usually means.
//
// A scope shows 200 mV of ripple on a rail, and that is a number to judge. What
// to do about it depends on its frequency: at twice the mains frequency it comes
// through a full-wave rectifier, and the reservoir capacitor is the first
// suspect; at the mains frequency itself one half of the rectifier may be open;
// at the frequency of the switcher the output capacitor has dried out.
//
// Amplitudes are read through a flat-top window, which shows a line within
// 0.1 % wherever it falls between the points of the spectrum. Frequencies are
// read through a Hann window, which is narrower.
package spectrum
