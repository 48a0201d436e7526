// Command checks writes docs/checks.md: every check of the tests against
// something outside the project, with its published source and how close the
// program comes to it.
//
//	go run ./tools/checks
//
// It reads the tests and runs none. A test says in its comment what it is held
// against and how close it must come:
//
//	// Outside: NIST/SEMATECH e-Handbook, section 8.4.5.1. Within: the digits printed.
//	// Outside: cases of testdata/safety.yaml. Within: 1e-12.
//
// Of a collection of cases each is listed with its own source and tolerance; what
// the comment says holds where the case says nothing. "only val-rkm-*, val-cap-*"
// and "but scpi-block*" after the file pick cases by the beginning of their name,
// and a source may follow after a colon. A test whose comment names a source in
// passing, and a collection that no comment names, are listed too.
package main

import (
	"fmt"
	"os"
)

func main() {
	page, err := page(".")
	if err == nil {
		err = os.WriteFile("docs/checks.md", []byte(page), 0o644)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
