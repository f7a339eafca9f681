// Package words holds what the assessors' pages say beside the study's own
// texts, in every language that assessors can be addressed in: one file a
// language, one [Words] in it.
//
// To add a language, add its file and its line in [In], its allergens and labels
// in package study, and its tag in study.Spoken: tests say what is missing. All
// wording is our own; the cautions say the same in each language and defer, as in
// English, to the staff at the table.
package words
