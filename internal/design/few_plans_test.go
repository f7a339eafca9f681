package design

import (
	"strings"
	"testing"

	"cloche/internal/study"
)

// Blocks of AB and BA: four have 16 plans, no p below 0.125 on two sides; six have 64. By hand.
func TestFewPlansAreSaid(t *testing.T) {
	for _, tc := range []struct {
		assessors int
		sides     study.Sides
		want      string
	}{
		{8, study.TwoSided, "only 16 plans could be drawn, so that the planned lottery gives no p below " +
			"0.125, two-sided"},
		{8, study.Greater, "no p below 0.0625, one-sided"},
		{10, study.TwoSided, "only 32 plans could be drawn, so that the planned lottery gives no p below 0.0625"},
		{10, study.Greater, "only 32 plans could be drawn, so that the planned lottery gives no p below " +
			"0.0312, one-sided, whatever is tasted: more people would let it say more."},
		{12, study.TwoSided, ""},
		{60, study.TwoSided, ""},
	} {
		s := tasting(2, tc.assessors)
		s.Plan.Test, s.Plan.Sides, s.Plan.Alpha = study.Lottery, tc.sides, 0.05
		s.Plan.Compare = [2]study.SampleID{s.Samples[0].ID, s.Samples[1].ID}
		got := ""
		for _, w := range mustDraw(t, s, Options{Seed: 3}).Warnings {
			if w.Code == "few-plans" {
				got = w.Text
			}
		}
		if tc.want == "" && got != "" || !strings.Contains(got, tc.want) {
			t.Errorf("%d assessors, %s: said %q, want %q", tc.assessors, tc.sides, got, tc.want)
		}
		s.Plan.Test = study.PairedT
		for _, w := range mustDraw(t, s, Options{Seed: 3}).Warnings {
			if w.Code == "few-plans" {
				t.Error("said of another test")
			}
		}
	}
}
