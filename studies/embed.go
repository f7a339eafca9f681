// Package studies holds the example studies, for "cloche demo", for the study
// builder and for tests, and the half-done studies that the builder begins with.
// Their ratings are invented.
package studies

import _ "embed"

// CeleriacCustard is the study file of the demo: one dish under two names.
//
//go:embed celeriac-custard.yaml
var CeleriacCustard []byte

// RestedCustard is an example of a kitchen rule.
//
//go:embed rested-custard.yaml
var RestedCustard []byte

// FourCustards is an example of several dishes, rated on several attributes.
//
//go:embed four-custards.yaml
var FourCustards []byte

// BrownedButter is an example of a choice between two dishes.
//
//go:embed browned-butter.yaml
var BrownedButter []byte

// FourCrusts is an example of several dishes put in the order in which they are liked.
//
//go:embed four-crusts.yaml
var FourCrusts []byte

// CustardInWords is an example of words that are ticked where they fit.
//
//go:embed custard-in-words.yaml
var CustardInWords []byte

// SweetEnough is an example of whether a dish is about right.
//
//go:embed sweet-enough.yaml
var SweetEnough []byte

// SweetAlone is an example of whether one dish by itself is about right.
//
//go:embed sweet-alone.yaml
var SweetAlone []byte

// SaltierOfTwo is an example of which of two dishes has more of something.
//
//go:embed saltier-of-two.yaml
var SaltierOfTwo []byte

// MadeYesterday is an example of whether a change is noticed.
//
//go:embed made-yesterday.yaml
var MadeYesterday []byte

// TwoCreams is an example of whether a few people notice a change.
//
//go:embed two-creams.yaml
var TwoCreams []byte

// SwappedCream is an example of whether so few notice a change that it passes.
//
//go:embed swapped-cream.yaml
var SwappedCream []byte

// SaltByTheGram is an example of a dish with several amounts of one thing.
//
//go:embed salt-by-the-gram.yaml
var SaltByTheGram []byte

// LittleSmoke is an example of rising amounts, one of which is tasted first.
//
//go:embed little-smoke.yaml
var LittleSmoke []byte

// CustardProfile is an example of what each of several dishes is like.
//
//go:embed custard-profile.yaml
var CustardProfile []byte

// What the builder begins with: studies in which the dishes, the question in words
// and the comparison are still open.
var (
	//go:embed start/name.yaml
	StartName []byte
	//go:embed start/rule.yaml
	StartRule []byte
	//go:embed start/differ.yaml
	StartDiffer []byte
	//go:embed start/prefer.yaml
	StartPrefer []byte
	//go:embed start/order.yaml
	StartOrder []byte
	//go:embed start/words.yaml
	StartWords []byte
	//go:embed start/right.yaml
	StartRight []byte
	//go:embed start/alone.yaml
	StartAlone []byte
	//go:embed start/more.yaml
	StartMore []byte
	//go:embed start/tell.yaml
	StartTell []byte
	//go:embed start/pairs.yaml
	StartPairs []byte
	//go:embed start/swap.yaml
	StartSwap []byte
	//go:embed start/much.yaml
	StartMuch []byte
	//go:embed start/from.yaml
	StartFrom []byte
	//go:embed start/profile.yaml
	StartProfile []byte
)
