// Package method is the one table of the statistical methods that findings use: what
// each is called by a program and in a sentence, its symbol, where it comes from and
// what it assumes. Study files, analysis, reports, their methods text and the help pages
// speak from it; the numbers themselves come from package stats.
package method
