// Package words holds what the assessors' pages say beside the study's own
// texts, in every language that assessors can be addressed in: one file a
// language, one [Words] in it.
//
// What people of the house read stands in English where it is used; staff.txt (kitchen and floor),
// desk.txt (lead and partner) and builder.txt have it in every language. All but the English was
// written from memory and is to be read by somebody whose language it is.
//
// To add a language, add its file and its line in the catalogue here, and its file
// in package study with its place in the list there: tests say what is missing. All
// wording is our own; the cautions say the same in each language and defer, as in
// English, to the staff at the table.
package words
