// Package store keeps studies, sittings, assessors and ratings in SQLite or
// PostgreSQL: it implements [panel.Store] and speaks nothing but SQL.
//
// Each method of [Store] is one transaction. On SQLite all writing goes through
// one connection, and every transaction takes the write lock when it begins; on
// PostgreSQL a transaction locks the row of the study whose state it relies on.
// Three strengths of that lock keep people out of each other's way: rating takes
// FOR KEY SHARE (any number at once), seating takes FOR NO KEY UPDATE (one at a
// time, beside ratings), and a change of state takes FOR UPDATE (alone). The
// strengths and what they conflict with: PostgreSQL 15 documentation, section
// 13.3.2, "Row-Level Locks".
//
// What a method acknowledged is on disk: SQLite runs with its write-ahead log
// and synchronous=FULL, which syncs the log at every commit (SQLite
// documentation, "PRAGMA synchronous"); PostgreSQL by its default. Calls that wait
// for the writing connection of SQLite at the same moment share a transaction, each
// in a savepoint of its own, and are told when all of it is on the disk.
//
// Times are kept in UTC to the microsecond, the resolution of PostgreSQL.
//
// The tables are made by numbered migrations, one file for both databases. Until
// the first release there is one; a released migration is never edited: a change
// is then a new number.
//
// The package does not decide what a role may know and does not read study
// files: the field Asked of a study that it returns is nil.
package store
