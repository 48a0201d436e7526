package logbook_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"

	"halfsplit/logbook"
)

var update = flag.Bool("update", false, "write the problems found into the files of cases, to be reviewed by eye")

// TestCases loads every case in testdata/cases. A file there is a folder of
// sheets ("-- name.sheet.yaml --") and cases ("-- name.case.yaml --"); a case
// is followed by "-- name.problems --" with the complete list of expected
// problems, one a line, those of its sheet among them. One with none is
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
		folder := t.TempDir()
		want := map[string]string{}
		for _, f := range cases.Files {
			want[f.Name] = string(f.Data)
			if err := os.WriteFile(filepath.Join(folder, f.Name), f.Data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		var found []txtar.File
		for _, f := range cases.Files {
			if !strings.HasSuffix(f.Name, ".problems") {
				found = append(found, f)
			}
			name, isCase := strings.CutSuffix(f.Name, ".case.yaml")
			if !isCase {
				continue
			}
			t.Run(strings.TrimSuffix(filepath.Base(path), ".txtar")+"/"+name, func(t *testing.T) {
				got := ""
				c, s, err := logbook.Load(filepath.Join(folder, f.Name))
				if err != nil {
					got = strings.ReplaceAll(err.Error(), folder+string(filepath.Separator), "") + "\n"
					found = append(found, txtar.File{Name: name + ".problems", Data: []byte(got)})
				}
				if (err == nil) != (c != nil && s != nil) {
					t.Errorf("case %v, sheet %v, error %v", c != nil, s != nil, err)
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
