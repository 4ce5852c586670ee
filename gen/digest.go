// The digest of a plan: what a board carries, told apart from every other version
// of its mission.
package gen

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"merestone/internal/circuit"
	"merestone/internal/guidance"
	"merestone/internal/plan"
)

// resolved is all that a mission says, and the tables that came of it. Places in
// the source are left out, and so is what is worked out in floating point from
// the rest, which need not have the same last bit on every machine.
type resolved struct {
	Mission    string
	Board      guidance.Mission
	Confidence float64
	Date       string
	HeightM    float64
	Base       *base
	Receiver   plan.Receiver
	Rover      plan.Rover
	Marks      []mark // by name
	Tapes      []tape // by the names of their ends
	Waypoints  []string
	Boundary   []string
	Fence      []part // the boundary, then the obstacles
	Holds      []circuit.Circuit
	Inputs     plan.Inputs
	Timing     plan.Timing
}

type base struct {
	Mark                string
	Averaged            bool
	AveragedForS, StdMM float64
	ControlMarks        []string
}

type mark struct {
	Name                string
	Latitude, Longitude int64 // nanodegrees
	HeightM             float64
	HasHeight           bool
	StdMM               float64
}

type tape struct {
	Ends              string
	MeasuredMM, StdMM float64
}

type part struct {
	Name     string
	HeightMM int64
	Reflects bool
}

// Digest is the SHA-256 of the resolved plan as JSON: of everything that the
// mission says, in the order of the fields of resolved. It changes with the
// meaning of the mission, and not with comments, the order of keys and of marks,
// the spelling of units or the tool's version.
func Digest(p *plan.Plan) ([32]byte, error) {
	name := func(i int) string { return p.Survey.Marks[i].Name }
	r := resolved{
		Mission: p.Mission, Board: p.Board.Tables, Confidence: p.Confidence,
		Date: p.Site.Date.Format(time.DateOnly), HeightM: p.Site.Origin.HeightM,
		Receiver: p.Machine.Receiver, Rover: p.Machine.Rover, Inputs: p.Board.Inputs, Timing: p.Board.Timing,
		Fence: []part{{HeightMM: p.Fence.Boundary.HeightMM, Reflects: p.Fence.Boundary.Reflects}},
	}
	r.Board.Record = guidance.Record{}
	r.Receiver.Source, r.Rover.Source, r.Inputs.Source = plan.Source{}, plan.Source{}, plan.Source{}
	if b := p.Survey.Base; b != nil {
		r.Base = &base{Averaged: b.Averaged, AveragedForS: b.AveragedForS, StdMM: b.StdMM}
		if b.Mark >= 0 {
			r.Base.Mark = name(b.Mark)
		}
		for _, c := range b.ControlMarks {
			r.Base.ControlMarks = append(r.Base.ControlMarks, name(c))
		}
		slices.Sort(r.Base.ControlMarks)
	}
	for _, m := range p.Survey.Marks {
		r.Marks = append(r.Marks, mark{m.Name, int64(m.Geodetic.Latitude), int64(m.Geodetic.Longitude), m.Geodetic.HeightM, m.HasHeight, m.StdMM})
	}
	slices.SortFunc(r.Marks, func(a, b mark) int { return strings.Compare(a.Name, b.Name) })
	for _, t := range p.Survey.Tapes {
		from, to := name(t.From), name(t.To)
		r.Tapes = append(r.Tapes, tape{min(from, to) + "–" + max(from, to), t.MeasuredMM, t.StdMM})
	}
	slices.SortStableFunc(r.Tapes, func(a, b tape) int { return strings.Compare(a.Ends, b.Ends) })
	for _, w := range p.Route.Waypoints {
		r.Waypoints = append(r.Waypoints, name(w.Mark))
	}
	for _, m := range p.Fence.Boundary.Marks {
		r.Boundary = append(r.Boundary, m.Name)
	}
	for _, o := range p.Fence.Obstacles {
		r.Fence = append(r.Fence, part{o.Name, o.HeightMM, o.Reflects})
	}
	for _, h := range p.Holds.List {
		r.Holds = append(r.Holds, h.Circuit)
	}
	text, err := json.Marshal(r)
	if err != nil {
		return [32]byte{}, fmt.Errorf("the plan cannot be written for its digest: %w", err)
	}
	return sha256.Sum256(text), nil
}
