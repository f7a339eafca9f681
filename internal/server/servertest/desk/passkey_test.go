package desk_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/webauthn"
	"github.com/chromedp/chromedp"

	"cloche/internal/server/servertest"
)

// authenticator gives a browser a device that keeps passkeys; it checks who holds it when verifies is true.
func authenticator(t *testing.T, tab context.Context, verifies bool) {
	t.Helper()
	servertest.Run(t, tab, chromedp.Func(func(ctx context.Context, at *chromedp.Target) error {
		if _, err := cdp.Call(ctx, at, webauthn.Enable, webauthn.EnableParams{}); err != nil {
			return err
		}
		_, err := cdp.Call(ctx, at, webauthn.AddVirtualAuthenticator, webauthn.AddVirtualAuthenticatorParams{
			Options: &webauthn.VirtualAuthenticatorOptions{
				Protocol: webauthn.AuthenticatorProtocolCtap2, Transport: webauthn.AuthenticatorTransportInternal,
				HasResidentKey: true, HasUserVerification: true, IsUserVerified: verifies,
				AutomaticPresenceSimulation: true,
			}})
		return err
	}))
}

// atLocalhost is where browsers offer passkeys without HTTPS.
func atLocalhost(f *servertest.Fixture) string {
	return strings.Replace(f.Web.URL, "127.0.0.1", "localhost", 1)
}

// TestPasskey adds a passkey, signs in with it, and does so no more once it is removed.
func TestPasskey(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	f.Must(f.Svc.SetPassword(t.Context(), servertest.LeadPassword))
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
	f.Must(f.Svc.SetPassword(t.Context(), servertest.LeadPassword))
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
