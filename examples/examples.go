// Package examples holds the files of the invented workshop, the Saltmarsh Sound
// Archive: service sheets, cases, logs, dumps and board pictures. Makers, models,
// people and readings are invented.
package examples

import "embed"

// Files are all of them.
//
//go:embed *.yaml *.csv *.png *.bin
var Files embed.FS
