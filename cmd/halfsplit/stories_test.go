package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// TestStories keeps docs/stories true. Each story is followed as a reader would
// follow it, in a folder with a copy of the examples: commands are run, lines
// that stand in a case must stand there, lines to add are added, and each line
// of what is shown as printed must be printed, in that order.
func TestStories(t *testing.T) {
	stories, err := filepath.Glob("../../docs/stories/*.md")
	if err != nil || len(stories) < 2 {
		t.Fatal("no stories", err)
	}
	for _, file := range stories {
		name := strings.TrimSuffix(filepath.Base(file), ".md")
		if name == "README" {
			continue // the list of them
		}
		t.Run(name, func(t *testing.T) {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			blocks, err := fenced(string(text))
			if err != nil {
				t.Fatal(err)
			}
			followStory(t, blocks)
		})
	}
}

// fence is a fenced block of a page.
type fence struct {
	kind  string // what stands behind the opening fence
	line  int    // of the opening fence
	lines []string
}

// fenced finds the fenced blocks of a page.
func fenced(page string) ([]fence, error) {
	var blocks []fence
	open := false
	for i, line := range strings.Split(page, "\n") {
		kind, marks := strings.CutPrefix(line, "```")
		switch {
		case marks && open:
			open = false
		case marks:
			blocks = append(blocks, fence{kind: strings.TrimSpace(kind), line: i + 1})
			open = true
		case open:
			last := &blocks[len(blocks)-1]
			last.lines = append(last.lines, line)
		}
	}
	if open {
		return nil, fmt.Errorf("line %d: the block is not closed", blocks[len(blocks)-1].line)
	}
	return blocks, nil
}

// omitted stands in a story for lines that are not shown.
const omitted = "…"

// followStory does what the blocks of a story say, in order.
func followStory(t *testing.T, blocks []fence) {
	folder := t.TempDir()
	if err := os.CopyFS(filepath.Join(folder, "examples"), os.DirFS("../../examples")); err != nil {
		t.Fatal(err)
	}
	printed, ran, compared := "", 0, 0
	for i, b := range blocks {
		switch b.kind {
		case "sh":
			for _, line := range b.lines {
				words, err := split(line)
				if err != nil || len(words) < 2 || words[0] != "halfsplit" {
					t.Fatalf("line %d: %q is no command of halfsplit (%v)", b.line, line, err)
				}
				printed = string(shippedIn(t, folder, words[1:]...))
				ran++
			}
		case "yaml", "yaml add":
			logFile := filepath.Join(folder, caseOf(t, blocks, i))
			log, err := os.ReadFile(logFile)
			if err != nil {
				t.Fatal(err)
			}
			if b.kind == "yaml" {
				for _, line := range b.lines {
					if !slices.Contains(strings.Split(string(log), "\n"), line) {
						t.Errorf("line %d: the case has no line %q", b.line, line)
					}
				}
				continue
			}
			log = append(log, strings.Join(b.lines, "\n")+"\n"...)
			if err := os.WriteFile(logFile, log, 0o644); err != nil {
				t.Fatal(err)
			}
		case "text":
			compared += len(b.lines)
			if missing, ok := shows(printed, b.lines); !ok {
				t.Errorf("line %d: not printed, or not in this order: %q\nprinted was:\n%s", b.line, missing, printed)
			}
		default:
			t.Errorf("line %d: a story has blocks of sh, text, yaml and yaml add, not of %q", b.line, b.kind)
		}
	}
	if ran == 0 || compared == 0 {
		t.Errorf("the story runs %d commands and shows %d lines", ran, compared)
	}
}

// caseOf is the case file that a block of lines belongs to: that of the next
// command that names one.
func caseOf(t *testing.T, blocks []fence, at int) string {
	t.Helper()
	for _, b := range blocks[at:] {
		if b.kind != "sh" {
			continue
		}
		for _, line := range b.lines {
			for word := range strings.FieldsSeq(line) {
				if strings.HasSuffix(word, ".case.yaml") {
					return word
				}
			}
		}
	}
	t.Fatalf("line %d: no command after it names a case", blocks[at].line)
	return ""
}

// shows reports whether the lines are printed in this order, with others between
// them only where lines are omitted; else it gives the first that is not.
func shows(printed string, lines []string) (missing string, ok bool) {
	rest := strings.Split(printed, "\n")
	apart := true // other lines may stand before the next one
	for _, line := range lines {
		line = strings.TrimRight(line, " ")
		if line == omitted {
			apart = true
			continue
		}
		at := slices.IndexFunc(rest, func(s string) bool { return strings.TrimRight(s, " ") == line })
		if at < 0 || at > 0 && !apart {
			return line, false
		}
		rest, apart = rest[at+1:], false
	}
	return "", len(lines) > 0
}

// split takes a command line apart as a shell does, as far as stories need it:
// words between spaces, and double quotes.
func split(line string) ([]string, error) {
	var words []string
	var word strings.Builder
	quoted, begun := false, false
	for _, r := range line {
		switch {
		case r == '"':
			quoted, begun = !quoted, true
		case r == ' ' && !quoted:
			if begun {
				words = append(words, word.String())
				word.Reset()
			}
			begun = false
		default:
			word.WriteRune(r)
			begun = true
		}
	}
	if quoted {
		return nil, fmt.Errorf("a quote is not closed")
	}
	if begun {
		words = append(words, word.String())
	}
	return words, nil
}

// TestShows makes sure that the comparison of stories can fail.
func TestShows(t *testing.T) {
	printed := "a\n  b  \nc\nd\n"
	for _, c := range []struct {
		name  string
		lines []string
		want  bool
	}{
		{"one after another", []string{"a", "  b"}, true},
		{"from the middle", []string{"c", "d"}, true},
		{"with some left out", []string{"a", omitted, "d"}, true},
		{"left out without a word", []string{"a", "d"}, false},
		{"other order", []string{"c", omitted, "a"}, false},
		{"never printed", []string{"a", omitted, "e"}, false},
		{"part of a line", []string{"b"}, false},
		{"nothing shown", nil, false},
	} {
		if missing, ok := shows(printed, c.lines); ok != c.want {
			t.Errorf("%s: %v (missing %q), want %v", c.name, ok, missing, c.want)
		}
	}
	if _, err := fenced("```sh\nhalfsplit\n"); err == nil {
		t.Error("a block that is not closed passes")
	}
	words, err := split(`halfsplit memory a.yaml --test "March C-"`)
	if want := []string{"halfsplit", "memory", "a.yaml", "--test", "March C-"}; err != nil || !slices.Equal(words, want) {
		t.Errorf("%q, %v", words, err)
	}
}
