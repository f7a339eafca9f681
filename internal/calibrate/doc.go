// Package calibrate says whether the analysis keeps what it promises: how often it finds
// something where nothing is, and how often its intervals hold the truth.
//
// A study is simulated again and again with its own plan, drawn anew, its scales, its
// panel and its way to answer. All samples are alike (of an equivalence plan, they differ
// by just the smallest effect, which is where its test may err most often): whoever rates
// does so from a level of their own with normal scatter, rounded to the scale; where a sample
// is rated several times people differ in what they find of it, several sittings differ, and
// so do strata. Where a name is laid on amounts, the ratings rise with these, and each study is
// played once more with a name that is worth something. Whoever chooses, ranks or sorts does so
// at random. Each study goes through [cloche/internal/analysis.Analyse], all of it. What is
// counted are studies.
//
// A test of ratings on a continuous line errs at its level. One of counts or ranks, and a
// family adjusted by Holm's method, errs at most so often, because its results go in
// steps. Shares have the interval of Wilson (1927), J. Am. Stat. Assoc. 22:209.
package calibrate
