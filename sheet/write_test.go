package sheet_test

import (
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"halfsplit/form"
	"halfsplit/internal/drawn"
	"halfsplit/sheet"
)

// sameSheet compares sheets without their places.
var sameSheet = drawn.Same(cmpopts.IgnoreUnexported(sheet.Sheet{}), cmp.AllowUnexported(sheet.Part{}))

// A sheet that was read and written is the same sheet, and written again the
// same page: what a part took over from its value or from elsewhere on the sheet
// is not said twice.
func TestWritten(t *testing.T) {
	paths, err := filepath.Glob("../examples/*.sheet.yaml")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no examples: %v", err)
	}
	for _, path := range append(paths, "testdata/whole.yaml") {
		read, err := sheet.Load(path)
		if err != nil {
			t.Fatal(err)
		}
		page, err := form.Write(read)
		if err != nil {
			t.Fatalf("%s: %v\n%s", path, err, page)
		}
		again, err := sheet.Parse(path, page)
		if err != nil {
			t.Fatalf("%v\n%s", err, page)
		}
		if diff := cmp.Diff(read, again, sameSheet); diff != "" {
			t.Errorf("%s (-read +written and read):\n%s", path, diff)
		}
		if twice, err := form.Write(again); err != nil || string(twice) != string(page) {
			t.Errorf("%s, written again: %v\n%s", path, err, cmp.Diff(string(page), string(twice)))
		}
	}
}

// Any sheet at all, sense or not, comes back from its page as it was.
func TestWriteAndRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var source sheet.Sheet
		drawn.Page(t, &source)
		drawn.Returns(t, source.OnPage(), sameSheet)
	})
}
