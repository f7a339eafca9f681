package room_test

import (
	"context"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// trayOnPhone is what a guest's phone shows of a tray: its codes in the order in which they
// stand, the least size of one in pixels, and which can be chosen.
type trayOnPhone struct {
	Codes  []string
	Open   []string
	Known  string
	Pixels float64
}

const readTray = `(() => {
	const plates = [...document.querySelectorAll("fieldset.ask .tray > .choice")];
	const code = (p) => p.querySelector(".digits").textContent;
	const known = plates.filter((p) => p.classList.contains("known"));
	return { Codes: plates.map(code), Open: plates.filter((p) => p.querySelector("input")).map(code),
		Known: known.map((p) => p.textContent.trim()).join(" "),
		Pixels: Math.min(...plates.map((p) => parseFloat(getComputedStyle(p.querySelector(".digits")).fontSize))) };
})()`

// TestTraysFromTheKitchenToTheReport: a triangle and a duo-trio, played by two guests' phones, a
// phone of the floor and the kitchen's tablet. Each shows the codes as they are served, the
// reference is marked and not asked about, a plate that is dropped comes back under a fresh
// code at its place, and the report counts both guests.
func TestTraysFromTheKitchenToTheReport(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name  string
		known int // plates that are not asked about
	}{{"made-yesterday", 0}, {"less-salt", 1}} {
		t.Run(tc.name, func(t *testing.T) {
			text, err := os.ReadFile("../../../../studies/" + tc.name + ".yaml")
			if err != nil {
				t.Fatal(err)
			}
			f := servertest.New(t)
			id, join := f.InState(string(text), panel.Open)
			kitchen, floor := servertest.Browser(t, 820, 1180, false), servertest.Browser(t, 360, 740, false)
			f.JoinInBrowser(kitchen, f.Room(), id, panel.RoleKitchen)
			f.JoinInBrowser(floor, f.Room(), id, panel.RoleFloor)
			var phones []context.Context
			for range 2 {
				phone := servertest.Browser(t, 360, 740, false)
				servertest.Run(t, phone, chromedp.Navigate(f.Room()+"/join/"+string(join)))
				servertest.Press(t, phone, ".next")
				servertest.Press(t, phone, ".next") // begin
				phones = append(phones, phone)
			}
			tray := f.TrayAt(id, 0)
			checkTray(t, phones[0], tray, tc.known)
			servertest.Poll(t, kitchen, platesTray(tray))

			servertest.TypeIn(t, floor, "#plate", tray[1])
			servertest.Tap(t, floor, "Whose is it?")
			servertest.Says(t, floor, ".plate", "A tray of 3")
			if got := servertest.Eval[[]string](t, floor, carried); !slices.Equal(got, tray) {
				t.Errorf("floor sets down %q, the plan has %q", got, tray)
			}
			servertest.Settled(t, floor)
			servertest.Tap(t, floor, tray[2]+" dropped")
			servertest.Says(t, floor, "#live .acts", "Not dropped: back to "+tray[2])
			now := servertest.Eval[[]string](t, floor, carried)
			if len(now) != 3 || now[2] == tray[2] || !slices.Equal(now[:2], tray[:2]) {
				t.Fatalf("after a drop the tray is %q, it was %q", now, tray)
			}
			servertest.Says(t, phones[0], "fieldset.ask .tray", now[2])
			checkTray(t, phones[0], now, tc.known)
			servertest.Poll(t, kitchen, platesTray(now))
			servertest.Settled(t, floor)
			servertest.Press(t, floor, ".acts .next")
			servertest.Poll(t, kitchen, `[...document.querySelectorAll(".trays .out")].length === 3`)

			for _, phone := range phones {
				servertest.Run(t, phone, chromedp.Click(chromedp.CSS(`form label.choice:has([value="3"])`)))
				servertest.Press(t, phone, "form .next")
				if got := servertest.Text(t, phone, "h1"); got != "Thank you" {
					t.Fatalf("a phone ends at %q", got)
				}
			}
			f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
			_, c, err := f.Svc.Collected(t.Context(), id)
			f.Must(err)
			if want := 2 * (3 - tc.known); len(c.Answers) != want || !slices.ContainsFunc(c.Answers,
				func(a panel.KeyedAnswer) bool { return string(a.Code) == now[2] && a.Value == 1 }) {
				t.Errorf("%d answers, want %d with %s chosen: %+v", len(c.Answers), want, now[2], c.Answers)
			}
			report := strings.Join(strings.Fields(f.Lead().Get("/studies/"+string(id)).HTML().Find("main").Text()), " ")
			if !strings.Contains(report, "of 2 answers") && !strings.Contains(report, "of 2 people") &&
				!strings.Contains(report, "of the 2 ") {
				t.Errorf("the report does not count two answers: %.1500s", report)
			}
		})
	}
}

// carried are the codes of the tray on the floor's page of a seat.
const carried = `[...document.querySelectorAll(".plate .tray .code")].map((e) => e.textContent.match(/[0-9]{3}/)[0])`

// platesTray asks the kitchen's page whether a tray has these codes, in this order.
func platesTray(codes []string) string {
	return `[...document.querySelectorAll(".trays li")].some((li) => [...li.querySelectorAll(".digits")]
		.map((e) => e.textContent).join(" ") === "` + strings.Join(codes, " ") + `")`
}

// checkTray holds a phone against the codes as they are served.
func checkTray(t *testing.T, phone context.Context, served []string, known int) {
	t.Helper()
	servertest.Poll(t, phone, `document.querySelector("fieldset.ask .tray") !== null`)
	got := servertest.Eval[trayOnPhone](t, phone, readTray)
	if !slices.Equal(got.Codes, served) || !slices.Equal(got.Open, served[known:]) {
		t.Errorf("the phone shows %q and asks about %q; %q are served, %d of them known", got.Codes, got.Open, served,
			known)
	}
	if (known > 0) != strings.Contains(got.Known, "compare with") {
		t.Errorf("what is known is marked %q", got.Known)
	}
	if got.Pixels < 24 {
		t.Errorf("a code is %g pixels high", got.Pixels)
	}
}
