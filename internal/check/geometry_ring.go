// Rule geometry.ring: rings do not cross, touch or double back on themselves.
package check

import (
	"fmt"

	"merestone/internal/diag"
	"merestone/internal/fence"
	"merestone/internal/planar"
)

func ringRule() Rule {
	return newRule("geometry.ring", diag.Error, "rings do not cross, touch or double back on themselves", func(v *view) []diag.Finding {
		var findings []diag.Finding
		for n, ring := range v.Fence.Parts() {
			what, faults := v.Fence.PartName(n), ring.Faults()
			for i, fault := range faults {
				if i == 5 {
					more := fmt.Sprint(len(faults) - i)
					if len(faults) == planar.MaxFaults {
						more += " or"
					}
					findings = append(findings, at(ring.Source, "%s: %s more faults of this ring are left out", what, more))
					break
				}
				message, places := ringFault(ring, fault)
				f := at(ring.Source, "%s: %s", what, message)
				f.Remedy = "list the marks in order around the ring, each once; the last joins the first by itself"
				if len(places) > 0 { // at the first, see the second
					f.At, f.Related = places[0].At, places[1:]
				}
				findings = append(findings, f)
			}
		}
		return findings
	})
}

// ringFault says a fault with the marks' names in place of numbers, and where the
// marks and edges that it names are listed.
func ringFault(ring *fence.Part, f planar.RingFault) (message string, places []diag.Related) {
	vertex := func(i int) string {
		places = append(places, diag.Related{At: ring.Marks[i].At, Message: "mark " + ring.Marks[i].Name})
		return ring.Marks[i].Name
	}
	edge := func(i int) string {
		places = append(places, diag.Related{At: ring.EdgeAt(i), Message: "edge " + ring.EdgeName(i)})
		return ring.EdgeName(i)
	}
	switch f.Kind {
	case planar.TooFewVertices:
		message = "a ring needs at least three marks"
	case planar.OutOfRange:
		message = "mark " + vertex(f.First) + " is too far from the origin"
	case planar.ZeroLengthEdge:
		message = "edge " + edge(f.First) + " has no length"
	case planar.NoArea:
		message = "all marks lie on one line, so the ring encloses nothing"
	case planar.Spike:
		message = "the ring doubles back on itself at mark " + vertex(f.First)
	case planar.RepeatedVertex:
		message = "marks " + vertex(f.First) + " and " + vertex(f.Second) + " are at the same place"
	case planar.VertexOnEdge:
		message = "mark " + vertex(f.First) + " lies on edge " + edge(f.Second)
	case planar.EdgesCross:
		message = "edges " + edge(f.First) + " and " + edge(f.Second) + " cross"
	case planar.EdgesOverlap:
		message = "edges " + edge(f.First) + " and " + edge(f.Second) + " run along each other"
	default:
		message = f.String()
	}
	return message, places
}
