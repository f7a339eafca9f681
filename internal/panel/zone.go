package panel

import (
	"sync"
	"time"
	_ "time/tzdata" // a machine may have no time zones of its own
)

// Zone is the time zone in which times of the study are shown: that of its file, or the machine's.
func (s Study) Zone() *time.Location {
	if s.Spec == nil || s.Spec.Serving.Zone == "" {
		return time.Local
	}
	if zone, ok := zones.Load(s.Spec.Serving.Zone); ok {
		return zone.(*time.Location)
	}
	zone, err := time.LoadLocation(s.Spec.Serving.Zone)
	if err != nil { // named by another version of the program
		zone = time.Local
	}
	zones.Store(s.Spec.Serving.Zone, zone)
	return zone
}

// zones are those of studies that were asked for, by name: [time.LoadLocation] opens and reads a file each
// time, and each page of an evening asks.
var zones sync.Map // of *time.Location

// in is a time in a zone; zero stays zero.
func in(at time.Time, zone *time.Location) time.Time {
	if at.IsZero() {
		return at
	}
	return at.In(zone)
}
