package report_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	_ "cloche/internal/draws"
	"cloche/internal/report"
	"cloche/internal/study"
)

func init() {
	withWarning[analysis.WarnAssociation] = func() (*study.Study, []analysis.Rating) {
		s := sweetEnough(2, 3)
		return s, saidOf(s, rand.New(rand.NewPCG(1, 1)), 40, 1)
	}
	withWarning[analysis.WarnFewInGroup] = func() (*study.Study, []analysis.Rating) {
		s := sweetEnough(2, 3)
		return s, saidOf(s, rand.New(rand.NewPCG(1, 1)), 12, 1)
	}
}

// sweetEnough is a study of k recipes that asks for liking and whether they are sweet enough.
func sweetEnough(k, answers int) *study.Study {
	s := panelOf(k)
	s.Attributes[0] = study.Attribute{ID: "liking", Ask: "How much do you like it?",
		Scale: study.Scale{Kind: study.Hedonic9, Labels: study.Hedonic9Labels[:]}}
	right := study.Scale{Kind: study.AboutRight, Labels: []string{"too bland", "about right", "too sweet"}}
	if answers == 5 {
		right.Labels = []string{"far too bland", "too bland", "about right", "too sweet", "far too sweet"}
	}
	s.Attributes = append(s.Attributes, study.Attribute{ID: "sweet", Ask: "How sweet is it?", Scale: right})
	s.Plan.Attribute, s.Plan.Liking, s.Plan.SmallestEffect = "liking", "liking", 0.5
	return s
}

// saidOf invents what n people say: they like less what is not right, by lift points.
func saidOf(s *study.Study, random *rand.Rand, n int, lift float64) (out []analysis.Rating) {
	labels := float64(len(s.Attributes[1].Scale.Labels))
	middle := (labels + 1) / 2
	for i := range n {
		own := random.NormFloat64()
		for at, k := range random.Perm(len(s.Samples)) {
			said := min(labels, max(1, math.Round(middle+0.5*own+0.6*random.NormFloat64()+0.3*float64(k))))
			liking := min(9, max(1, math.Round(6.5-lift*math.Abs(said-middle)+1.3*random.NormFloat64())))
			r := analysis.Rating{Assessor: strconv.Itoa(i + 1), Position: at + 1, Sample: s.Samples[k].ID,
				Attribute: "liking", Value: liking}
			out = append(out, r)
			r.Attribute, r.Value = "sweet", said
			out = append(out, r)
		}
	}
	return out
}

// What is said, tabled and drawn of answers about right is what was answered: every person
// is drawn once in the bar of every sample, and counts, words and greyed rows are true.
func TestWhatIsSaidAboutRightIsSo(t *testing.T) {
	counted := regexp.MustCompile(`Of (\d+) (?:people|person) who answered on (Dish \w): (\d+) said “too ` +
		`bland”[^,]*, ` +
		`(\d+) said “about right” and (\d+) said “too sweet”`)
	rapid.Check(t, func(t *rapid.T) {
		s := sweetEnough(rapid.IntRange(2, 3).Draw(t, "samples"), rapid.SampledFrom([]int{3, 5}).Draw(t, "answers"))
		n := rapid.IntRange(1, 30).Draw(t, "people")
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 7))
		ratings := saidOf(s, random, n, rapid.Float64Range(-1, 3).Draw(t, "lift"))
		r, err := analysis.Analyse(s, ratings, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		page := report.Build(s, r, report.Options{})
		x := page.AboutRights[0]
		labels := len(s.Attributes[1].Scale.Labels)
		truth := map[string][]int{}
		for _, v := range ratings {
			if v.Attribute == "sweet" {
				name := "Dish " + string(v.Sample)
				if truth[name] == nil {
					truth[name] = make([]int, labels)
				}
				truth[name][int(v.Value)-1]++
			}
		}
		figure := page.Figures[slices.IndexFunc(page.Figures, func(f report.Figure) bool {
			return strings.HasPrefix(f.ID, "about-right")
		})]
		for _, row := range figure.Data.Rows {
			for j, got := range row[2:] {
				if got != fmt.Sprint(truth[row[0]][j]) {
					t.Errorf("the figure's table says %v of %s, want %v", row[2:], row[0], truth[row[0]])
				}
			}
		}
		drawn, bars := peopleDrawn(t, string(figure.Option))
		if drawn != n*len(s.Samples) || math.Abs(bars-100*float64(len(s.Samples))) > 1e-6 {
			t.Errorf("%d people drawn over %g %%, want %d over %d bars", drawn, bars, n*len(s.Samples), len(s.Samples))
		}
		sentences := counted.FindAllStringSubmatch(x.Said.Text, -1)
		if len(sentences) != len(s.Samples) {
			t.Errorf("%d sentences on %d samples: %s", len(sentences), len(s.Samples), x.Said.Text)
		}
		for _, m := range sentences {
			c := truth[m[2]]
			low, right, high := 0, c[labels/2], 0
			for j := range labels / 2 {
				low, high = low+c[j], high+c[labels-1-j]
			}
			if want := []string{fmt.Sprint(low + right + high), m[2], fmt.Sprint(low), fmt.Sprint(right),
				fmt.Sprint(high)}; strings.Join(m[1:], " ") != strings.Join(want, " ") {
				t.Errorf("said %v, want %v", m[1:], want)
			}
		}
		for _, side := range x.Sides {
			var of, all int
			if _, err := fmt.Sscanf(side.People, "%d of %d", &of, &all); err != nil || all != n {
				t.Errorf("%q of %d people: %v", side.People, n, err)
			}
			if side.Few != (5*of < all) {
				t.Errorf("%s are greyed: %v", side.People, side.Few)
			}
		}
	})
}

// peopleDrawn adds up the people in the labels of the bars of a figure, and the length of the
// bars.
func peopleDrawn(t *rapid.T, option string) (people int, length float64) {
	var o struct {
		Series []struct {
			Name string
			Data []struct{ Value [2]float64 }
		}
	}
	if err := json.Unmarshal([]byte(option), &o); err != nil {
		t.Fatal(err)
	}
	for _, x := range o.Series {
		if len(x.Data) == 2 {
			n, err := strconv.Atoi(x.Name)
			if err != nil {
				t.Fatal(err)
			}
			people, length = people+n, length+x.Data[1].Value[0]-x.Data[0].Value[0]
		}
	}
	return people, length
}

// No arithmetic mean of answers about right stands in anything that is written: the mean of a
// sample's answers, to any number of decimals that a page shows, is nowhere in the part on them,
// and full precision nowhere at all.
func TestNoMeanOfAnswersAboutRight(t *testing.T) {
	for seed := range uint64(20) {
		s := sweetEnough(2, 5)
		ratings := saidOf(s, rand.New(rand.NewPCG(seed, 5)), 37, 1)
		r := analyse(t, s, ratings)
		var all bytes.Buffer
		if err := report.WriteJSON(&all, s, r); err != nil {
			t.Fatal(err)
		}
		for _, x := range report.Build(s, r, report.Options{}).Figures {
			all.WriteString(string(x.Option))
		}
		var numbers []float64
		for _, text := range regexp.MustCompile(`-?\d+\.\d+(e-?\d+)?`).FindAllString(all.String(), -1) {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			numbers = append(numbers, v)
		}
		for _, mean := range meansOf(ratings, "sweet") {
			for _, v := range numbers {
				if math.Abs(v-mean) < 1e-9 {
					t.Errorf("seed %d: %g is the mean of answers about right", seed, v)
				}
			}
		}
		found := false // that such a mean would be seen
		for _, mean := range meansOf(ratings, "liking") {
			for _, v := range numbers {
				found = found || math.Abs(v-mean) < 1e-9
			}
		}
		if !found {
			t.Errorf("seed %d: the means of the liking are not found either", seed)
		}
	}
}

func meansOf(ratings []analysis.Rating, attribute study.AttributeID) map[study.SampleID]float64 {
	means, n := map[study.SampleID]float64{}, map[study.SampleID]float64{}
	for _, x := range ratings {
		if x.Attribute == attribute {
			means[x.Sample], n[x.Sample] = means[x.Sample]+x.Value, n[x.Sample]+1
		}
	}
	for x := range means {
		means[x] /= n[x]
	}
	return means
}
