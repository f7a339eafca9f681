// Package evidence counts for or against a mean difference of 0 while people taste, so that one may look
// after everybody and stop whenever there is enough.
//
// Evidence E starts at 1 and is never negative; if there is no difference its mean stays 1 whatever is done
// with it, so that the chance that it ever reaches 1/α is at most α (Ville 1939). Stop when it does: that is
// a test at level α, p = 1/E, and the differences m whose own E stays below 1/α are an interval that holds
// at every moment. Evidence of independent studies multiplies, each taken where its study stopped; the
// largest that was ever reached does not.
//
// Two kinds:
//
//   - [Mixture], of a t statistic: differences of independent people, normal with a standard deviation that is
//     not known, and a prior N(0, g) on mean/sd (Lai 1976, Ann. Stat. 4:265; Pérez-Ortiz, Lardy, de Heide &
//     Grünwald 2024, Ann. Stat. 52; from memory; Wang & Ramdas 2024, arXiv 2310.03722, abstract). It holds too
//     where nobody is moved and the order of serving alone makes differences symmetric (simulated), and not for
//     lopsided ones: with one person in ten moved far against all others it errs in three studies of ten.
//   - [Betting], of differences within known bounds and nothing else (Waudby-Smith & Ramdas 2024, J. R. Stat.
//     Soc. B 86:1): slower, and right for lopsided differences. It depends on the order of people.
//
// What it does not do: protect other attributes, or show that there is no difference: little evidence is none.
package evidence
