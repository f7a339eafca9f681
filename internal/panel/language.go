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

// began says for the log in which language an assessor began, where there is a
// choice: a name in another language is another treatment.
func began(ctx context.Context, a *study.Study) string {
	if len(a.Languages) < 2 {
		return ""
	}
	return "in " + spoken(ctx, a).Languages[0]
}
