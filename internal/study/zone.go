package study

import (
	_ "embed"
	"strings"
)

// zoneNames are the time zones of the IANA Time Zone Database that are named by a region and a
// city, as Go 1.26 brings them (lib/time/zoneinfo.zip), and UTC.
//
//go:embed zones.txt
var zoneNames string

// zone reads the name of a time zone; "" where nothing is written or it is none.
func (o object) zone(name string) string {
	node, ok := o.value(name)
	if !ok {
		return ""
	}
	typed, ok := scalarOf(node)
	known := strings.Fields(zoneNames)
	for _, x := range known {
		if ok && typed == x {
			return x
		}
	}
	instead := Say("write the region and a city of it, as in Europe/Berlin")
	if near, found := nearest(typed, known); found {
		instead = Say("write %s", near)
	}
	o.reject(o.sub(name), Say("%q is %s", name, shown(node)), instead)
	return ""
}
