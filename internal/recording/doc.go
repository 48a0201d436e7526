// Package recording opens the files that traces come in, and answers what a
// restorer asks of them: what is in it, what happened, how did it warm up, what
// is the ripple made of, how long did it run before it failed.
//
// It joins the pure packages under trace with files, prints answers as text or
// as JSON, and draws them.
package recording
