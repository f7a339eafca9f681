package study

// USAllergen is one of the nine major food allergens of US law.
type USAllergen string

// USAllergens are the nine, and the one of the 14 groups of European law that
// holds each: eight of the Food Allergen Labeling and Consumer Protection Act of
// 2004 (FALCPA), and sesame of the FASTER Act of 2021. Both lists are here from
// memory. A dish's allergens are kept as the 14, which say more; the nine are read
// from them, so that nothing has to be entered twice.
var USAllergens = []struct {
	ID   USAllergen
	Text string
	From Allergen
}{
	{"milk", "milk", "milk"},
	{"eggs", "eggs", "eggs"},
	{"fish", "fish", "fish"},
	{"crustacean shellfish", "crustacean shellfish", "crustaceans"},
	{"tree nuts", "tree nuts", "nuts"},
	{"peanuts", "peanuts", "peanuts"},
	{"wheat", "wheat", "gluten"}, // of the cereals containing gluten, wheat alone
	{"soybeans", "soybeans", "soya"},
	{"sesame", "sesame", "sesame"},
}

// usRemarks are what the names of the two lists do not say. FALCPA has the kind
// of nut, fish and crustacean named. Sulphites of 10 parts in a million or more
// are declared in the USA under another rule, 21 CFR 101.100(a)(4). From memory.
var usRemarks = map[Allergen]string{
	"gluten":      "wheat is one of the 9 of US law, rye, barley and oats are not: say which cereal",
	"nuts":        "tree nuts are one of the 9 of US law: say which nut",
	"fish":        "fish is one of the 9 of US law: say which fish",
	"crustaceans": "crustacean shellfish is one of the 9 of US law: say which",
	"sulphites":   "not one of the 9 of US law, which asks for sulphites by another rule",
}

// US says in words what the allergen is in US law, and whether it is, or for
// gluten may be, one of the nine.
func (a Allergen) US() (words string, listed bool) {
	words = "not one of the 9 of US law"
	for _, x := range USAllergens {
		if x.From == a {
			words, listed = x.Text+" is one of the 9 of US law", true
			if last := x.Text[len(x.Text)-1]; last == 's' {
				words = x.Text + " are one of the 9 of US law"
			}
		}
	}
	if remark, ok := usRemarks[a]; ok {
		words = remark
	}
	return words, listed
}
