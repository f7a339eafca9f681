package design

import (
	"fmt"
	"slices"
	"testing"

	"cloche/internal/study"
)

func rating(n int, order study.AttributeOrder) *study.Study {
	s := &study.Study{Serving: study.Serving{Attributes: order}}
	for i := range n {
		s.Attributes = append(s.Attributes, study.Attribute{ID: study.AttributeID(fmt.Sprint("a", i))})
	}
	return s
}

// TestRotatedAttributesStandEvenly: in every block each attribute is asked at each
// place once, which is what makes a Latin square of it.
func TestRotatedAttributesStandEvenly(t *testing.T) {
	for n := 2; n <= 8; n++ {
		s := rating(n, study.RotatedOrder)
		for block := range 5 {
			seen := map[[2]int]bool{}
			for i := range n {
				order := AttributeOrder(s, 7, block*n+i)
				if len(order) != n {
					t.Fatalf("%d attributes: order %v", n, order)
				}
				for place, a := range order {
					if seen[[2]int{place, a}] {
						t.Errorf("%d attributes, block %d: attribute %d twice at place %d", n, block, a, place)
					}
					seen[[2]int{place, a}] = true
				}
			}
		}
	}
}

func TestAttributeOrderDependsOnSeedAndAssessor(t *testing.T) {
	s := rating(6, study.RotatedOrder)
	var differ, seeds int
	for i := range 60 {
		if !slices.Equal(AttributeOrder(s, 1, i), AttributeOrder(s, 1, i)) {
			t.Fatal("the same assessor gets two orders")
		}
		if !slices.Equal(AttributeOrder(s, 1, i), AttributeOrder(s, 1, i+1)) {
			differ++
		}
		if !slices.Equal(AttributeOrder(s, 1, i), AttributeOrder(s, 2, i)) {
			seeds++
		}
	}
	if differ < 50 || seeds < 50 {
		t.Errorf("%d of 60 neighbours and %d of 60 seeds differ", differ, seeds)
	}
	if got := AttributeOrder(rating(4, study.FixedOrder), 1, 3); !slices.Equal(got, []int{0, 1, 2, 3}) {
		t.Errorf("a fixed order is %v", got)
	}
	if got := AttributeOrder(rating(1, study.RotatedOrder), 1, 3); !slices.Equal(got, []int{0}) {
		t.Errorf("one attribute is asked in the order %v", got)
	}
}
