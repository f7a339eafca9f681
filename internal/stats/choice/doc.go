// Package choice analyses answers that are choices or counts: proportions,
// difference tests (triangle, duo-trio, tetrad, forced choices) with d′ and
// discriminators, replicates, A–not-A and same–different, sequential tests,
// paired and unpaired 2×2 tables, Cochran's Q, and the panels they need.
//
// Tests are exact where the counts allow it. Main sources: ISO 4120, ISO 10399,
// ISO 5495, ISO 16820, ASTM E1885 and E2262 for procedure; Macmillan & Creelman
// (2005), Detection Theory; Ennis & Bi (1998), J. Sens. Stud. 13, 389.
package choice
