// Package servertest is what the tests of the service stand on: a service on a
// fresh database with studies in every state, visitors without scripts whose every
// page is checked, and Chromium.
//
// Its directories hold the tests in browsers, by who is in front of the screen:
// phone, a guest; room, floor and kitchen; desk, the lead; and screens, which opens
// every page there is and looks at it. Tests without a browser are beside the room
// that they test; those of the router or of several rooms are in package server.
// They are apart so that they run side by side, and none for long.
package servertest
