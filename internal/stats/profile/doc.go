// Package profile describes what samples are like and how good a panel is:
// principal components and maps of means with ellipses, intraclass correlations,
// and each assessor's discrimination, repeatability and agreement.
//
// Main sources: Shrout & Fleiss (1979), Psychol. Bull. 86, 420; McGraw & Wong
// (1996), Psychol. Methods 1, 30; Næs & Solheim (1991), J. Sens. Stud. 6, 159.
package profile
