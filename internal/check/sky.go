// Rules on the satellites' view: how high obstacles stand above the horizon of
// each waypoint, and what reflects signals nearby.
package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/planar"
)

// skyRule: above an elevation of 15 degrees the sky should be clear all round;
// common practice, no source.
func skyRule() Rule {
	return newRule("site.sky", diag.Warning, "waypoints have a clear view of the sky above 15 degrees", func(v *view) []diag.Finding {
		const maskDeg = 15
		var findings []diag.Finding
		for _, w := range v.Waypoints {
			m := v.Marks[w.Mark]
			var over []blocker
			for _, b := range v.tall() {
				rise := b.heightMM - v.Rover.AntennaHeightMM
				if rise <= 0 {
					continue
				}
				b.deg = math.Atan2(float64(rise), max(b.distance(m.Point), 1)) * 180 / math.Pi
				if b.deg > maskDeg {
					over = append(over, b)
				}
			}
			if len(over) == 0 {
				continue
			}
			slices.SortStableFunc(over, func(a, b blocker) int { return -compare(a.deg, b.deg) })
			var names []string
			for i, b := range over {
				if i == 3 {
					names = append(names, fmt.Sprintf("%d more", len(over)-i))
					break
				}
				names = append(names, fmt.Sprintf("%s %.0f deg", b.name, b.deg))
			}
			f := at(w.Source, "waypoint %s: the sky is hidden above %d deg by %s", m.Name, maskDeg, strings.Join(names, ", "))
			f.Remedy = "move the mark into the open, or expect the fix to be lost there; occupy it at several hours before trusting it"
			f.Numbers = []diag.Number{{Name: "highest", Value: over[0].deg, Unit: "deg"}, {Name: "obstacles above", Value: float64(len(over)), Unit: "1"}}
			findings = append(findings, f)
		}
		return findings
	})
}

// blocker is something tall.
type blocker struct {
	name     string
	heightMM int64
	distance func(planar.Point) float64 // mm
	deg      float64
}

func (v *view) tall() []blocker {
	var list []blocker
	ringDistance := func(r plan.Ring) func(planar.Point) float64 {
		return func(p planar.Point) float64 {
			best := math.Inf(1)
			for _, e := range r.Vertices.Edges() {
				best = min(best, e.DistanceMM(planar.Segment{A: p, B: p}))
			}
			return best
		}
	}
	if v.Boundary.HeightMM > 0 {
		list = append(list, blocker{name: "boundary", heightMM: v.Boundary.HeightMM, distance: ringDistance(v.Boundary)})
	}
	for _, o := range v.Obstacles {
		if o.HeightMM == 0 {
			continue
		}
		distance := ringDistance(o.Ring)
		if o.IsCircle {
			circle := o.Circle
			distance = func(p planar.Point) float64 { return circle.DistanceMM(planar.Segment{A: p, B: p}) }
		}
		list = append(list, blocker{name: o.Name, heightMM: o.HeightMM, distance: distance})
	}
	return list
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// reflectionRule: signals reflected by metal fences and walls spoil fixes near
// them; within about 3 m it is worth a look. Common practice, no source.
func reflectionRule() Rule {
	return newRule("site.reflection", diag.Warning, "legs keep away from what reflects satellite signals", func(v *view) []diag.Finding {
		const nearMM = 3000
		near := map[int][]string{}
		for _, l := range v.Legs {
			seen := map[int]bool{}
			for _, id := range v.fence.edgeIndex.Within(l.Segment, nearMM) {
				seen[v.fence.edges[id].ring] = true
			}
			for _, o := range v.fence.circlesNear(v.Plan, l.Segment, nearMM) {
				seen[o] = true
			}
			for ring := range seen {
				near[ring] = append(near[ring], l.Name)
			}
		}
		var findings []diag.Finding
		report := func(ring int, s plan.Source, what string) {
			if legs := near[ring]; len(legs) > 0 {
				f := at(s, "%s reflects satellite signals and %d legs pass within %s of it: %s", what, len(legs), metres(nearMM), some(legs))
				f.Remedy = "watch the fix there on a first drive by hand; a fixed solution can still be wrong beside metal"
				findings = append(findings, f)
			}
		}
		if v.Boundary.Reflects {
			report(boundaryRing, v.Boundary.Source, "the boundary")
		}
		for i, o := range v.Obstacles {
			if o.Reflects {
				report(i, o.Source, "obstacle "+o.Name)
			}
		}
		return findings
	})
}

// some lists the first few names.
func some(names []string) string {
	if len(names) > 4 {
		return strings.Join(names[:4], ", ") + fmt.Sprintf(" and %d more", len(names)-4)
	}
	return strings.Join(names, ", ")
}

func nanotesla(nt float64) string { return fmt.Sprintf("%.0f nT", nt) }
