// Package panel runs a study: it locks the study and draws its serving plan,
// seats assessors, takes ratings and closes. It decides what each role may
// know and do ([May], [MayDo]): what an assessor's phone is given is a [Ballot],
// what floor is given a [Room], what the kitchen is given a [KitchenSheet] and
// what a board shows a [Live]: types with no field for what their reader may not
// know. A serving that a phone holds ahead of its turn is [Sealed].
//
// The package speaks neither HTTP nor SQL. Time and randomness come in as
// arguments of [New]; storage is the interface [Store].
//
// Files by what they are for: access_ is who may come in and do what (sessions,
// passwords, links, limits, the table of rights), view_ is what each role sees; the
// others run a study, from its draft to its findings.
//
// The blind is a property of the types here, after the table of rights: the lead
// learns what goes with a code and what was rated by sample only once the study
// is closed.
package panel
