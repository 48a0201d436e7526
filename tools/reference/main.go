// Command reference writes the generated parts of the documentation: the
// tables of keys, kinds and words, and the JSON Schemas.
//
//	go run ./tools/reference
package main

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"

	"halfsplit/fault"
	"halfsplit/findings"
	"halfsplit/form"
	"halfsplit/logbook"
	"halfsplit/part/drawer"
	"halfsplit/sheet"
	"halfsplit/signal"
	"halfsplit/wiring"
)

func main() {
	for name, text := range pages("docs") {
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
}

// pages gives every generated file below a folder as it should be, by name.
func pages(folder string) map[string]string {
	all := map[string]string{}
	for _, name := range []string{"sheet.md", "case.md", "parts.md"} {
		path := filepath.Join(folder, name)
		text, err := os.ReadFile(path)
		if err != nil {
			panic(err)
		}
		all[path] = filled(string(text))
	}
	for name, target := range map[string]any{"sheet": &sheet.Sheet{}, "case": &logbook.Case{}, "drawer": &drawer.Drawer{}} {
		schema, err := form.Schema("halfsplit "+name, target)
		if err != nil {
			panic(err)
		}
		all[filepath.Join(folder, name+".schema.json")] = strings.TrimRight(string(schema), "\n") + "\n"
	}
	return all
}

// filled replaces what stands between the marks of each generated part.
func filled(text string) string {
	for name, part := range map[string]func() string{
		"sheet":   func() string { return form.Reference(&sheet.Sheet{}) },
		"case":    func() string { return form.Reference(&logbook.Case{}) },
		"drawer":  func() string { return form.Reference(&drawer.Drawer{}) },
		"kinds":   kinds,
		"wiring":  circuitKinds,
		"words":   words,
		"results": results,
	} {
		begin, end := "<!-- generated: "+name+" -->\n", "<!-- end -->"
		i := strings.Index(text, begin)
		if i < 0 {
			continue
		}
		i += len(begin)
		j := i + strings.Index(text[i:], end)
		text = text[:i] + strings.TrimSpace(part()) + "\n" + text[j:]
	}
	return text
}

func kinds() string {
	var b strings.Builder
	fmt.Fprintln(&b, "| kind | for | odds | fails as | min to replace | min to test by itself |")
	fmt.Fprintln(&b, "|---|---|---:|---|---:|---:|")
	for _, k := range fault.Kinds() {
		var modes []string
		for _, m := range k.Modes {
			modes = append(modes, m.Name)
		}
		fmt.Fprintf(&b, "| %s | %s | %g | %s | %g | %g |\n", k.Name, k.Text, k.Odds, strings.Join(modes, "; "), k.Replace, k.Measure)
	}
	fmt.Fprintln(&b, "\nOther names for them:", strings.Join(fault.Aliases(), ", ")+".")
	return b.String()
}

// circuitKinds lists what can stand in a circuit: nodes in order, and settings.
func circuitKinds() string {
	var b strings.Builder
	fmt.Fprintln(&b, "| kind | nodes in order | value | what is assumed |")
	fmt.Fprintln(&b, "|---|---|---|---|")
	for _, k := range wiring.Kinds() {
		value := ""
		if k.HasValue {
			value = k.Value.Measures() + ", such as " + k.Value.Example()
		}
		names := k.Name
		if len(k.Others) > 0 {
			names += " (" + strings.Join(k.Others, ", ") + ")"
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s |\n", names, k.Order(), value, k.Text)
	}
	fmt.Fprintln(&b, "\nSettings:\n\n| kind | setting | such as | what |")
	fmt.Fprintln(&b, "|---|---|---|---|")
	for _, group := range alike(wiring.Kinds()) {
		names := make([]string, len(group))
		for i, k := range group {
			names[i] = k.Name
		}
		for i, s := range group[0].Settings {
			first := strings.Join(names, ", ")
			if i > 0 {
				first = ""
			}
			fmt.Fprintf(&b, "| %s | `%s` | `%s` | %s |\n", first, s.Name, s.Like, s.Text)
		}
	}
	return b.String()
}

// alike groups neighbouring kinds that take the same settings.
func alike(kinds []wiring.Kind) [][]wiring.Kind {
	var groups [][]wiring.Kind
	for _, k := range kinds {
		if n := len(groups); n > 0 && reflect.DeepEqual(groups[n-1][0].Settings, k.Settings) {
			groups[n-1] = append(groups[n-1], k)
			continue
		}
		groups = append(groups, []wiring.Kind{k})
	}
	return groups
}

func words() string {
	var b strings.Builder
	fmt.Fprintln(&b, "| words | meaning |")
	fmt.Fprintln(&b, "|---|---|")
	for _, line := range signal.Glossary() {
		fmt.Fprintf(&b, "| %s | %s |\n", line.Words, line.Meaning)
	}
	return b.String()
}

func results() string {
	var b strings.Builder
	for _, line := range findings.ResultWords() {
		fmt.Fprintf(&b, "- %s\n", line)
	}
	return b.String()
}
