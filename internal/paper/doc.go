// Package paper makes what leaves the workshop on paper or as a file: the
// hand-back report, the write-up of a repair, and labels for units and bins.
//
// A Document is plain blocks: headings, texts, facts, tables, drawings, photos
// and cautions. It is made once from a job (Report) and then written as paged
// PDF, as one HTML page that holds everything, or as Markdown with its pictures
// beside it. The HTML page is the accessible form; the PDF carries no tags.
package paper
