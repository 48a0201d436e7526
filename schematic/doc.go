// Package schematic draws.
package schematic
