// Package size says how many assessors a study needs, what power a number of
// them has, and what they could find: for t tests, equivalence, binomial
// tests, proportions, repeated measures, and by simulation.
//
// Power is exact, by noncentral distributions or sums over counts, unless the
// result says that it was simulated. Main sources: Owen (1965), Biometrika 52,
// 437; Hodges & Lehmann (1956), Ann. Math. Stat. 27, 324, for rank tests; Fleiss
// (1981), Statistical Methods for Rates and Proportions.
package size
