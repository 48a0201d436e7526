// Package form reads a page that a person wrote by hand, a service sheet or a
// case file, into Go structs, and reports every mistake on it at once.
//
// A page is YAML, but a strict and literal kind: an unknown key is an error
// with a suggestion, a key given twice is an error, and a value is exactly the
// characters that were typed. "4e3", "010", "1:30", "on", "~" and "+5" are
// never turned into something else on the way; what they mean is decided by
// the field that takes them.
//
// A format is described once, by tagged Go structs:
//
//	type Rail struct {
//		_     struct{}          `doc:"A supply rail of the unit."`
//		Place form.Place        `form:"-"`
//		Name  form.Word         `form:"name,required" doc:"Name as printed on the board." like:"+5"`
//		Volts quantity.Quantity `form:"volts,required" unit:"V" doc:"Nominal voltage." like:"5 V"`
//		Feeds []form.Word       `form:"feeds,lone" doc:"Boards that hang on it."`
//	}
//
// and from that one description come the reader ([Read]), the schema that an
// editor uses to complete and check the page while it is typed ([Schema]), and
// the table in the handbook ([Reference]). The three cannot disagree.
//
// # Fields
//
// The tag `form:"key"` names the key; `form:"key,required"` says that the page
// must have it; `form:"key,lone"` on a list lets one item stand without the
// list around it; `form:"key,last"` that it is written after the others, as
// remarks are; `form:",inline"` on an embedded struct makes its keys keys of
// the outer one; `form:"-"`, or no form tag, leaves a field alone. A field of
// type [Place] is filled with the position of the mapping (or the [Shorthand])
// that its struct was read from. The tag `unit:"V"` names the unit of a
// quantity, by the symbols of package quantity; `doc` says in one sentence what
// the field is, and `like` gives one example of its value: of one item where
// the field is a list, of one value where it is a [Pairs]. An example that could
// not be read is a mistake in the program. A blank field, `_ struct{}` with a
// doc tag, says what the struct is.
//
// A field may be a string, a [Word], a bool (yes, no, true, false), an int (also
// as 0x4000), a float64, a quantity, interval or tolerance of package quantity,
// a struct, a pointer (nil when the key is absent), a slice, a [Pairs], or any
// type that has the method of a [Reader], a [Choice], a [Shorthand] or an
// [encoding.TextUnmarshaler]. A type may contain itself.
//
// # What is a mistake
//
// Besides what the fields forbid: an empty value (a list, mapping or pointer to
// such may be left empty unless it is required), a key given twice, merging
// with "<<", a tag ("!x"), an anchor that no alias refers to (it was meant as
// text), an alias within itself, a second document, and a comment that begins
// with a digit right after a value, as in "reads: pin #3", because it was most
// likely meant to be read. Anchors and aliases are otherwise allowed.
//
// After a syntax error the item or key around it is left out and the rest of the
// page is read, so that one slip does not hide the others. A caller that goes on
// to compare names must expect that some of what the page says is not there:
// such checks are best made on a page that was read without fault.
//
// # The other way
//
// [Write] gives the page of a struct, [Line] a struct as one line, such as an
// entry of a log; reading either gives the struct again. [Set], [Append] and
// [Remove] change one thing on a page that a person wrote, and leave all else,
// comments and layout too, as it was.
package form
