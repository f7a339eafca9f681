// Package dist holds distributions: tails, quantiles and limits of t, F, χ²,
// the binomial and their noncentral kin, the studentized range, and the exact
// null distributions of rank sums.
//
// Tails keep their relative accuracy where they are small, so that a p-value of
// 1e-12 is one. Main sources: Abramowitz & Stegun (1964), Handbook of
// Mathematical Functions; Johnson, Kotz & Balakrishnan (1995), Continuous
// Univariate Distributions 2; Owen (1965), Biometrika 52, 437; Loader (2000) for
// the binomial; each function names its equation.
package dist
