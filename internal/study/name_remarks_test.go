package study

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// called is a study of one dish under names in a language.
func called(lang string, d Dish, names ...string) *Study {
	d.ID = "d"
	s := &Study{Languages: []string{lang}, Dishes: []Dish{d}}
	for i, text := range names {
		id := string(rune('a' + i))
		s.Names = append(s.Names, Name{NameID(id), text})
		s.Samples = append(s.Samples, Sample{SampleID(id), "d", NameID(id)})
	}
	return s
}

// codesOf are the codes of remarks, each with what has to stand in its text.
func codesOf(remarks []Remark) []string {
	var all []string
	for _, r := range remarks {
		all = append(all, r.Code)
	}
	return all
}

func TestNamesThatDifferInMoreThanTheirWords(t *testing.T) {
	for _, tc := range []struct {
		name, first, second string
		want                []string
		says                string
	}{
		{"alike", "spring custard", "spring royale", nil, ""},
		{"exactly twice as long", "custard", "custard cook me", nil, ""},
		{"longer", "custard", "custard cooked slowly", []string{RemarkLength}, "19 letters in 3 words"},
		{"accents count once", "purée", "pure\u0301e du soi", nil, ""},
		{"a price in one", "soup of the day", "soup at 4 €", []string{RemarkPrice}, "€"},
		{"a price in words", "soup of the day", "soup, 4 euros", []string{RemarkPrice}, "euros"},
		{"a price in both", "soup at 4 €", "soup at 9 €", nil, ""},
		{"a number in one", "dark cocoa tart", "70 % cocoa tart", []string{RemarkNumber}, "70"},
		{"a weight in one", "steak tonight", "200g of steak", []string{RemarkNumber}, "200g"},
		{"an origin in one", "peas with mint", "Sicilian peas", []string{RemarkOrigin}, "Sicilian"},
		{"an origin in both", "Tuscan peas", "Sicilian peas", nil, ""},
		{"provenance", "peas with mint", "peas from our field", []string{RemarkOrigin}, "from"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got := NameRemarks(called("en", Dish{}, tc.first, tc.second))
			if !slices.Equal(codesOf(got), tc.want) {
				t.Fatalf("remarks %+v, want %q", got, tc.want)
			}
			if len(got) > 0 && (got[0].Path != "names[1].text" || !strings.Contains(got[0].Text.String(), tc.says)) {
				t.Errorf("remark %+v, want it of names[1].text and %q", got[0], tc.says)
			}
		})
	}
}

func TestNamesAgainstTheDish(t *testing.T) {
	holds := func(a ...Allergen) Dish { return Dish{Allergens: a} }
	for _, tc := range []struct {
		lang, name string
		dish       Dish
		want       []string
		says       string
	}{
		// Claims about diets.
		{"en", "vegan custard", holds("milk", "eggs"), []string{RemarkClaim}, "milk"},
		{"en", "vegan royale", holds("soya"), nil, ""},
		{"en", "plant-based royale", holds("fish"), []string{RemarkClaim}, "fish"},
		{"en", "vegan royale", Dish{AlsoContains: []string{"wild honey"}}, []string{RemarkClaim}, "honey"},
		{"en", "vegetarian royale", holds("milk", "eggs"), nil, ""},
		{"en", "vegetarian royale", Dish{Title: "Broth with ham"}, []string{RemarkClaim}, "ham"},
		{"en", "vegetable royale", holds("fish"), nil, ""},
		{"fr", "royale végane", holds("milk"), []string{RemarkClaim}, "végane"},
		{"de", "vegetarische Royale", holds("fish"), []string{RemarkClaim}, "vegetarische"},
		{"es", "royal vegano", holds("eggs"), []string{RemarkClaim}, "vegano"},
		{"it", "royale vegetariana", holds("molluscs"), []string{RemarkClaim}, "vegetariana"},

		// Free-from claims.
		{"en", "gluten-free tart", holds("gluten"), []string{RemarkClaim}, "gluten-free"},
		{"en", "gluten-free tart", holds("eggs"), []string{RemarkFreeFrom}, "traces"},
		{"en", "dairy free ice", holds("milk"), []string{RemarkClaim}, "dairy free"},
		{"en", "gluten- and dairy-free tart", holds("milk"), []string{RemarkClaim, RemarkFreeFrom}, "dairy"},
		{"en", "nut-free praline", holds("peanuts", "nuts"), []string{RemarkClaim}, "peanuts"},
		{"en", "almond-free tart", holds("nuts"), []string{RemarkClaim}, "almond-free"},
		{"en", "tart without eggs", holds("eggs"), []string{RemarkClaim}, "without eggs"},
		{"en", "shellfish-free broth", holds("molluscs"), []string{RemarkClaim}, "molluscs"},
		{"en", "alcohol-free punch", Dish{Alcohol: true}, []string{RemarkClaim}, "alcohol"},
		{"en", "sugar-free jelly", Dish{}, []string{RemarkSugar}, "nutrition claim"},
		{"fr", "tarte sans gluten ni lactose", holds("milk", "gluten"), []string{RemarkClaim, RemarkClaim},
			"sans gluten"},
		{"de", "glutenfreie Torte", holds("gluten"), []string{RemarkClaim}, "glutenfreie"},
		{"de", "Torte, laktosefrei", holds("milk"), []string{RemarkClaim}, "laktosefrei"},
		{"de", "Torte ohne Nüsse", holds("nuts"), []string{RemarkClaim}, "ohne Nüsse"},
		{"es", "tarta sin huevo", holds("eggs"), []string{RemarkClaim}, "sin huevo"},
		{"it", "torta senza latte", holds("milk"), []string{RemarkClaim}, "senza latte"},
		{"en", "milk free from gluten", holds("milk"), []string{RemarkFreeFrom}, "free from gluten"},
		{"en", "poached free-range egg", holds("eggs"), nil, ""},

		// An allergen that the name puts something else in place of.
		{"en", "oat milk rice pudding", holds("milk", "gluten"), []string{RemarkHidden}, "oat milk"},
		{"en", "oat milk rice pudding", holds("gluten"), nil, ""},
		{"en", "oat milk rice pudding", Dish{}, []string{RemarkUnlisted}, "gluten"},
		{"en", "coconut cream custard", holds("milk"), []string{RemarkHidden}, "coconut cream"},
		{"en", "coconut cream custard", Dish{}, nil, ""},
		{"fr", "riz au lait d’amande", holds("milk", "nuts"), []string{RemarkHidden}, "lait d’amande"},
		{"de", "Milchreis mit Kokosmilch", holds("milk"), []string{RemarkHidden}, "Kokosmilch"},
		{"it", "panna di soia", holds("soya", "milk"), []string{RemarkHidden}, "soia"},

		// An allergen that the name says and the list lacks.
		{"en", "almond tart", holds("milk"), []string{RemarkUnlisted}, "nuts"},
		{"en", "ALMOND tart", holds("nuts"), nil, ""},
		{"en", "celeriac custard", Dish{}, []string{RemarkUnlisted}, "celery"},
		{"en", "peanut butter parfait", Dish{}, []string{RemarkUnlisted}, "peanuts"},
		{"en", "peanut butter parfait", holds("peanuts"), nil, ""},
		{"en", "prawn toast", Dish{}, []string{RemarkUnlisted}, "crustaceans"},
		{"fr", "crème brûlée", Dish{}, []string{RemarkUnlisted}, "milk"},
		{"fr", "œufs mimosa", Dish{}, []string{RemarkUnlisted}, "eggs"},
		{"fr", "noix de Saint-Jacques", holds("molluscs"), nil, ""},
		{"de", "Haselnusseis", Dish{}, []string{RemarkUnlisted}, "nuts"},
		{"de", "Ei im Glas", Dish{}, []string{RemarkUnlisted}, "eggs"},
		{"es", "sepia a la plancha", Dish{}, []string{RemarkUnlisted}, "molluscs"},
		{"it", "burro e salvia", Dish{}, []string{RemarkUnlisted}, "milk"},
		{"en", "rum baba", Dish{}, []string{RemarkAlcohol}, "alcohol: true"},
		{"en", "rum baba", Dish{Alcohol: true}, nil, ""},

		// False friends.
		{"en", "roast eggplant", Dish{}, nil, ""},
		{"en", "butternut soup", Dish{}, nil, ""},
		{"de", "Butternusskürbis", Dish{}, nil, ""},
		{"en", "coconut sorbet", Dish{}, nil, ""},
		{"en", "nutmeg sponge", Dish{}, nil, ""},
		{"en", "doughnut", Dish{}, nil, ""},
		{"en", "chestnut soup", Dish{}, nil, ""},
		{"en", "pine nut pesto", Dish{}, nil, ""},
		{"en", "cocoa butter glaze", Dish{}, nil, ""},
		{"en", "butter beans", Dish{}, nil, ""},
		{"en", "butterflied lamb", Dish{}, nil, ""},
		{"en", "oyster mushrooms", Dish{}, nil, ""},
		{"en", "buckwheat galette", Dish{}, nil, ""},
		{"en", "roast beef rind", Dish{}, nil, ""},
		{"en", "red wine vinegar jelly", Dish{}, nil, ""},
		{"en", "spring garlic", Dish{}, nil, ""},
		{"fr", "noix de muscade", Dish{}, nil, ""},
		{"fr", "crème de potiron", Dish{}, nil, ""},
		{"fr", "galette de blé noir", Dish{}, nil, ""},
		{"de", "Muskatnuss", Dish{}, nil, ""},
		{"de", "Leberkäse", Dish{}, nil, ""},
		{"de", "Eisbombe", Dish{}, nil, ""},
		{"it", "sole di mezzanotte", Dish{}, nil, ""},
		{"es", "burro cansado", Dish{}, nil, ""},
		{"en", "sepia print", Dish{}, nil, ""},

		// Names and claims that not everyone may use.
		{"en", "feta salad", holds("milk"), []string{RemarkProtected}, "registers"},
		{"en", "Parma ham", Dish{}, []string{RemarkProtected}, "Parma ham"},
		{"fr", "lentilles vertes du Puy", Dish{}, []string{RemarkProtected}, "Puy"},
		{"en", "organic peas", Dish{}, []string{RemarkCertified}, "certificate"},
		{"de", "Bio-Erbsen", Dish{}, []string{RemarkCertified}, "Bio"},
		{"en", "kosher broth", Dish{}, []string{RemarkCertified}, "kosher"},
	} {
		t.Run(tc.lang+": "+tc.name, func(t *testing.T) {
			got := NameRemarks(called(tc.lang, tc.dish, tc.name))
			if !slices.Equal(codesOf(got), tc.want) {
				t.Fatalf("remarks %+v, want %q", got, tc.want)
			}
			if !strings.Contains(joined(got), tc.says) {
				t.Errorf("remarks %+v, want %q", got, tc.says)
			}
		})
	}
}

func joined(remarks []Remark) string {
	var all []string
	for _, r := range remarks {
		all = append(all, r.Text.String())
	}
	return strings.Join(all, "\n")
}

// A translation says what the first language does not, and a name is judged by
// every dish that is served under it and by no other.
func TestNamesOfTranslationsAndOfTheirDishes(t *testing.T) {
	s := called("en", Dish{Allergens: []Allergen{"eggs"}}, "royale")
	s.Dishes = append(s.Dishes, Dish{ID: "other", Allergens: []Allergen{"milk"}})
	s.Names = append(s.Names, Name{"b", "almond tart"}) // of no sample
	s.Translations = []Translation{{Language: "fr-CA", Names: []Name{{"a", "crème royale"}, {"b", "tarte"}}}}
	got := NameRemarks(s)
	if !slices.Equal(codesOf(got), []string{RemarkUnlisted, RemarkLength}) &&
		!slices.Equal(codesOf(got), []string{RemarkLength, RemarkUnlisted}) {
		t.Fatalf("remarks %+v", got)
	}
	for _, r := range got {
		if r.Path != "translations.fr-CA.names.a" {
			t.Errorf("path of %+v", r)
		}
	}
	s.Samples = append(s.Samples, Sample{"x", "other", "a"})
	if got := NameRemarks(s); strings.Count(joined(got), "do not list milk") != 1 {
		t.Errorf("remarks %+v, want milk missing from one dish alone", got)
	}
}

func TestRemarksOnANameThatIsTooLong(t *testing.T) {
	long := called("en", Dish{}, strings.Repeat("milk ", 200_000), "royale")
	if got := NameRemarks(long); len(got) != 0 {
		t.Errorf("%d remarks on a text that is no name", len(got))
	}
}

// Every remark says what to do, and those on claims say that the law has a part.
func TestRemarksSayWhatToDo(t *testing.T) {
	s := called("en", Dish{Allergens: []Allergen{"milk"}}, "vegan oat milk feta",
		"organic sugar-free and nut-free rum punch from Sicily at 4 €", "70 salmon")
	codes := map[string]bool{}
	for _, r := range NameRemarks(s) {
		codes[r.Code] = true
		if !strings.Contains(r.Text.String(), "rite ") && !strings.Contains(r.Text.String(), "Add ") {
			t.Errorf("%s does not say what to do: %s", r.Code, r.Text.String())
		}
		differs := slices.Contains([]string{RemarkLength, RemarkPrice, RemarkOrigin, RemarkNumber}, r.Code)
		if differs == strings.HasSuffix(r.Text.String(), lawOnNames) {
			t.Errorf("%s: %s", r.Code, r.Text.String())
		}
	}
	if len(codes) != 12 {
		t.Errorf("codes %v, want each of the 12", codes)
	}
}

// Whatever names say, remarks are about a value of the file and nothing panics.
func TestRemarksOnAnyNames(t *testing.T) {
	words := rapid.SampledFrom([]string{"free", "frei", "no", "sans", "and", "milk", "nussfrei", "oat", "vegan", "-",
		"'", "€", "7", "é", "", " ", "without", "crème", "de", "range"})
	rapid.Check(t, func(t *rapid.T) {
		var names []string
		for range rapid.IntRange(0, 3).Draw(t, "names") {
			names = append(names, strings.Join(rapid.SliceOfN(words, 0, 6).Draw(t, "words"),
				rapid.SampledFrom([]string{" ", "-", ""}).Draw(t, "glue")))
		}
		s := called(rapid.SampledFrom(Spoken).Draw(t, "language"), Dish{Allergens: []Allergen{"milk"}}, names...)
		for _, r := range NameRemarks(s) {
			if !strings.HasPrefix(r.Path, "names[") || r.Code == "" || r.Text.String() == "" {
				t.Fatalf("remark %+v", r)
			}
		}
	})
}
