package desk_test

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/webauthn"
	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// authenticator gives a browser a device that keeps passkeys; it checks who holds it when verifies is true.
func authenticator(t *testing.T, tab context.Context, verifies bool) (id webauthn.AuthenticatorID) {
	t.Helper()
	servertest.Run(t, tab, chromedp.Func(func(ctx context.Context, at *chromedp.Target) error {
		if _, err := cdp.Call(ctx, at, webauthn.Enable, webauthn.EnableParams{}); err != nil {
			return err
		}
		added, err := cdp.Call(ctx, at, webauthn.AddVirtualAuthenticator, webauthn.AddVirtualAuthenticatorParams{
			Options: &webauthn.VirtualAuthenticatorOptions{
				Protocol: webauthn.AuthenticatorProtocolCtap2, Transport: webauthn.AuthenticatorTransportInternal,
				HasResidentKey: true, HasUserVerification: true, IsUserVerified: verifies,
				AutomaticPresenceSimulation: true,
			}})
		id = added.AuthenticatorID
		return err
	}))
	return id
}

// countAgain sets the counters of all passkeys of a device, as on a copy of it.
func countAgain(t *testing.T, tab context.Context, id webauthn.AuthenticatorID, from float64) {
	t.Helper()
	servertest.Run(t, tab, chromedp.Func(func(ctx context.Context, at *chromedp.Target) error {
		kept, err := cdp.Call(ctx, at, webauthn.GetCredentials, webauthn.GetCredentialsParams{AuthenticatorID: id})
		if err != nil {
			return err
		}
		for _, k := range kept.Credentials {
			_, err = cdp.Call(ctx, at, webauthn.SetCredentialProperties, webauthn.SetCredentialPropertiesParams{
				AuthenticatorID: id, CredentialID: k.CredentialID, SignCount: &from})
			if err != nil {
				return err
			}
		}
		return nil
	}))
}

// addPasskeyIn signs the lead in and adds a passkey of the tab's device.
func addPasskeyIn(t *testing.T, tab context.Context, at string) {
	t.Helper()
	servertest.Run(t, tab, chromedp.Navigate(at+"/sign-in?to=/password"),
		chromedp.SendKeys(chromedp.CSS("#password"), servertest.LeadPassword))
	servertest.Press(t, tab, "main .next")
	servertest.TypeIn(t, tab, "#key-name", "phone")
	servertest.TypeIn(t, tab, "#key-password", servertest.LeadPassword)
	servertest.Tap(t, tab, "Add a passkey of this device")
	servertest.Says(t, tab, "main", "The passkey is added.")
}

// answerOf returns what the device answers to what the page of a tab asks, which is not sent.
func answerOf(t *testing.T, tab context.Context) string {
	t.Helper()
	servertest.Eval[bool](t, tab, `(HTMLFormElement.prototype.submit = function() {
		document.title = "answered" }, true)`)
	servertest.Tap(t, tab, "Sign in with a passkey")
	servertest.Poll(t, tab, `document.title === "answered"`)
	return servertest.Eval[string](t, tab, `document.querySelector("[data-passkey] [name=answer]").value`)
}

// send sends the answer of a passkey as its form does, and returns where the service leads
// ("" = nowhere) and what it says.
func send(t *testing.T, at, answer string) (status int, to, said string) {
	t.Helper()
	client := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	r, err := client.PostForm(at+"/sign-in/passkey", url.Values{"answer": {answer}})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return r.StatusCode, r.Header.Get("Location"), string(body)
}

// atLocalhost is where browsers offer passkeys without HTTPS.
func atLocalhost(f *servertest.Fixture) string {
	return strings.Replace(f.Web.URL, "127.0.0.1", "localhost", 1)
}

// TestPasskey adds a passkey, signs in with it, and does so no more once it is removed.
func TestPasskey(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	f.Must(f.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
	at := atLocalhost(f)
	tab := servertest.Browser(t, 360, 740, false)
	authenticator(t, tab, true)
	servertest.Run(t, tab, chromedp.Navigate(at+"/sign-in?to=/password"))
	if servertest.Eval[bool](t, tab, `!!document.querySelector("[data-passkey]")`) {
		t.Error("a passkey is asked for while there is none")
	}
	servertest.Run(t, tab, chromedp.SendKeys(chromedp.CSS("#password"), servertest.LeadPassword))
	servertest.Press(t, tab, "main .next")
	add := func(password string) {
		servertest.TypeIn(t, tab, "#key-name", "phone <b>")
		servertest.TypeIn(t, tab, "#key-password", password)
		servertest.Tap(t, tab, "Add a passkey of this device")
	}
	add("not the password")
	servertest.Says(t, tab, "#key-password-wrong", "not your password")
	f.Clock.Pass(time.Minute)
	servertest.Run(t, tab, chromedp.Navigate(at+"/password"))
	add(servertest.LeadPassword)
	servertest.Says(t, tab, "main", "The passkey is added.")
	servertest.Says(t, tab, "main", "phone <b>, added")
	axe := servertest.Axe(t)
	servertest.LooksSound(t, tab, "settings with a passkey", axe)

	signIn := func() {
		servertest.Run(t, tab, chromedp.Navigate(at+"/sign-in"))
		servertest.Tap(t, tab, "Sign in with a passkey")
	}
	signOut := func() {
		servertest.Eval[bool](t, tab, `(document.querySelector("form[action='/sign-out']").submit(), true)`)
		servertest.Poll(t, tab, `location.pathname === "/"`)
	}
	signOut()
	signIn()
	servertest.Poll(t, tab, `location.pathname === "/studies"`)
	log := f.Events("")
	if last := log[len(log)-1]; last.What != "signed in" ||
		!strings.HasPrefix(last.Detail, "with the passkey “phone <b>”") {
		t.Errorf("the newest entry of the log is %+v", last)
	}
	signOut()
	// Kept on the page from before it is removed, the button still asks.
	servertest.Run(t, tab, chromedp.Navigate(at+"/sign-in"))
	servertest.LooksSound(t, tab, "sign-in with a passkey", axe)
	token, err := f.Svc.SignIn(t.Context(), servertest.LeadPassword, "elsewhere")
	f.Must(err)
	all, err := f.Svc.Passkeys(t.Context(), token)
	f.Must(err)
	if len(all) != 1 || all[0].Used.IsZero() {
		t.Fatalf("passkeys: %+v", all)
	}
	f.Must(f.Svc.RemovePasskey(t.Context(), token, all[0].ID))
	servertest.Tap(t, tab, "Sign in with a passkey")
	servertest.Says(t, tab, ".problems", "does not sign in here")
}

// TestPasskeyWantsToKnowWhoHoldsIt: a device that does not check who holds it adds none, and the page says so.
func TestPasskeyWantsToKnowWhoHoldsIt(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	f.Must(f.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
	tab := servertest.Browser(t, 1280, 800, false)
	authenticator(t, tab, false)
	servertest.Run(t, tab, chromedp.Navigate(atLocalhost(f)+"/sign-in?to=/password"),
		chromedp.SendKeys(chromedp.CSS("#password"), servertest.LeadPassword))
	servertest.Press(t, tab, "main .next")
	servertest.TypeIn(t, tab, "#key-name", "phone")
	servertest.TypeIn(t, tab, "#key-password", servertest.LeadPassword)
	servertest.Tap(t, tab, "Add a passkey of this device")
	servertest.Says(t, tab, "[role=alert]", "Nothing was added")
	servertest.Run(t, tab, chromedp.Navigate(f.Web.URL+"/sign-in?to=/password"),
		chromedp.SendKeys(chromedp.CSS("#password"), servertest.LeadPassword))
	servertest.Press(t, tab, "main .next")
	servertest.Says(t, tab, "main", "only over HTTPS at an address with a name, or at localhost")
}

// TestPasskeyAnswerCountsOnce sends the same answer twice, one that comes too late, and ones that
// other sites got out of the device.
func TestPasskeyAnswerCountsOnce(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	f.Must(f.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
	at := atLocalhost(f)
	tab := servertest.Browser(t, 360, 740, false)
	authenticator(t, tab, true)
	addPasskeyIn(t, tab, at)
	servertest.Eval[bool](t, tab, `(document.querySelector("form[action='/sign-out']").submit(), true)`)
	servertest.Poll(t, tab, `location.pathname === "/"`)
	asked := func() string {
		servertest.Run(t, tab, chromedp.Navigate(at+"/sign-in"))
		return answerOf(t, tab)
	}
	refused := func(what, answer, want string) {
		t.Helper()
		f.Clock.Pass(time.Minute + time.Second) // after a wrong answer the next has to wait
		status, _, said := send(t, at, answer)
		if status != http.StatusForbidden || !strings.Contains(said, want) {
			t.Errorf("%s: status %d, %q not said", what, status, want)
		}
	}

	older := asked()
	f.Clock.Pass(time.Second)
	first := asked()
	var credential struct{ ID string }
	f.Must(json.Unmarshal([]byte(first), &credential))
	if status, to, _ := send(t, at, first); status != http.StatusSeeOther || to != "/studies" {
		t.Fatalf("an answer: status %d to %q", status, to)
	}
	refused("the same answer again", first, "does not sign in here")
	refused("the answer to an older challenge", older, "does not sign in here")
	late := asked()
	f.Clock.Pass(panel.ChallengeLength + time.Second)
	refused("a late answer", late, "open for more than a quarter of an hour")
	refused("another part of an answer", strings.Replace(asked(), `"signature":"`, `"signature":"AAAA`, 1),
		"does not sign in here")

	// Another port is another site, of which the device thinks it is the same party. It may show
	// what this service asks: the answer says where it was given.
	other := servertest.New(t)
	elsewhere := atLocalhost(other)
	servertest.Run(t, tab, chromedp.Navigate(at+"/sign-in"))
	ours := servertest.Eval[string](t, tab, `document.querySelector("form[data-passkey]").dataset.passkey`)
	other.Must(other.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
	addPasskeyIn(t, tab, elsewhere)
	servertest.Eval[bool](t, tab, `(document.querySelector("form[action='/sign-out']").submit(), true)`)
	servertest.Poll(t, tab, `location.pathname === "/"`)
	for _, copied := range []bool{false, true} {
		servertest.Run(t, tab, chromedp.Navigate(elsewhere+"/sign-in"))
		if copied {
			servertest.Eval[bool](t, tab, fmt.Sprintf(`(document.querySelector("form[data-passkey]").dataset.passkey =
				%q.replace('"publicKey":{', '"publicKey":{"allowCredentials":[{"type":"public-key","id":'
				+ JSON.stringify(%q) + '}],'), true)`, ours, credential.ID))
		}
		refused(fmt.Sprint("an answer given elsewhere, to what is asked here: ", copied), answerOf(t, tab),
			"does not sign in here")
	}
}

// TestPasskeyThatWasCopied: where the counter of a passkey goes back, there may be a copy of it.
func TestPasskeyThatWasCopied(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	f.Must(f.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
	at := atLocalhost(f)
	tab := servertest.Browser(t, 1280, 800, false)
	device := authenticator(t, tab, true)
	addPasskeyIn(t, tab, at)
	servertest.Eval[bool](t, tab, `(document.querySelector("form[action='/sign-out']").submit(), true)`)
	servertest.Poll(t, tab, `location.pathname === "/"`)
	try := func(counter float64) int {
		countAgain(t, tab, device, counter)
		f.Clock.Pass(time.Minute + time.Second)
		servertest.Run(t, tab, chromedp.Navigate(at+"/sign-in"))
		status, _, _ := send(t, at, answerOf(t, tab))
		return status
	}
	for _, tc := range []struct {
		counter float64
		status  int
	}{{40, http.StatusSeeOther}, {20, http.StatusForbidden}, {39, http.StatusForbidden}, {60, http.StatusSeeOther}} {
		if status := try(tc.counter); status != tc.status {
			t.Errorf("after a counter of %v: status %d, want %d", tc.counter, status, tc.status)
		}
	}
	log := f.Events("")
	if last := log[len(log)-2]; last.What != "passkey refused" {
		t.Errorf("the last but one entry of the log is %+v", last)
	}
}
