package guidance

// Twin of the C header's section "Fence": containment and margin, read from the
// structure that BuildFence makes. The layout of nodes and lists is explained
// there.

const (
	nodeLeaf    = 0x8000
	nodeClear   = 0xC000
	nodeIndex   = 0x3FFF
	listCount   = 0xFF
	listWinding = 0x7F
	listClear   = 0x8000
	entryIndex  = 0x3FFF
	entryCircle = 0x4000
	entryLeft   = 0x8000
)

// seen is mere_seen_t: a point as seen from the two ends of an edge.
type seen struct{ east, north, endEast, endNorth int32 }

// side is mere_side: more than 0 on the left, less on the right, 0 on the line through
// the edge; exact.
func (s *seen) side() int64 { return sumOfProducts(s.east, s.endNorth, -s.north, s.endEast) }

// onEdge is mere_on_edge: whether a point on the line through the edge is on it.
func (s *seen) onEdge() bool { return sumOfProducts(s.east, s.endEast, s.north, s.endNorth) <= 0 }

// crosses is mere_crosses: whether the edge's two ends are on different sides of
// the line from a cell's corner to a point.
func (s *seen) crosses(x, y int32) bool {
	firstLeft := sumOfProducts(y, s.east, -x, s.north) > 0
	secondLeft := sumOfProducts(y, s.endEast, -x, s.endNorth) > 0
	return firstLeft != secondLeft
}

// marginWays counts which ways a margin takes through the code, see cost.go.
type marginWays struct {
	seen, measured, before int  // edges; of them those that may be the nearest; of these those with the point before them
	sided, exact           int  // edges of a cell that is not clear; of them those with the point within 1 mm of their line
	across, crossed        int  // of those sided, those whose line is between corner and point; those themselves between
	far, near              int  // circles that cannot be the nearest; those that may be
	refused, beyond        bool // a point that is not allowed; one before or beyond its nearest edge
}

// marginMM is mere_circle_margin.
func (c *FenceCircle) marginMM(at Point, limitMM int32, ways *marginWays) int32 {
	east, north := at.EastMM-c.EastMM, at.NorthMM-c.NorthMM
	far := uint32(c.RadiusMM) + uint32(limitMM)
	switch {
	case sumOfProducts(east, east, north, north) <= int64(c.RadiusMM)*int64(c.RadiusMM):
		return -1
	case magnitude(east) < far && magnitude(north) < far:
		ways.near++
		if distance := int32(length(magnitude(east), magnitude(north))) - c.RadiusMM; distance < limitMM {
			return max(distance, 0)
		}
	default:
		ways.far++
	}
	return limitMM
}

// leastMargin is mere_least_margin.
func leastMargin(marginMM, abreastMM, beyondMM int32) int32 {
	distance := int32(length(uint32(abreastMM), uint32(beyondMM)))
	if distance > 0 {
		distance--
	}
	return min(distance, marginMM)
}

// listMargin is mere_list_margin.
func (f *FenceTable) listMargin(list []uint16, at Point, x, y int32, ways *marginWays) int32 {
	count := uint32(list[0]) & listCount
	clear := list[0]&listClear != 0
	winding := int32(uint32(list[0])>>8&listWinding) - 64
	margin := int32(f.LimitMM)
	abreastMM, beyondMM := margin+1, int32(0)
	square := int64(abreastMM) * int64(abreastMM)
	for i := uint32(1); i <= count; i++ {
		entry := list[i]
		if entry&entryCircle != 0 {
			margin = f.Circles[entry&entryIndex].marginMM(at, margin, ways)
			if margin < 0 {
				return -1
			}
			continue
		}
		ways.seen++
		edge, next := &f.Edges[entry&entryIndex], &f.Edges[entry&entryIndex+1]
		s := seen{at.EastMM - edge.EastMM, at.NorthMM - edge.NorthMM, at.EastMM - next.EastMM, at.NorthMM - next.NorthMM}
		sideMM := dotDownQ30(s.north, edge.UnitEastQ30, -s.east, edge.UnitNorthQ30)
		abreast := sideMM
		if sideMM < 0 {
			abreast = ^sideMM
		}
		if !clear {
			ways.sided++
			left := sideMM > 0
			if sideMM == 0 || sideMM == -1 {
				ways.exact++
				side := s.side()
				if side == 0 && s.onEdge() {
					return -1
				}
				left = side > 0
			}
			if left != (entry&entryLeft != 0) {
				ways.across++
				if s.crosses(x, y) {
					ways.crossed++
					if left {
						winding++
					} else {
						winding--
					}
				}
			}
		}
		if abreast < abreastMM+beyondMM {
			ways.measured++
			beyond := ^dotDownQ30(s.east, edge.UnitEastQ30, s.north, edge.UnitNorthQ30)
			if beyond >= 0 {
				ways.before++
			} else {
				beyond = max(dotDownQ30(s.endEast, edge.UnitEastQ30, s.endNorth, edge.UnitNorthQ30), 0)
			}
			if edgeSquare := sumOfProducts(abreast, abreast, beyond, beyond); edgeSquare < square {
				square, abreastMM, beyondMM = edgeSquare, abreast, beyond
			}
		}
	}
	if !clear && winding != 1 {
		ways.refused = true
		return -1
	}
	ways.beyond = abreastMM > 0 && beyondMM > 0
	return leastMargin(margin, abreastMM, beyondMM)
}

// MarginMM is -1 for a point that is not allowed: outside the boundary, in an
// obstacle, or exactly on an edge. Otherwise it is a distance never larger than
// that to the nearest edge or circle, and never smaller than min(true distance,
// ExactWithinMM) - SlackMM; of a true distance beyond ExactWithinMM, nor than 3/4 of
// min(true distance, LimitMM) - SlackMM. Any point may be asked for. mere_fence_margin.
func (f *FenceTable) MarginMM(at Point) int32 {
	x := uint32(at.EastMM) - uint32(f.WestMM)
	y := uint32(at.NorthMM) - uint32(f.SouthMM)
	level := uint32(f.RootLog2)
	word := uint32(0)
	if (x|y)>>level != 0 {
		return -1
	}
	for word < nodeLeaf && level > 0 {
		level--
		word = uint32(f.Nodes[4*word+2*(y>>level&1)+(x>>level&1)])
	}
	switch {
	case word >= nodeClear:
		return int32((word & nodeIndex) * uint32(f.MarginUnitMM))
	case word > nodeLeaf:
		inside := uint32(1)<<level - 1
		return f.listMargin(f.Lists[(word&nodeIndex)<<f.ListLog2:], at, int32(x&inside), int32(y&inside), &marginWays{})
	}
	return -1
}
