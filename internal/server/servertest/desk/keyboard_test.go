package desk_test

import (
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestLeadByKeyboardAlone: the lead signs in, goes from a question to a locked plan, opens the sitting and
// closes the study, without a touch.
func TestLeadByKeyboardAlone(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	f.Must(f.Svc.SetPassword(t.Context(), servertest.LeadName, servertest.LeadPassword))
	k := servertest.Keys{T: t, Ctx: servertest.Browser(t, 1280, 800, false)}
	servertest.Run(t, k.Ctx, chromedp.Navigate(f.Web.URL+"/studies"))
	k.Reach("#password")
	k.Type(servertest.LeadPassword)
	k.Go("main .next")
	k.Go(`main a[href="/studies/new"]`)
	k.Go(`button[name=quick][value=name]`)
	steps := [][][2]string{
		{{"names[0].text", servertest.NameA}, {"names[1].text", servertest.NameB}},
		{{"dishes[0].title", "Warm celeriac custard"}, {"dishes[0].portion", "60 g"}, {"dishes[0].serve at", "55"}},
		{{"dishes[0].allergens", " "}},
		{{"decides", " "}},
		{{"also", " "}},
		{{"analysis.smallest effect", "10"}},
		{{"panel.assessors", "24"}, {"analysis.stop by", "12052026"}},
	}
	for _, fields := range steps {
		for _, x := range fields {
			k.Reach(`[name="` + x[0] + `"]:not([type=hidden])`)
			k.Type(x[1])
		}
		k.Go("form .next")
	}
	k.Go(`form[action$="/lock"] button`)
	all, err := f.Svc.Studies(t.Context())
	f.Must(err)
	if len(all) != 1 || all[0].State != panel.Locked {
		t.Fatalf("%+v", all)
	}
	servertest.Run(t, k.Ctx, chromedp.Navigate(f.Web.URL+"/studies/"+string(all[0].ID)))
	k.Go(`form[action$="/sittings"] button`)
	k.Go(`a[href$="/close"]`)
	k.Go(`form[action$="/close"] button`)
	got, err := f.Svc.Study(t.Context(), all[0].ID)
	f.Must(err)
	if got.State != panel.Closed {
		t.Errorf("the study is %s", got.State)
	}
}
