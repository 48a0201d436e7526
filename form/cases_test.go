package form_test

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"halfsplit/form"
)

var update = flag.Bool("update", false, "write the problems found into the files of cases, to be reviewed by eye")

// TestCases reads every page in testdata/cases. A file there holds pages, each
// under a line "-- name.yaml --", followed by "-- name.problems --" with the
// expected problems, one a line; a page with none is expected to be without
// fault. Where there is also a "-- name.json --", the page must have been read
// into that, in the keys that it shows.
func TestCases(t *testing.T) {
	paths, err := filepath.Glob("testdata/cases/*.txt")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		all := split(string(text))
		var found []section
		for _, one := range all {
			name, isPage := strings.CutSuffix(one.name, ".yaml")
			if !strings.HasSuffix(one.name, ".problems") {
				found = append(found, one)
			}
			if !isPage {
				continue
			}
			t.Run(strings.TrimSuffix(filepath.Base(path), ".txt")+"/"+name, func(t *testing.T) {
				var read sheet
				got := ""
				if err := form.Read(one.name, []byte(one.text), &read); err != nil {
					got = err.Error() + "\n"
					found = append(found, section{name + ".problems", got})
				}
				if want := textOf(all, name+".problems"); got != want && !*update {
					t.Errorf("problems (-want +got):\n%s", cmp.Diff(want, got))
				}
				if want := textOf(all, name+".json"); want != "" {
					sameJSON(t, want, &read)
				}
			})
		}
		if *update {
			if err := os.WriteFile(path, []byte(join(found)), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// A section is a named part of a file of cases. The first has no name and says
// what the cases are about.
type section struct{ name, text string }

// heading matches the line above a section.
var heading = regexp.MustCompile(`(?m)^-- (\S+) --\n`)

// split gives the sections of a file of cases.
func split(text string) []section {
	var all []section
	name, from := "", 0
	for _, at := range heading.FindAllStringSubmatchIndex(text, -1) {
		all = append(all, section{name, text[from:at[0]]})
		name, from = text[at[2]:at[3]], at[1]
	}
	return append(all, section{name, text[from:]})
}

// join gives the file of the sections.
func join(all []section) string {
	var b strings.Builder
	for _, s := range all {
		if s.name != "" {
			fmt.Fprintf(&b, "-- %s --\n", s.name)
		}
		b.WriteString(s.text)
	}
	return b.String()
}

// textOf gives the text of a section, "" when there is none of that name.
func textOf(all []section, name string) string {
	for _, s := range all {
		if s.name == name {
			return s.text
		}
	}
	return ""
}

// sameJSON compares what was read with JSON text.
func sameJSON(t *testing.T, want string, read *sheet) {
	t.Helper()
	got, err := json.Marshal(read)
	if err != nil {
		t.Fatal(err)
	}
	var wanted, found any
	if err := errors.Join(json.Unmarshal([]byte(want), &wanted), json.Unmarshal(got, &found)); err != nil {
		t.Fatal(err)
	}
	for key, value := range wanted.(map[string]any) {
		if diff := cmp.Diff(value, found.(map[string]any)[key]); diff != "" {
			t.Errorf("%s (-want +got):\n%s", key, diff)
		}
	}
}
