// What a finding is about, as data: the leg, the hold, the edge of an obstacle.
package diag

import "fmt"

// Kind is the kind of thing that a finding can be about, in the word that
// messages use for it.
type Kind string

// The kinds of things. Those of the first group are in lists of the plan, the
// others are single or are known by their names alone.
const (
	Leg      Kind = "leg"
	Waypoint Kind = "waypoint"
	Mark     Kind = "mark"
	Tape     Kind = "tape"
	Obstacle Kind = "obstacle"
	Edge     Kind = "edge" // of the boundary or of an obstacle
	Hold     Kind = "hold"

	Boundary Kind = "boundary"
	Site     Kind = "site"
	Base     Kind = "base"
	Receiver Kind = "receiver"
	Rover    Kind = "rover"
	Fence    Kind = "geofence"
	Holds    Kind = "holds"
	Board    Kind = "board"
	Pin      Kind = "pin"
	Key      Kind = "key" // of the mission file; its name is the path
	File     Kind = "file"
)

// Subject is one thing that a finding is about.
type Subject struct {
	Kind Kind
	Name string // as messages call it: "A–B" of a leg; empty for what there is one of
	// Index is where it is in the plan's list of its kind, an edge in its ring;
	// -1 for what is in no list.
	Index int
	// Ring is the ring that an edge belongs to: the obstacle's index, or
	// BoundaryRing. It is 0 for everything else.
	Ring int
}

// BoundaryRing is the boundary where rings are told apart by the obstacle's
// index.
const BoundaryRing = -1

// The is a thing that is in no list of the plan.
func The(kind Kind, name string) Subject { return Subject{Kind: kind, Name: name, Index: -1} }

// String is the thing in words: "leg A–B", "boundary". A key of the mission file
// goes by its path alone.
func (s Subject) String() string {
	switch {
	case s.Name == "":
		return string(s.Kind)
	case s.Kind == Key:
		return s.Name
	default:
		return string(s.Kind) + " " + s.Name
	}
}

// Path says in one word which thing is meant, for programs: "leg[3]",
// "obstacle[1].edge[0]", "boundary", "pin 22".
func (s Subject) Path() string {
	switch {
	case s.Index < 0:
		return s.String()
	case s.Kind != Edge:
		return fmt.Sprintf("%s[%d]", s.Kind, s.Index)
	case s.Ring == BoundaryRing:
		return fmt.Sprintf("%s.%s[%d]", Boundary, s.Kind, s.Index)
	default:
		return fmt.Sprintf("%s[%d].%s[%d]", Obstacle, s.Ring, s.Kind, s.Index)
	}
}
