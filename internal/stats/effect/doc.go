// Package effect says how large a difference is: standardised mean differences,
// rank-biserial correlation, superiority, η², with intervals from noncentral distributions.
//
// Main sources: Cohen (1988), Statistical Power Analysis; Hedges (1981), J. Educ.
// Stat. 6, 107; Cumming & Finch (2001), Educ. Psychol. Meas. 61, 532; Lakens
// (2013), Front. Psychol. 4, 863; Steiger (2004), Psychol. Methods 9, 164.
package effect
