// Rule geometry.ring: rings do not cross, touch or double back on themselves.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/planar"
)

// ringRule makes one finding of all faults of a ring: marks in the wrong order are
// one slip, and make several edges cross.
func ringRule() Rule {
	return newRule("geometry.ring", diag.Error, "rings do not cross, touch or double back on themselves", func(v *view) []diag.Finding {
		var findings []diag.Finding
		for ring := boundaryRing; ring < len(v.Fence.Obstacles); ring++ {
			faults := diag.List{By: "; "}
			for _, fault := range v.fence.faults[ring] {
				faults.Items = append(faults.Items, v.ringFault(ring, fault))
			}
			if len(faults.Items) == 0 {
				continue
			}
			f := at(v.Ring(ring).Source, "%s: %s", v.RingSubject(ring), faults)
			if len(faults.Items) == planar.MaxFaults {
				f.Add(" at least")
			}
			f.Remedy = "list the marks in order around the ring, each once; the last joins the first by itself"
			findings = append(findings, f)
		}
		return findings
	})
}

// ringFault says a fault with the marks' names in place of numbers.
func (v *view) ringFault(ring int, f planar.RingFault) diag.Phrase {
	vertex := func(i int) diag.Subject { return v.VertexSubject(ring, i) }
	edge := func(i int) diag.Subject { return v.EdgeSubject(ring, i) }
	switch f.Kind {
	case planar.TooFewVertices:
		return diag.Say("a ring needs at least three marks at different places")
	case planar.ZeroLengthEdge:
		return diag.Say("%s has no length", edge(f.First))
	case planar.NoArea:
		return diag.Say("all marks lie on one line, so the ring encloses nothing")
	case planar.Spike:
		return diag.Say("the ring doubles back on itself at %s", vertex(f.First))
	case planar.RepeatedVertex:
		return diag.Say("marks %s and %s are at the same place", diag.Name(vertex(f.First)), diag.Name(vertex(f.Second)))
	case planar.VertexOnEdge:
		return diag.Say("%s lies on %s", vertex(f.First), edge(f.Second))
	case planar.EdgesCross:
		return diag.Say("edges %s and %s cross", diag.Name(edge(f.First)), diag.Name(edge(f.Second)))
	case planar.EdgesOverlap:
		return diag.Say("edges %s and %s run along each other", diag.Name(edge(f.First)), diag.Name(edge(f.Second)))
	default: // a mark too far away, which plan refuses
		return diag.Say("%s", f.String())
	}
}
