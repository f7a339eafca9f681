package design

import (
	"fmt"
	"sort"
)

// A group of permutations of t points is what a balanced design is asked to be
// invariant under, so that a search need only look at orbits.
type group struct {
	name     string
	elements [][]uint8 // permutations of the points
}

// groupsOn lists the groups that the search tries on t points, larger first
// within a kind: residues modulo t with multipliers; the same on t−1 points and
// one that stays; the affine groups of finite fields; and residues that act on
// several copies at once.
func groupsOn(t int) []group {
	var g []group
	for fixed := range 2 {
		n := t - fixed
		g = append(g, residues(n, 1, fixed)...)
		g = append(g, fieldGroups(n, fixed)...)
	}
	for copies := 2; copies <= 4; copies++ {
		for fixed := range 2 {
			if n := t - fixed; n%copies == 0 && n/copies >= 2 {
				g = append(g, residues(n/copies, copies, fixed)...)
			}
		}
	}
	sort.SliceStable(g, func(i, j int) bool { return len(g[i].elements) > len(g[j].elements) })
	return g
}

// residues are the groups x → mx + c modulo n, m in a group of multipliers, on
// copies of the residues and fixed points that stay.
func residues(n, copies, fixed int) []group {
	var g []group
	seen := map[string]bool{}
	for m := 1; m < n; m++ {
		units := multipliers(m, n)
		key := fmt.Sprint(units)
		if units == nil || seen[key] {
			continue
		}
		seen[key] = true
		h := group{name: fmt.Sprintf("residues modulo %d, multipliers %v", n, units)}
		if copies > 1 {
			h.name += fmt.Sprintf(", %d copies", copies)
		}
		if fixed > 0 {
			h.name += ", one fixed point"
		}
		for _, u := range units {
			for c := range n {
				h.elements = append(h.elements, affine(n, copies, fixed, func(x int) int { return (u*x + c) % n }))
			}
		}
		g = append(g, h)
	}
	return g
}

// multipliers returns the powers of m modulo n in rising order, nil when m is
// not a unit.
func multipliers(m, n int) []int {
	var powers []int
	x := 1
	for {
		powers = append(powers, x)
		x = x * m % n
		if x == 1 || n == 1 {
			break
		}
		if x == 0 || len(powers) > n {
			return nil
		}
	}
	sort.Ints(powers)
	return powers
}

// affine lays the permutation f of n residues on copies of them and on fixed
// points.
func affine(n, copies, fixed int, f func(int) int) []uint8 {
	p := make([]uint8, 0, n*copies+fixed)
	for c := range copies {
		for x := range n {
			p = append(p, uint8(c*n+f(x)))
		}
	}
	for x := range fixed {
		p = append(p, uint8(n*copies+x))
	}
	return p
}

// field is a finite field of q elements, 0 to q−1 in base p.
type field struct {
	p, q int
	poly []int // x^m as coefficients of lower powers, from the constant up
}

// fields are the fields of composite order that fit 26 points, with primitive
// polynomials (x is a generator; checked by test): x²+x+1, x³+x+1, x⁴+x+1 over 2,
// x²+x+2 over 3, x²+x+2 over 5.
var fields = []field{
	{2, 4, []int{1, 1}},
	{2, 8, []int{1, 1, 0}},
	{2, 16, []int{1, 1, 0, 0}},
	{3, 9, []int{1, 2}},
	{5, 25, []int{3, 4}},
}

func (f field) add(a, b int) int {
	sum, place := 0, 1
	for range f.poly {
		sum += (a%f.p + b%f.p) % f.p * place
		a, b, place = a/f.p, b/f.p, place*f.p
	}
	return sum
}

// timesX multiplies by the generator x.
func (f field) timesX(a int) int {
	top := f.q / f.p
	lead, rest := a/top, a%top*f.p
	place := 1
	for _, c := range f.poly {
		rest = f.add(rest, lead*c%f.p*place)
		place *= f.p
	}
	return rest
}

// fieldGroups are the groups x → gᵉᵏ x + c on the field of n elements, if there
// is one in the list, for every divisor e of n−1.
func fieldGroups(n, fixed int) []group {
	var groups []group
	for _, f := range fields {
		if f.q != n {
			continue
		}
		for e := 1; e <= n-1; e++ {
			if (n-1)%e != 0 {
				continue
			}
			g := group{name: fmt.Sprintf("field of %d elements, multipliers every %d powers", n, e)}
			if fixed > 0 {
				g.name += ", one fixed point"
			}
			for k := 0; k < n-1; k += e {
				for c := range n {
					g.elements = append(g.elements, affine(n, 1, fixed, func(x int) int {
						for range k {
							x = f.timesX(x)
						}
						return f.add(x, c)
					}))
				}
			}
			groups = append(groups, g)
		}
	}
	return groups
}
