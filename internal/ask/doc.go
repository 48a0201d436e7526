// Package ask turns what a person types, after the options of a command or into
// the fields of a form, into questions for the packages that calculate, and their
// answers into reports. A mistake names the field that it is in.
//
// The questions are structs of texts, whose tags say what belongs into each field:
// the command line and the web bench show the same words.
package ask
