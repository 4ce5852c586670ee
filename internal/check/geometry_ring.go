// Rule geometry.ring: rings do not cross, touch or double back on themselves.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/planar"
)

func ringRule() Rule {
	return newRule("geometry.ring", diag.Error, "rings do not cross, touch or double back on themselves", func(v *view) []diag.Finding {
		var findings []diag.Finding
		report := func(ring int) {
			faults, source, what := v.fence.faults[ring], v.Ring(ring).Source, v.RingSubject(ring)
			for i, fault := range faults {
				if i == 5 {
					format := "%s: %d more faults of this ring are left out"
					if len(faults) == planar.MaxFaults {
						format = "%s: %d or more faults of this ring are left out"
					}
					findings = append(findings, at(source, format, what, len(faults)-i))
					break
				}
				f := at(source, "%s: %s", what, v.ringFault(ring, fault))
				f.Remedy = "list the marks in order around the ring, each once; the last joins the first by itself"
				findings = append(findings, f)
			}
		}
		for ring := boundaryRing; ring < len(v.Fence.Obstacles); ring++ {
			report(ring)
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
