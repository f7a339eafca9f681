package panel_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"cloche/internal/panel"
)

// inFrench adds French words to the custard's study.
const inFrench = `languages: [en, fr]
translations:
  fr:
    names: {brulee: crème brûlée au céleri-rave, royale: royale de céleri-rave}
    attributes:
      salt: {ask: "Est-ce salé ?", line: [pas du tout, extrêmement]}
      liking: {ask: "Cela vous plaît-il ?"}
    also contains: {nutmeg: noix de muscade}
    texts: {consent: J'accepte de goûter., instructions: "Goûtez, puis notez.", debrief: Nous comparions deux noms.}
`

func TestAssessorsReadTheirLanguage(t *testing.T) {
	svc, _ := newService(t)
	stored, problems, err := svc.Upload(t.Context(), byLead, "custard.yaml", []byte(custard+inFrench))
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	if err := svc.Lock(t.Context(), byLead, stored.ID, 1); err != nil {
		t.Fatal(err)
	}
	sitting, err := svc.OpenSitting(t.Context(), byLead, stored.ID)
	if err != nil {
		t.Fatal(err)
	}
	french := panel.Speaking(t.Context(), "", "fr-FR,fr;q=0.9,en;q=0.5")

	w, err := svc.Welcome(french, sitting.Join)
	if err != nil {
		t.Fatal(err)
	}
	if w.Language != "fr" || !slices.Equal(w.Languages, []string{"en", "fr"}) {
		t.Errorf("language %s of %v, want fr of en and fr", w.Language, w.Languages)
	}
	if w.Consent != "J'accepte de goûter." || !slices.Equal(w.Allergens,
		[]string{"lait (y compris le lactose)", "céleri (y compris le céleri-rave)"}) ||
		!slices.Equal(w.Contains, []string{"noix de muscade"}) {
		t.Errorf("before consent one reads %+v", w)
	}
	token, err := svc.Consent(french, sitting.Join, "one", panel.PhoneConsent{})
	if err != nil {
		t.Fatal(err)
	}
	if b, err := svc.Ballot(french, token); err != nil || b.Instructions != "Goûtez, puis notez." {
		t.Errorf("instructions %q, %v", b.Instructions, err)
	}
	if err := svc.Start(french, token); err != nil {
		t.Fatal(err)
	}
	b, err := svc.Ballot(french, token)
	if err != nil {
		t.Fatal(err)
	}
	if ask := b.Turn.Asks[0]; ask.Text != "Est-ce salé ?" || ask.High != "extrêmement" ||
		!strings.Contains(b.Turn.Name, "céleri-rave") || b.Turn.Asks[1].Labels[8] != "extrêmement agréable" {
		t.Errorf("the serving reads %+v", b.Turn)
	}
	english, err := svc.Ballot(t.Context(), token)
	if err != nil || english.Language != "en" || english.Turn.Asks[0].Text != "How salty is it?" ||
		english.Turn.ID != b.Turn.ID {
		t.Errorf("in the first language the serving reads %+v, %v", english.Turn, err)
	}

	// A decimal comma is a number, and nothing given comes back in French.
	receipt, err := svc.Submit(french, token, panel.Submission{ID: "page/" + string(b.Turn.ID), TurnID: b.Turn.ID,
		Given: map[string]string{"a1": "12,5"}})
	back := receipt.Back
	var wrong *panel.AnswerError
	if !errors.As(err, &wrong) || len(wrong.Fields) != 1 || wrong.Fields["a2"] != panel.NoChoice ||
		back.Language != "fr" || back.Turn.Asks[0].Text != "Est-ce salé ?" {
		t.Errorf("12,5 and nothing give %v and %+v", err, back)
	}

	events, err := svc.Log(t.Context(), byLead, stored.ID)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(events.Entries, func(e panel.Entry) bool { return e.What == "consented" })
	if i < 0 || events.Entries[i].Detail != "in fr" {
		t.Errorf("the log does not say in which language the assessor began: %+v", events)
	}
	if _, err := svc.Consent(t.Context(), sitting.Join, "two", panel.PhoneConsent{}); err != nil {
		t.Fatal(err)
	}
	begun, err := svc.Begun(t.Context(), stored.ID)
	if err != nil || !slices.Equal(begun, []panel.Begun{{Language: "en", Assessors: 1},
		{Language: "fr", Assessors: 1}}) {
		t.Errorf("began %v, %v; want one in each language", begun, err)
	}
	alone, _ := opened(t, svc)
	if begun, err := svc.Begun(t.Context(), alone); err != nil || len(begun) != 0 {
		t.Errorf("in a study in one language began %v, %v", begun, err)
	}
}
