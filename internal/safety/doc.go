// Package safety turns a service sheet and what is known of one unit into its
// list of hazards, and puts that into words, figures for programs and pictures.
package safety
