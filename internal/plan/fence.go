// The geofence in the local frame, and the domain of the board's conversion.
package plan

import (
	"fmt"

	"merestone/internal/board"
	"merestone/internal/fence"
	"merestone/internal/planar"
)

func (r *resolver) fence() {
	g := r.m.Geofence
	boundary := fence.Part{Source: r.source("geofence.boundary"), HeightMM: or(g.BoundaryHeight, 0).MM(), Reflects: g.BoundaryReflects}
	r.ring(&boundary, boundary.Path, g.Boundary)
	var obstacles []fence.Part
	for i, o := range g.Obstacles {
		out := fence.Part{Source: r.source(fmt.Sprintf("geofence.obstacles[%d]", i)), Name: o.Name, IsCircle: len(o.Ring) == 0, HeightMM: or(o.Height, 0).MM(), Reflects: o.Reflects}
		if !out.IsCircle {
			r.ring(&out, out.Path+".ring", o.Ring)
		} else if centre, ok := r.byName[o.Centre]; ok {
			out.Marks = []fence.Mark{{Number: centre, Name: o.Centre, At: r.m.Where(out.Path + ".centre")}}
			out.Circle = planar.Circle{Centre: r.p.Survey.Marks[centre].Point, RadiusMM: o.Radius.CeilMM()}
		} else {
			continue
		}
		obstacles = append(obstacles, out)
	}
	r.p.Fence = fence.New(boundary, obstacles)
}

// ring fills in the marks that are listed at a path.
func (r *resolver) ring(to *fence.Part, path string, names []string) {
	for i, name := range names {
		if m, ok := r.byName[name]; ok {
			to.Marks = append(to.Marks, fence.Mark{Number: m, Name: name, At: r.m.Where(fmt.Sprintf("%s[%d]", path, i))})
			to.Vertices = append(to.Vertices, r.p.Survey.Marks[m].Point)
		}
	}
}

// domainMarginMM is added around the fence and the largest standoff: the rover
// can be that far outside, carried or lost, and still be told where it is.
const domainMarginMM = 100_000

// domain boxes the origin, the fence and the route, with room for the largest
// standoff (bounded here by ten coasts, since standoffs need the conversion's
// bound, which needs the domain) and 100 m more, as far as the board reaches.
func (r *resolver) domain() {
	d := &r.p.Board.Domain // from the origin outwards, since the conversion is expanded there
	var marks []int
	for _, m := range r.p.Fence.Marks() {
		marks = append(marks, m.Number)
	}
	for _, w := range r.m.Route.Waypoints {
		if m, ok := r.byName[w.Mark]; ok {
			marks = append(marks, m)
		}
	}
	for _, m := range marks {
		p := r.p.Survey.Marks[m].Point
		d.WestMM, d.EastMM = min(d.WestMM, p.E), max(d.EastMM, p.E)
		d.SouthMM, d.NorthMM = min(d.SouthMM, p.N), max(d.NorthMM, p.N)
	}
	longest := int64(0)
	for _, run := range r.p.Machine.Rover.Coast {
		longest = max(longest, run.DistanceMM)
	}
	margin := domainMarginMM + 10*longest
	d.WestMM, d.SouthMM = max(d.WestMM-margin, -board.MaxReachMM), max(d.SouthMM-margin, -board.MaxReachMM)
	d.EastMM, d.NorthMM = min(d.EastMM+margin, board.MaxReachMM), min(d.NorthMM+margin, board.MaxReachMM)
}
