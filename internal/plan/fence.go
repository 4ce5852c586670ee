// The geofence in the local frame, and the domain of the board's conversion.
package plan

import (
	"fmt"

	"merestone/internal/board"
	"merestone/internal/fence"
	"merestone/internal/planar"
	"merestone/internal/quantity"
	"merestone/spec"
)

func (r *resolver) fence() {
	g := r.m.Geofence
	boundary := fence.Part{Source: r.source("geofence.boundary"), HeightMM: or(g.BoundaryHeight, 0).MM(), Reflects: g.BoundaryReflects}
	r.ring(&boundary, boundary.Path, g.Boundary)
	var obstacles []fence.Part
	for i, o := range g.Obstacles {
		out := fence.Part{Source: r.source(fmt.Sprintf("geofence.obstacles[%d]", i)), Name: o.Name, HeightMM: or(o.Height, 0).MM(), Reflects: o.Reflects}
		if r.shape(&out, o.Ring, o.Centre, o.Radius) {
			obstacles = append(obstacles, out)
		}
	}
	r.p.Fence = fence.New(boundary, obstacles)
}

// overhead reads what the rover drives beneath: rounded so that it hides more.
func (r *resolver) overhead() {
	for i, o := range r.m.Site.Overhead {
		out := Overhead{
			Part: fence.Part{Source: r.source(fmt.Sprintf("site.overhead[%d]", i)), Name: o.Name, HeightMM: o.Height.CeilMM()},
			Roof: o.Kind == spec.Roof,
		}
		if o.Headroom != nil {
			out.HeadroomMM = max(o.Headroom.FloorMM(), 1) // 0 would be none said
		}
		if r.shape(&out.Part, o.Ring, o.Centre, o.Radius) {
			out.Part = fence.Look(out.Part)
			r.p.Site.Overhead = append(r.p.Site.Overhead, out)
		}
	}
}

// shape gives a part its ring, or else its circle; false when there is neither.
func (r *resolver) shape(to *fence.Part, ring []string, middle string, radius quantity.Length) bool {
	if to.IsCircle = len(ring) == 0; !to.IsCircle {
		r.ring(to, to.Path+".ring", ring)
		return true
	}
	centre, ok := r.byName[middle]
	if ok {
		to.Marks = []fence.Mark{{Number: centre, Name: middle, At: r.m.Where(to.Path + ".centre")}}
		to.Circle = planar.Circle{Centre: r.p.Survey.Marks[centre].Point, RadiusMM: radius.CeilMM()}
	}
	return ok
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
