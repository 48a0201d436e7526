// Command check passes the whole test suite of halfsplit: format, templates and
// bundles made from their present source, vet, staticcheck, tests under the race detector, and a short run of every fuzz
// target. It installs what the tests need and stops at the first failure.
//
//	go run ./tools/check
package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"time"
)

// fuzzTime is how long each fuzz target runs beyond its seeds.
const fuzzTime = "4s"

func main() {
	steps := []struct {
		name string
		run  func() error
	}{
		{"needed tools", install},
		{"gofmt", format},
		{"templates and bundles", command("go", "run", "./tools/web", "-check")},
		{"go vet", command("go", "vet", "./...")},
		{"staticcheck", command("go", "tool", "-modfile=tools/lint.mod", "staticcheck", "./...")},
		{"tests", tests},
		{"tests with a browser, and long reckonings", command("go", append([]string{"test"}, unraced...)...)},
		{"the web bench under the race detector", command("go", "test", "-race", "-skip", withBrowser, "./internal/web")},
		{"fuzz", fuzz},
	}
	for _, step := range steps {
		start := time.Now()
		fmt.Printf("== %s\n", step.name)
		if err := step.run(); err != nil {
			fmt.Fprintf(os.Stderr, "check: %s: %v\n", step.name, err)
			os.Exit(1)
		}
		fmt.Printf("   %s ok, %.0f s\n", step.name, time.Since(start).Seconds())
	}
}

// unraced are packages whose tests take too long under the race detector: those
// that look at screens in a browser, and those that do nothing but solve circuits
// and play hunts, which others are raced for.
var unraced = []string{"./internal/web", "./library"}

// withBrowser are the tests of the web bench that need a browser, or solve
// circuits to look at.
const withBrowser = "InABrowser|FlowOfAJob|MarkingABoard|PointingAtATest|ReadingInThreeTouches"

// tests tests all other packages under the race detector.
func tests() error {
	list, err := exec.Command("go", "list", "./...").Output()
	if err != nil {
		return fmt.Errorf("listing packages: %w", err)
	}
	arguments := []string{"test", "-race"}
	for _, pkg := range strings.Fields(string(list)) {
		if !slices.ContainsFunc(unraced, func(u string) bool { return strings.HasSuffix(pkg, strings.TrimPrefix(u, ".")) }) {
			arguments = append(arguments, pkg)
		}
	}
	return command("go", arguments...)()
}

// install makes sure of what Go does not bring: a C compiler for the race
// detector, and a Chromium for the tests of the screens. On Debian, as root, they
// are installed; elsewhere the message says what to install.
func install() error {
	var missing, packages []string
	for _, need := range []struct {
		what     string
		programs []string
		packages []string
	}{
		{"a C compiler (gcc or clang), for the race detector", []string{os.Getenv("CC"), "gcc", "clang", "cc"}, []string{"gcc", "libc6-dev"}},
		{"a Chromium, for the tests of the screens", []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable"}, []string{"chromium"}},
		{"pdftotext of Poppler, which reads the reports", []string{"pdftotext"}, []string{"poppler-utils"}},
		{"zbarimg of ZBar, which reads the codes on labels", []string{"zbarimg"}, []string{"zbar-tools"}},
	} {
		if !slices.ContainsFunc(need.programs, func(program string) bool {
			_, err := exec.LookPath(program)
			return program != "" && err == nil
		}) {
			missing, packages = append(missing, need.what), append(packages, need.packages...)
		}
	}
	if len(missing) == 0 {
		return nil
	}
	if _, err := exec.LookPath("apt-get"); err != nil || os.Geteuid() != 0 {
		return fmt.Errorf("not found: %s; install it and run this again", strings.Join(missing, ", and "))
	}
	if err := command("apt-get", "update", "-q")(); err != nil {
		return err
	}
	return command("apt-get", append([]string{"install", "-q", "-y", "--no-install-recommends"}, packages...)...)()
}

// command returns a step that runs one program with its output shown.
func command(name string, arguments ...string) func() error {
	return func() error {
		run := exec.Command(name, arguments...)
		run.Stdout, run.Stderr = os.Stdout, os.Stderr
		if name == "go" {
			run.Env = append(os.Environ(), "CGO_ENABLED=1")
		}
		return run.Run()
	}
}

// format fails with the list of files that gofmt would change.
func format() error {
	out, err := exec.Command("gofmt", "-l", ".").CombinedOutput()
	if err != nil {
		return fmt.Errorf("%w: %s", err, out)
	}
	if files := strings.TrimSpace(string(out)); files != "" {
		return fmt.Errorf("run gofmt -w on:\n%s", files)
	}
	return nil
}

var fuzzTarget = regexp.MustCompile(`(?m)^(Fuzz\w+)$`)

// fuzz runs every fuzz target of every package for fuzzTime. A target that
// finds a failure writes it under the package's testdata/fuzz, to be kept.
func fuzz() error {
	list, err := exec.Command("go", "list", "-f", "{{if or .TestGoFiles .XTestGoFiles}}{{.ImportPath}}{{end}}", "./...").Output()
	if err != nil {
		return err
	}
	targets := 0
	for _, pkg := range strings.Fields(string(list)) {
		names, err := exec.Command("go", "test", "-list", "^Fuzz", pkg).Output()
		if err != nil {
			return fmt.Errorf("listing fuzz targets of %s: %w", pkg, err)
		}
		for _, match := range fuzzTarget.FindAllStringSubmatch(string(names), -1) {
			targets++
			var out bytes.Buffer
			run := exec.Command("go", "test", "-run", "^$", "-fuzz", "^"+match[1]+"$",
				"-fuzztime", fuzzTime, "-fuzzminimizetime", "1x", "-parallel", fmt.Sprint(runtime.NumCPU()), pkg)
			run.Stdout, run.Stderr = &out, &out
			if err := run.Run(); err != nil && !ranOut(out.String()) {
				return fmt.Errorf("%s in %s: %w\n%s", match[1], pkg, err, out.String())
			}
			fmt.Printf("   %s %s\n", pkg, match[1])
		}
	}
	if targets == 0 {
		return errors.New("no fuzz target found; the parsers must have some")
	}
	return nil
}

// ranOut reports whether a fuzz run ended only because its time was up: go test
// now and then calls that a failure,
// with no failing input and no other word.
func ranOut(output string) bool {
	return strings.Contains(output, "context deadline exceeded") && !strings.Contains(output, "Failing input") && !strings.Contains(output, "panic:")
}
