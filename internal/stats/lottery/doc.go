// Package lottery tests two samples by drawing the lottery of a serving plan again: is
// the difference larger than other plans that could have been drawn would have given?
//
// The sharp null hypothesis is that each rating would have been the same whatever sample
// had stood at that place: ratings stay with the assessor and the position, samples move.
// The statistic is the difference over its standard error, of pairs or of two groups, as
// that keeps its level where samples differ in scatter and not in their means (Chung &
// Romano 2013, Ann. Stat. 41:484; Wu & Ding 2021, J. Am. Stat. Assoc. 116:1898). Of two
// samples that everybody rated it puts the draws in the same order as the difference
// itself, so that nothing turns on it there.
//
// One-sided p-values count the draws that reach what was found, the plan as drawn among
// them: exactly where all draws are enumerated, else p = (1 + k)/(B + 1) of B random
// draws (Phipson & Smyth 2010, Stat. Appl. Genet. Mol. Biol. 9:39). The two-sided one is
// twice the smaller, at most 1, so that it and the interval say the same. The interval
// holds every constant shift that neither one-sided test refuses once it is taken off the
// ratings of the first sample (Lehmann 1963, Ann. Math. Stat. 34:1507; Rosenbaum 2002,
// Observational Studies, sect. 2.4).
//
// # What a lottery says, and what a t test says
//
// The two answer different questions, and both are right. The randomisation test asks of
// these assessors alone whether the draw can explain what they said; it assumes nothing
// but the draw (Fisher 1935, The Design of Experiments, sects. 10 and 21; Kempthorne 1955,
// J. Am. Stat. Assoc. 50:946), and a constant shift for its interval. The t test takes the
// assessors for a sample of people whose differences are independent and near normal; it
// speaks of those people and does not know how orders were drawn.
//
// Where orders are drawn in blocks, the lottery holds the difference against the scatter
// between blocks: of two samples in blocks of two, each block says one thing, the sum of
// its two differences, and n assessors are n/2 things drawn. Only where ratings are alike
// within blocks (a table, a part of the evening, a gain from the first serving to the
// second) does the t test, which leaves blocks out, overstate the chance of its finding;
// where they are not, the two have the same level and power, but for what n/2 rather than
// n degrees of freedom cost (Matts & Lachin 1988, Control. Clin. Trials 9:327; Rosenberger
// & Lachin 2016, Randomization in Clinical Trials, ch. 6; both from memory). In one study
// they may part: whether two people who differ much happen to share a block is a matter of
// chance, as which people came is. The invented study of the custard, whose people were
// drawn independently, is such a case: in its blocks of two the differences happen to go
// together (a correlation of 0.63), so that p is 0.021 by the lottery where the t test
// gives 0.0024. As a claim about guests of whom these are a sample, 0.0024 is right if one
// may assume them independent; as a claim that rests on the draw alone, 0.021 is. Neither
// is to be chosen after both were seen: the plan says which it is.
package lottery
