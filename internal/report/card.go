package report

import (
	"cloche/internal/analysis"
	"cloche/internal/picture"
	"cloche/internal/study"
)

// Card is the answer of a study on one page or in one picture, for the kitchen's wall and
// for sending.
type Card struct {
	House    string // whose study it was; "" when nobody said
	Date     string // of the close
	Title    string
	Answer   string // the report's own sentence
	Beside   string // the next one, on how many it rests; "" for none
	People   string
	Outcome  Outcome
	Next     string
	Limits   string
	Invented string // said on the picture; "" where people tasted
	Figure   *Figure
}

// CardOf makes the card of a report that says whose it is and since when it stands.
func CardOf(p Page, r *analysis.Result, tell func(study.Said) string, c Card) Card {
	c.Title, c.Outcome, c.Next, c.Limits = p.Title, p.Outcome, p.Next, p.Limits
	c.Figure, c.People = p.FirstFigure(), tell(people(r.Assessors))
	if p.Invented {
		c.Invented = tell(study.Say("Invented data: says nothing of any dish"))
	}
	if plain := p.PlainVerdict(); len(plain) > 0 {
		c.Answer = plain[0]
		if len(plain) > 1 {
			c.Beside = plain[1]
		}
	}
	return c
}

// paper has the colours of the page's custom properties on white paper or a light screen.
var paper = picture.Palette{"--report-ground": "#fdfaf4", "--report-ink": "#221e1b", "--report-quiet": "#6b635a",
	"--report-accent": "#8c1c46", "--report-green": "#3d6647"}

// The size of the card as a picture, in pixels: what networks show of a link.
const (
	cardWidth  = 1200
	cardHeight = 630
	cardMargin = 56
)

// Picture draws the card.
func (c Card) Picture() (*picture.Picture, error) {
	p := &picture.Picture{Width: cardWidth, Height: cardHeight, Ground: paper["--report-ground"],
		Title: c.Title + " " + c.Answer}
	left, width := float64(cardMargin), float64(cardWidth-2*cardMargin)
	if c.Figure != nil {
		width = 500
	}
	c.write(p, left, width)
	if c.Figure == nil {
		return p, nil
	}
	x := left + width + 48
	return p, c.Figure.into(p, x, cardMargin, cardWidth-cardMargin-x, cardHeight-2*cardMargin)
}

// write sets the words of the card, and what it rests on at its foot.
func (c Card) write(p *picture.Picture, left, width float64) {
	ink, quiet := paper["--report-ink"], paper["--report-quiet"]
	y := float64(cardMargin)
	if text := c.Invented; text != "" {
		s := picture.Style{Size: 20, Bold: true, Colour: ink}
		frame(p, left, y-4, picture.Length(text, s)+24, 36, ink)
		p.Text(picture.Point{X: left + 12, Y: y + 21}, text, s)
		y += 52
	}
	title, lines := picture.Fit(c.Title, picture.Style{Bold: true, Colour: quiet}, width, 2, 22, 20, 18)
	y = lined(p, lines[:min(len(lines), 3)], title, left, y+title.Size)
	if c.Outcome == Clear {
		defer func(from float64) { p.Box(left, from, 6, y-from, paper["--report-accent"], 1) }(y + 8)
	}
	answer, lines := picture.Fit(c.Answer, picture.Style{Bold: true, Colour: ink}, width-24, 6,
		42, 38, 34, 30, 27, 24, 21)
	most := int((cardHeight - cardMargin - 70 - y) / (1.28 * answer.Size)) // never over the foot
	y = lined(p, lines[:min(len(lines), most)], answer, left+24, y+4+answer.Size)
	beside, lines := picture.Fit(c.Beside, picture.Style{Colour: ink}, width-24, 4, 24, 22, 20, 18)
	if len(lines) > 0 && y+float64(len(lines))*1.35*beside.Size < cardHeight-cardMargin-70 {
		y = lined(p, lines, beside, left+24, y+4+beside.Size)
	}
	foot := picture.Style{Size: 22, Colour: quiet}
	p.Text(picture.Point{X: left, Y: cardHeight - cardMargin}, c.foot(), foot)
	house, lines := picture.Fit(c.House, picture.Style{Bold: true, Colour: ink}, width, 1, 22, 20, 18, 16)
	if len(lines) > 0 {
		p.Text(picture.Point{X: left, Y: cardHeight - cardMargin - 32}, lines[0], house)
	}
}

// foot says on how many the answer rests, and since when it stands.
func (c Card) foot() string { return c.People + " · " + c.Date }

// lined sets lines one below the other, and says where the next would stand.
func lined(p *picture.Picture, lines []string, s picture.Style, x, y float64) float64 {
	for _, l := range lines {
		p.Text(picture.Point{X: x, Y: y}, l, s)
		y += 1.28 * s.Size
	}
	return y - s.Size + 10
}

// frame draws a dashed frame.
func frame(p *picture.Picture, x, y, width, height float64, colour string) {
	corners := []picture.Point{{X: x, Y: y}, {X: x + width, Y: y}, {X: x + width, Y: y + height},
		{X: x, Y: y + height}, {X: x, Y: y}}
	p.Line(corners, picture.Stroke{Colour: colour, Width: 2, Opacity: 1, Dash: []float64{7, 5}})
}
