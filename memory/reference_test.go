package memory_test

import (
	"os"
	"testing"

	"go.yaml.in/yaml/v4"
)

// file is the collection of facts in testdata/memory.yaml; ORIGIN.md there says
// where they come from.
type file struct {
	Tables map[string]struct {
		Columns []string
		Rows    [][]any
	}
	Cases []struct {
		ID       string         `yaml:"id"`
		Checks   string         `yaml:"checks"`
		Inputs   map[string]any `yaml:"inputs"`
		Expected map[string]any `yaml:"expected"`
	}
}

func reference(t testing.TB) file {
	t.Helper()
	text, err := os.ReadFile("testdata/memory.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var f file
	if err := yaml.Unmarshal(text, &f); err != nil || len(f.Cases) < 50 {
		t.Fatal(len(f.Cases), err)
	}
	return f
}

// number takes a plain number or the value of a quantity.
func number(v any) float64 {
	switch v := v.(type) {
	case int:
		return float64(v)
	case float64:
		return v
	case map[string]any:
		return number(v["value"])
	}
	panic(v)
}
