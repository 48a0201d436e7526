// Package solution asks a wired circuit what a restorer would ask, and puts the
// answers into words, figures for programs, and pictures.
//
// A circuit at rest is read as a meter would read it. One that the mains or a
// signal drives is followed until it repeats, and its ripple is read. From the
// moment of switching on it is followed for as long as is asked. A small signal
// gives the frequency response. Whatever a part bears is compared with what it
// is rated for.
package solution
