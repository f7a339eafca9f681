package study

import "strings"

// OwnTexts are the texts that the study holds in its own language, the first of [Study.Languages], without
// space around them.
func (s *Study) OwnTexts() []string {
	all := []string{s.Title, s.Hypothesis, s.Texts.Welcome, s.Texts.Consent, s.Texts.Instructions, s.Texts.Thanks,
		s.Texts.Comment, s.Texts.Debrief}
	for _, d := range s.Dishes {
		all = append(append(all, d.Title, d.Portion), d.AlsoContains...)
	}
	for _, n := range s.Names {
		all = append(all, n.Text)
	}
	for _, a := range s.Attributes {
		all = append(append(all, a.Ask, a.Scale.Low, a.Scale.High), a.Scale.Labels...)
	}
	for _, x := range s.Panel.Screening {
		all = append(all, x.Ask)
	}
	own := all[:0]
	for _, x := range all {
		if x = strings.TrimSpace(x); x != "" {
			own = append(own, x)
		}
	}
	return own
}
