// Package analysis turns ratings and an analysis plan into findings: does a
// sample differ from another on an attribute, by how much, and how sure are we.
//
// The model is the within-assessor comparison: each assessor i rated sample a
// and sample b, and d_i = a_i − b_i is what the name, recipe or rule did to
// that assessor. [Analyse] tests d as the study's plan says and estimates it by
// what goes with the test: the mean with the t test, the median of Hodges and
// Lehmann with the signed-rank test. It puts the other test and the counts
// beside it, checks what the comparison rests on, and gives a [Verdict] by the
// one table of verdict.go. Where each assessor got one sample, it compares the two groups
// of people instead: their means by Welch's test, or within the plan's strata, or their
// ranks; see groups.go.
//
// Assumed: assessors are independent; differences are near normal or many
// enough for their mean; orders are balanced, so that a gain or loss from one
// serving to the next falls on both samples alike. Each is checked and a
// [Warning] says where it fails.
//
// Sources: Student (1908), Biometrika 6:1, paired t; Wilcoxon (1945), Biom.
// Bull. 1:80 and Pratt (1959), J. Am. Stat. Assoc. 54:655, signed ranks; Cohen
// (1988) d_z with the interval of Cumming & Finch (2001), Educ. Psychol. Meas.
// 61:532; Hedges (1981), J. Educ. Stat. 6:107, g_z; Holm (1979), Scand. J.
// Stat. 6:65, with intervals after Dunn (1961), J. Am. Stat. Assoc. 56:52; Hodges
// & Lehmann (1963), Ann. Math. Stat. 34:598; Hills & Armitage (1979), Br. J. Clin. Pharmacol. 8:7, period and
// carry-over in two periods; Welch (1947), Biometrika 34:28, and Mann & Whitney (1947), Ann. Math. Stat.
// 18:50, two groups, with strata as fixed effects (Searle 1971, ch. 5); Searle (1971), Linear Models, ch. 3, the F test
// of position. The numbers themselves come from package stats.
//
// Whether two samples are practically the same follows one rule, in tests, sizes and
// words: see sameness.go (Schuirmann 1987, J. Pharmacokinet. Biopharm. 15:657).
//
// Where the plan's draw is known, it can be drawn again: as the planned test, or beside it.
// What it claims and what a t test claims is in package lottery of stats. Answers on a few
// labels are compared by their order too (McCullagh 1980, J. R. Stat. Soc. B 42:109), in one
// model of all samples without positions, as orders are balanced.
//
// A difference that a small panel found may be no more than a [Hint] (Gelman & Carlin 2014,
// Perspect. Psychol. Sci. 9:641).
//
// [FindSize] turns the question round, before anybody tastes: how many assessors
// find a difference worth acting on, and what does a planned panel find.
//
// The package does not draw plans, store ratings or write pages. Difference
// tests (triangle and its kin) are answered by choices and are sized, but not analysed here.
package analysis
