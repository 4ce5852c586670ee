// Rule geometry.ring: rings do not cross, touch or double back on themselves.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/fence"
	"merestone/internal/planar"
)

// ringRule makes one finding of all faults of a ring: marks in the wrong order are
// one slip, and make several edges cross.
func ringRule() Rule {
	return newRule("geometry.ring", diag.Error, "rings do not cross, touch or double back on themselves", func(v *view, report func(diag.Finding)) {
		for n, ring := range v.Fence.Parts() {
			faults := diag.List{By: "; "}
			var places []diag.Related // of what the first of them names
			for i, fault := range ring.Faults() {
				said, where := v.ringFault(n, ring, fault)
				faults.Items = append(faults.Items, said)
				if i == 0 {
					places = where
				}
			}
			if len(faults.Items) == 0 {
				continue
			}
			f := at(ring.Source, "%s: %s", v.RingSubject(n), faults)
			if len(faults.Items) == planar.MaxFaults {
				f.Add(" at least")
			}
			f.Remedy = "list the marks in order around the ring, each once; the last joins the first by itself"
			if len(places) > 0 { // at the first, see the second
				f.At, f.Related = places[0].At, places[1:]
			}
			report(f)
		}
	})
}

// ringFault says a fault with the marks' names in place of numbers, and where the
// marks and edges that it names are listed.
func (v *view) ringFault(n int, ring *fence.Part, f planar.RingFault) (said diag.Phrase, places []diag.Related) {
	vertex := func(i int) diag.Subject {
		s := v.VertexSubject(fence.Vertex{Part: n, Number: i})
		places = append(places, diag.Related{At: ring.Marks[i].At, Message: s.String()})
		return s
	}
	edge := func(i int) diag.Subject {
		s := v.EdgeSubject(fence.Edge{Part: n, Number: i})
		places = append(places, diag.Related{At: ring.EdgeAt(i), Message: s.String()})
		return s
	}
	switch f.Kind {
	case planar.TooFewVertices:
		said = diag.Say("a ring needs at least three marks at different places")
	case planar.ZeroLengthEdge:
		said = diag.Say("%s has no length", edge(f.First))
	case planar.NoArea:
		said = diag.Say("all marks lie on one line, so the ring encloses nothing")
	case planar.Spike:
		said = diag.Say("the ring doubles back on itself at %s", vertex(f.First))
	case planar.RepeatedVertex:
		said = diag.Say("marks %s and %s are at the same place", diag.Name(vertex(f.First)), diag.Name(vertex(f.Second)))
	case planar.VertexOnEdge:
		said = diag.Say("%s lies on %s", vertex(f.First), edge(f.Second))
	case planar.EdgesCross:
		said = diag.Say("edges %s and %s cross", diag.Name(edge(f.First)), diag.Name(edge(f.Second)))
	case planar.EdgesOverlap:
		said = diag.Say("edges %s and %s run along each other", diag.Name(edge(f.First)), diag.Name(edge(f.Second)))
	default: // a mark too far away, which plan refuses
		said = diag.Say("%s", f.String())
	}
	return said, places
}
