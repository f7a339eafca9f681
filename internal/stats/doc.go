// Package stats is what the methods of a tasting share: intervals, warnings,
// the sides of a test, the errors of malformed input, means, tables, the grid on
// which ratings tie, and p-values adjusted for many tests.
//
// The methods are in rooms of their own, numbers in, estimates with intervals,
// tests and warnings out:
//
//	ttest    two means: paired, two groups, equivalence, crossover
//	ranks    signed rank, Mann–Whitney, Friedman, Page
//	looks    looks agreed beforehand: bounds, and what follows after them
//	evidence evidence for a difference while people come, at any moment
//	lottery  randomisation tests: what other draws of a plan would have given
//	effect   how large a difference is, standardised
//	anova    repeated measures, tables, incomplete blocks, partial F
//	mixed    linear mixed models
//	ordinal  cumulative link models
//	choice   proportions, difference tests, signal detection, counts
//	dose     lines, thresholds, the amount that gives a rating
//	profile  maps of means, agreement, how good a panel is
//	meta     several studies in one
//	size     how many assessors, what power
//
// Under them: dist (distributions), model (what models share) and numeric
// (matrices, minimisers, roots).
//
// Every method is a plain function on slices or a small input struct. Results
// are structs that say what was done (exact or approximate, corrections, pairs
// dropped) and carry warnings. Malformed input is an error; sound input that
// cannot support a method gives a marked absence (NaN) with a [Warning].
//
// No room knows of dishes, phones or files. Each file names the sources of its
// methods (author, year, equation).
package stats
