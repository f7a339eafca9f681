package report

import (
	"fmt"
	"math"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// rightText counts right answers beside those that guessing gives.
func rightText(f analysis.Finding) study.Said {
	return study.Say("%d of %d answers were right; about %d would be if everybody guessed.", f.Choice.Told.Right, f.N,
		int(math.Round(f.Choice.Chance*float64(f.N))))
}

// alikeVerdict says whether so few people tell two samples apart that they pass for the
// same. tell is what people would do, right how many answers were right.
func alikeVerdict(s *study.Study, f analysis.Finding, tell, right study.Said) []study.Said {
	a := *f.Choice.Told.Alike
	wanted := study.Say("fewer than the %s that the study set out to act on", peopleOf(a.Share))
	cut := study.Said{}
	if a.Most >= 0 {
		cut = study.Say("Right answers that still show it: up to %d.", a.Most)
	}
	switch {
	case f.Verdict.Code == analysis.TooFew:
		return []study.Said{study.Say("Too few answers to say whether people %s: a verdict takes %d.", tell,
			analysis.Fewest(s.Plan.Alpha)), right}
	case f.Verdict.Code == analysis.Alike:
		return []study.Said{study.Say("So few people would %s that it passes unnoticed: %s.", tell,
			fewerThan(a.Upper.Value)),
			right, cut, noticedAllTheSame(s, f), partners(alikeNumbers(f))}
	case f.Verdict.Different():
		return []study.Said{study.Say("People %s, and it was not shown that they are %s.", tell, wanted), right,
			tellersText(f.Choice.Told.Tellers.Value), cut, partners(alikeNumbers(f))}
	}
	return []study.Said{study.Say("It was not shown that people who %s are %s.", tell, wanted), right, cut,
		study.Say("That people tell them apart was not shown either: the answer is open."), partners(alikeNumbers(f))}
}

// noticedAllTheSame says that some do tell where the samples pass for the same; "" where
// that was not shown.
func noticedAllTheSame(s *study.Study, f analysis.Finding) study.Said {
	if len(f.Also) == 0 || !(f.Also[0].Deciding() < s.Plan.Alpha) {
		return study.Said{}
	}
	return study.Say("Some people do tell them apart; they are few.")
}

// fewerThan is a share as people of a hundred, above it.
func fewerThan(share float64) study.Said {
	return study.Say("fewer than %d of a hundred people truly tell", int(math.Floor(100*share+1e-9))+1)
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
