// Package looks tests a mean at looks that were agreed beforehand: after the first 16
// people, say, after 32 and after all 48, so that tasting may end at the first look that
// is clear enough, and the chance of a false alarm over all of them stays alpha.
//
// The model: Z_k is the statistic at look k, normal with mean D·√t_k and variance 1, and
// corr(Z_j, Z_k) = √(t_j/t_k), where t_k is the information fraction, people at the look
// over people planned, and D the drift, the mean of Z at t = 1. A spending function says how
// much of alpha has been spent by each t (Lan & DeMets 1983, Biometrika 70:659, from memory);
// bounds follow by the recursion of Armitage, McPherson & Rowe (1969, J. R. Stat. Soc. A
// 132:235, from memory), so that looks need not come when they were planned, as long as when
// they come does not depend on the ratings. The last look spends all that is left.
//
// With a standard deviation that is estimated, a t test is held against the nominal p of the
// bound, not against the bound itself (Jennison & Turnbull 2000, Group Sequential Methods,
// sect. 3.8, from memory): its size is then within 0.002 of 0.05 from 8 people on.
//
// After the end p, estimate and interval come from the order of the stages: an earlier stop is
// more extreme than a later one (Fairbanks & Madsen 1982, Biometrika 69:69; Tsiatis, Rosner &
// Mehta 1984, Biometrics 40:797; from memory). The estimate is median-unbiased over all that
// can happen. It does not undo the selection: among studies that stopped early it lies above
// the truth about as far as the plain mean does.
//
// What it does not do: protect other attributes than the one looked at, or looks that nobody
// planned.
package looks
