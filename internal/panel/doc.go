// Package panel runs a study: it locks the study and draws its serving plan,
// seats assessors, takes ratings and closes. It decides what each role may
// know: what an assessor's phone is given is a [Ballot], a type with no field
// for what an assessor may not know.
//
// The package speaks neither HTTP nor SQL. Time and randomness come in as
// arguments of [New]; storage is the interface [Store].
//
// The blind is a property of the types here, after design.md's table: the lead
// learns what goes with a code and what was rated by sample only once the study
// is closed.
package panel
