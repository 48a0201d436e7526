// Package reference reads the collected figures of the trade, for the tests of the
// packages about parts: tables, and worked cases that each name their source.
package reference

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"
)

// Folder is where the files lie, seen from a package below part.
const Folder = "../testdata"

// Case is a worked case.
type Case struct {
	ID   string
	node yaml.Node
}

// Decode reads the case into a struct of the test.
func (c Case) Decode(t testing.TB, into any) {
	t.Helper()
	if err := c.node.Decode(into); err != nil {
		t.Fatal(c.ID, err)
	}
}

// Read reads a file: its tables by name, and the cases whose names begin with one
// of the beginnings.
func Read(t testing.TB, name string, beginnings ...string) (cases []Case, tables map[string][][]any) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(Folder, name))
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Tables map[string]struct{ Rows [][]any }
		Cases  []yaml.Node
	}
	if err := yaml.Unmarshal(text, &file); err != nil {
		t.Fatal(err)
	}
	for _, node := range file.Cases {
		var head struct{ ID string }
		if err := node.Decode(&head); err != nil {
			t.Fatal(err)
		}
		for _, begin := range beginnings {
			if strings.HasPrefix(head.ID, begin) {
				cases = append(cases, Case{head.ID, node})
				break
			}
		}
	}
	tables = map[string][][]any{}
	for name, table := range file.Tables {
		tables[name] = table.Rows
	}
	return cases, tables
}

// Figure is a quantity of a case: a value with its unit and tolerance, a plain
// word or truth, or a list.
type Figure struct {
	Value    float64
	Unit     string
	Abs, Rel float64
	Word     bool
	List     []float64
}

// UnmarshalYAML reads any of the forms.
func (f *Figure) UnmarshalYAML(node *yaml.Node) error {
	switch {
	case node.Kind == yaml.MappingNode:
		type plain Figure
		return node.Decode((*plain)(f))
	case node.Kind == yaml.SequenceNode:
		return node.Decode(&f.List)
	case node.Tag == "!!bool":
		return node.Decode(&f.Word)
	}
	return node.Decode(&f.Value)
}

// Check compares a result, in the unit of the figure, with it and its tolerance.
func (f Figure) Check(t testing.TB, name string, got float64) {
	t.Helper()
	tolerance := math.Max(f.Abs, math.Max(f.Rel, 1e-12)*math.Abs(f.Value))
	if !(math.Abs(got-f.Value) <= tolerance) {
		t.Errorf("%s = %v, want %v ± %.2g", name, got, f.Value, tolerance)
	}
}

// Number reads a number of a table.
func Number(t testing.TB, x any) float64 {
	t.Helper()
	switch x := x.(type) {
	case int:
		return float64(x)
	case float64:
		return x
	}
	t.Fatalf("%v is no number", x)
	return 0
}
