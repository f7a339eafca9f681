// Package phones is what stands in front of guests: joining by a link, consent, the
// ballot on their phone, with and without network, and taking answers out. The
// rehearsal of the same screens, for lead and partner, stands beside them.
//
// What a phone is given is rendered from [panel.Welcome] and [panel.Ballot], which
// have no field for what an assessor may not know.
package phones
