// Rule geometry.obstacle-outside: obstacles lie within the boundary.
package check

import (
	"slices"

	"merestone/internal/diag"
	"merestone/internal/fence"
	"merestone/internal/planar"
)

func obstacleOutsideRule() Rule {
	return newRule("geometry.obstacle-outside", diag.Error, "obstacles lie within the boundary", func(v *view, report func(diag.Finding)) {
		if !v.Fence.Boundary.Sound() {
			return
		}
		var outside []diag.Finding
		for i, o := range v.Fence.Obstacles {
			if o.Sound() && !v.Fence.Boundary.Covers(&o) {
				f := at(o.Source, "%s reaches outside the %s", v.RingSubject(i), v.RingSubject(fence.Boundary))
				f.Remedy = "draw the boundary around the obstacle, or cut it out of the boundary instead"
				f.Related = v.outside(&o)
				outside = append(outside, f)
			}
		}
		v.manyOutside(report, outside, "%d of %d obstacles reach outside the %s: %s", len(v.Fence.Obstacles))
	})
}

// outside points to what of an obstacle is outside the boundary: the first mark of
// its ring that is, or else the first edge that leaves it; and to the edge of the
// boundary nearest to that.
func (v *view) outside(o *fence.Part) []diag.Related {
	var list []diag.Related
	boundary, place := v.Fence.Boundary.Region(), planar.Segment{A: o.Circle.Centre, B: o.Circle.Centre}
	out := func(p planar.Point) bool { return boundary.Contains(p) == planar.Outside }
	leaves := func(e planar.Segment) bool { return !boundary.Covers(e) }
	if i := slices.IndexFunc(o.Vertices, out); i >= 0 {
		place = planar.Segment{A: o.Vertices[i], B: o.Vertices[i]}
		list = append(list, diag.Related{At: o.Marks[i].At, Message: "mark " + o.Marks[i].Name + " is outside"})
	} else if i := slices.IndexFunc(o.Vertices.Edges(), leaves); i >= 0 {
		place = o.Vertices.Edge(i)
		list = append(list, diag.Related{At: o.EdgeAt(i), Message: "edge " + o.EdgeName(i) + " leaves it"})
	}
	edge := fence.Edge{Part: fence.Boundary}
	edge.Number, _, _ = boundary.Edges().Nearest(place)
	return append(list, diag.Related{At: v.Fence.Where(edge), Message: v.Fence.Name(edge)})
}
