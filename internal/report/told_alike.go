package report

import (
	"fmt"
	"math"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// rightText counts right answers beside those that guessing gives.
func rightText(f analysis.Finding) string {
	return fmt.Sprintf("%d of %d answers were right; about %d would be if everybody guessed.", f.Choice.Told.Right, f.N,
		int(math.Round(f.Choice.Chance*float64(f.N))))
}

// alikeVerdict says whether so few people tell two samples apart that they pass for the
// same. tell is what people would do, right how many answers were right.
func alikeVerdict(s *study.Study, f analysis.Finding, tell, right string) []string {
	a := *f.Choice.Told.Alike
	wanted := "fewer than the " + peopleOf(a.Share) + " that the study set out to act on"
	cut := ""
	if a.Most >= 0 {
		cut = fmt.Sprintf("Up to %d right answers show it.", a.Most)
	}
	switch {
	case f.Verdict.Code == analysis.TooFew:
		return []string{fmt.Sprintf("Too few answers to say whether people %s: a verdict takes %d.", tell,
			analysis.Fewest(s.Plan.Alpha)), right}
	case f.Verdict.Code == analysis.Alike:
		return []string{fmt.Sprintf("So few people would %s that it passes unnoticed: %s.", tell,
			fewerThan(a.Upper.Value)),
			right, cut, noticedAllTheSame(s, f), alikeNumbers(f)}
	case f.Verdict.Different():
		return []string{"People " + tell + ", and it was not shown that they are " + wanted + ".", right,
			tellersText(f.Choice.Told.Tellers.Value), cut, alikeNumbers(f)}
	}
	return []string{"It was not shown that people who " + tell + " are " + wanted + ".", right, cut,
		"That people tell them apart was not shown either: the answer is open.", alikeNumbers(f)}
}

// noticedAllTheSame says that some do tell where the samples pass for the same; "" where
// that was not shown.
func noticedAllTheSame(s *study.Study, f analysis.Finding) string {
	if len(f.Also) == 0 || !(f.Also[0].Deciding() < s.Plan.Alpha) {
		return ""
	}
	return "Some people do tell them apart; they are few."
}

// fewerThan is a share as people of a hundred, above it.
func fewerThan(share float64) string {
	return fmt.Sprintf("fewer than %d of a hundred people truly tell", int(math.Floor(100*share+1e-9))+1)
}

// alikeNumbers gives the limit, rounded up, and both tests, each with its own risk.
func alikeNumbers(f analysis.Finding) string {
	a := f.Choice.Told.Alike
	text := fmt.Sprintf("%sat most %s of the people truly tell (one-sided %s limit); that so few answers are "+
		"right, if "+
		"%s told: %s", inNumbers, shareWords(math.Ceil(100*a.Upper.Value-1e-9)/100), levelWords(a.Upper.CI.Level),
		shareWords(a.Share), pPhrase(a.P))
	if len(f.Also) > 0 {
		text += "; that as many are, if all guessed: " + pPhrase(f.Also[0].Deciding())
	}
	return text + "."
}

// alikeRows are the limits of what passes for the same, for who checks the work.
func alikeRows(f analysis.Finding) []TechRow {
	a := f.Choice.Told.Alike
	most := "none"
	if a.Most >= 0 {
		most = fmt.Sprint(a.Most)
	}
	return []TechRow{
		{"Most right answers that show that fewer than " + shareWords(a.Share) + " tell", most, none, none, none},
		{"Share of people who truly tell, at most", number(a.Upper.Value, 3), fmt.Sprintf("one-sided, %s",
			levelWords(a.Upper.CI.Level)), none, none},
	}
}
