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

// sideOf is mere_side: 1 left, -1 right, 0 on the line through the edge that
// begins at first and ends at second; exact.
func sideOf(first, second *Edge, sideMM, east, north int32) int32 {
	switch {
	case sideMM >= 1:
		return 1
	case sideMM < -1:
		return -1
	}
	cross := sumOfProducts(second.EastMM-first.EastMM, north, first.NorthMM-second.NorthMM, east)
	switch {
	case cross > 0:
		return 1
	case cross < 0:
		return -1
	}
	return 0
}

// onEdge is mere_on_edge: whether a point on the line through the edge is on it.
func onEdge(first, second *Edge, east, north int32) bool {
	fromEndEast := east - (second.EastMM - first.EastMM)
	fromEndNorth := north - (second.NorthMM - first.NorthMM)
	return sumOfProducts(east, fromEndEast, north, fromEndNorth) <= 0
}

// crosses is mere_crosses: whether the edge's two ends are on different sides of
// the line from a cell's corner to a point.
func crosses(first, second *Edge, east, north, x, y int32) bool {
	fromEndEast := east - (second.EastMM - first.EastMM)
	fromEndNorth := north - (second.NorthMM - first.NorthMM)
	firstLeft := sumOfProducts(y, east, -x, north) > 0
	secondLeft := sumOfProducts(y, fromEndEast, -x, fromEndNorth) > 0
	return firstLeft != secondLeft
}

// marginMM is mere_circle_margin.
func (c *FenceCircle) marginMM(at Point, limitMM int32) int32 {
	east, north := at.EastMM-c.EastMM, at.NorthMM-c.NorthMM
	far := uint32(c.RadiusMM) + uint32(limitMM)
	switch {
	case sumOfProducts(east, east, north, north) <= int64(c.RadiusMM)*int64(c.RadiusMM):
		return -1
	case magnitude(east) < far && magnitude(north) < far:
		if distance := int32(length(magnitude(east), magnitude(north))) - c.RadiusMM; distance < limitMM {
			return max(distance, 0)
		}
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
func (f *FenceTable) listMargin(list []uint16, at Point, x, y int32) int32 {
	count := uint32(list[0]) & listCount
	clear := list[0]&listClear != 0
	winding := int32(uint32(list[0])>>8&listWinding) - 64
	margin := int32(f.ExactWithinMM)
	abreastMM, beyondMM := margin+1, int32(0)
	square := int64(abreastMM) * int64(abreastMM)
	for i := uint32(1); i <= count; i++ {
		entry := list[i]
		if entry&entryCircle != 0 {
			margin = f.Circles[entry&entryIndex].marginMM(at, margin)
			if margin < 0 {
				return -1
			}
			continue
		}
		edge, next := &f.Edges[entry&entryIndex], &f.Edges[entry&entryIndex+1]
		east, north := at.EastMM-edge.EastMM, at.NorthMM-edge.NorthMM
		sideMM := dotDownQ30(north, edge.UnitEastQ30, -east, edge.UnitNorthQ30)
		abreast := sideMM
		if sideMM < 0 {
			abreast = ^sideMM
		}
		if !clear {
			side := sideOf(edge, next, sideMM, east, north)
			left := side > 0
			if side == 0 && onEdge(edge, next, east, north) {
				return -1
			}
			if left != (entry&entryLeft != 0) && crosses(edge, next, east, north, x, y) {
				if left {
					winding++
				} else {
					winding--
				}
			}
		}
		if abreast < abreastMM+beyondMM {
			alongMM := dotDownQ30(east, edge.UnitEastQ30, north, edge.UnitNorthQ30)
			beyond := int32(0)
			if alongMM < 0 {
				beyond = ^alongMM
			} else if alongMM > edge.LengthMM {
				beyond = alongMM - edge.LengthMM
			}
			if edgeSquare := sumOfProducts(abreast, abreast, beyond, beyond); edgeSquare < square {
				square, abreastMM, beyondMM = edgeSquare, abreast, beyond
			}
		}
	}
	if !clear && winding != 1 {
		return -1
	}
	return leastMargin(margin, abreastMM, beyondMM)
}

// MarginMM is -1 for a point that is not allowed: outside the boundary, in an
// obstacle, or exactly on an edge. Otherwise it is a distance never larger than
// that to the nearest edge or circle, and never smaller than min(true distance,
// ExactWithinMM) - SlackMM. Any point may be asked for. mere_fence_margin.
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
		return f.listMargin(f.Lists[(word&nodeIndex)<<f.ListLog2:], at, int32(x&inside), int32(y&inside))
	}
	return -1
}
