// Package model is what mixed and ordinal models share: ratings with their
// factors and covariates, terms, the columns that terms stand for, and the
// comparison of two fits by their likelihoods.
//
// Factors are coded by sums to zero where a term's margins are in the model, else
// by indicators. Boundary tests: Self & Liang (1987), J. Am. Stat. Assoc. 82, 605.
package model
