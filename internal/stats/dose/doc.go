// Package dose answers how much: lines through ratings at several amounts, the
// amount that gives a rating (Fieller), power laws, thresholds by ascending
// choices and by psychometric curves.
//
// Main sources: Draper & Smith (1998), Applied Regression Analysis; Fieller
// (1954), J. R. Stat. Soc. B 16, 175; ASTM E679 and E1432; Finney (1971), Probit
// Analysis.
package dose
