// Package scorecard prints what a rehearsal came to, in words and as a picture.
package scorecard
