package desk_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// planned returns the codes of a locked study's plan.
func planned(f *servertest.Fixture, id panel.StudyID) (codes []string) {
	f.T.Helper()
	stored, err := f.Svc.Study(f.T.Context(), id)
	f.Must(err)
	plan, err := design.Draw(stored.Spec, design.Options{Seed: stored.Lock.Seed})
	f.Must(err)
	for _, v := range plan.Servings {
		codes = append(codes, string(v.Code))
	}
	return codes
}

// TestALockedStudyIsPrepared: cards, links and labels are there before the sitting
// opens, under the addresses that stay; guest and floor are told that it is not open
// yet; the kitchen learns what to cook and prints labels, and not what a code hides.
func TestALockedStudyIsPrepared(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Locked)
	lead, study := f.Lead(), "/studies/"+string(id)
	p := lead.Get(study)
	if p.HTML().Find("form[action$='/prepare']").Length() != 1 || p.HTML().Find(".join").Length() != 0 {
		t.Fatal("a locked study does not offer to be prepared, or has links already")
	}
	p = lead.Post(study + "/prepare")
	lead.Post(study + "/prepare") // a double tap
	join := p.HTML().Find(".join a.link").Text()
	if _, after, ok := strings.Cut(join, "/join/"); !ok {
		t.Fatalf("no join link on the prepared study: %q", join)
	} else {
		join = after
	}
	if p.HTML().Find("form[action$='/prepare']").Length() != 0 {
		t.Error("what is prepared is offered to be prepared")
	}
	servertest.MustStatus(t, lead.Get(study+"/sittings/1/card"), http.StatusOK)

	guest := f.Visitor().Get("/join/" + join)
	if guest.Status != http.StatusOK || !strings.Contains(guest.Body, "has not started yet") {
		t.Errorf("a guest who comes early reads %d %s", guest.Status, guest.HTML().Find("main").Text())
	}
	floor := f.StaffAccess(id, panel.RoleFloor)
	early := f.Visitor().Get("/staff/" + string(floor.Link))
	if !strings.Contains(early.Body, "not open yet") || early.HTML().Find("form").Length() != 0 {
		t.Errorf("floor reads %s", early.HTML().Find("main").Text())
	}
	servertest.MustStatus(t, f.Visitor().Post("/staff/"+string(floor.Link), "code", string(floor.Code)),
		http.StatusConflict)

	kitchen := f.Staff(id, panel.RoleKitchen)
	preparedKitchen(t, f, id, kitchen)

	lead.Post(study+"/sittings", "number", "1")
	if p := f.Visitor().Get("/join/" + join); p.HTML().Find("form[action$='/consent']").Length() != 1 {
		t.Error("the link that was printed does not join the sitting that opened")
	}
	f.Staff(id, panel.RoleFloor)
	if p := kitchen.Get("/kitchen"); !strings.Contains(p.Body, "Wave 1") ||
		!strings.Contains(p.Body, planned(f, id)[0]) {
		t.Error("the kitchen that joined before does not see its plates once the sitting is open")
	}
}

// preparedKitchen reads every page of the kitchen of a sitting that is not open yet.
func preparedKitchen(t *testing.T, f *servertest.Fixture, id panel.StudyID, kitchen *servertest.Visitor) {
	t.Helper()
	codes := planned(f, id)
	for _, path := range []string{"/kitchen", "/kitchen/plating", "/kitchen/events?before=yes"} {
		p := kitchen.Get(path)
		if p.Status != http.StatusOK || !strings.Contains(p.Body, servertest.CanaryDishTitle) ||
			!strings.Contains(p.Body, "portions") {
			t.Errorf("%s: %d, want what to cook:\n%s", path, p.Status, p.Body)
		}
		words := strings.FieldsFunc(p.All(), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
		for _, code := range codes {
			if slices.Contains(words, code) {
				t.Errorf("%s holds the code %s beside the dishes before the sitting is open", path, code)
			}
		}
	}
	labels := kitchen.Get("/kitchen/labels")
	var printed []string
	labels.HTML().Find(".labels strong").Each(func(_ int, s *goquery.Selection) { printed = append(printed, s.Text()) })
	for _, code := range codes {
		if !slices.Contains(printed, code) {
			t.Errorf("no label for %s", code)
		}
	}
	for _, word := range []string{servertest.CanaryDish, servertest.CanaryDishTitle, servertest.NameA, servertest.NameB,
		servertest.CanaryTitle} {
		if strings.Contains(labels.All(), word) {
			t.Errorf("the labels hold %q", word)
		}
	}
	servertest.MustStatus(t, kitchen.Get("/kitchen/blind"), http.StatusConflict)
	p := kitchen.Post("/kitchen/temperatures", "wave", "1", "dish", "custard", "celsius", "55")
	if p.Status == http.StatusOK || strings.Contains(p.Body, "over") {
		t.Errorf("a temperature before the sitting: %d, %s", p.Status, p.HTML().Find("main").Text())
	}
}

// TestCardsOfAnEarlierPlanSaySo: once a later version is locked, what was prepared for
// the earlier one never opens.
func TestCardsOfAnEarlierPlanSaySo(t *testing.T) {
	f := servertest.New(t)
	ctx := t.Context()
	id, _ := f.InState(servertest.Custard, panel.Locked)
	f.Must(f.Svc.Prepare(ctx, f.LeadSession(), id))
	kitchen := f.Staff(id, panel.RoleKitchen)
	all, err := f.Svc.Sittings(ctx, id)
	f.Must(err)
	links := map[string]string{"/join/" + string(all[0].Join): "card is out of date"}
	for _, r := range []panel.Role{panel.RoleKitchen, panel.RoleFloor} {
		links["/staff/"+string(f.StaffAccess(id, r).Link)] = "an earlier plan"
	}
	next, err := f.Svc.Amend(ctx, servertest.ByLead, id, "a better plate")
	f.Must(err)
	f.Must(f.Svc.Lock(ctx, servertest.ByLead, next.ID, 1))
	for link, want := range links {
		if p := f.Visitor().Get(link); !strings.Contains(p.Body, want) {
			t.Errorf("%s reads %s", link, p.HTML().Find("main").Text())
		}
	}
	if p := kitchen.Get("/kitchen"); !strings.Contains(p.Body, "out of date") {
		t.Errorf("the kitchen reads %s", p.HTML().Find("main").Text())
	}
	servertest.MustStatus(t, kitchen.Get("/kitchen/labels"), http.StatusConflict)
}

// TestALaterSittingIsPrepared: while sitting 1 is open, sitting 2 is locked for those who work there.
func TestALaterSittingIsPrepared(t *testing.T) {
	f := servertest.New(t)
	file := strings.Replace(servertest.Custard, "panel: {assessors: 12}",
		"panel: {assessors: 12, sittings: 3, seats: 4}", 1)
	id, join := f.InState(file, panel.Open)
	lead := f.Lead()
	p := lead.Post("/studies/" + string(id) + "/prepare")
	if n := p.HTML().Find(".join").Length(); n != 3 || !strings.Contains(p.Body, "Open sitting 2 of 3") {
		t.Fatalf("%d sittings are listed, want 3, the second to be opened next", n)
	}
	if got := p.HTML().Find(".join").First().Find("a.link").Text(); !strings.HasSuffix(got, string(join)) {
		t.Errorf("the link of the open sitting became %s", got)
	}
	all, err := f.Svc.Sittings(t.Context(), id)
	f.Must(err)
	if p := f.Visitor().Get("/join/" + string(all[1].Join)); !strings.Contains(p.Body, "has not started yet") {
		t.Errorf("sitting 2 reads %s", p.HTML().Find("main").Text())
	}
	live, err := f.Svc.Live(t.Context(), f.LeadSession(), id)
	f.Must(err)
	if len(live.Sittings) != 1 {
		t.Errorf("the board shows %d sittings, want the one that is open", len(live.Sittings))
	}
	lead.Post("/studies/"+string(id)+"/sittings", "number", "2")
	if p := f.Visitor().Get("/join/" + string(all[1].Join)); p.HTML().Find("form[action$='/consent']").Length() != 1 {
		t.Error("the second sitting does not open under its link")
	}
}
