// Package report prints findings for people.
package report
