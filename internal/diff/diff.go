// Package diff compares two plans of a mission and says what a reviewer wants
// to know: what was changed, what follows from it, and whether safety got
// looser.
//
// Plans are compared, not text: the order of keys, comments, quoting and the
// spelling of units make no difference, because two plans of the same meaning
// are equal. What follows from a change (a leg's length, its clearance) stands
// under its cause. Every change has a kind, by the table in direction.go.
//
// The parts:
//
//	diff.go       the result, and Compare
//	direction.go  which way a quantity that is worked out loosens
//	tree.go       causes and the effects under them
//	match.go      what in one plan is what in the other
//	clearance.go  distances of legs and waypoints from the fence
//	surplus.go    what is left of them: one route on the other's ground
//	replaced.go   legs that came and went, by their place along the route
//	inputs.go     the figures of mission, site, base, receiver, rover, board
//	measured.go   marks that follow others, rows and rings
//	marks.go, route.go, fence.go, holds.go, findings.go, follow.go
//	value.go      quantities in words
//	text.go, json.go, markdown.go   the writers
package diff

import (
	"bytes"
	"reflect"

	"merestone/internal/diag"
	"merestone/internal/figures"
	"merestone/internal/plan"
)

// Kind says what a change does to safety.
type Kind = figures.Effect

// The kinds of change.
const (
	Neutral  = figures.Neutral
	Tightens = figures.Tightens
	Look     = figures.Look
	Loosens  = figures.Loosens
)

// Number is a change of one number, in the unit named.
type Number struct {
	Before float64 `json:"before"`
	After  float64 `json:"after"`
	Delta  float64 `json:"delta"`
	Unit   string  `json:"unit"` // m, m/s, ms, s, deg, %, or empty for a count
}

// Move is how far a place moved: metres in the horizontal plane and the true
// bearing in degrees, 0 to 360.
type Move struct {
	DistanceM  float64 `json:"distance_m"`
	BearingDeg float64 `json:"bearing_deg"`
}

// Change is one difference between two missions, with what follows from it.
type Change struct {
	Kind    Kind   `json:"kind"`
	Subject string `json:"subject"` // "mark B", "leg A–B", "hold thumb switch"
	What    string `json:"what"`    // "moved", "clearance", "removed"
	// Before and After are in words with units; one is empty for what was added
	// or removed.
	Before string  `json:"before,omitempty"`
	After  string  `json:"after,omitempty"`
	Number *Number `json:"number,omitempty"`
	Move   *Move   `json:"move,omitempty"`
	// Also names the other causes of an effect that has several.
	Also []string `json:"also,omitempty"`
	// Path is where in the mission it is written: in the new one, or in the old
	// one for what was removed.
	Path    string   `json:"path,omitempty"`
	Effects []Change `json:"effects,omitempty"`
}

// Version is one of the two missions to compare.
type Version struct {
	Name     string         // where it came from: a file, REV:path
	Absent   bool           // there is no such file
	Plan     *plan.Plan     // as far as it resolved; nil when not at all
	Findings []diag.Finding // of every stage
	// Written is a digest of the bytes of all its files; zero where it is not known.
	Written [32]byte
}

// Side is what is said of one of the two missions.
type Side struct {
	Name    string `json:"name"`
	Mission string `json:"mission,omitempty"`
	// Resolved is false when there was no plan, Complete when parts of it are
	// missing; the comparison is then of what is there.
	Resolved bool `json:"resolved"`
	Complete bool `json:"complete"`
}

// Standing is an error that one of the missions has, or both: with it the comparison
// proves nothing.
type Standing struct {
	In      string `json:"in"` // "old", "new" or "both"
	Rule    string `json:"rule"`
	Message string `json:"message"`
}

// Result is what differs between two missions, in the order of a mission file.
type Result struct {
	Old     Side       `json:"old"`
	New     Side       `json:"new"`
	Errors  []Standing `json:"errors"`
	Changes []Change   `json:"changes"`
	same    bool
}

// Same reports whether nothing differs: both missions resolve and have one digest, or
// both are the same bytes.
func (r Result) Same() bool { return r.same }

// Looser reports whether any change, or anything that follows from one, loosens
// safety. A mission that cannot be resolved, or only in part, is no proof of
// being as tight as before; Unproved says so.
func (r Result) Looser() bool { return r.Count(Loosens) > 0 }

// ToLookAt reports whether a change has no sign, so that a person is to look at it.
func (r Result) ToLookAt() bool { return r.Count(Look) > 0 }

// Unproved reports whether some part of either mission could not be compared or has
// errors, so that no answer of Looser can be relied on.
func (r Result) Unproved() bool { return !r.Old.Complete || !r.New.Complete || len(r.Errors) > 0 }

// Count counts the changes of one kind, effects included.
func (r Result) Count(k Kind) int { return count(r.Changes, k) }

func count(changes []Change, k Kind) int {
	n := 0
	for _, c := range changes {
		if c.Kind == k {
			n++
		}
		n += count(c.Effects, k)
	}
	return n
}

// Compare says what differs between two plans and their findings. Either plan
// may be nil or incomplete; what is there is compared. It takes time and memory
// in proportion to the two plans, up to a logarithm.
func Compare(before, after Version) Result {
	r := Result{Old: side(before), New: side(after), Errors: []Standing{}, Changes: []Change{}}
	b := newBuilder(before.Plan, after.Plan)
	switch {
	case before.Plan == nil && after.Plan == nil:
	case before.Plan == nil || after.Plan == nil:
		b.cause(key{"mission", 0}, order{section: missionSection}, Change{
			Subject: "mission", What: "plan", Before: before.state(), After: after.state(),
		})
	default:
		b.compare()
	}
	r.Errors = append(r.Errors, b.findings(before.Findings, after.Findings)...)
	r.same = !before.Absent && !after.Absent && before.Written == after.Written && before.Written != [32]byte{} ||
		r.Old.Complete && r.New.Complete && figures.Digest(before.Plan) == figures.Digest(after.Plan)
	if len(b.nodes) == 0 && !r.same {
		b.cause(key{"mission", 0}, order{section: missionSection}, Change{
			Kind: Look, Subject: "mission", What: "cannot be told to be the same: its files differ, and it has errors", Path: "mission",
		})
	}
	r.Changes = b.tree()
	return r
}

func side(v Version) Side {
	if v.Plan == nil {
		return Side{Name: v.Name}
	}
	return Side{Name: v.Name, Mission: v.Plan.Mission, Resolved: true, Complete: v.Plan.Complete()}
}

// state says whether there is a plan.
func (v Version) state() string {
	switch {
	case v.Absent:
		return "no such file"
	case v.Plan == nil:
		return "cannot be resolved"
	default:
		return "resolved"
	}
}

func (b *builder) compare() {
	b.oneFrame()
	b.marks()
	b.lines()
	b.inputs()
	b.followers()
	b.tapes()
	b.overhead()
	b.boundary()
	b.obstacles()
	b.holds()
	b.commissioning()
	// From here on, what was found above is there as a cause.
	b.route()
	b.consequences()
	b.tables()
}

// tables is the net below all of the above: should the missions say something
// else, or the board's tables differ, although nothing was found to, that is said,
// and a difference is never taken for sameness.
func (b *builder) tables() {
	before, after := b.old.Board.Tables, b.new.Board.Tables
	if len(b.nodes) == 0 && (!bytes.Equal(figures.Text(b.old), figures.Text(b.new)) || !reflect.DeepEqual(before, after)) {
		b.cause(key{"tables", 0}, order{section: missionSection}, Change{Kind: Look, Subject: "mission", What: "says", Before: "as it was", After: "something else"})
	}
}
