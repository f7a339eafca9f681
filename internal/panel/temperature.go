package panel

import (
	"fmt"
	"math"
)

// Limits of holding food, °C. UK: The Food Safety and Hygiene (England)
// Regulations 2013, SI 2013/2996, Schedule 4; USA: FDA Food Code 3-501.16. They
// are no legal advice: local rules come first.
const (
	HotUK, ColdUK = 63, 8
	HotUS, ColdUS = 57, 5
)

// temperatureCautions are the usual cautions for every sitting.
func temperatureCautions() []string {
	return []string{
		fmt.Sprintf("Hold hot food at %d °C or above and cold food at %d °C or below in the UK; %d °C and %d °C in "+
			"the US Food Code. Local rules come first.", HotUK, ColdUK, HotUS, ColdUS),
		"Food served between these limits is held hot or cold, brought to its serving temperature just before " +
			"plating, served at once, and thrown away after.",
	}
}

// Distances from the temperature at which the study has a dish served, in °C. Beyond
// the first a plate differs from the others; beyond the second a typing error is
// likelier than a dish. Common practice, no source.
const (
	ServeWithin = 3
	TypedWithin = 20
)

// servingCautions says what to mind about a measured temperature of a dish that is
// served at serveAt.
func servingCautions(serveAt, measured float64) []string {
	all := holdingCautions(serveAt, measured)
	if off := measured - serveAt; math.Abs(off) > ServeWithin {
		word := "above"
		if off < 0 {
			word = "below"
		}
		all = append(all, fmt.Sprintf("%.3g °C %s the %.3g °C at which the study has it served: guests would "+
			"compare temperatures, not dishes.",
			math.Abs(off), word, serveAt))
	}
	return all
}

// holdingCautions says what to mind about a measured temperature of a dish that is
// served at serveAt. Nothing is asserted to be safe: within the limits the list is
// empty.
func holdingCautions(serveAt, measured float64) []string {
	const first = " Local rules come first."
	switch {
	case measured >= HotUK || measured <= ColdUS:
		return nil
	case measured >= HotUS:
		return []string{fmt.Sprintf("Below %d °C, the least for holding hot food in the UK; not below %d °C, the "+
			"least in the US Food Code.", HotUK, HotUS) + first}
	case measured <= ColdUK && serveAt <= ColdUK:
		return []string{fmt.Sprintf("Above %d °C, the most for holding cold food in the US Food Code; not above %d "+
			"°C, the most in the UK.", ColdUS, ColdUK) + first}
	case serveAt <= ColdUK:
		return []string{fmt.Sprintf("Above %d °C (UK) and %d °C (US Food Code), the most for holding cold food: "+
			"chill it again or serve it at once, and note since when.", ColdUK, ColdUS) + first}
	case serveAt >= HotUS:
		return []string{fmt.Sprintf("Below %d °C (UK) and %d °C (US Food Code), the least for holding hot food: "+
			"heat it again or serve it at once, and note since when.", HotUK, HotUS) + first}
	}
	return []string{fmt.Sprintf("Between the limits for holding (%d and %d °C in the UK, %d and %d °C in the US "+
		"Food Code): serve it at once, and throw away what is left.", ColdUK, HotUK, ColdUS, HotUS) + first}
}
