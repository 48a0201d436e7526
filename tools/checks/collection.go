package main

import (
	"cmp"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"
)

// A collection is a file of cases with their sources.
type collection struct {
	Sources map[string]yaml.Node `yaml:"sources"`
	Cases   []example            `yaml:"cases"`
}

// An example is one case of a collection.
type example struct {
	ID       string    `yaml:"id"`
	Checks   string    `yaml:"checks"`
	Title    string    `yaml:"title"`
	Kind     string    `yaml:"kind"`
	Note     string    `yaml:"note"`
	Method   string    `yaml:"method"`
	How      string    `yaml:"how"`
	Source   yaml.Node `yaml:"source"`
	Expected yaml.Node `yaml:"expected"`
	Expect   yaml.Node `yaml:"expect"`
}

// load reads a collection.
func load(path string) (*collection, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	var c collection
	if err := yaml.Unmarshal(text, &c); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return &c, nil
}

// what says what a case is about.
func (e *example) what() string {
	switch {
	case e.Checks != "":
		return e.Checks
	case e.Title != "":
		return e.Title
	case e.Note != "":
		return e.Kind + ": " + e.Note
	}
	return e.Kind
}

// source names the sources of a case in words.
func (c *collection) source(e *example) string {
	switch n := &e.Source; n.Kind {
	case yaml.SequenceNode:
		var all []string
		for _, one := range n.Content {
			if known, ok := c.Sources[one.Value]; ok {
				all = append(all, cite(&known))
			} else {
				all = append(all, one.Value)
			}
		}
		return strings.Join(all, "; ")
	case yaml.MappingNode:
		return cite(n)
	case yaml.ScalarNode:
		if known, ok := c.Sources[n.Value]; ok {
			return cite(&known)
		}
		return n.Value
	}
	if e.Kind == "" && e.Method != "" { // worked out for the case
		return "worked out: " + e.Method
	}
	return ""
}

// cite puts a source in one line: author, title, section, publisher, year.
func cite(n *yaml.Node) string {
	if n.Kind == yaml.ScalarNode {
		return n.Value
	}
	var parts []string
	for _, key := range []string{"author", "authors", "title", "section", "publisher", "year"} {
		for i := 0; i+1 < len(n.Content); i += 2 {
			if value := n.Content[i+1].Value; n.Content[i].Value == key && value != "" && !slices.Contains(parts, value) {
				parts = append(parts, value)
			}
		}
	}
	return strings.Join(parts, ", ")
}

// tolerances lists the tolerances that a case states, each once.
func (e *example) tolerances() string {
	var all []string
	add := func(text string) {
		if !slices.Contains(all, text) {
			all = append(all, text)
		}
	}
	var visit func(*yaml.Node)
	visit = func(n *yaml.Node) {
		unit, found := "", [2]string{}
		for i := 0; n.Kind == yaml.MappingNode && i+1 < len(n.Content); i += 2 {
			switch value := n.Content[i+1].Value; n.Content[i].Value {
			case "unit":
				unit = " " + value
			case "abs", "abs_tol":
				found[0] = value
			case "rel", "rel_tol":
				found[1] = value
			}
		}
		if text := found[0]; text != "" && text != "0" && text != "0.0" {
			add("±" + number(text) + unit)
		}
		if text := found[1]; text != "" && text != "0" && text != "0.0" {
			add("±" + share(text))
		}
		for _, child := range n.Content {
			visit(child)
		}
	}
	visit(&e.Expected)
	visit(&e.Expect)
	const most = 3
	if len(all) > most {
		all = append(all[:most], "…")
	}
	return strings.Join(all, ", ")
}

// unmarked finds the collections that no mark names though the tests beside them
// read them, and gives a mark for each.
func unmarked(root string, all []mark) (found []mark, err error) {
	named := map[string]bool{}
	for _, m := range all {
		if m.files == "" {
			continue
		}
		paths, err := filepath.Glob(filepath.Join(root, m.folder, m.files))
		if err != nil {
			return nil, err
		}
		for _, path := range paths {
			named[path] = true
		}
	}
	err = filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() && path != root && strings.HasPrefix(d.Name(), ".") {
			return cmp.Or(err, fs.SkipDir)
		}
		folder, file, ok := strings.Cut(filepath.ToSlash(path), "/testdata/")
		if d.IsDir() || !ok || filepath.Ext(path) != ".yaml" || named[path] || !readBy(folder, filepath.Base(path)) {
			return nil
		}
		c, err := load(path)
		if err != nil || !slices.ContainsFunc(c.Cases, func(e example) bool { return e.Expected.Kind != 0 || e.Expect.Kind != 0 }) {
			return nil // pages of the program's own formats, good and bad
		}
		short, err := filepath.Rel(root, filepath.FromSlash(folder))
		found = append(found, mark{folder: filepath.ToSlash(short), test: filepath.Base(path), files: "testdata/" + file, within: "see the test"})
		return err
	})
	return found, err
}

// readBy tells whether a test of a package names a file.
func readBy(folder, file string) bool {
	tests, _ := filepath.Glob(filepath.Join(folder, "*_test.go"))
	return slices.ContainsFunc(tests, func(path string) bool {
		text, err := os.ReadFile(path)
		return err == nil && strings.Contains(string(text), file)
	})
}
