package desk

import (
	"encoding/base64"
	"encoding/json"
	"errors"
	"net"
	"net/http"
	"net/url"
	"time"

	"github.com/gin-gonic/gin"
	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// Addresses of passkeys.
const (
	passkeysPath      = passwordPath + "/passkeys"
	passkeySignInPath = "/sign-in/passkey"
)

// forSignIn is the purpose of a challenge that signs in.
const forSignIn = "sign in"

// toAdd is the purpose of a challenge that a new passkey of a user answers.
func toAdd(by panel.Session) string { return "add " + string(by.UserID) }

// maxPasskeyAnswer is how long the answer of a passkey may be, in bytes.
const maxPasskeyAnswer = 16 << 10

var errNoPasskeysHere = errors.New("passkeys need HTTPS with a name, or localhost")

// passkeys is what settings show of passkeys.
type passkeys struct {
	Can     bool // at this address
	Options string
	Lines   []passkeyLine
	Added   bool
	Removed bool
	Name    site.Field
	Current site.Field
}

type passkeyLine struct{ ID, Name, Added, Used string }

// relyingParty checks passkeys for the address at which the browser is: HTTPS with a name,
// or localhost (Web Authentication, level 3, section 5.1.3; secure contexts).
func (s *handlers) relyingParty(c *gin.Context) (*webauthn.WebAuthn, error) {
	base := s.BaseURL(c.Request)
	if host, _, _ := net.SplitHostPort(c.Request.Host); host == "localhost" && !s.Secure() {
		base = "http://" + c.Request.Host
	}
	at, err := url.Parse(base)
	if err != nil || at.Hostname() == "" || net.ParseIP(at.Hostname()) != nil ||
		at.Scheme != "https" && at.Hostname() != "localhost" {
		return nil, errNoPasskeysHere
	}
	return webauthn.New(&webauthn.Config{RPID: at.Hostname(), RPDisplayName: "Cloche", RPOrigins: []string{base}})
}

// keyOwner is a user as the library knows them.
type keyOwner struct {
	id   []byte
	name string
	keys []webauthn.Credential
}

func (o keyOwner) WebAuthnID() []byte                         { return o.id }
func (o keyOwner) WebAuthnName() string                       { return o.name }
func (o keyOwner) WebAuthnDisplayName() string                { return o.name }
func (o keyOwner) WebAuthnCredentials() []webauthn.Credential { return o.keys }

func (s *handlers) ownerOf(id panel.UserID, name string, all []panel.Passkey) (keyOwner, error) {
	o := keyOwner{id: s.Panel.PasskeyOwner(id), name: name}
	for _, p := range all {
		var key webauthn.Credential
		if err := json.Unmarshal([]byte(p.Credential), &key); err != nil {
			return o, err
		}
		o.keys = append(o.keys, key)
	}
	return o, nil
}

// creation is what a new passkey is asked for: one that the device finds by itself, which it
// gives only after it has checked who holds it.
func creation(w *webauthn.WebAuthn, o keyOwner, challenge []byte) (*protocol.CredentialCreation,
	*webauthn.SessionData, error) {
	var have []protocol.CredentialDescriptor
	for _, k := range o.keys {
		have = append(have, k.Descriptor())
	}
	return w.BeginRegistration(o, webauthn.WithExclusions(have),
		func(x *protocol.PublicKeyCredentialCreationOptions) error {
			x.Challenge = challenge
			must := true
			x.AuthenticatorSelection = protocol.AuthenticatorSelection{RequireResidentKey: &must,
				ResidentKey: protocol.ResidentKeyRequirementRequired, UserVerification: protocol.VerificationRequired}
			x.Attestation = protocol.PreferNoAttestation
			return nil
		})
}

// passkeysShown reads the passkeys of who is signed in, and asks for another one.
func (s *handlers) passkeysShown(c *gin.Context) (passkeys, error) {
	shown := passkeys{
		Name: site.Field{ID: "key-name", Label: "What you call it", Type: "text", Autocomplete: "off",
			Hint: "Such as “phone” or “key on the ring”."},
		Current: site.Field{ID: "key-password", Label: "Your password, once more", Type: "password",
			Autocomplete: "current-password"},
		Added: c.Query("added") != "", Removed: c.Query("removed") != "",
	}
	all, err := s.Panel.Passkeys(c.Request.Context(), s.deskToken(c))
	if err != nil {
		return shown, err
	}
	w := site.TongueOf(c)
	for _, p := range all {
		used := w.Translate("not used yet")
		if !p.Used.IsZero() {
			used = w.Translate("last used %s", w.Moment(p.Used.Local()))
		}
		shown.Lines = append(shown.Lines, passkeyLine{p.ID, p.Name, w.Moment(p.Added.Local()), used})
	}
	party, err := s.relyingParty(c)
	if errors.Is(err, errNoPasskeysHere) {
		return shown, nil
	}
	if err != nil {
		return shown, err
	}
	by := site.SessionOf(c)
	owner, err := s.ownerOf(by.UserID, by.Label, all)
	if err != nil {
		return shown, err
	}
	challenge, err := s.Panel.Challenge(toAdd(by))
	if err != nil {
		return shown, err
	}
	asked, _, err := creation(party, owner, challenge)
	if err != nil {
		return shown, err
	}
	options, err := json.Marshal(asked)
	shown.Can, shown.Options = true, string(options)
	return shown, err
}

// addPasskey keeps the passkey that a device made.
func (s *handlers) addPasskey(c *gin.Context) error {
	page, err := s.passwordPage(c)
	if err != nil {
		return err
	}
	if !page.Passkeys.Can { // no page at this address has the form
		return site.SeeOther(c, passwordPath+"#passkeys")
	}
	page.Passkeys.Name.Value = c.Request.PostFormValue("key-name")
	key, err := s.checkedNewKey(c)
	if err == nil {
		key.Name = page.Passkeys.Name.Value
		err = s.Panel.AddPasskey(c.Request.Context(), s.deskToken(c), key, c.Request.PostFormValue("key-password"),
			c.ClientIP())
	}
	switch {
	case err == nil:
		return site.SeeOther(c, passwordPath+"?added=1#passkeys")
	case errors.Is(err, panel.ErrBadValue):
		page.Passkeys.Name.Problem = "Give it a name of at most 60 characters, so that you know it again."
	case errors.Is(err, panel.ErrPassword):
		page.Passkeys.Current.Problem = "This is not your password. Type it again; after a wrong one the next try " +
			"has to wait a moment."
	case errors.Is(err, panel.ErrSlowDown):
		page.Passkeys.Current.Problem = "Too soon after a wrong password: nothing was added. Wait a minute, then " +
			"try again."
	case errors.Is(err, panel.ErrTooMany):
		page.Passkeys.Name.Problem = "You have ten passkeys. Remove one first."
	case errors.Is(err, panel.ErrPasskey), errors.Is(err, panel.ErrStale):
		page.Passkeys.Name.Problem = "The device’s answer did not fit, or the page was open for more than a " +
			"quarter of an hour. Try again."
	default:
		return err
	}
	page.Problems = site.Problems(site.TongueOf(c), page.Passkeys.Name, page.Passkeys.Current)
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, passwordScreen, page)
}

// checkedNewKey checks what a device answered to [creation].
func (s *handlers) checkedNewKey(c *gin.Context) (panel.Passkey, error) {
	answer := c.Request.PostFormValue("answer")
	if len(answer) > maxPasskeyAnswer {
		return panel.Passkey{}, panel.ErrPasskey
	}
	w, err := s.relyingParty(c)
	if err != nil {
		return panel.Passkey{}, panel.ErrPasskey
	}
	parsed, err := protocol.ParseCredentialCreationResponseBytes([]byte(answer))
	if err != nil {
		return panel.Passkey{}, panel.ErrPasskey
	}
	by := site.SessionOf(c)
	challenge, _, err := s.challengeIn(parsed.Response.CollectedClientData, toAdd(by))
	if err != nil {
		return panel.Passkey{}, err
	}
	owner := keyOwner{id: s.Panel.PasskeyOwner(by.UserID), name: by.Label}
	_, session, err := creation(w, owner, challenge)
	if err != nil {
		return panel.Passkey{}, err
	}
	made, err := w.CreateCredential(owner, *session, parsed)
	if err != nil {
		return panel.Passkey{}, panel.ErrPasskey
	}
	kept, err := json.Marshal(made)
	return panel.Passkey{ID: base64.RawURLEncoding.EncodeToString(made.ID), Credential: string(kept)}, err
}

func (s *handlers) removePasskey(c *gin.Context) error {
	if err := s.Panel.RemovePasskey(c.Request.Context(), s.deskToken(c), c.Request.PostFormValue("id")); err != nil {
		return err
	}
	return site.SeeOther(c, passwordPath+"?removed=1#passkeys")
}

// passkeyToSignIn is what the sign-in page asks a passkey; "" where there is none to ask.
func (s *handlers) passkeyToSignIn(c *gin.Context) (string, error) {
	has, err := s.Panel.HasPasskeys(c.Request.Context())
	if err != nil || !has {
		return "", err
	}
	w, err := s.relyingParty(c)
	if errors.Is(err, errNoPasskeysHere) {
		return "", nil
	}
	if err != nil {
		return "", err
	}
	challenge, err := s.Panel.Challenge(forSignIn)
	if err != nil {
		return "", err
	}
	asked, _, err := w.BeginDiscoverableLogin(webauthn.WithUserVerification(protocol.VerificationRequired),
		func(x *protocol.PublicKeyCredentialRequestOptions) error {
			x.Challenge = challenge
			return nil
		})
	if err != nil {
		return "", err
	}
	options, err := json.Marshal(asked)
	return string(options), err
}

// signInWithPasskey signs in whoever's device answered.
func (s *handlers) signInWithPasskey(c *gin.Context) error {
	token, err := s.passkeySession(c)
	status := http.StatusForbidden
	said := ""
	switch {
	case err == nil:
		s.SetCookie(c, s.LeadCookie(), string(token), "/", site.SessionCookie)
		return site.SeeOther(c, onward(c.Request.PostFormValue("to")))
	case errors.Is(err, panel.ErrPasskey):
		said = "This passkey does not sign in here: it was removed, or its answer did not fit. Sign in with the " +
			"password, and look at the passkeys under Settings."
	case errors.Is(err, panel.ErrStale):
		said = "This page was open for more than a quarter of an hour. Try again."
	case errors.Is(err, panel.ErrSlowDown):
		status, said = http.StatusTooManyRequests, "Too soon after a wrong try: this one was not looked at. Wait a "+
			"moment, a minute at most, then try again."
	default:
		return err
	}
	page, err := s.signInPage(c, c.Request.PostFormValue("to"))
	if err != nil {
		return err
	}
	page.Problems = []site.Problem{{Text: said}}
	return site.Show(s.Site, c, status, signInScreen, page)
}

func (s *handlers) passkeySession(c *gin.Context) (panel.SessionToken, error) {
	answer := c.Request.PostFormValue("answer")
	if len(answer) > maxPasskeyAnswer {
		return "", panel.ErrPasskey
	}
	w, err := s.relyingParty(c)
	if err != nil {
		return "", panel.ErrPasskey
	}
	parsed, err := protocol.ParseCredentialRequestResponseBytes([]byte(answer))
	if err != nil {
		return "", panel.ErrPasskey
	}
	challenge, made, err := s.challengeIn(parsed.Response.CollectedClientData, forSignIn)
	if err != nil {
		return "", err
	}
	session := webauthn.SessionData{Challenge: base64.RawURLEncoding.EncodeToString(challenge),
		UserVerification: protocol.VerificationRequired}
	id := base64.RawURLEncoding.EncodeToString(parsed.RawID)
	return s.Panel.SignInWithPasskey(c.Request.Context(), id, made, c.ClientIP(),
		func(kept panel.Passkey) (panel.Passkey, error) {
			owner, err := s.ownerOf(kept.UserID, "", []panel.Passkey{kept})
			if err != nil {
				return kept, err
			}
			whose := func(_, _ []byte) (webauthn.User, error) { return owner, nil }
			_, key, err := w.ValidatePasskeyLogin(whose, session, parsed)
			if err != nil {
				return kept, err
			}
			if key.Authenticator.CloneWarning { // its counter went back: there may be a copy
				return kept, panel.ErrPasskey
			}
			as, err := json.Marshal(key)
			kept.Credential = string(as)
			return kept, err
		})
}

// challengeIn is the challenge that was answered, which has to be one of ours.
func (s *handlers) challengeIn(said protocol.CollectedClientData, purpose string) (challenge []byte, made time.Time,
	err error) {
	challenge, err = base64.RawURLEncoding.DecodeString(said.Challenge)
	if err != nil {
		return nil, made, panel.ErrPasskey
	}
	made, err = s.Panel.ChallengeMade(challenge, purpose)
	return challenge, made, err
}
