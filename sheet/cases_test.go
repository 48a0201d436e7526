package sheet_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"

	"halfsplit/sheet"
)

var update = flag.Bool("update", false, "write the problems found into the files of cases, to be reviewed by eye")

// TestCases reads every sheet in testdata/cases. A file there holds sheets,
// each under a line "-- name.yaml --", followed by "-- name.problems --" with
// the complete list of expected problems, one a line; a sheet with none is
// expected to be without fault.
func TestCases(t *testing.T) {
	paths, err := filepath.Glob("testdata/cases/*.txtar")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	for _, path := range paths {
		cases, err := txtar.ParseFile(path)
		if err != nil {
			t.Fatal(err)
		}
		want := map[string]string{}
		for _, f := range cases.Files {
			want[f.Name] = string(f.Data)
		}
		var found []txtar.File
		for _, f := range cases.Files {
			name, isSheet := strings.CutSuffix(f.Name, ".yaml")
			if !isSheet {
				continue
			}
			found = append(found, f)
			t.Run(strings.TrimSuffix(filepath.Base(path), ".txtar")+"/"+name, func(t *testing.T) {
				got := problems(f.Name, f.Data)
				if got != "" {
					found = append(found, txtar.File{Name: name + ".problems", Data: []byte(got)})
				}
				if !*update && got != want[name+".problems"] {
					t.Errorf("problems (-want +got):\n%s", cmp.Diff(want[name+".problems"], got))
				}
			})
		}
		if *update {
			cases.Files = found
			if err := os.WriteFile(path, txtar.Format(cases), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// problems gives what is wrong with a sheet, one problem a line.
func problems(name string, text []byte) string {
	if _, err := sheet.Parse(name, text); err != nil {
		return err.Error() + "\n"
	}
	return ""
}
