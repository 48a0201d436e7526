package web

import (
	"cmp"
	"fmt"

	"halfsplit/internal/record"
)

// photoSource is the address of a picture, at most so many pixels wide.
func photoSource(file record.Hash, width int) string {
	return fmt.Sprintf("/photos/%s?width=%d", file, width)
}

// photoAlt says what a picture shows.
func photoAlt(p record.Photo) string { return cmp.Or(p.Caption, "Photo without a caption") }
