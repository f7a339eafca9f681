// Package study says what is asked of a panel: dishes, names, samples,
// attributes with their scales, the panel, how it is served and what will be
// tested.
//
// A study is read from a file ([Parse]) that reports every mistake with its
// place, and has one canonical form ([Canonical]) whose SHA-256 is shown when
// the study is locked.
//
// Sources: Regulation (EU) No 1169/2011, Annex II (allergens); Peryam & Pilgrim
// (1957) for the 9-point hedonic scale; ISO 4121 for kinds of scale.
//
// The package does not draw plans (package design), analyse ratings (package
// analysis) or store anything.
package study
