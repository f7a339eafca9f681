// Package mixed fits linear mixed models to ratings: assessors, sittings and
// their interactions random; samples, positions and carry-over fixed.
//
// y = Xβ + Zb + ε, b and ε normal. The criterion (REML or ML) is profiled over β
// and σ² and minimised with exact derivatives, in time linear in the assessors.
// Sources: Bates, Mächler, Bolker & Walker (2015), J. Stat. Softw. 67(1);
// degrees of freedom by Satterthwaite (1946) as in Giesbrecht & Burns (1985),
// Biometrics 41, 477; hypotheses of type III by Goodnight (1980), Commun.
// Statist. A 9, 167.
package mixed
