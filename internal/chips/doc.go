// Package chips puts what was found of a memory into words and pictures.
package chips
