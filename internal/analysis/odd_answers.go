package analysis

import (
	"fmt"
	"slices"
	"strings"

	"cloche/internal/study"
)

// Codes of the warnings that name people: how they were served, or how they answered.
const (
	WarnWrongPlate   = "wrong-plate"
	WarnTastedEarly  = "tasted-early"
	WarnTalked       = "talked-about-it"
	WarnSpilt        = "spilt"
	WarnUnwell       = "felt-unwell"
	WarnOutOfTurn    = "answered-out-of-turn"
	WarnAnsweredLate = "answered-late"
	WarnAnsweredSoon = "answered-too-soon"
	WarnSameAnswer   = "same-answer-throughout"
)

// What is odd enough to be named (common practice, no source). Nobody is left out for it.
const (
	soonestSeconds = 10 // a taste and its answers take longer
	latestMinutes  = 20 // from then on one answers from memory, and the food is another
	fewestAlike    = 4  // answers that are all the same; fewer may well be
	mostListed     = 12 // people in a sentence
)

// marks are what went otherwise than planned with an answer, or is odd about who gave it.
type marks uint16

const (
	blindBroken marks = 1 << iota
	notNoted
	wrongPlate
	tastedEarly
	talked
	spilt
	unwell
	outOfTurn
	answeredLate
	answeredSoon
	sameThroughout
	guessedRight // what the last question asked
)

// breaches are all marks in the order in which they are told. Where a finding is reckoned
// anew without those people it says so by without; a warning of that code says what they
// did, where no other warning does.
var breaches = []breach{
	{of: blindBroken, without: "without those for whom the blind was broken"},
	{wrongPlate, "without those whom a wrong plate reached", WarnWrongPlate, "had a wrong plate"},
	{tastedEarly, "without those who tasted too early", WarnTastedEarly, "tasted too early, as floor noted"},
	{talked, "without those who talked about it", WarnTalked,
		"talked about what they tasted before they had answered, as floor noted"},
	{spilt, "without those with a plate of which part was spilt", WarnSpilt,
		"had a plate of which part was spilt, as floor noted"},
	{unwell, "without those who felt unwell", WarnUnwell, "felt unwell while tasting, as floor noted"},
	{of: notNoted, without: "without those with a plate that nobody noted as set down"},
	{outOfTurn, "without those who answered out of turn", WarnOutOfTurn,
		"answered a serving before one that the plan serves earlier"},
	{answeredLate, "without those who answered late", WarnAnsweredLate,
		fmt.Sprintf("answered more than %d minutes after the plate was noted as set down, from memory perhaps "+
			"(limit: common practice, no source)", latestMinutes)},
	{answeredSoon, "without those who answered too soon to have tasted", WarnAnsweredSoon,
		fmt.Sprintf("answered within %d seconds of the plate being noted as set down: too soon to have tasted it, "+
			"unless floor noted it late (limit: common practice, no source)", soonestSeconds)},
	{of: sameThroughout, code: WarnSameAnswer}, // see [sameSaid]
	{of: guessedRight, without: "without those who guessed right after the last plate"},
}

// breach is a mark, and how it is told of.
type breach struct {
	of      marks
	without string // "" = without those who did it
	code    string
	did     string
}

// told is what those with the mark did.
func (b breach) told(s *study.Study) string {
	if b.of == sameThroughout {
		return sameSaid(s)
	}
	return b.did
}

// withoutThose says without whom a finding is reckoned anew.
func (b breach) withoutThose(s *study.Study) string {
	if b.without != "" {
		return b.without
	}
	return "without those who " + b.told(s)
}

// sameSaid says what [sayTheSame] finds in the answers to a study's question.
func sameSaid(s *study.Study) string {
	switch {
	case s.Question.CollectsRatings() && len(s.Attributes) == 1:
		return fmt.Sprintf("rated %s the same at every serving, %d servings or more", s.Attributes[0].ID, fewestAlike)
	case s.Question.CollectsRatings():
		return fmt.Sprintf("put every rating, of each attribute and at each serving, in the same place of its scale, "+
			"%d ratings or more", fewestAlike)
	case s.Question.Response() == study.TickWords && len(s.Attributes) > 1:
		return fmt.Sprintf("ticked the same words at every serving and rated all of them the same, %d servings or more",
			fewestAlike)
	case s.Question.Response() == study.TickWords:
		return fmt.Sprintf("ticked the same words at every serving, %d servings or more", fewestAlike)
	}
	return fmt.Sprintf("gave the same answer in every turn, by the order of the plates, %d turns or more", fewestAlike)
}

// marksOf are those of each answer; same are those who gave the same answer throughout.
func marksOf(answers []Rating, same map[string]bool) []marks {
	all := make([]marks, len(answers))
	for i, r := range answers {
		m := &all[i]
		m.set(blindBroken, r.Revealed)
		m.set(notNoted, r.NotSetDown)
		m.set(wrongPlate, r.WrongPlate)
		m.set(tastedEarly, r.TastedEarly)
		m.set(talked, r.Talked)
		m.set(spilt, r.Spilt)
		m.set(unwell, r.Unwell)
		m.set(outOfTurn, r.OutOfTurn)
		m.set(answeredLate, AnsweredLate(r.Seconds))
		m.set(answeredSoon, AnsweredSoon(r.Seconds))
		m.set(sameThroughout, len(same) > 0 && same[r.Assessor])
	}
	return all
}

// mark notes who gave the same answer throughout.
func (p *panel) mark(same map[string]bool) {
	for i, who := range p.assessors {
		if !same[who] {
			continue
		}
		for _, c := range p.columns {
			for k := range c[i] {
				c[i][k].marks |= sameThroughout
			}
		}
	}
}

func (m *marks) set(one marks, is bool) {
	if is {
		*m |= one
	}
}

// sayTheSame are those all of whose answers are alike, where they gave enough: the same
// place on every scale; or in every turn the same of the plates, counted by position.
func sayTheSame(s *study.Study, answers []Rating) map[string]bool {
	if s.Question.CollectsRatings() {
		said := alike[float64]{}
		for _, r := range answers {
			if a, ok := s.Attribute(r.Attribute); ok {
				said.add(r.Assessor, (r.Value-a.Scale.Min())/(a.Scale.Max()-a.Scale.Min()))
			}
		}
		return said.throughout()
	}
	if s.Question.Response() == study.TickWords {
		return tickTheSame(answers)
	}
	turns, err := choiceTurns(s, answers)
	if err != nil { // the analysis says so
		return nil
	}
	said := alike[string]{}
	for _, t := range turns {
		said.add(t.assessor, t.byPosition())
	}
	return said.throughout()
}

// byPosition spells the answers of a turn.
func (t choiceTurn) byPosition() string {
	values := make([]float64, len(t.servings))
	for i, r := range t.servings {
		values[i] = r.Value
	}
	return fmt.Sprint(values)
}

// alike counts the answers of everybody while they are the same.
type alike[T comparable] map[string]*sayings[T]

type sayings[T comparable] struct {
	n      int
	first  T
	differ bool
}

func (x alike[T]) add(who string, answer T) {
	said := x[who]
	if said == nil {
		said = &sayings[T]{first: answer}
		x[who] = said
	}
	said.n++
	said.differ = said.differ || answer != said.first
}

func (x alike[T]) throughout() map[string]bool {
	same := map[string]bool{}
	for who, said := range x {
		if said.n >= fewestAlike && !said.differ {
			same[who] = true
		}
	}
	return same
}

// marked are those with an answer that bears a mark, in natural order.
func marked(answers []Rating, all []marks, of marks) (people []string) {
	seen := map[string]bool{}
	for i, r := range answers {
		if all[i]&of != 0 && !seen[r.Assessor] {
			seen[r.Assessor] = true
			people = append(people, r.Assessor)
		}
	}
	slices.SortFunc(people, natural)
	return people
}

// remarkConduct names those whose answers bear a mark that no other warning speaks of.
func remarkConduct(s *study.Study, answers []Rating, r *Result) {
	all := marksOf(answers, sayTheSame(s, answers))
	for _, b := range breaches {
		people := marked(answers, all, b.of)
		if b.code == "" || len(people) == 0 {
			continue
		}
		r.Warnings = append(r.Warnings, Warning{b.code, fmt.Sprintf("%s %s. The answers count like all others",
			assessorsNamed(people), b.told(s))})
	}
}

// assessorsNamed is "assessor 3", "assessors 3 and 7", "assessors 1, 2 and 5 more".
func assessorsNamed(people []string) string {
	if len(people) == 1 {
		return "assessor " + people[0]
	}
	last := people[len(people)-1]
	if rest := len(people) - mostListed; rest > 1 {
		people, last = people[:mostListed+1], fmt.Sprintf("%d more", rest)
	}
	return "assessors " + strings.Join(people[:len(people)-1], ", ") + " and " + last
}
