// Rule geometry.ring: rings do not cross, touch or double back on themselves.
package check

import (
	"fmt"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/planar"
)

func ringRule() Rule {
	return newRule("geometry.ring", diag.Error, "rings do not cross, touch or double back on themselves", func(v *view) []diag.Finding {
		var findings []diag.Finding
		report := func(number int, ring plan.Ring, what string) {
			faults := v.fence.faults[number]
			for i, fault := range faults {
				if i == 5 {
					more := fmt.Sprint(len(faults) - i)
					if len(faults) == planar.MaxFaults {
						more += " or"
					}
					findings = append(findings, at(ring.Source, "%s: %s more faults of this ring are left out", what, more))
					break
				}
				f := at(ring.Source, "%s: %s", what, ringFault(v.Plan, ring, fault))
				f.Remedy = "list the marks in order around the ring, each once; the last joins the first by itself"
				findings = append(findings, f)
			}
		}
		report(boundaryRing, v.Fence.Boundary, "boundary")
		for i, o := range v.Fence.Obstacles {
			report(i, o.Ring, "obstacle "+o.Name)
		}
		return findings
	})
}

// ringFault says a fault with the marks' names in place of numbers.
func ringFault(p *plan.Plan, ring plan.Ring, f planar.RingFault) string {
	vertex := func(i int) string { return vertexName(p, ring, i) }
	edge := func(i int) string { return edgeName(p, ring, i) }
	switch f.Kind {
	case planar.TooFewVertices:
		return "a ring needs at least three marks"
	case planar.OutOfRange:
		return "mark " + vertex(f.First) + " is too far from the origin"
	case planar.ZeroLengthEdge:
		return "edge " + edge(f.First) + " has no length"
	case planar.NoArea:
		return "all marks lie on one line, so the ring encloses nothing"
	case planar.Spike:
		return "the ring doubles back on itself at mark " + vertex(f.First)
	case planar.RepeatedVertex:
		return "marks " + vertex(f.First) + " and " + vertex(f.Second) + " are at the same place"
	case planar.VertexOnEdge:
		return "mark " + vertex(f.First) + " lies on edge " + edge(f.Second)
	case planar.EdgesCross:
		return "edges " + edge(f.First) + " and " + edge(f.Second) + " cross"
	case planar.EdgesOverlap:
		return "edges " + edge(f.First) + " and " + edge(f.Second) + " run along each other"
	default:
		return f.String()
	}
}
