// Package ordinal fits cumulative link models to answers in a few ordered
// categories, with a random level for each assessor if asked.
//
// P(answer ≤ j) = F(θ_j − xβ − b), F logistic or normal, b normal; the integral
// over b is approximated by Laplace's method or by adaptive Gauss–Hermite
// quadrature. Source: McCullagh (1980), J. R. Stat. Soc. B 42, 109.
package ordinal
