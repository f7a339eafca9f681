package panel_test

import (
	"bytes"
	"crypto/aes"
	"crypto/cipher"
	"crypto/hkdf"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"cloche/internal/panel"
)

// openSeal opens a sealed serving with a code, by the description of
// [panel.Sealed] alone.
func openSeal[Code ~string](s panel.Sealed, code Code) ([]byte, error) {
	key, err := hkdf.Key(sha256.New, []byte(code), s.Salt, "", 32)
	if err != nil {
		return nil, err
	}
	block, err := aes.NewCipher(key)
	if err != nil {
		return nil, err
	}
	box, err := cipher.NewGCM(block)
	if err != nil {
		return nil, err
	}
	return box.Open(nil, s.Nonce, s.Box, []byte(s.ID))
}

// unseal finds the code of a sealed serving and what is inside. It tries the codes
// that the kitchen has on its plates for that position.
func (n *night) unseal(s panel.Sealed) (code string, inside []byte) {
	n.t.Helper()
	sheet := of[panel.KitchenSheet](n)(n.svc.KitchenSheet(n.t.Context(), n.kitchen))
	for _, p := range sheet.Waves[s.Number-1].Plates {
		if view, err := openSeal(s, p.Code); err == nil {
			code, inside = string(p.Code), view
		}
	}
	if code == "" {
		n.t.Fatalf("no code of the plates opens the seal of serving %d", s.Number)
	}
	return code, inside
}

func TestServingsAheadAreSealedUnderTheirCode(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	token := consent(t, n.svc, n.sitting.Join, "one")
	if ahead := of[panel.Held](n)(n.svc.Ahead(ctx, token)).Ahead; len(ahead) != 0 {
		t.Errorf("%d servings ahead before the instructions were read", len(ahead))
	}
	n.must(n.svc.Start(ctx, token))
	ahead := of[panel.Held](n)(n.svc.Ahead(ctx, token)).Ahead
	if len(ahead) != 1 || ahead[0].Number != 2 || ahead[0].Of != 2 || len(ahead[0].Salt) != 16 ||
		len(ahead[0].Nonce) != 12 {
		t.Fatalf("ahead %+v, want serving 2 of 2", ahead)
	}
	if again := of[panel.Held](n)(n.svc.Ahead(ctx, token)).Ahead; string(again[0].Box) != string(ahead[0].Box) {
		t.Error("the same serving was sealed twice")
	}
	code, inside := n.unseal(ahead[0])
	text := strings.ToLower(fmt.Sprintf("%s %s %s", ahead[0].Box, ahead[0].Salt, ahead[0].ID))
	if strings.Contains(text, "celeriac") || strings.Contains(text, code+`"`) {
		t.Error("what is sealed can be read")
	}
	var view struct {
		ID, Code, Comment string
		Number, Of        int
		Plates            []struct{ Code, Name string }
		Asks              []struct {
			Field, Text, Low, High string
			Line                   bool
			From, To               float64
			Labels                 []string
		}
	}
	if err := json.Unmarshal(inside, &view); err != nil {
		t.Fatal(err)
	}
	n.taste(token)
	n.clock.pass(30e9)
	b := ballot(t, n.svc, token).Turn
	if panel.TurnID(view.ID) != b.ID || panel.PlateCodes(view.Code) != b.Code || len(view.Plates) != 1 ||
		view.Plates[0].Name != b.Name || view.Number != 2 || view.Of != 2 || len(view.Asks) != 2 {
		t.Errorf("inside %+v, want what the ballot shows later, %+v", view, b)
	}
	if a := view.Asks[0]; a.Field != "a1" || a.Text != "How salty is it?" || !a.Line || a.High != "extremely" ||
		a.To != 100 || len(view.Asks[1].Labels) != 9 {
		t.Errorf("questions inside %+v", view.Asks)
	}
	if strings.Contains(strings.ToLower(string(inside)), "canary") {
		t.Errorf("a canary is inside: %s", inside)
	}
	wrong := "100"
	if wrong == code {
		wrong = "101"
	}
	if _, err := openSeal(ahead[0], wrong); err == nil {
		t.Error("another code opens it")
	}
	if ahead := of[panel.Held](n)(n.svc.Ahead(ctx, token)).Ahead; len(ahead) != 0 {
		t.Errorf("%d servings ahead of the last", len(ahead))
	}
}

// TestTheLengthOfASealTellsNoName compares names of very different length.
func TestTheLengthOfASealTellsNoName(t *testing.T) {
	n := newNight(t, strings.Replace(custard, "text: celeriac royale",
		"text: "+strings.Repeat("celeriac royale long told ", 7)+"x", 1))
	lengths := map[int]bool{}
	names := map[string]bool{}
	for i := range 4 {
		token := n.guest(fmt.Sprint(i))
		s := of[panel.Held](n)(n.svc.Ahead(t.Context(), token)).Ahead[0]
		_, inside := n.unseal(s)
		lengths[len(s.Box)] = true
		names[strings.TrimSpace(string(inside))[:1]+fmt.Sprint(strings.Contains(string(inside), "royale"))] = true
	}
	if len(lengths) != 1 || len(names) != 2 {
		t.Errorf("seals of %d names have %d lengths, want 2 and 1", len(names), len(lengths))
	}
}

// TestADroppedPlateIsSealedAnew checks that a phone gets the seal of the new code,
// and that what it opened under the old one is still taken.
func TestADroppedPlateIsSealedAnew(t *testing.T) {
	n := newNight(t, three)
	ctx := t.Context()
	token := n.guest("one")
	before := of[panel.Held](n)(n.svc.Ahead(ctx, token)).Ahead[0]
	old, _ := n.unseal(before)
	first := n.seat(1).Next
	n.must(n.svc.Refuse(ctx, n.floor, first.ID, panel.PhoneAct{})) // so that the second is the one to drop
	fresh := of[panel.FloorPlate](n)(n.svc.Drop(ctx, n.floor, n.seat(1).Next.Plates[0].ID, panel.PhoneAct{}))
	r := n.submit(token, panel.Submission{ID: "a", TurnID: first.ID}, "1")
	if r.Outcome != panel.Recorded {
		t.Fatal(r.Outcome)
	}
	after := of[panel.Held](n)(n.svc.Ahead(ctx, token)).Ahead
	if len(after) != 2 || after[0].ID != before.ID {
		t.Fatalf("ahead %+v", after)
	}
	if _, err := openSeal(after[0], fresh.Code); err != nil {
		t.Errorf("the new code does not open the new seal: %v", err)
	}
	if _, err := openSeal(after[0], old); err == nil {
		t.Error("the old code opens the new seal")
	}
	// The third arrives first; the second was opened under its old code.
	third, _ := n.unseal(after[1])
	n.submit(token, panel.Submission{ID: "c", TurnID: after[1].ID, Code: third}, "3")
	if r := n.submit(token, panel.Submission{ID: "b", TurnID: before.ID, Code: old}, "2"); r.Outcome != panel.Recorded {
		t.Errorf("what was opened under the old code: %s", r.Outcome)
	}
	if got := salts(n.closed().Answers); got != "1/1=1 1/2=2 1/3=3" {
		t.Errorf("ratings %s", got)
	}
}

// openInBrowser is what a page does with a sealed serving, by WebCrypto alone.
const openInBrowser = `
const {salt, nonce, box, id, code} = JSON.parse(require("fs").readFileSync(0, "utf8"));
const bytes = s => Uint8Array.from(Buffer.from(s, "base64")), text = new TextEncoder();
(async () => {
  const base = await crypto.subtle.importKey("raw", text.encode(code), "HKDF", false, ["deriveKey"]);
  const key = await crypto.subtle.deriveKey({name: "HKDF", hash: "SHA-256", salt: bytes(salt), info: new ` +
	`Uint8Array()}, base,
    {name: "AES-GCM", length: 256}, false, ["decrypt"]);
  const view = await crypto.subtle.decrypt({name: "AES-GCM", iv: bytes(nonce), additionalData: text.encode(id)}, ` +
	`key, bytes(box));
  console.log(JSON.parse(new TextDecoder().decode(view)).plates[0].name);
})().catch(e => { console.error(e.name); process.exit(1); });`

// TestWebCryptoOpensTheSeal has the W3C interface that browsers offer open a seal,
// as Node.js has it.
func TestWebCryptoOpensTheSeal(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		if os.Getenv("CLOCHE_REQUIRE_ALL") == "1" {
			t.Fatal("node is not installed; CLOCHE_REQUIRE_ALL=1 allows no skip")
		}
		t.Skip("node is not installed")
	}
	n := newNight(t, custard)
	s := of[panel.Held](n)(n.svc.Ahead(t.Context(), n.guest("one"))).Ahead[0]
	code, _ := n.unseal(s)
	open := func(code string) (string, error) {
		input, err := json.Marshal(map[string]any{"salt": s.Salt, "nonce": s.Nonce, "box": s.Box, "id": s.ID,
			"code": code})
		n.must(err)
		cmd := exec.CommandContext(t.Context(), node, "-e", openInBrowser)
		cmd.Stdin = bytes.NewReader(input)
		out, err := cmd.Output()
		return strings.TrimSpace(string(out)), err
	}
	if name, err := open(code); err != nil || !slices.Contains([]string{nameA, nameB}, name) {
		t.Errorf("opened with its code: %q, %v; want a name", name, err)
	}
	if name, err := open(code + "1"); err == nil {
		t.Errorf("opened with another code: %q", name)
	}
}
