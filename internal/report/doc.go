// Package report tells findings: as JSON, as text and as a page with figures.
//
// [WriteJSON] and [WriteText] write a [analysis.Result] for scripts and for a
// terminal. [Build] makes the [Page] that web/templates/report_body.html shows,
// within the service or, by [WriteHTML], as one file that opens anywhere. The
// command line and the service use the same functions.
//
// The page says the verdict in plain words first, then shows the figures, then
// a table, then the technical part. Every warning stands beside what it
// qualifies. Whether a difference is called clear follows the planned test,
// never the eye.
//
// The package decides no statistics; what it rounds for reading is kept in full
// in the JSON.
package report
