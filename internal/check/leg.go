// Rules: every leg lies within the boundary and clear of obstacles.
package check

import (
	"slices"

	"merestone/internal/diag"
	"merestone/internal/planar"
)

// outside reports whether a segment leaves a sound boundary anywhere.
func (v *view) outside(s planar.Segment) bool {
	return v.fence.sound() && !v.fence.boundary.Covers(s)
}

// struck lists the obstacles that a segment meets.
func (v *view) struck(s planar.Segment) []int {
	struck := map[int]bool{}
	for _, id := range v.fence.edgeIndex.Crossing(s) {
		if ring := v.fence.edges[id].ring; ring != boundaryRing {
			struck[ring] = true
		}
	}
	for _, o := range v.fence.circlesNear(v.Plan, s, 0) {
		struck[o] = true
	}
	// A leg wholly within a ring crosses none of its edges, but a line due east
	// from its start does: only those rings are asked.
	ray := planar.Segment{A: s.A, B: planar.Point{E: planar.MaxCoordinate, N: s.A.N}}
	for _, id := range v.fence.edgeIndex.Crossing(ray) {
		ring := v.fence.edges[id].ring
		if ring != boundaryRing && !struck[ring] && v.fence.obstacles[ring].Contains(s.A) != planar.Outside {
			struck[ring] = true
		}
	}
	list := make([]int, 0, len(struck))
	for o := range struck {
		list = append(list, o)
	}
	slices.Sort(list)
	return list
}

func legOutsideRule() Rule {
	return newRule("geometry.leg-outside", diag.Error, "legs and waypoints lie within the boundary", func(v *view) []diag.Finding {
		var findings []diag.Finding
		if !v.fence.sound() {
			return nil
		}
		for _, w := range v.Waypoints {
			if m := v.Marks[w.Mark]; v.fence.boundary.Contains(m.Point) == planar.Outside {
				f := at(w.Source, "waypoint %s is outside the boundary", m.Name)
				f.Remedy = "move the mark or the boundary; check the mark's coordinates for exchanged digits"
				f.Related = []diag.Related{{At: m.At, Message: "the mark"}, {At: v.Boundary.At, Message: "the boundary"}}
				findings = append(findings, f)
			}
		}
		for _, l := range v.Legs {
			ends := v.fence.boundary.Contains(l.Segment.A) != planar.Outside && v.fence.boundary.Contains(l.Segment.B) != planar.Outside
			if !ends || !v.outside(l.Segment) {
				continue // outside waypoints are reported above
			}
			f := at(l.Source, "leg %s leaves the boundary between its ends", l.Name)
			for _, id := range v.fence.edgeIndex.Crossing(l.Segment) {
				if e := v.fence.edges[id]; e.ring == boundaryRing {
					f.Message += ", across edge " + edgeName(v.Plan, v.Boundary, e.edge)
					break
				}
			}
			f.Remedy = "add a waypoint that leads around the corner"
			f.Related = []diag.Related{{At: v.Boundary.At, Message: "the boundary"}}
			findings = append(findings, f)
		}
		return findings
	})
}

func legObstacleRule() Rule {
	return newRule("geometry.leg-obstacle", diag.Error, "legs do not pass through obstacles", func(v *view) []diag.Finding {
		var findings []diag.Finding
		for _, l := range v.Legs {
			for _, o := range v.struck(l.Segment) {
				f := at(l.Source, "leg %s passes through obstacle %s", l.Name, v.Obstacles[o].Name)
				f.Remedy = "add a waypoint that leads around it"
				f.Related = []diag.Related{{At: v.Obstacles[o].At, Message: "the obstacle"}}
				findings = append(findings, f)
			}
		}
		return findings
	})
}
