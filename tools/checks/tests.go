package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"strings"
)

// A mark is what one test is held against.
type mark struct {
	folder string // of the package, below the root
	test   string
	says   string // what the comment says of the test besides the mark
	source string // for cases of a collection: where they say nothing
	within string
	files  string // pattern of the collections, "" when it is none
	only   []string
	but    []string
}

// marks finds the marks of all tests below a folder, in the order of the files.
func marks(root string) (all []mark, err error) {
	err = filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case entry.IsDir() && path != root && (entry.Name() == "testdata" || strings.HasPrefix(entry.Name(), ".")):
			return filepath.SkipDir
		case entry.IsDir() || !strings.HasSuffix(path, "_test.go"):
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ParseComments)
		if err != nil {
			return err
		}
		folder, err := filepath.Rel(root, filepath.Dir(path))
		if err != nil {
			return err
		}
		for _, d := range file.Decls {
			f, ok := d.(*ast.FuncDecl)
			if !ok || f.Recv != nil || !testName.MatchString(f.Name.Name) {
				continue
			}
			found, err := marksOf(f.Name.Name, f.Doc.Text())
			if err != nil {
				return fmt.Errorf("%s: %s: %w", path, f.Name.Name, err)
			}
			for _, m := range found {
				m.folder = filepath.ToSlash(folder)
				all = append(all, m)
			}
		}
		return nil
	})
	return all, err
}

var (
	testName = regexp.MustCompile(`^(Test|Example|Fuzz)`)
	within   = regexp.MustCompile(`^(.*?)\.? Within: (.*?)\.?$`)
	cases    = regexp.MustCompile(`^cases of (\S*testdata/[^\s:,]+)(?: only ([^:]+?))?(?: but ([^:]+?))?(?:: (.*))?$`)

	// cited matches what only the name of a source has.
	cited = regexp.MustCompile(`\b(NIST|JCGM|MIL-HDBK|MIL-PRF|FIPS|RFC|IEC|EIA|IEEE|SCPI-1999|scipy|numpy|survreg|survfit)\b|textbook|from memory|edition\b|section \d|[A-Z][a-z]+,? \(?(18|19|20)\d\d\b`)
)

// marksOf gives the marks in the comment of a test.
func marksOf(test, comment string) (all []mark, err error) {
	var said []string
	for paragraph := range strings.SplitSeq(strings.ReplaceAll(comment, "\nOutside:", "\n\nOutside:"), "\n\n") {
		text := strings.Join(strings.Fields(paragraph), " ")
		outside, ok := strings.CutPrefix(text, "Outside: ")
		if !ok {
			said = append(said, text)
			continue
		}
		parts := within.FindStringSubmatch(outside)
		if parts == nil {
			return nil, fmt.Errorf(`%q does not say how close; write "Outside: SOURCE. Within: TOLERANCE."`, text)
		}
		m := mark{test: test, source: parts[1], within: parts[2]}
		if c := cases.FindStringSubmatch(parts[1]); c != nil {
			m.files, m.only, m.but, m.source = c[1], beginnings(c[2]), beginnings(c[3]), c[4]
		}
		all = append(all, m)
	}
	says := strings.TrimSpace(strings.Join(said, " "))
	if all == nil && cited.MatchString(says) && !strings.Contains(says, "no source") {
		all = []mark{{test: test, within: "see the test"}}
	}
	for i := range all {
		all[i].says = says
	}
	return all, nil
}

// beginnings parts "val-rkm-*, val-cap-*".
func beginnings(list string) (all []string) {
	for one := range strings.SplitSeq(list, ",") {
		if one = strings.TrimSpace(one); one != "" {
			all = append(all, one)
		}
	}
	return all
}

// takes tells whether a mark is about a case of its collection.
func (m *mark) takes(id string) bool {
	fits := func(patterns []string) bool {
		for _, p := range patterns {
			if beginning, ok := strings.CutSuffix(p, "*"); id == p || ok && strings.HasPrefix(id, beginning) {
				return true
			}
		}
		return false
	}
	return (m.only == nil || fits(m.only)) && !fits(m.but)
}
