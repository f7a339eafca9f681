// Package verify recomputes published and reference values with the methods of
// package stats and says where they differ.
//
// A reference file is JSON: entries with an id, a method, a source, data
// (inline, or a CSV beside the file), inputs, expected fields and a tolerance.
// Each method of the vocabulary is a row of a table: how to call package stats
// with the entry's data and inputs by their names, and where in the result each
// field stands that may be expected. A value passes when
// |computed − expected| ≤ abs + rel·|expected|. A method, input or
// expected field that is not known is a failure and is named. An entry whose
// outcome is "not_computable" passes only when the method refuses: it returns
// an error, or marks its result absent with a warning.
//
// The package holds no statistics of its own. It reads files, so it is an edge:
// package stats does not know it. Regression models stand in a file as the small
// part of R's formulas that parseFormula reads.
package verify
