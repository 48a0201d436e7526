// Command web makes what the web bench needs before it is built: Go code from
// the templates, and bundles from the scripts and style sheets. What it makes
// is committed.
//
//	go run ./tools/web
//	go run ./tools/web -check
//
// With -check it also fails when something had not been made from its present
// source.
package main

import (
	"bytes"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"halfsplit/schematic"
)

const (
	root    = "internal/web"
	sources = root + "/assets/source/"
	files   = root + "/assets/files/"
)

func main() {
	check := flag.Bool("check", false, "fail when something is not up to date")
	flag.Parse()
	before, err := made()
	if err == nil {
		err = generate()
	}
	if err == nil && *check {
		err = compare(before)
	}
	if err != nil {
		fmt.Fprintf(os.Stderr, "web: %v\n", err)
		os.Exit(1)
	}
}

// generate makes everything anew.
func generate() error {
	if err := run("templ", "generate", "-path", root); err != nil {
		return err
	}
	style := "/* The style of schematic drawings, from package schematic. Made by tools/web. */\n" + schematic.Style
	if err := os.WriteFile(sources+"schematic.css", []byte(style), 0o644); err != nil {
		return err
	}
	// What is our own keeps its lines, so that changes can be read and merged;
	// what brings a library along is made small.
	own := []string{sources + "bench.ts", sources + "bench.css", sources + "bundle-editor.ts", sources + "bundle-meters.ts"}
	if err := bundle(own); err != nil {
		return err
	}
	return bundle([]string{sources + "bundle-traces.ts"}, "--minify")
}

// bundle bundles scripts and style sheets with what they import.
func bundle(entries []string, how ...string) error {
	return run("esbuild", slices.Concat(entries, how, []string{"--bundle", "--outdir=" + files, "--format=iife",
		"--target=es2022,chrome120,firefox120,safari16.4", "--charset=utf8", "--legal-comments=inline", "--log-level=warning"})...)
}

// run runs a tool of the pinned version.
func run(tool string, arguments ...string) error {
	command := exec.Command("go", append([]string{"tool", "-modfile=tools/" + tool + ".mod", tool}, arguments...)...)
	if out, err := command.CombinedOutput(); err != nil {
		return fmt.Errorf("%s: %w\n%s", tool, err, out)
	}
	return nil
}

// made reads what was made, by path.
func made() (map[string][]byte, error) {
	found := map[string][]byte{}
	err := filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		if strings.HasSuffix(path, "_templ.go") || strings.HasPrefix(filepath.ToSlash(path), files) {
			found[path], err = os.ReadFile(path)
		}
		return err
	})
	return found, err
}

// compare fails when something has changed.
func compare(before map[string][]byte) error {
	after, err := made()
	if err != nil {
		return err
	}
	var stale []string
	for path, content := range after {
		if !bytes.Equal(before[path], content) {
			stale = append(stale, path)
		}
	}
	if len(stale) > 0 {
		return fmt.Errorf("not up to date, made anew now and to be committed: %s", strings.Join(stale, ", "))
	}
	return nil
}
