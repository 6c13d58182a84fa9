// Package paper makes documents to be printed, signed and kept: one HTML file without a
// script, dark on white, for A4 and Letter. What several kinds of document share stands
// here; what one of them tells stands in a package of its own (inspect/proof).
//
//	text.go   text of strangers: names of files and joints can be nothing but text
//	sheet.go  the pieces: head, tables, pictures, a text to be read by programs, a place to sign
//	drawn.go  a histogram, a ribbon, a picture beside words
//	examined.go what any document tells of an examination: a file, limits, what was not looked at
//	seal.go   the hash over the document within the document, and reading a document back
//	paper.css how it looks: the day colours of site/css/tokens.css
//
// The same pieces in the same order give the same bytes: nothing here knows a date, a
// place or a machine.
package paper
