// Package datapackage writes a closed study as a data package for the partner:
// tidy tables with a codebook, the study and its serving plan in the canonical
// forms over which they were hashed, the findings and the log.
//
// The tables are CSV (RFC 4180) in UTF-8 with a comma, a header and line feeds:
// one observation a row, one variable a column, ids of the study file for samples
// and attributes. A missing value is an empty cell. Times are ISO 8601 in UTC, to
// the second. A text that a spreadsheet would run as a formula has an apostrophe
// in front (OWASP, "CSV Injection"); numbers are left alone.
//
// datapackage.json describes every file after the Data Package and Table Schema
// specifications, version 1 (Frictionless Data, specs.frictionlessdata.io:
// data-package, data-resource, tabular-data-resource, table-schema): fields with
// types and constraints, missing values, primary and foreign keys, sizes and
// sums. SHA256SUMS has the same sums for “sha256sum -c”.
//
// The package neither reads a store nor decides who may have the data: the caller
// hands over what was collected. [Files] refuses a study that is not closed.
package datapackage
