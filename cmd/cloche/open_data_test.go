package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// openSet is a study file for an open data set: samples S1, S2, … of as many dishes.
type openSet struct {
	samples    int
	attributes []string
	serving    string // under serving:
	plan       string // under analysis:
	labels     string // of the scale; "" for a line
}

var openSets = map[string]openSet{
	"carrots": {12, []string{"preference", "bitter"}, "design: all", "compare: all", ""},
	"carrots-some": {12, []string{"preference"}, "{design: some, per assessor: 4, rinse: 30 s, seed: 1}",
		"compare: all", ""},
	"ham": {8, []string{"liking"}, "design: all", "compare: all", ""},
	"tv": {3, []string{"coloursaturation", "noise", "sharpness", "cutting"}, "replicates: 8", "compare: all",
		""},
	"wine": {4, []string{"response"}, "replicates: 2", "compare: all", ""},
	"wine-labels": {4, []string{"bitterness"}, "replicates: 2", "compare: [S1, S2]\n  test: ordinal",
		"a, b, c, d, e"},
	"soup":    {2, []string{"sureness"}, "replicates: 5", "compare: [S1, S2]\n  test: ordinal", "a, b, c, d, e, f"},
	"orchard": {8, []string{"decrease"}, "design: all", "compare: all", ""},
	"stool":   {4, []string{"effort"}, "design: all", "compare: [S1, S2]", ""},
	"sleep":   {2, []string{"extra"}, "design: all", "compare: [S1, S2]", ""},
	"plants":  {3, []string{"weight"}, "design: one", "compare: [S1, S2]\n  test: welch-t", ""},
}

func (o openSet) file(title string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "cloche: 1\ntitle: %s\nquestion: samples\ndishes:\n", title)
	for i := range o.samples {
		fmt.Fprintf(&b, "  - {id: S%d, title: S%d, portion: 10 g, serve at: 20 °C, allergens: []}\n", i+1, i+1)
	}
	b.WriteString("samples:\n")
	for i := range o.samples {
		fmt.Fprintf(&b, "  - {id: S%d, dish: S%d, blind: true}\n", i+1, i+1)
	}
	b.WriteString("attributes:\n")
	scale := "line: [little, much], from: -1000, to: 1000"
	if o.labels != "" {
		scale = "categories: [" + o.labels + "]"
	}
	for _, a := range o.attributes {
		fmt.Fprintf(&b, "  - {id: %s, ask: How much?, scale: {%s}}\n", a, scale)
	}
	serving := o.serving
	if !strings.HasPrefix(serving, "{") {
		serving = "{" + serving + ", rinse: 30 s, seed: 1}"
	}
	fmt.Fprintf(&b, "panel: {assessors: 24, sittings: 8}\nserving: %s\n", serving)
	fmt.Fprintf(&b, "texts:\n  consent: Yes.\n  instructions: Taste.\nanalysis:\n  %s\n  attribute: %s\n", o.plan,
		o.attributes[0])
	return b.String()
}

// Data that no one here chose, from R's packages, by the road that a partner takes: a
// study file and a CSV in, findings as JSON out. Every number that R has a function for is
// compared: lmer, emmeans, clmm, anova, friedman.test, t.test, wilcox.test, binom.test. Where two
// optimisers meet they agree to 1e-6, elsewhere to 1e-8.
func TestOpenDataAgainstR(t *testing.T) {
	dir := t.TempDir()
	want := openDataInR(t, dir)
	for _, set := range slices.Sorted(maps.Keys(openSets)) {
		t.Run(set, func(t *testing.T) {
			o := openSets[set]
			file := filepath.Join(dir, set+".yaml")
			if err := os.WriteFile(file, []byte(o.file("Open data "+set)), 0o600); err != nil {
				t.Fatal(err)
			}
			var out, remarks bytes.Buffer
			args := []string{"analyse", file, filepath.Join(dir, set+".csv"), "--format", "json"}
			if code := run(context.Background(), args, strings.NewReader(""), &out, &remarks); code != exitDone {
				t.Fatalf("exit %d: %s", code, remarks.String())
			}
			compareWithR(t, openNumbers(t, out.Bytes()), want[set])
		})
	}
}

// openDataInR writes the data sets into a folder and returns what R says of them.
func openDataInR(t *testing.T, dir string) map[string]map[string]float64 {
	t.Helper()
	missing := exec.Command("Rscript", "--vanilla", "-e",
		"stopifnot(all(c('lmerTest', 'emmeans', 'ordinal', 'nlme') %in% .packages(TRUE)))").Run() != nil
	switch {
	case missing && os.Getenv("CLOCHE_REQUIRE_ALL") == "1":
		t.Fatal("R or one of its packages lmerTest, emmeans, ordinal, nlme is missing, and CLOCHE_REQUIRE_ALL=1 " +
			"allows no skip")
	case missing:
		t.Skip("R or one of its packages is missing: install r-cran-lmertest, r-cran-emmeans and r-cran-ordinal to " +
			"compare")
	}
	printed, err := exec.Command("Rscript", "--vanilla", "testdata/open_data.R", dir).Output()
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(printed)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]map[string]float64{}
	for _, row := range rows {
		v, err := strconv.ParseFloat(row[2], 64)
		if err != nil {
			t.Fatalf("R says %q", row)
		}
		if all[row[0]] == nil {
			all[row[0]] = map[string]float64{}
		}
		all[row[0]][row[1]] = v
	}
	return all
}

// compareWithR compares all that R says, and says what it has no function for.
func compareWithR(t *testing.T, got map[string]*float64, want map[string]float64) {
	t.Helper()
	if len(want) < 15 {
		t.Fatalf("R says only %d numbers", len(want))
	}
	for _, key := range slices.Sorted(maps.Keys(want)) {
		w := want[key]
		tolerance := 1e-8
		byModel := strings.HasPrefix(key, "panel") || strings.HasPrefix(key, "ordinal") ||
			strings.HasPrefix(key, "share")
		if byModel && !strings.Contains(key, "rm-anova") && !strings.Contains(key, "friedman") {
			tolerance = 1e-6
		}
		least := 1e-3
		if strings.HasSuffix(key, "adjusted") {
			least = 0.1 // R's qtukey stops looking at four decimals
		}
		g, ok := got[key]
		switch {
		case !ok || g == nil:
			t.Errorf("%s: R has %v, and the findings have nothing", key, w)
		case math.Abs(*g-w) > tolerance*max(math.Abs(w), least):
			t.Errorf("%s: got %.15g, R has %.15g", key, *g, w)
		}
	}
}

type openTest struct {
	Method                            string
	Statistic, Df, Df2, P, P_adjusted *float64
}

type openPair struct {
	Comparison      []string
	Difference      *float64
	Ci, Ci_adjusted [2]*float64
	Test            openTest
}

type openFinding struct {
	Kind, Attribute string
	N               *float64
	N_complete      *float64
	Means, Sds      map[string]*float64
	Moved           map[string]*float64
	Effect          []struct {
		Measure string
		Value   *float64
	}
	Estimates []struct {
		Sample, Letters string
		Mean            *float64
		Ci              [2]*float64
	}
	Pairs        []openPair
	Also, Checks []openTest
	Ordinal      *openOrdinal
	openPair
}

type openOrdinal struct {
	Odds_ratio struct {
		Value *float64
		Ci    [2]*float64
	}
	P              *float64
	Shares, Counts map[string][]*float64
}

// ordinalNumbers are those of the model of the order of the answers. Its odds are under two keys:
// as clmm estimates them, and after a last step of Newton's.
func (f openFinding) ordinalNumbers(all map[string]*float64) {
	key := fmt.Sprintf("ordinal %s - %s ", f.Comparison[0], f.Comparison[1])
	odds := f.Ordinal.Odds_ratio
	all[key+"odds"], all[key+"odds by clmm"] = odds.Value, odds.Value
	all[key+"odds lo"], all[key+"odds hi"], all[key+"p"] = odds.Ci[0], odds.Ci[1], f.Ordinal.P
	for _, x := range append(f.Also, f.Test) {
		if x.Method == "ordinal" {
			all[key+"statistic"] = x.Statistic
		}
	}
	for what, table := range map[string]map[string][]*float64{"share": f.Ordinal.Shares, "count": f.Ordinal.Counts} {
		for id, each := range table {
			for i, v := range each {
				all[fmt.Sprintf("%s %s %d", what, id, i+1)] = v
			}
		}
	}
}

// openNumbers are the numbers of the findings, under the keys that the program of R prints.
func openNumbers(t *testing.T, findings []byte) map[string]*float64 {
	t.Helper()
	var out struct{ Findings []openFinding }
	if err := json.Unmarshal(findings, &out); err != nil {
		t.Fatal(err)
	}
	all := map[string]*float64{}
	for _, f := range out.Findings {
		if f.Kind == "panel" {
			f.panelNumbers(t, all)
			continue
		}
		if f.Ordinal != nil {
			f.ordinalNumbers(all)
		}
		key := fmt.Sprintf("%s %s %s - %s ", f.Kind, f.Attribute, f.Comparison[0], f.Comparison[1])
		all[key+"n"] = f.N
		for id := range f.Means {
			all[key+"mean "+id], all[key+"sd "+id] = f.Means[id], f.Sds[id]
		}
		for way, n := range f.Moved {
			all[key+way] = n
		}
		for _, e := range f.Effect {
			all[key+e.Measure] = e.Value
		}
		f.numbers(key, all)
		for _, x := range append(f.Also, f.Test) {
			x.numbers(key+x.Method+" ", all)
		}
	}
	return all
}

func (x openTest) numbers(key string, all map[string]*float64) {
	all[key+"statistic"], all[key+"df"], all[key+"df2"], all[key+"p"], all[key+"p_adjusted"] = x.Statistic, x.Df,
		x.Df2, x.P,
		x.P_adjusted
}

func (p openPair) numbers(key string, all map[string]*float64) {
	all[key+"difference"] = p.Difference
	for i, end := range []string{"lo", "hi"} {
		all[key+end], all[key+end+" adjusted"] = p.Ci[i], p.Ci_adjusted[i]
	}
}

func (f openFinding) panelNumbers(t *testing.T, all map[string]*float64) {
	t.Helper()
	key := "panel " + f.Attribute + " "
	all[key+"n"], all[key+"complete"] = f.N, f.N_complete
	for _, x := range append(append(f.Also, f.Checks...), f.Test) {
		x.numbers(key+x.Method+" ", all)
	}
	letters := map[string]string{}
	for _, e := range f.Estimates {
		letters[e.Sample] = e.Letters
		all[key+"mean "+e.Sample] = e.Mean
		all[key+"mean "+e.Sample+" lo"], all[key+"mean "+e.Sample+" hi"] = e.Ci[0], e.Ci[1]
	}
	for _, p := range f.Pairs {
		a, b := p.Comparison[0], p.Comparison[1]
		pair := key + a + " - " + b + " "
		p.numbers(pair, all)
		p.Test.numbers(pair, all)
		if apart := *p.Test.P_adjusted < 0.05; apart == strings.ContainsAny(letters[a], letters[b]) {
			t.Errorf("%s and %s: adjusted p %v, letters %q and %q", a, b, *p.Test.P_adjusted, letters[a], letters[b])
		}
	}
}
