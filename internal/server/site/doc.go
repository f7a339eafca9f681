// Package site is what the rooms of the service share: the roles of routes and the
// cookies of sessions, the frame of every page, screens and their rendering, errors
// with what each role reads of them, forms, streams of events, and the words in
// which times, counts and seats are told.
//
// It stands below the rooms and knows none of them. A room embeds a [Site] in its
// handlers and gives the router a table of [Route]s and a list of [Screen]s.
package site
