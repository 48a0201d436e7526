// Package drawer reads a list of the parts at hand, so that a replacement can be
// found, or put together, from what is there.
//
// A drawer is a text file, one part a line, written as it would stand on a label:
//
//	drawer: 1
//	parts:
//	  - 4 x 2200 uF 35 V electrolytic
//	  - {part: 100 nF 275 V X2, count: 2, where: box 7}
package drawer
