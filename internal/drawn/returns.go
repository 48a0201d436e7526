package drawn

import (
	"reflect"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"halfsplit/form"
)

// Same compares two pages of a format without the places, whatever else is left
// aside by the options.
func Same(options ...cmp.Option) cmp.Option {
	return append(cmp.Options{cmpopts.IgnoreTypes(form.Place{}), cmpopts.EquateEmpty()}, options...)
}

// Returns fails a test unless a page is the same after it was written and read,
// and the same text when it is written again. Source is a pointer to its struct.
func Returns(t *rapid.T, source any, same cmp.Option) {
	again := reflect.New(reflect.TypeOf(source).Elem()).Interface()
	page, err := form.Write(source)
	if err == nil {
		err = form.Read("page", page, again)
	}
	if err != nil {
		t.Fatalf("%v\n%s", err, page)
	}
	if diff := cmp.Diff(source, again, same); diff != "" {
		t.Fatalf("%s(-source +read):\n%s", page, diff)
	}
	if twice, err := form.Write(again); err != nil || string(twice) != string(page) {
		t.Fatalf("written again: %v\n%s", err, cmp.Diff(string(page), string(twice)))
	}
}
