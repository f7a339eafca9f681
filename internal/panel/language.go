package panel

import (
	"context"

	"cloche/internal/study"
)

type languageKey struct{}

// Speaking returns a context under which assessors read a study in the language
// that suits them best: each of prefers is a BCP 47 tag or a list of them as the
// header Accept-Language has it, the first that suits wins. Without it they read
// the study's first language. Answers mean the same in every language.
func Speaking(ctx context.Context, prefers ...string) context.Context {
	return context.WithValue(ctx, languageKey{}, prefers)
}

// spoken returns the study in the language that suits the reader.
func spoken(ctx context.Context, a *study.Study) *study.Study {
	prefers, _ := ctx.Value(languageKey{}).([]string)
	return a.In(a.Language(prefers...))
}

// beganIn is the language in which an assessor began, where there is a choice: a
// name in another language is another treatment.
func beganIn(ctx context.Context, a *study.Study) string {
	if len(a.Languages) < 2 {
		return ""
	}
	return spoken(ctx, a).Languages[0]
}

// began says it for the log.
func began(language string) string {
	if language == "" {
		return ""
	}
	return "in " + language
}

// Begun counts the assessors who began in a language.
type Begun struct {
	Language  string // BCP 47
	Assessors int
}

// Begun counts in which languages assessors gave their consent on a phone, in the
// order of the study; empty for a study in one language. Later changes of the
// language are not counted.
func (s *Service) Begun(ctx context.Context, studyID StudyID) ([]Begun, error) {
	stored, err := s.Study(ctx, studyID)
	if err != nil || len(stored.Spec.Languages) < 2 {
		return nil, err
	}
	people, err := s.store.Assessors(ctx, studyID)
	if err != nil {
		return nil, err
	}
	in := map[string]int{}
	for _, a := range people {
		in[a.Language]++
	}
	var all []Begun
	for _, lang := range stored.Spec.Languages {
		all = append(all, Begun{lang, in[lang]})
	}
	return all, nil
}
