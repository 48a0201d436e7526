// Package look holds the parts that every screen of the bench is made of: the
// page around a screen, cards, verdicts, the drawing of a rail, the list of
// suspects, the flow of a job, form fields.
//
// They are templ components: functions that take typed values and write HTML in
// which everything that was typed by a person is escaped. Their looks are in
// the style sheet of package assets; they carry no style or script of their own,
// which the content security policy of the bench would refuse. Nothing is said
// by colour alone: each state has a word and a shape.
package look
