// What in one plan is what in the other. Things are matched by name; what is
// left over is matched by place, and is then renamed. Waypoints are matched by
// their mark and their order along the route.
package diff

import (
	"slices"
	"sort"
	"strings"
)

// pair is one thing: its index in the old and in the new list, -1 where it is
// not.
type pair struct{ old, new int }

func (p pair) both() bool { return p.old >= 0 && p.new >= 0 }

// index is the lesser place, for the order of the report.
func (p pair) index() int {
	switch {
	case p.old < 0:
		return p.new
	case p.new < 0:
		return p.old
	default:
		return min(p.old, p.new)
	}
}

// pairing is the matching of two lists. A thing's id is its index in pairs;
// oldID and newID give it from the index in either list.
type pairing struct {
	pairs        []pair
	oldID, newID []int
}

// match pairs two lists: first by name, the first of a name with the first and
// so on, then the rest by place. A place of "" is none.
func match(oldNames, newNames, oldPlaces, newPlaces []string) pairing {
	partner := make([]int, len(oldNames)) // in new
	taken := make([]bool, len(newNames))
	for i := range partner {
		partner[i] = -1
	}
	join := func(before, after []string, usable func(string) bool) {
		free := map[string][]int{}
		for j, s := range after {
			if !taken[j] && usable(s) {
				free[s] = append(free[s], j)
			}
		}
		for i, s := range before {
			if partner[i] < 0 && len(free[s]) > 0 {
				partner[i], taken[free[s][0]] = free[s][0], true
				free[s] = free[s][1:]
			}
		}
	}
	join(oldNames, newNames, func(string) bool { return true })
	join(oldPlaces, newPlaces, func(s string) bool { return s != "" })

	p := pairing{oldID: make([]int, len(oldNames)), newID: make([]int, len(newNames))}
	for i, j := range partner {
		p.oldID[i] = len(p.pairs)
		if j >= 0 {
			p.newID[j] = len(p.pairs)
		}
		p.pairs = append(p.pairs, pair{i, j})
	}
	for j, found := range taken {
		if !found {
			p.newID[j] = len(p.pairs)
			p.pairs = append(p.pairs, pair{-1, j})
		}
	}
	return p
}

// reordered reports whether the things that both lists have stand in another
// order.
func (p pairing) reordered() bool {
	last := -1
	for _, q := range p.pairs { // in order of old
		if q.both() {
			if q.new < last {
				return true
			}
			last = q.new
		}
	}
	return false
}

// alignment is how two routes, given as lists of marks' ids, go together.
type alignment struct {
	// kept are the pairs in their order on both routes; moved those that are on
	// both, but elsewhere in the order.
	kept, moved []pair
	// reversed: the new route is the old one driven the other way.
	reversed bool
}

// align matches two routes. What stays in order is a longest common
// subsequence; a mark visited several times counts as that many marks, numbered
// along what is not common at the two ends. It takes n log n.
func align(before, after []int) alignment {
	if slices.Equal(before, after) {
		a := alignment{}
		for i := range before {
			a.kept = append(a.kept, pair{i, i})
		}
		return a
	}
	if isReversed(before, after) {
		a := alignment{reversed: true}
		for i := range before {
			a.kept = append(a.kept, pair{i, len(before) - 1 - i})
		}
		return a
	}
	// Of several longest subsequences one is chosen; taking the routes in the
	// same order whichever is the old one makes the choice the same both ways.
	if slices.Compare(before, after) > 0 {
		a := align(after, before)
		for _, pairs := range [][]pair{a.kept, a.moved} {
			for i, p := range pairs {
				pairs[i] = pair{p.new, p.old}
			}
		}
		sort.Slice(a.moved, func(i, j int) bool { return a.moved[i].old < a.moved[j].old })
		return a
	}
	head := 0
	for head < len(before) && head < len(after) && before[head] == after[head] {
		head++
	}
	tail := 0
	for tail < len(before)-head && tail < len(after)-head && before[len(before)-1-tail] == after[len(after)-1-tail] {
		tail++
	}
	a := alignment{}
	for i := range head {
		a.kept = append(a.kept, pair{i, i})
	}
	common := occurrences(before, after, head, tail)
	inOrder := increasing(common)
	for i, p := range common {
		if inOrder[i] {
			a.kept = append(a.kept, p)
		} else {
			a.moved = append(a.moved, p)
		}
	}
	for k := tail; k > 0; k-- {
		a.kept = append(a.kept, pair{len(before) - k, len(after) - k})
	}
	return a
}

// isReversed asks for three waypoints: two that change places are a turn round,
// which reads as well.
func isReversed(before, after []int) bool {
	turned := slices.Clone(after)
	slices.Reverse(turned)
	return len(before) >= 3 && slices.Equal(before, turned)
}

// occurrences pairs the k-th visit of each mark in the middle of one route with
// the k-th in the other, in the order of before.
func occurrences(before, after []int, head, tail int) []pair {
	visits := map[int][]int{}
	for j := head; j < len(after)-tail; j++ {
		visits[after[j]] = append(visits[after[j]], j)
	}
	var pairs []pair
	for i := head; i < len(before)-tail; i++ {
		if v := visits[before[i]]; len(v) > 0 {
			pairs = append(pairs, pair{i, v[0]})
			visits[before[i]] = v[1:]
		}
	}
	return pairs
}

// increasing marks a longest subsequence of the pairs in which new increases,
// by patience sorting: ends[k] is the pair that ends the best one of length k+1.
func increasing(pairs []pair) []bool {
	ends := []int{}
	previous := make([]int, len(pairs))
	for i, p := range pairs {
		k := sort.Search(len(ends), func(k int) bool { return pairs[ends[k]].new > p.new })
		previous[i] = -1
		if k > 0 {
			previous[i] = ends[k-1]
		}
		if k == len(ends) {
			ends = append(ends, i)
		} else {
			ends[k] = i
		}
	}
	chosen := make([]bool, len(pairs))
	if len(ends) > 0 {
		for i := ends[len(ends)-1]; i >= 0; i = previous[i] {
			chosen[i] = true
		}
	}
	return chosen
}

// lesser is the lesser of two names, for an order that is the same both ways.
func lesser(a, b string) string {
	if strings.Compare(a, b) < 0 && a != "" || b == "" {
		return a
	}
	return b
}
