// Package meta combines the estimates of several studies: fixed and random
// effects, several estimates of the variance between studies, prediction.
//
// Sources: DerSimonian & Laird (1986), Control. Clin. Trials 7, 177; Paule &
// Mandel (1982), J. Res. NBS 87, 377; Hartung & Knapp (2001), Stat. Med. 20, 3875.
package meta
