package wiring

import (
	"slices"
	"strings"

	"halfsplit/fault"
	"halfsplit/quantity"
)

// A Kind is a kind of part that can stand in a circuit.
type Kind struct {
	Name    string   // as a sheet names it
	Others  []string // other names
	Text    string   // what it stands for, and what is assumed of it
	FailsAs string   // the kind of package fault that it fails as; empty for what cannot fail
	// Nodes are the places of its nodes, in order. Those in brackets may be left
	// out together.
	Nodes []string
	// Windings says that pairs of nodes follow, one pair for each winding.
	Windings bool
	// Value is the unit of its value. A kind without one has no value.
	Value    quantity.Unit
	HasValue bool
	// Needed says that the value must be given.
	Needed   bool
	Signed   bool // the value may be below zero
	Settings []Setting

	rates []quantity.Unit // ratings that are compared with the greatest of what it bears
	build func(*reader, *board)
}

// A Setting is a figure that a kind takes beside its value.
type Setting struct {
	Name  string
	Unit  quantity.Unit
	Like  string   // an example
	Text  string   // what it is, and what is assumed when it is not given
	Words []string // when it is one of a few words
	List  bool     // one for each winding
	Zero  bool     // may be zero
	Any   bool     // may be below zero too
}

// Kinds lists the kinds, grouped as the documentation shows them.
func Kinds() []Kind { return kinds }

var kinds = slices.Concat(passiveKinds(), windingKinds(), diodeKinds(), transistorKinds(), chipKinds(), contactKinds(), sourceKinds())

// byName finds a kind by any of its names.
var byName = func() map[string]int {
	all := map[string]int{}
	for i, k := range kinds {
		all[k.Name] = i
		for _, other := range k.Others {
			all[other] = i
		}
	}
	return all
}()

// Find gives the kind of that name, or the one that a name of package fault
// stands for. Capital letters do not count.
func Find(name string) (Kind, bool) {
	name = strings.ToLower(strings.Join(strings.Fields(name), " "))
	if i, ok := byName[name]; ok {
		return kinds[i], true
	}
	if k, ok := fault.Find(name); ok {
		if i, ok := byName[k.Name]; ok {
			return kinds[i], true
		}
	}
	return Kind{}, false
}

// Names lists the names of all kinds and their other names.
func Names() []string {
	var names []string
	for _, k := range kinds {
		names = append(names, k.Name)
	}
	for _, k := range kinds {
		names = append(names, k.Others...)
	}
	return names
}

// OnlyInCircuits tells whether a name stands for something that is no part of a
// unit and makes sense in a circuit alone: a source or a load.
func OnlyInCircuits(name string) bool {
	k, ok := Find(name)
	return ok && k.FailsAs == ""
}

// Order writes the nodes in order, as in "anode, cathode".
func (k Kind) Order() string {
	text := strings.Join(k.Nodes, ", ")
	if k.Windings {
		text = "begin and end of the first winding, begin and end of the second, …"
	}
	return text
}

// fits tells whether that many nodes are right, and says how many would be.
func (k Kind) fits(n int) (ok bool, want string) {
	if k.Windings {
		return n >= 4 && n%2 == 0, "two nodes for each winding"
	}
	least := 0
	for _, name := range k.Nodes {
		if !strings.HasPrefix(name, "[") {
			least++
		}
	}
	want = number(least)
	if least < len(k.Nodes) {
		want += " or " + number(len(k.Nodes))
	}
	return n == least || n == len(k.Nodes), want + " nodes"
}

// number writes a small number as a word.
func number(n int) string {
	words := []string{"no", "one", "two", "three", "four", "five"}
	return words[min(n, len(words)-1)]
}

// setting finds a setting by name.
func (k Kind) setting(name string) (Setting, bool) {
	i := slices.IndexFunc(k.Settings, func(s Setting) bool { return s.Name == name })
	if i < 0 {
		return Setting{}, false
	}
	return k.Settings[i], true
}

// SettingNames lists the names of the settings it takes.
func (k Kind) SettingNames() []string {
	names := make([]string, len(k.Settings))
	for i, s := range k.Settings {
		names[i] = s.Name
	}
	return names
}
