package datapackage

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/goccy/go-yaml"
)

// TestPublicationIsTold: what whoever publishes says stands where readers and programs look
// for it, as it was said; where nothing was said, no licence is made up.
func TestPublicationIsTold(t *testing.T) {
	d := custard(t)
	said, err := Publication{Authors: []string{"  Ö. \"Quote\" Rübe: chef\n", " "}, Licence: "CC-BY-4.0",
		Ethics: "Board of X, no. 12: yes", Registered: "https://example.org/1"}.Tidied()
	must(t, err)
	d.Publication = said
	files := filesOf(t, d)
	var cited struct {
		Version     string `yaml:"cff-version"`
		Title       string
		License     string
		Authors     []struct{ Name string }
		Identifiers []struct{ Value string }
	}
	must(t, yaml.Unmarshal(files["CITATION.cff"], &cited))
	if len(cited.Authors) != 1 || cited.Authors[0].Name != `Ö. "Quote" Rübe: chef` || cited.License != "CC-BY-4.0" ||
		cited.Version != "1.2.0" || cited.Title != d.Study.Spec.Title ||
		cited.Identifiers[0].Value != "sha256:"+d.Study.Lock.PlanHash {
		t.Errorf("cited as %+v", cited)
	}
	var record map[string]any
	must(t, json.Unmarshal(files["registration.json"], &record))
	if record["ethics_approval"] != said.Ethics || record["registered"] != said.Registered ||
		record["plan_sha256"] != d.Study.Lock.PlanHash || record["study_sha256"] != d.Study.Lock.StudyHash {
		t.Errorf("registered as %v", record)
	}
	var described struct {
		Licenses     []struct{ Name, Path string }
		Contributors []struct{ Title string }
	}
	must(t, json.Unmarshal(files["datapackage.json"], &described))
	if len(described.Licenses) != 1 || described.Licenses[0].Name != "CC-BY-4.0" || len(described.Contributors) != 1 {
		t.Errorf("described as %+v", described)
	}
	if !strings.Contains(string(files["README.txt"]), said.Ethics) {
		t.Error("the readme leaves the approval out")
	}

	d.Study.Spec.Serving.Zone, d.At = "Pacific/Auckland", time.Date(2026, 6, 1, 20, 0, 0, 0, time.UTC)
	if text := string(filesOf(t, d)["CITATION.cff"]); !strings.Contains(text, `date-released: "2026-06-02"`) {
		t.Errorf("another day than the study's:\n%s", text)
	}

	d.Publication = Publication{}
	files = filesOf(t, d)
	must(t, json.Unmarshal(files["registration.json"], &record))
	if text := string(files["CITATION.cff"]); strings.Contains(text, "license") || !strings.Contains(text, "The lead") {
		t.Errorf("nobody said so:\n%s", text)
	}
	if strings.Contains(string(files["datapackage.json"]), `"licenses"`) {
		t.Error("a licence that nobody chose")
	}
	if _, err := (Publication{Licence: "WTF"}).Tidied(); !errors.Is(err, ErrLicence) {
		t.Errorf("an unknown licence: %v", err)
	}
}
