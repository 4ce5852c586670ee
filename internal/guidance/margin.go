package guidance

// Twin of section 7 of the C header: containment and margin, read from the
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

// listMargin is mere_list_margin.
func (f *FenceTable) listMargin(list []uint16, at Point, x, y int32) int32 {
	count := uint32(list[0]) & listCount
	clear := list[0]&listClear != 0
	winding := int32(uint32(list[0])>>8&listWinding) - 64
	nearest := uint32(f.ExactWithinMM)
	for i := uint32(1); i <= count; i++ {
		entry := list[i]
		var abreast, beyond uint32
		inner := uint32(1)
		if entry&entryCircle != 0 {
			circle := &f.Circles[entry&entryIndex]
			east, north := at.EastMM-circle.EastMM, at.NorthMM-circle.NorthMM
			if sumOfProducts(east, east, north, north) <= int64(circle.RadiusMM)*int64(circle.RadiusMM) {
				return -1
			}
			abreast, beyond, inner = magnitude(east), magnitude(north), uint32(circle.RadiusMM)
		} else {
			edge, next := &f.Edges[entry&entryIndex], &f.Edges[entry&entryIndex+1]
			east, north := at.EastMM-edge.EastMM, at.NorthMM-edge.NorthMM
			sideMM := int32(sumOfProducts(edge.UnitEastQ30, north, -edge.UnitNorthQ30, east) >> 30)
			alongMM := int32(sumOfProducts(edge.UnitEastQ30, east, edge.UnitNorthQ30, north) >> 30)
			if !clear {
				side := sideOf(edge, next, sideMM, east, north)
				left := side > 0
				if side == 0 || left != (entry&entryLeft != 0) {
					edgeEast, edgeNorth := next.EastMM-edge.EastMM, next.NorthMM-edge.NorthMM
					firstLeft := sumOfProducts(y, east, -x, north) > 0
					secondLeft := sumOfProducts(y, east-edgeEast, -x, north-edgeNorth) > 0
					if side == 0 && sumOfProducts(east, east-edgeEast, north, north-edgeNorth) <= 0 {
						return -1 // on the edge
					}
					if left != (entry&entryLeft != 0) && firstLeft != secondLeft {
						if left {
							winding++
						} else {
							winding--
						}
					}
				}
			}
			abreast = uint32(sideMM)
			if sideMM < 0 {
				abreast = uint32(^sideMM)
			}
			if alongMM < 0 {
				beyond = uint32(^alongMM)
			} else if alongMM > edge.LengthMM {
				beyond = uint32(alongMM) - uint32(edge.LengthMM)
			}
		}
		if abreast < nearest+inner && beyond < nearest+inner {
			distance := uint32(0)
			if l := length(abreast, beyond); l > inner {
				distance = l - inner
			}
			nearest = min(nearest, distance)
		}
	}
	if clear || winding == 1 {
		return int32(nearest)
	}
	return -1
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
