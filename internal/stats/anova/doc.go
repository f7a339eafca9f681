// Package anova holds analyses of variance: repeated measures of one and two
// factors with sphericity, one-way and two-way tables, incomplete blocks, and the
// partial F test of columns in a linear model.
//
// Residuals are taken as normal with one variance; where that can be loosened
// (Welch, Greenhouse–Geisser) both are given. Main sources: Winer (1971),
// Statistical Principles in Experimental Design; Greenhouse & Geisser (1959),
// Psychometrika 24, 95; Cochran & Cox (1957), Experimental Designs; Searle (1971),
// Linear Models.
package anova
