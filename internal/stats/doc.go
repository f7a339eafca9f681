// Package stats holds the statistical methods of a tasting: numbers in,
// estimates with intervals, tests and warnings out.
//
// Every method is a plain function on slices or a small input struct. Results
// are structs that say what was done (exact or approximate, corrections, pairs
// dropped) and carry warnings. Malformed input is an error; sound input that
// cannot support a method gives a marked absence (NaN) with a [Warning].
//
// The package knows nothing of dishes, phones or files. Each file names the
// sources of its methods (author, year, equation).
package stats
