package circuit

// This file finds a remedy: a few changes of the mission after which the single-fault
// table has nothing left that wiring can cure. Nothing is looked up by circuit or by
// fault. Changes are tried on the wiring, each is evaluated by the model, and what is
// proposed is what was tried, whole.
//
//  1. Take a fault that is not credited, the worst first.
//  2. Try what may be altered about it (remedy_moves.go), and keep the best wiring, if it
//     is better than before by the score of remedy_rating.go. Where one change is not
//     enough, try two.
//  3. Repeat until nothing is left, nothing is better, or the budget is spent. With every
//     step the score falls, or the effort at the same score, so no wiring is met twice and
//     there are no circles.
//  4. Take back, one by one, every change without which the wiring is as good.
//
// No step is taken after which a broken wire leaves the drive running where it did not
// before, however many other faults it would cure: conductors break more often than
// anything else happens to them.

import (
	"fmt"
	"slices"
	"strconv"

	"merestone/internal/board"
)

// Room is what the mission has for edits: what other rules would refuse otherwise.
type Room struct {
	// FreePins are inputs that nobody reads.
	FreePins []int
	// PullUp and PullDown are the internal pulls that the board has.
	PullUp, PullDown bool
}

// Remedy is a list of edits of the mission that was found by trying.
type Remedy struct {
	// Edits are orders in the words of the mission file. They are complete: followed
	// literally they give what was tried.
	Edits []string
	// Circuits and Path are what they give.
	Circuits []Circuit
	Path     Path
	// Clean: every fault that wiring can cure is credited, every circuit tells run from
	// stop, every emergency stop has a pole, and no internal pull is relied on that the
	// board has not.
	Clean bool
	// Tried is how many wirings were evaluated.
	Tried int
	// Before and After count the faults that are not credited, of those that wiring can
	// cure, without the edits and with them.
	Before, After int
	// Left has those that remain.
	Left []Row
}

// budget is how many wirings are evaluated at most. Enough for missions of four holds of
// two channels each (see TestRemedies), and bounded for those that cannot be cured.
const budget = 600

// pruning is how many more are evaluated at most to take changes back.
const pruning = 200

// Advise finds edits that cure the faults of a mission.
func Advise(b Board, circuits []Circuit, path Path, room Room) Remedy {
	return newSearch(b, wiring{circuits, path}, room).remedy()
}

// Propose finds a hold-to-run for a mission that has none, and the edits with which the
// whole table accepts it beside what is there. Without a free pin it finds nothing.
func Propose(b Board, circuits []Circuit, path Path, room Room) Remedy {
	s := newSearch(b, wiring{circuits, path}, room)
	pin, free := s.freePin(s.origin)
	if !free || s.origin.contacts() >= board.MaxHolds {
		return Remedy{Circuits: circuits, Path: path}
	}
	s.proposed = len(circuits)
	s.origin.circuits = append(slices.Clone(circuits), Circuit{
		Name: s.origin.holdName("thumb switch"), Kind: board.HoldToRun,
		Channels: []Channel{{Pin: pin, Contact: NormallyOpen, WiredTo: Ground, Pull: PullUp}},
	})
	return s.remedy()
}

// search is one search.
type search struct {
	board  Board
	room   Room
	origin wiring
	rater  *rater
	// seen has what was rated, by all that makes it up; nil for what was found to be no
	// good.
	seen map[string]*rating
	// telling keeps which channels tell run from stop by themselves.
	telling map[string]bool
	// tried counts the wirings that were evaluated, of at most so many.
	tried, most int
	// first is the rating of the origin.
	first rating
	// proposed is the index of a circuit that the mission does not have yet, or -1.
	proposed int
}

func newSearch(b Board, origin wiring, room Room) *search {
	const none = -1
	room.FreePins = slices.Sorted(slices.Values(room.FreePins))
	return &search{
		board: b, room: room, origin: origin, rater: &rater{board: b, room: room, rows: map[string][]kept{}},
		seen: map[string]*rating{}, telling: map[string]bool{}, proposed: none,
	}
}

// remedy searches.
func (s *search) remedy() Remedy {
	s.tried, s.most = 1, budget
	first, ok := s.rater.rate(s.origin, nil)
	if !ok {
		return Remedy{Circuits: s.origin.circuits, Path: s.origin.path, Tried: s.tried}
	}
	s.first = first
	s.rater.quiet = map[string]bool{}
	for _, name := range first.quiet {
		s.rater.quiet[name] = true
	}
	first.score[quiet], first.toTurn = 0, nil
	w, now := s.descend(s.origin, first)
	s.most = s.tried + pruning
	w, now = s.prune(w, now)
	w = w.withoutLoneNames(s.origin)
	slices.SortStableFunc(w.path.Parts[len(s.origin.path.Parts):], func(a, b Part) int { return a.Holds[0] - b.Holds[0] })
	before := first
	if s.proposed >= 0 {
		before, _ = s.rater.rate(wiring{s.origin.circuits[:s.proposed], s.origin.path}, nil)
		s.tried++
	}
	r := Remedy{
		Edits: s.edits(w), Circuits: w.circuits, Path: w.path, Clean: now.clean(),
		Tried: s.tried, Before: len(before.faults), After: len(now.faults),
	}
	if len(now.faults) == 0 {
		return r
	}
	table, _ := Analyse(s.board, w.circuits, w.path) // it was rated
	for _, row := range table.Rows {
		if row.Outcome != Healthy && !row.Outcome.Credited() && beyondWiring(w.circuits, row.Fault) == "" {
			r.Left = append(r.Left, row)
		}
	}
	return r
}

// found is a wiring with its rating.
type found struct {
	wiring
	*rating
}

// descend goes from wiring to better wiring.
func (s *search) descend(w wiring, now rating) (wiring, rating) {
	at := found{w, &now}
	stuck := map[string]bool{} // faults about which nothing better was found
	moved := false             // since then
	for both := false; !at.best() && s.tried < s.most; {
		next, ok := s.next(at, stuck, both)
		switch {
		case ok:
			at, moved, both = next, true, false
		case moved: // what was of no help then may be now
			moved = false
			clear(stuck)
		case both || at.clean():
			return at.wiring, *at.rating
		default:
			both = true
			clear(stuck)
		}
	}
	return at.wiring, *at.rating
}

// next finds a better wiring by the worst fault about which there is one. both tries two
// steps at once.
func (s *search) next(at found, stuck map[string]bool, both bool) (found, bool) {
	for _, t := range s.targets(at) {
		name := fmt.Sprint(t.number, t.about, t.fault)
		if stuck[name] {
			continue
		}
		best := at
		first := s.steps(at.wiring, t)
		for _, w := range first {
			best = s.better(best, w)
		}
		if best.rating == at.rating && both {
			for _, one := range first {
				for _, w := range s.steps(one, t) {
					best = s.better(best, w)
				}
			}
		}
		if best.rating != at.rating {
			return best, true
		}
		stuck[name] = true
	}
	return at, false
}

// targets lists what is to be cured, the worst first.
func (s *search) targets(at found) []target {
	var list []target
	for i, c := range at.circuits {
		if s.room.unfits(c, at.path.HasPole(i)) > 0 {
			list = append(list, target{job{Fault{Kind: NoFault}, []int{i}}, unfit, nil})
		}
	}
	list = append(append(list, at.faults...), at.toTurn...)
	slices.SortStableFunc(list, func(a, b target) int { return a.number - b.number })
	return list
}

// better returns the wiring if it is better than the best yet, or as good with less
// changed; and the best yet otherwise.
func (s *search) better(best found, w wiring) found {
	r := s.rate(w, best.score)
	if r == nil {
		return best
	}
	if c := r.score.compare(best.score); c < 0 || c == 0 && s.origin.changes(w) < s.origin.changes(best.wiring) {
		return found{w, r}
	}
	return best
}

// rate rates a wiring once. It returns nil for one that makes no sense, is worse than the
// limit, is beyond the budget, or has a broken conductor leave the drive running where it
// did not before. The limits of later calls are no higher: what was worse then is worse now.
func (s *search) rate(w wiring, limit score) *rating {
	key := w.signature()
	if r, known := s.seen[key]; known {
		return r
	}
	if s.tried >= s.most {
		return nil
	}
	s.tried++
	r, ok := s.rater.rate(w, &limit)
	if !ok || slices.ContainsFunc(r.dangers, s.introduces) {
		s.seen[key] = nil
		return nil
	}
	s.seen[key] = &r
	return &r
}

// introduces tells whether a broken conductor did not leave the drive running to begin
// with. Of a circuit that could not tell run from stop, it did, as whole ones did.
func (s *search) introduces(d danger) bool {
	known := func(old danger) bool { return old.name == d.name }
	blind := func(i int) bool { return slices.Contains(s.first.blind, i) }
	return !slices.ContainsFunc(s.first.dangers, known) && !slices.ContainsFunc(d.about, blind)
}

// signature is all that makes up a wiring, but for names.
func (w wiring) signature() string {
	var key []byte
	for _, c := range w.circuits {
		key = append(append(key, c.signature()...), '|')
		for _, b := range []bool{c.CommonCause.Cable, c.CommonCause.Connector, c.CommonCause.Supply, c.CommonCause.Actuator} {
			key = strconv.AppendBool(key, b)
		}
	}
	for _, p := range w.path.Parts {
		key = strconv.AppendInt(append(key, '|'), int64(p.Kind), 10)
		key = strconv.AppendBool(strconv.AppendBool(strconv.AppendBool(key, p.Enable), p.Watchdog), p.PulledOff)
		for _, h := range p.Holds {
			key = strconv.AppendInt(append(key, ' '), int64(h), 10)
		}
	}
	return string(key)
}

// prune takes back every change without which the wiring is as good.
func (s *search) prune(w wiring, now rating) (wiring, rating) {
	at := found{w, &now}
	for again := true; again; {
		again = false
		for i := 0; ; i++ {
			less := s.origin.lessChanged(at.wiring)
			if i >= len(less) {
				break
			}
			if next := s.better(at, less[i]); next.rating != at.rating {
				at, again = next, true
				i--
			}
		}
	}
	return at.wiring, *at.rating
}
