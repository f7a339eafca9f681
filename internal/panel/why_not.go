package panel

import "slices"

// WhyNot is why somebody said no when asked to agree, from a short list; "" where they did not say.
type WhyNot string

// Why people say no.
const (
	NoTime      WhyNot = "no-time"
	CannotEat   WhyNot = "cannot-eat" // an allergy, or something in it that they do not eat
	WouldNot    WhyNot = "would-not"  // take part
	OtherReason WhyNot = "other"
)

// WhysNot are the reasons in the order in which they are offered.
var WhysNot = [...]WhyNot{NoTime, CannotEat, WouldNot, OtherReason}

func (w WhyNot) known() bool { return slices.Contains(WhysNot[:], w) }

// WhyCounts is how many gave each reason of [WhysNot].
type WhyCounts [len(WhysNot)]int

// Said is how many gave a reason.
func (c WhyCounts) Said() (n int) {
	for _, k := range c {
		n += k
	}
	return n
}
