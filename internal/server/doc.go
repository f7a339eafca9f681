// Package server speaks HTTP for a service of package panel: pages for the lead
// and ballots for assessors' phones.
//
// It is the router. What people stand in front of is in rooms, each a package with a
// table of its routes: phones (guests), room (kitchen and floor), desk (lead and
// partner) and builder. What they share is in package site, a study in words in
// package summary. Imports run from here to the rooms and from those to site; of the
// rooms, desk alone uses others.
//
// It decides nothing: a handler reads a form, calls one method of
// [panel.Service] and renders a screen. Every route has its role beside it, which is
// checked here, in one place (access.go); what is in no table is refused. What an
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
