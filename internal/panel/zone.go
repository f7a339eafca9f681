package panel

import (
	"time"
	_ "time/tzdata" // a machine may have no time zones of its own
)

// Zone is the time zone in which times of the study are shown: that of its file, or the machine's.
func (s Study) Zone() *time.Location {
	if s.Spec == nil || s.Spec.Serving.Zone == "" {
		return time.Local
	}
	zone, err := time.LoadLocation(s.Spec.Serving.Zone)
	if err != nil { // named by another version of the program
		return time.Local
	}
	return zone
}

// in is a time in a zone; zero stays zero.
func in(at time.Time, zone *time.Location) time.Time {
	if at.IsZero() {
		return at
	}
	return at.In(zone)
}
