// Package ranks holds the tests that look at the order of ratings alone: signed
// rank and sign test with the Hodges–Lehmann estimate, Mann–Whitney,
// Kruskal–Wallis, Friedman and Page.
//
// p-values are exact, given the ties seen, as far as that takes moments; the
// result says which was used. Main sources: Hollander & Wolfe (1999),
// Nonparametric Statistical Methods; Conover (1999), Practical Nonparametric
// Statistics; Streitberg & Röhmel (1986) for exact distributions under ties.
package ranks
