package study

var english = tongue{
	tag: "en", inEnglish: "English", called: []string{"english"},
	hedonic: Hedonic9Labels,
	screens: map[string]string{
		"senses":  "Do you have a cold, or do you smell or taste less than usual today?",
		"kitchen": "Did you help to plan, cook or plate what is served here?",
	},
	terms: map[AttributeID]termWords{
		"saltiness":   {"How salty is it?", "not at all salty", "extremely salty"},
		"sweetness":   {"How sweet is it?", "not at all sweet", "extremely sweet"},
		"sourness":    {"How sour is it?", "not at all sour", "extremely sour"},
		"bitterness":  {"How bitter is it?", "not at all bitter", "extremely bitter"},
		"umami":       {"How much umami does it have, the taste of broth and of aged cheese?", "no umami", "very much umami"},
		"metallic":    {"How metallic does it taste?", "not at all metallic", "extremely metallic"},
		"pungency":    {"How hot is it in the mouth, as from chilli or mustard?", "not at all hot", "extremely hot"},
		"astringency": {"How much does it dry and draw the mouth together, as strong black tea does?", "not at all", "extremely"},
		"smoothness":  {"How smooth is it in the mouth?", "very grainy", "very smooth"},
		"creaminess":  {"How creamy is it?", "not at all creamy", "extremely creamy"},
		"thickness":   {"How thick is it?", "very thin", "very thick"},
		"firmness":    {"How firm is it to the bite?", "very soft", "very firm"},
		"crispness":   {"How crisp is it?", "not at all crisp", "extremely crisp"},
		"chewiness":   {"How long does it have to be chewed?", "hardly at all", "very long"},
		"juiciness":   {"How juicy is it?", "very dry", "very juicy"},
		"fattiness":   {"How fatty does it feel in the mouth?", "not at all fatty", "extremely fatty"},
		"richness":    {"How rich is it?", "very light", "very rich"},
		"aroma":       {"How strong does it smell, before you taste it?", "no smell", "extremely strong"},
		"flavour":     {"How strong is its flavour as a whole?", "very weak", "very strong"},
		"aftertaste":  {"How strong is the taste that stays after you swallow?", "no taste stays", "extremely strong"},
		"persistence": {"How long does its flavour last after you swallow?", "gone at once", "very long"},
		"liking":      {ask: "How much do you like it?"},
	},
}
