package study

// AboutRight is a scale from too little over about right to too much, of three answers or
// five, the middle one about right. Its answers are counted and never averaged: half of a
// panel finding too little and half too much is not about right.
const AboutRight ScaleKind = "about-right"

// aboutRightKey is how a study file writes it.
const aboutRightKey = "about right"

// Of how many answers such a scale is.
const (
	fewestOfAboutRight = 3
	mostOfAboutRight   = 5
)

// Sides of a scale from too little to too much.
const (
	TooLittle = iota
	JustRight
	TooMuch
)

// Averages reports whether the answers on the scale may be averaged.
func (s Scale) Averages() bool { return s.Kind != AboutRight }

// SideOf is the side of an answer on a scale of [AboutRight].
func (s Scale) SideOf(v float64) int {
	switch middle := float64(len(s.Labels)+1) / 2; {
	case v < middle:
		return TooLittle
	case v > middle:
		return TooMuch
	}
	return JustRight
}

// SideLabel is the answer next to about right on a side, or that itself: the words by
// which people on that side are spoken of.
func (s Scale) SideLabel(side int) string { return s.Labels[len(s.Labels)/2+side-JustRight] }

// Averaged are the attributes whose answers may be averaged, in the order of the study.
func (s *Study) Averaged() []Attribute { return s.attributesThat(Scale.Averages) }

// AboutRights are the attributes asked as too little, about right or too much.
func (s *Study) AboutRights() []Attribute {
	return s.attributesThat(func(x Scale) bool { return x.Kind == AboutRight })
}

func (s *Study) attributesThat(hold func(Scale) bool) (some []Attribute) {
	for _, a := range s.Attributes {
		if hold(a.Scale) {
			some = append(some, a)
		}
	}
	return some
}

// usualLiking is the attribute that says how much a serving is liked, where the file does not
// say which that is and there can be no doubt: the only one on the scale from dislike to
// like, or the only one whose answers may be averaged.
func (s *Study) usualLiking() AttributeID {
	liked := s.attributesThat(func(x Scale) bool { return x.Kind == Hedonic9 })
	if len(liked) == 0 {
		liked = s.Averaged()
	}
	if len(liked) != 1 || len(s.AboutRights()) == 0 {
		return ""
	}
	return liked[0].ID
}

// WorthOn is the attribute in whose points the smallest effect is: the one that decides, or of
// one dish the liking that this is held against.
func (s *Study) WorthOn() (Attribute, bool) {
	if s.Question.Kind().OneDish {
		return s.Attribute(s.Plan.Liking)
	}
	return s.Attribute(s.Plan.Attribute)
}

// WorthOfLiking is the smallest effect worth acting on where it is one of the liking that
// answers about right are held against; 0 where none is stated, or it is of something else.
func (s *Study) WorthOfLiking() float64 {
	if decides, ok := s.Attribute(s.Plan.Attribute); ok && decides.Scale.Averages() && decides.ID != s.Plan.Liking {
		return 0
	}
	return s.Plan.SmallestEffect
}

// labelsKey is the key under which a file writes the labels of the scale.
func (s Scale) labelsKey() string {
	if s.Kind == AboutRight {
		return aboutRightKey
	}
	return string(Categories)
}

// aboutRight reads the answers of a scale from too little to too much.
func (o object) aboutRight() Scale {
	s := Scale{Kind: AboutRight}
	o.notOfLabels("answers count from 1")
	s.Labels = o.labels(aboutRightKey, fewestOfAboutRight, mostOfAboutRight)
	if len(s.Labels) == 4 {
		o.reject(o.sub(aboutRightKey),
			Say("of four answers none is in the middle, and the middle one says about right"),
			Say("write three or five, as in [not salty enough, about right, too salty]"))
	}
	return s
}

// aboutRightFits checks what answers about right do not go with.
func (r *reader) aboutRightFits(s *Study) {
	if !r.sound("attributes") || !s.Question.CollectsRatings() {
		return
	}
	if len(s.AboutRights()) == 0 {
		if r.written("analysis.liking") && r.sound("analysis.liking") {
			r.reject("analysis.liking",
				Say("\"liking\" is what answers about right are held against, and the study has none"),
				Say("write the analysis without it"))
		}
		return
	}
	if s.Serving.Replicates > 1 && r.sound("serving.replicates") {
		r.reject("serving.replicates", Say("whether a sample is about right is asked of each assessor once"),
			Say("write replicates: 1, or leave the line out"))
	}
	if s.Serving.Expectation && r.sound("serving.expectation") {
		r.reject("serving.expectation",
			Say("of a name nobody can say beforehand whether what they will taste is about right"),
			Say("leave the line out, or ask for the attribute on another scale"))
	}
	r.likingFits(s)
}

// likingFits checks that it is known which attribute says how much a serving is liked, and
// that the attribute which decides has a mean.
func (r *reader) likingFits(s *Study) {
	averaged := attributeIDs(s.Averaged())
	if len(averaged) == 0 {
		r.reject("attributes", Say("answers about right say nothing by themselves of how much it matters"),
			Say("write an attribute beside them that asks for liking, on scale: hedonic-9"))
		return
	}
	oneDish := s.Question.Kind().OneDish // of which this decides
	if a, ok := s.Attribute(s.Plan.Attribute); ok && !a.Scale.Averages() && !oneDish && r.sound("analysis.attribute") {
		r.reject("analysis.attribute", Say("the answers to %s have no mean that could be compared", a.ID),
			write(string(a.ID), averaged))
	}
	a, ok := s.Attribute(s.Plan.Liking)
	switch {
	case !r.sound("analysis", "analysis.liking"):
	case !ok && !r.written("analysis.liking"):
		r.reject("analysis.liking",
			Say("nothing says which attribute asks how much a serving is liked, which the answers "+
				"about right are held against"), Say("write liking: under analysis, with the id of that attribute"))
	case ok && !a.Scale.Averages():
		r.reject("analysis.liking", Say("the answers to %s are about right or not, and have no mean", a.ID),
			write(string(a.ID), averaged))
	}
}
