package desk_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/server/desk"
	"cloche/internal/server/servertest"
)

func TestLeadIsToldWhatPhonesDoWithoutNetwork(t *testing.T) {
	for _, tc := range []struct{ name, url, want string }{
		{"HTTPS", "https://tasting.example.org", "goes on: the service is reached over HTTPS"},
		{"plain HTTP", "http://192.168.1.20:8080", "over plain HTTP browsers allow no more"},
		{"this computer", "", "on this computer alone"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := servertest.NewWith(t, server.Options{SetupCode: servertest.SetupCode, URL: tc.url})
			id, _ := f.InState(servertest.Custard, panel.Open)
			if tc.url == "" {
				if got := f.Lead().Get("/studies/" + string(id)).HTML().Find("main").Text(); !strings.Contains(got,
					tc.want) {
					t.Errorf("the lead's page does not say %q", tc.want)
				}
				return
			}
			if got := desk.WithoutNetwork(tc.url); !strings.Contains(got, tc.want) {
				t.Errorf("%q does not say %q", got, tc.want)
			}
		})
	}
}
