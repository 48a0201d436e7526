// Package docs holds the handbook: the pages of this folder, as the bench shows
// them.
package docs

import "embed"

// Files are the pages and their pictures. Those of decisions are for who works on
// the program and are not among them.
//
//go:embed *.md *.svg stories/*.md guide/*.md guide/*.svg guide/*.png
var Files embed.FS
