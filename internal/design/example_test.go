package design_test

import (
	"fmt"
	"os"

	"cloche/internal/design"
	"cloche/internal/study"
)

// custards is a study of three custards by four assessors, as small as can be.
func custards() *study.Study {
	return &study.Study{
		Question: study.Rating,
		Dishes:   []study.Dish{{ID: "plain"}, {ID: "smoked"}, {ID: "roasted"}},
		Samples: []study.Sample{
			{ID: "P", Dish: "plain"}, {ID: "S", Dish: "smoked"}, {ID: "R", Dish: "roasted"},
		},
		Panel:   study.Panel{Assessors: 4, Sittings: 1},
		Serving: study.Serving{Design: study.All, Replicates: 1, Codes: study.CodePerServing, SpareCodes: 2},
	}
}

func ExampleDraw() {
	s := custards()
	p, err := design.Draw(s, design.Options{Seed: 20261125})
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := p.WriteKey(os.Stdout, s); err != nil {
		fmt.Println(err)
	}
	fmt.Println("spare:", p.Spares[0])
	// Output:
	// assessor,position,code,dish,name
	// 1,1,553,plain,
	// 1,2,337,smoked,
	// 1,3,127,roasted,
	// 2,1,688,roasted,
	// 2,2,984,plain,
	// 2,3,560,smoked,
	// 3,1,902,smoked,
	// 3,2,351,roasted,
	// 3,3,741,plain,
	// 4,1,218,roasted,
	// 4,2,669,smoked,
	// 4,3,495,plain,
	// spare: [466 864]
}

// How often would chance alone put sample P first for the first assessor? The
// lottery of the plan itself answers.
func ExampleRedraw() {
	s := custards()
	p, err := design.Draw(s, design.Options{Seed: 20261125})
	if err != nil {
		fmt.Println(err)
		return
	}
	lottery, err := design.Redraw(s, p, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	first, draws := 0, 0
	for samples := range lottery.All() {
		if samples[0] == 0 {
			first++
		}
		if draws++; draws == 300_000 {
			break
		}
	}
	fmt.Printf("about %.0f %%\n", 100*float64(first)/float64(draws))
	// Output: about 33 %
}

func ExampleBalanced() {
	b, err := design.Balanced(7, 3, 200)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("b = %d, r = %v, λ = %v, E = %.3f\n", len(b.Rows), b.R(), b.Lambda(), b.Efficiency())
	_, err = design.Balanced(15, 5, 40)
	fmt.Println(err)
	// Output:
	// b = 7, r = 3, λ = 1, E = 0.778
	// no balanced design for t=15, k=5: (t=15, k=5, r=7, b=21, λ=2): Hall–Connor: it would be the residual of (t=22, k=7, r=7, b=22, λ=2), which is impossible (Bruck–Ryser–Chowla: t is even and k − λ is not a square)
}
