package builder

import "fmt"

// mayExpect reports whether there is a name to expect something of, or may be: not
// every sample is served blind. Where the file asks all the same, the step shows it.
func mayExpect(b *builder) bool {
	if b.text == nil || b.text.Value("serving.expectation") != "" {
		return true
	}
	n := b.text.Len("samples")
	for i := range n {
		if b.text.Value(fmt.Sprintf("samples[%d].blind", i)) != "true" {
			return true
		}
	}
	return n == 0
}

// expectationParts: whether names are rated before anything is tasted.
func expectationParts(b *builder) []part {
	return []part{{
		ID: "expecting",
		Lead: []string{
			"A name works in two ways: it says what to expect, and it colours what is then tasted. To tell them " +
				"apart, each assessor can first read every name and rate what they expect, before the first plate " +
				"comes.",
			"Serve the dish without its name too, and first, and the report says how far each name drew the tasting: " +
				"from what was tasted blind towards what was expected.",
			"It costs no portion, only a minute or two. It also makes people think about the names: leave it out " +
				"when the names should pass without notice.",
		},
		Fields: []buildField{
			b.tick("serving.expectation", "Ask what people expect from each name before they taste",
				"Only names are asked about: a study without names has nothing to expect."),
			b.tick("serving.expectation of half", "Ask only a random half of the panel",
				"Saying what one expects can change what is then tasted: the other half shows whether it does. How "+
					"far a name draws the tasting is then known of half as many people."),
		},
	}}
}
