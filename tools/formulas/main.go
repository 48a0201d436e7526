// Command formulas writes docs/formulas.md: every formula, method and table of the
// program with its source, as the comments beside the code give them, and the
// figures of the trade that have none.
//
//	go run ./tools/formulas
package main

import (
	"fmt"
	"os"
)

func main() {
	page, err := page(".")
	if err == nil {
		err = os.WriteFile("docs/formulas.md", []byte(page), 0o644)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
