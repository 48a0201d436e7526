package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestGuide keeps docs/guide true. Each page is followed as a reader would follow
// it, in a folder with a copy of the examples: files are saved, lines added,
// commands run, and what is shown as printed must be printed. Commands that serve
// until they are stopped must at least be understood.
func TestGuide(t *testing.T) {
	pages, err := filepath.Glob("../../docs/guide/*.md")
	if err != nil || len(pages) < 7 {
		t.Fatal("the guide is not whole", pages, err)
	}
	for _, file := range pages {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".md"), func(t *testing.T) {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			blocks, err := fenced(string(text))
			if err != nil {
				t.Fatal(err)
			}
			followGuide(t, blocks)
			understood(t, string(text))
			pictures(t, filepath.Dir(file), string(text))
		})
	}
}

// followGuide does what the blocks of a page say, in order.
func followGuide(t *testing.T, blocks []fence) {
	folder := t.TempDir()
	if err := os.CopyFS(filepath.Join(folder, "examples"), os.DirFS("../../examples")); err != nil {
		t.Fatal(err)
	}
	printed := ""
	for _, b := range blocks {
		text := strings.Join(b.lines, "\n") + "\n"
		switch first, rest, _ := strings.Cut(b.kind, " "); {
		case b.kind == "sh":
			for _, line := range b.lines {
				printed = command(t, folder, b.line, line)
			}
		case strings.HasPrefix(b.kind, "text of "):
			if missing, ok := shows(command(t, folder, b.line, strings.TrimPrefix(b.kind, "text of ")), b.lines); !ok {
				t.Errorf("line %d: not printed: %q", b.line, missing)
			}
		case b.kind == "text":
			if missing, ok := shows(printed, b.lines); !ok {
				t.Errorf("line %d: not printed, or not in this order: %q\nprinted was:\n%s", b.line, missing, printed)
			}
		case first == "yaml" && strings.HasPrefix(rest, "file "):
			if err := os.WriteFile(filepath.Join(folder, strings.TrimPrefix(rest, "file ")), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		case first == "yaml" && strings.HasPrefix(rest, "add "):
			name := filepath.Join(folder, strings.TrimPrefix(rest, "add "))
			have, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(name, append(have, text...), 0o644); err != nil {
				t.Fatal(err)
			}
		case b.kind == "yaml": // a line to look at
		default:
			t.Errorf("line %d: a page of the guide has no blocks of %q", b.line, b.kind)
		}
	}
}

// command runs a line of a page and gives what it prints.
func command(t *testing.T, folder string, at int, line string) string {
	t.Helper()
	words, err := split(line)
	if err != nil || len(words) < 2 || words[0] != "halfsplit" {
		t.Fatalf("line %d: %q is no command of halfsplit (%v)", at, line, err)
	}
	return string(shippedIn(t, folder, words[1:]...))
}

// serves is a command that runs until it is stopped, which stands indented.
var serves = regexp.MustCompile(`(?m)^    halfsplit (\w+)(.*)$`)

// understood asks for the help of such commands and looks for their flags in it.
func understood(t *testing.T, page string) {
	path, err := program()
	if err != nil {
		t.Fatal(err)
	}
	for _, found := range serves.FindAllStringSubmatch(page, -1) {
		help, err := exec.Command(path, found[1], "--help").CombinedOutput()
		if err != nil {
			t.Errorf("halfsplit %s: %v: %s", found[1], err, help)
		}
		for word := range strings.FieldsSeq(found[2]) {
			if strings.HasPrefix(word, "--") && !strings.Contains(string(help), word) {
				t.Errorf("halfsplit %s has no %s", found[1], word)
			}
		}
	}
}

// picture is a picture of a page.
var picture = regexp.MustCompile(`!\[[^\]]+\]\(([^)]+)\)`)

// pictures looks whether those of a page are there, and no larger than a page may
// be over a slow connection.
func pictures(t *testing.T, folder, page string) {
	const most = 120_000 // bytes
	for _, found := range picture.FindAllStringSubmatch(page, -1) {
		if info, err := os.Stat(filepath.Join(folder, found[1])); err != nil || info.Size() > most {
			t.Errorf("picture %s: %v, or it is larger than %d bytes", found[1], err, most)
		}
	}
}
