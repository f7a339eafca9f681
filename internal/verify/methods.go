package verify

import (
	"maps"
	"sync"
)

// methods is the vocabulary: every method that a reference file may name.
var methods = sync.OnceValue(func() map[string]method {
	all := map[string]method{}
	for _, family := range []map[string]method{
		blockMethods(), countMethods(), differenceMethods(), distributionMethods(),
		effectMethods(), groupMethods(), mixedMethods(), ordinalMethods(), pairedMethods(),
		panelMethods(), powerMethods(), studyMethods(), twoSampleMethods(),
	} {
		maps.Copy(all, family)
	}
	return all
})

// Methods lists the vocabulary in alphabetical order.
func Methods() []string { return sortedKeys(methods()) }
