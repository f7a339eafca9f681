package analysis

import (
	"fmt"

	"cloche/internal/stats/profile"
)

// Codes of the warnings on profiles.
const (
	WarnNoReplicates = profile.WarnNoReplicates
	WarnNoMap        = "no-map"
	WarnMapPart      = "map-of-complete-assessors"
)

func warnNoReplicates() Warning {
	return Warning{WarnNoReplicates, "nobody rated a sample twice, so that it cannot be told how well assessors " +
		"repeat " +
		"themselves, nor whether one who differs from the others sees the samples otherwise or only wavers; serve " +
		"each sample twice or three times"}
}

func warnNoMap(attributes int) Warning {
	if attributes == 0 {
		return Warning{WarnNoMap, "no map is drawn: on no attribute are the samples told apart"}
	}
	return Warning{WarnNoMap, "no map is drawn: the samples are told apart on one attribute alone, and its means say " +
		"all that a map would"}
}

func warnNobodyForMap(n int) Warning {
	return Warning{WarnNoMap, fmt.Sprintf("no map is drawn: it is made of assessors who rated every sample on every "+
		"attribute that tells them apart, and there are fewer than two of them (%d)", n)}
}

func warnFlatMap() Warning {
	return Warning{WarnNoMap, "no map is drawn: among the assessors who rated everything, the means of the samples " +
		"are " +
		"equal on an attribute"}
}

func warnMapPart(n, all int) Warning {
	return Warning{WarnMapPart, fmt.Sprintf("the map is of the %d of %d assessors who rated every sample on every "+
		"attribute that tells them apart", n, all)}
}
