// Package server speaks HTTP for a service of package panel: pages for the lead
// and ballots for assessors' phones.
//
// It decides nothing: a handler reads a form, calls one method of
// [panel.Service] and renders a screen. Every route stands in one table with
// the role that it is for (routes.go); what is in no table is refused. What an
// assessor's phone is given is rendered from [panel.Welcome] and [panel.Ballot],
// which have no field for what an assessor may not know; its page titles say
// nothing of the study.
//
// Pages work without JavaScript. Each screen has its own struct and its own set
// of templates in package web, is rendered into a buffer and then written.
// Assets are served under a hash of their content.
//
// Cross-origin requests that change something are refused
// ([http.CrossOriginProtection]).
//
// Source of the accessibility rules kept here: Web Content Accessibility
// Guidelines (WCAG) 2.2, level AA.
package server
