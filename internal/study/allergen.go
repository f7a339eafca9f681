package study

// Allergen is one of the 14 groups of Regulation (EU) No 1169/2011, Annex II.
type Allergen string

// Allergens are the 14 groups in the order of Annex II, with short words for
// files and full words for people: those of the Annex, shortened. “Including
// celeriac” beside celery is our own addition.
var Allergens = []struct {
	ID   Allergen
	Text string
}{
	{"gluten", "cereals containing gluten (wheat such as spelt and khorasan wheat, rye, barley, oats)"},
	{"crustaceans", "crustaceans"},
	{"eggs", "eggs"},
	{"fish", "fish"},
	{"peanuts", "peanuts"},
	{"soya", "soybeans"},
	{"milk", "milk (including lactose)"},
	{"nuts", "nuts (almonds, hazelnuts, walnuts, cashews, pecan nuts, Brazil nuts, pistachio nuts, macadamia or " +
		"Queensland nuts)"},
	{"celery", "celery (including celeriac)"},
	{"mustard", "mustard"},
	{"sesame", "sesame seeds"},
	{"sulphites", "sulphur dioxide and sulphites (above 10 mg/kg or 10 mg/litre)"},
	{"lupin", "lupin"},
	{"molluscs", "molluscs"},
}

// Text returns the full words of the allergen.
func (a Allergen) Text() string {
	for _, x := range Allergens {
		if x.ID == a {
			return x.Text
		}
	}
	return string(a)
}

// AllergenUnion returns every allergen of every dish in the order of Annex II,
// and every free-text note in the order of the file, each once. It is what an
// assessor sees before consent: the union gives no code away and hides nothing.
func (s *Study) AllergenUnion() (allergens []Allergen, notes []string) {
	has := map[Allergen]bool{}
	noted := map[string]bool{}
	for _, d := range s.Dishes {
		for _, a := range d.Allergens {
			has[a] = true
		}
		for _, n := range d.AlsoContains {
			if !noted[n] {
				noted[n] = true
				notes = append(notes, n)
			}
		}
	}
	for _, a := range Allergens {
		if has[a.ID] {
			allergens = append(allergens, a.ID)
		}
	}
	return allergens, notes
}
