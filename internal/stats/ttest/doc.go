// Package ttest compares two means: the same assessors on both samples (paired
// t, two one-sided tests of equivalence, sign flips, contrasts, the 2×2
// crossover) or two groups of assessors (Welch, pooled t).
//
// Differences or values are taken as normal, unless a method says otherwise.
// Main sources: Student (1908), Biometrika 6, 1; Welch (1947), Biometrika 34,
// 28; Schuirmann (1987) for equivalence. Effect sizes are in package effect.
package ttest
