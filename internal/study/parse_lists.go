package study

import (
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

var dishKeys = []key{
	required("id", "id: and a short word"),
	required("title", "title: and what the kitchen calls it"),
	optional("amount"),
	required("portion", "portion: and how much is served, as in 60 g"),
	required("serve at", "serve at: and the serving temperature, as in 55 °C"),
	required("allergens", "allergens: and a list such as [milk, eggs], or [] when it holds none of the 14"),
	optional("also contains"),
	optional("alcohol"),
}

func (o object) dishes() []Dish {
	var dishes []Dish
	ids := o.identifiers("dishes")
	o.list("dishes", 1, maxDishes, func(path string, node ast.Node) {
		d, ok := o.object(path, Say("a dish"), node, dishKeys)
		if !ok {
			ids.incomplete()
			dishes = append(dishes, Dish{})
			return
		}
		dish := Dish{
			ID:      DishID(d.id("id")),
			Title:   d.text("title", maxLine),
			Portion: d.text("portion", maxWord),
			ServeAt: d.temperature("serve at"),
			Alcohol: d.boolean("alcohol"),
			Amount:  d.amount(),
		}
		dish.Allergens = d.allergens()
		d.list("also contains", 1, maxNotes, func(path string, node ast.Node) {
			dish.AlsoContains = append(dish.AlsoContains, o.reader.text(path, "an ingredient", node, maxLine))
		})
		ids.take(path, string(dish.ID))
		dishes = append(dishes, dish)
	})
	return dishes
}

// everyday words for ingredients, and the allergens that they may stand for.
var meantAllergen = map[string]Allergen{
	"almond": "nuts", "almonds": "nuts", "barley": "gluten", "butter": "milk", "celeriac": "celery",
	"cheese": "milk", "clams": "molluscs", "crab": "crustaceans", "cream": "milk", "dairy": "milk",
	"flour": "gluten", "hazelnut": "nuts", "hazelnuts": "nuts", "lactose": "milk", "lobster": "crustaceans",
	"mussels": "molluscs", "oats": "gluten", "oyster": "molluscs", "oysters": "molluscs", "pistachio": "nuts",
	"pistachios": "nuts", "prawns": "crustaceans", "rye": "gluten", "shellfish": "crustaceans", "shrimp": "crustaceans",
	"soy": "soya", "soybeans": "soya", "squid": "molluscs", "sulfites": "sulphites", "tahini": "sesame",
	"tofu": "soya", "tree nuts": "nuts", "walnut": "nuts", "walnuts": "nuts", "wheat": "gluten",
}

// allergens reads ids of the 14 groups and gives them in the order of Annex II,
// each once: the order in which a file lists them means nothing.
func (o object) allergens() []Allergen {
	known := make([]Allergen, len(Allergens))
	for i, a := range Allergens {
		known[i] = a.ID
	}
	var given []Allergen
	o.list("allergens", 0, len(known), func(path string, node ast.Node) {
		typed, ok := scalarOf(node)
		a := Allergen(typed)
		switch {
		case !ok:
			o.reject(path, Say("an allergen is written as %s", kindOf(node)), Say("write one word, such as milk"))
			return
		case !slices.Contains(known, a):
			o.reject(path, Say("%s is not one of the 14 allergens", quoted(typed)), mendAllergen(typed, known))
		case slices.Contains(given, a):
			o.reject(path, Say("allergen %q is listed twice", a), Say("write it once"))
		}
		given = append(given, a)
	})
	return inAnnexOrder(given)
}

func mendAllergen(typed string, known []Allergen) Said {
	if a, ok := meantAllergen[fold(typed)]; ok {
		return Say("write %q, and %q under \"also contains\"", a, typed)
	}
	if _, ok := nearest(typed, known); ok {
		return write(typed, known)
	}
	return Say("%s; or list it under \"also contains\"", write(typed, known))
}

func inAnnexOrder(given []Allergen) []Allergen {
	var ordered []Allergen
	for _, a := range Allergens {
		if slices.Contains(given, a.ID) {
			ordered = append(ordered, a.ID)
		}
	}
	return ordered
}

var nameKeys = []key{
	required("id", "id: and a short word"),
	required("text", "text: and the name as the assessor reads it"),
}

func (o object) names() []Name {
	var names []Name
	ids := o.identifiers("names")
	seen := map[string]string{}
	o.list("names", 1, maxNames, func(path string, node ast.Node) {
		n, ok := o.object(path, Say("a name"), node, nameKeys)
		if !ok {
			ids.incomplete()
			names = append(names, Name{})
			return
		}
		name := Name{ID: NameID(n.id("id")), Text: n.text("text", maxLine)}
		if first, ok := seen[fold(name.Text)]; ok && name.Text != "" {
			o.reject(path+".text", Say("the name %s is read like %s", quoted(name.Text), quoted(first)),
				Say("write names that differ in more than case and spaces, or keep one"))
		}
		seen[fold(name.Text)] = name.Text
		ids.take(path, string(name.ID))
		names = append(names, name)
	})
	return names
}

var sampleKeys = []key{
	required("id", "id: and a short word, as in A"),
	required("dish", "dish: and the id of a dish"),
	optional("name"),
	optional("blind"),
}

func (o object) samples(s *Study) []Sample {
	var samples []Sample
	ids := o.identifiers("samples")
	fewest := 2
	if s.Question.Kind().OneDish {
		fewest = 1
	}
	o.list("samples", fewest, maxSamples, func(path string, node ast.Node) {
		x, ok := o.object(path, Say("a sample"), node, sampleKeys)
		if !ok {
			ids.incomplete()
			samples = append(samples, Sample{})
			return
		}
		sample := Sample{ID: SampleID(x.id("id"))}
		sample.Dish = refer(x, "dish", "dishes", dishIDs(s.Dishes))
		sample.Name = refer(x, "name", "names", nameIDs(s.Names))
		x.namedOrBlind(s.Names)
		ids.take(path, string(sample.ID))
		samples = append(samples, sample)
	})
	return samples
}

// namedOrBlind checks that a sample says which of the two it is: a name that was
// forgotten must not turn into a blind serving.
func (o object) namedOrBlind(names []Name) {
	_, named := o.values["name"]
	blind := o.boolean("blind")
	if !o.sound(o.sub("name"), o.sub("blind")) {
		return
	}
	switch {
	case named && blind:
		o.reject(o.sub("blind"), Say("a sample is both named and blind"), Say("write one of the two"))
	case !named && !blind && len(names) == 0:
		o.reject(o.sub("name"), Say("a sample has neither \"name\" nor \"blind\""), Say("write blind: true"))
	case !named && !blind:
		o.reject(o.sub("name"), Say("a sample has neither \"name\" nor \"blind\""),
			Say("write name: and the id of a name, or blind: true"))
	}
}

var attributeKeys = []key{
	required("id", "id: and a short word, as in saltiness"),
	required("ask", "ask: and the question as the assessor reads it"),
	optional("scale"),
}

func (o object) attributes(s *Study) []Attribute {
	var attributes []Attribute
	ids := o.identifiers("attributes")
	o.list("attributes", 1, maxAttributes, func(path string, node ast.Node) {
		a, ok := o.object(path, Say("an attribute"), node, attributeKeys)
		if !ok {
			ids.incomplete()
			attributes = append(attributes, Attribute{})
			return
		}
		attribute := Attribute{ID: AttributeID(a.id("id")), Ask: a.text("ask", maxLine)}
		attribute.Scale = a.scale(s)
		attribute.nameTicks()
		ids.take(path, string(attribute.ID))
		attributes = append(attributes, attribute)
	})
	return attributes
}

// refer reads the id of something that another list of the file defines.
func refer[T ~string](o object, name, list string, known []T) T {
	node, ok := o.value(name)
	if !ok {
		return ""
	}
	return resolve(o.reader, o.sub(name), fmt.Sprintf("%q", name), node, list, known)
}

func resolve[T ~string](r *reader, path, called string, node ast.Node, list string, known []T) T {
	typed, isScalar := scalarOf(node)
	if !isScalar {
		r.reject(path, Say("%s is written as %s", called, kindOf(node)), Say("write one id"))
		return ""
	}
	if !r.sound(list) || slices.Contains(known, T(typed)) {
		return T(typed)
	}
	if len(known) == 0 {
		r.reject(path, Say("%s is none of the %s", quoted(typed), list),
			Say("write a list %q with it", list))
		return ""
	}
	r.reject(path, Say("%s is none of the %s", quoted(typed), list), write(typed, known))
	return ""
}

func dishIDs(dishes []Dish) []DishID {
	var ids []DishID
	for _, d := range dishes {
		ids = append(ids, d.ID)
	}
	return ids
}

func nameIDs(names []Name) []NameID {
	var ids []NameID
	for _, n := range names {
		ids = append(ids, n.ID)
	}
	return ids
}

func sampleIDs(samples []Sample) []SampleID {
	var ids []SampleID
	for _, x := range samples {
		ids = append(ids, x.ID)
	}
	return ids
}

func attributeIDs(attributes []Attribute) []AttributeID {
	var ids []AttributeID
	for _, a := range attributes {
		ids = append(ids, a.ID)
	}
	return ids
}

// identifiers keeps the ids of one list apart. Two ids that differ only in case
// would be one in many a spreadsheet.
type identifiers struct {
	*reader
	list string
	seen map[string]string
}

func (r *reader) identifiers(list string) identifiers {
	return identifiers{r, list, map[string]string{}}
}

// incomplete notes that an item of the list could not be read, so that
// references into it are not judged.
func (ids identifiers) incomplete() { ids.bad[ids.list] = true }

func (ids identifiers) take(path, id string) {
	if id == "" {
		ids.incomplete()
		return
	}
	low := strings.ToLower(id)
	first, taken := ids.seen[low]
	ids.seen[low] = id
	if taken || !ids.sound(path+".id") {
		ids.incomplete() // the id will change, and what refers to it with it
	}
	switch {
	case taken && first == id:
		ids.reject(path+".id",
			Say("two of the %s have the id %s", ids.list[strings.LastIndex(ids.list, ".")+1:], quoted(id)),
			Say("write another"))
	case taken:
		ids.reject(path+".id", Say("the ids %s and %s differ only in case", quoted(first), quoted(id)),
			Say("write another"))
	}
}
