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
// list's brackets; `form:",inline"` on an embedded struct makes its keys keys
// of the outer one; `form:"-"`, or no form tag, leaves a field alone. A field
// of type [Place] is filled with the position of the mapping that its struct
// was read from. The tag `unit:"V"` names the unit of a quantity, `doc` says in
// one sentence what the field is, and `like` gives one example of its value.
// A blank field, `_ struct{}` with a doc tag, says what the struct is.
//
// A field may be a string, a [Word], a bool (yes, no, true, false), an int, a
// float64, a quantity, interval or tolerance of package quantity, a struct, a
// pointer (nil when the key is absent), a slice, a [Pairs], or any type that
// has one of the methods [Reader], [Choice], [Shorthand] or
// [encoding.TextUnmarshaler] ask for.
package form
