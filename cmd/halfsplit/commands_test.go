package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
)

// docs/commands.md says what the program's own help does; -update writes it.
func TestCommandsPage(t *testing.T) {
	const path = "../../docs/commands.md"
	want := commandsPage(t)
	if *update {
		if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Error("docs/commands.md is out of date: go test ./cmd/halfsplit -run TestCommandsPage -update")
	}
}

// commandsPage writes the reference of all commands from their descriptions, with
// examples from the scripts that the tests run.
func commandsPage(t *testing.T) string {
	parser, err := kong.New(&commands{}, kong.Name("halfsplit"))
	if err != nil {
		t.Fatal(err)
	}
	scripted := scriptLines(t)
	var list, pages strings.Builder
	for _, leaf := range parser.Model.Leaves(true) {
		name := commandName(leaf)
		fmt.Fprintf(&list, "| [%s](#%s) | %s |\n", name, strings.ReplaceAll(name, " ", "-"), cell(leaf.Help))
		fmt.Fprintf(&pages, "\n## %s\n\n%s\n\n    halfsplit %s\n", name, leaf.Help, usage(leaf))
		if detail := strings.TrimSpace(leaf.Detail); detail != "" {
			fmt.Fprintf(&pages, "\n%s\n", paragraphs(detail))
		}
		if len(leaf.Positional) > 0 {
			pages.WriteString("\n| argument | what |\n|---|---|\n")
			for _, p := range leaf.Positional {
				fmt.Fprintf(&pages, "| `%s` | %s |\n", p.Summary(), cell(p.Help))
			}
		}
		flags(&pages, leaf)
		if examples := examplesOf(name, scripted); len(examples) > 0 {
			fmt.Fprintf(&pages, "\nFor example:\n\n    %s\n", strings.Join(examples, "\n    "))
		}
	}
	return "# Commands\n\nEvery command with its arguments and flags, as `halfsplit COMMAND --help` gives them. The page is\n" +
		"written by `go test ./cmd/halfsplit -run TestCommandsPage -update`; the examples are from the scripts\n" +
		"that the tests run. Files under examples/ come with the program; others stand for your own.\n\n| command | what it is for |\n|---|---|\n" + list.String() + pages.String()
}

// commandName is a command as it is typed after the program's name.
func commandName(leaf *kong.Node) string {
	return strings.TrimPrefix(leaf.FullPath(), "halfsplit ")
}

// usage is a command with its arguments.
func usage(leaf *kong.Node) string {
	words := []string{commandName(leaf)}
	for _, p := range leaf.Positional {
		words = append(words, p.Summary())
	}
	return strings.Join(append(words, "[flags]"), " ")
}

// flags writes a table of the flags of a command.
func flags(b *strings.Builder, leaf *kong.Node) {
	head := "\n| flag | what | when not given |\n|---|---|---|\n"
	for _, f := range leaf.Flags {
		if f.Hidden || f.Name == "help" {
			continue
		}
		b.WriteString(head)
		head = ""
		name := "--" + f.Name
		if !f.IsBool() {
			name += "=" + strings.Trim(f.FormatPlaceHolder(), `"`)
		}
		if f.Short != 0 {
			name = fmt.Sprintf("-%c, %s", f.Short, name)
		}
		standard := ""
		if f.Default != "" && !f.IsBool() {
			standard = "`" + f.Default + "`"
		}
		fmt.Fprintf(b, "| `%s` | %s | %s |\n", cell(name), cell(f.Help), standard)
	}
}

// paragraphs sets the examples of a help text apart.
func paragraphs(text string) string {
	text, examples, ok := strings.Cut(text, "Examples: ")
	if !ok {
		return text
	}
	return strings.TrimSpace(text) + "\n\n    " + strings.ReplaceAll(strings.TrimSuffix(examples, "."), "; ", "\n    ")
}

// scriptLines gives the commands that the scripts of the tests run without
// fault, those first that can be typed as they are.
func scriptLines(t *testing.T) []string {
	scripts, err := filepath.Glob("testdata/script/*.txtar")
	if err != nil || len(scripts) == 0 {
		t.Fatalf("no scripts: %v", err)
	}
	cases, err := filepath.Glob("../../examples/*.case.yaml")
	if err != nil || len(cases) == 0 {
		t.Fatalf("no examples: %v", err)
	}
	var ranked [3][]string
	for _, path := range cases { // which TestExamples runs
		ranked[0] = append(ranked[0], "halfsplit case examples/"+filepath.Base(path))
	}
	ranked[0] = append(ranked[0], "halfsplit circuit solve examples/p6.sheet.yaml") // TestExampleCircuit
	for _, path := range scripts {
		if strings.Contains(path, "bad") { // of what is refused
			continue
		}
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(string(text)) {
			command, ok := strings.CutPrefix(strings.TrimSpace(line), "exec halfsplit ")
			command = strings.ReplaceAll(command, "$EXAMPLES/", "examples/")
			files := len(ownFile.FindAllString(outputFlag.ReplaceAllString(command, ""), -1))
			switch {
			case !ok || strings.Contains(command, "--json") || strings.Contains(command, "--help"):
			case strings.Contains(command, "examples/") && files == 0:
				ranked[0] = append(ranked[0], "halfsplit "+command)
			case files == 0:
				ranked[1] = append(ranked[1], "halfsplit "+command)
			default:
				ranked[2] = append(ranked[2], "halfsplit "+command)
			}
		}
	}
	return append(append(ranked[0], ranked[1]...), ranked[2]...)
}

// ownFile matches a file that only a script has, not one of the examples;
// outputFlag matches a flag that names a file to be written.
var (
	ownFile    = regexp.MustCompile(`(^| )[^ /]+\.(yaml|csv|hex|bin|trace|txt|wav)\b`)
	outputFlag = regexp.MustCompile(` (-o|--plot|--survival|--trace|--majority) \S+`)
)

// examplesOf gives a few lines that run a command.
func examplesOf(name string, scripted []string) (list []string) {
	const few = 2
	for _, line := range scripted {
		if strings.HasPrefix(line+" ", "halfsplit "+name+" ") && len(list) < few {
			list = append(list, line)
		}
	}
	return list
}

// cell makes a text fit for a cell of a table.
func cell(s string) string { return strings.NewReplacer("|", `\|`, "\n", " ").Replace(s) }
