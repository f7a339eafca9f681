package report

import (
	"fmt"
	"strings"
	"text/tabwriter"
)

// textProfile writes what each sample is like, and how good the panel is as a whole.
func textProfile(b *strings.Builder, p *ProfilePart) error {
	if p == nil {
		return nil
	}
	textHeading(b, "What each sample is like")
	fmt.Fprintf(b, "%s\n\n%s\n\n", strings.Join(p.Said, "\n"), strings.Join(p.Map, "\n"))
	textHeading(b, "The panel as a whole")
	t := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "question\ttells samples apart\tsees samples alike\trepeats within\tone assessor (%s)\tpanel (%s)\n",
		p.Level, p.Level)
	for _, x := range p.Panel {
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\n", x.Ask, x.Apart, x.Alike, x.Repeats, x.One, x.Whole)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(b, "\n%s\n\n", strings.Join(p.Below, "\n"))
	return nil
}

func textHeading(b *strings.Builder, heading string) {
	fmt.Fprintf(b, "%s\n%s\n\n", heading, strings.Repeat("-", len([]rune(heading))))
}
