package guidance

// The tables of the fence, as the board reads them: lists of cells, their places, and
// the check that the tables hold together.

import (
	"errors"
	"fmt"

	"merestone/internal/planar"
)

// list makes, or finds, the list of a cell. It also tells what the list is made of.
func (b *fenceBuilder) list(parts []int32, clear bool, winding int, c cell) (*fenceList, listShape) {
	shape := listShape{clear: clear, depth: int(b.table.RootLog2) - c.log2}
	words := make([]uint16, 1, len(parts)+1)
	words[0] = uint16(len(parts)) | uint16(winding+64)<<8
	if clear {
		words[0] = uint16(len(parts)) | listClear
	}
	corners := c.corners()
	for _, part := range parts {
		p := &b.parts[part]
		entry := p.entry
		if p.isCircle() {
			shape.circles++
		} else {
			shape.edges++
			if !clear && p.divides(corners) {
				shape.dividing++
			}
			if !clear && planar.Orientation(p.a, p.b, c.corner) > 0 {
				entry |= entryLeft
			}
		}
		words = append(words, entry)
	}
	key := make([]byte, 0, 2*len(words))
	for _, w := range words {
		key = append(key, byte(w), byte(w>>8))
	}
	list, known := b.lists[string(key)]
	if !known {
		list = &fenceList{words: words}
		b.lists[string(key)] = list
	}
	if list.cells == 0 {
		b.used++
		b.bytes += 2 * len(words)
	}
	list.cells++
	return list, shape
}

// place gives each list its place, at the smallest spacing that 14 bits can
// address, and writes the nodes.
func (b *fenceBuilder) place() error {
	t := &b.table
	var lists []*fenceList
	for i := range b.groups {
		for _, w := range b.groups[i] {
			if w.list != nil && w.list.place == 0 {
				lists = append(lists, w.list)
				w.list.place = 1
			}
		}
	}
	for t.ListLog2 = 0; ; t.ListLog2++ {
		next := uint32(1) // place 0 stands for "not allowed"
		for _, list := range lists {
			list.place = next
			next += (uint32(len(list.words)) + 1<<t.ListLog2 - 1) >> t.ListLog2
		}
		if next <= nodeIndex+1 {
			t.Lists = make([]uint16, next<<t.ListLog2)
			break
		}
		if t.ListLog2 == 8 {
			return errors.New("too intricate: its lists do not fit")
		}
	}
	for _, list := range lists {
		copy(t.Lists[list.place<<t.ListLog2:], list.words)
	}
	t.Nodes = make([]uint16, 0, 4*len(b.groups))
	for i := range b.groups {
		for _, w := range b.groups[i] {
			at := w.value
			if w.list != nil {
				at = w.list.place
			}
			t.Nodes = append(t.Nodes, w.kind|uint16(at))
		}
	}
	return nil
}

// FlashBytes is the size of the fence's tables in the board's flash.
func (f *FenceTable) FlashBytes() int {
	return Size(Edge{})*len(f.Edges) + Size(FenceCircle{})*len(f.Circles) + 2*len(f.Nodes) + 2*len(f.Lists)
}

// check tests that the tables hold together: every index within its table, every
// path ends. So the board, which does not check, cannot read beyond them.
func (f *FenceTable) check() error {
	fail := func(format string, args ...any) error { return fmt.Errorf("fence: "+format, args...) }
	if f.RootLog2 < 1 || f.RootLog2 > 26 || len(f.Nodes) == 0 || len(f.Nodes)%4 != 0 || f.ListLog2 > 8 || f.MarginUnitMM == 0 {
		return fail("the search structure is malformed")
	}
	if len(f.Edges) > maxFenceEntry || len(f.Circles) > maxFenceEntry || len(f.Nodes) > 4*nodeLeaf {
		return fail("more entries than 16-bit words can number")
	}
	depth := make([]int, len(f.Nodes)/4) // of each group; groups only lead to later ones
	for group := range depth {
		for _, w := range f.Nodes[4*group : 4*group+4] {
			switch {
			case w < nodeLeaf:
				if int(w) <= group || int(w) >= len(depth) {
					return fail("group %d leads to %d", group, w)
				}
				depth[w] = depth[group] + 1
				if depth[w] >= int(f.RootLog2) {
					return fail("cells smaller than a millimetre")
				}
			case w > nodeLeaf && w < nodeClear:
				if err := f.checkList(int(w&nodeIndex) << f.ListLog2); err != nil {
					return err
				}
			}
		}
	}
	for i, e := range f.Edges {
		if e.Closes() && (i == 0 || f.Edges[i-1].Closes()) || !e.Closes() && i+1 == len(f.Edges) {
			return fail("the rings of the edge table are not closed at entry %d", i)
		}
		if !(planar.Point{E: int64(e.EastMM), N: int64(e.NorthMM)}).InRange() {
			return fail("edge %d is out of range", i)
		}
	}
	return nil
}

func (f *FenceTable) checkList(at int) error {
	if at >= len(f.Lists) || at+int(f.Lists[at]&listCount) >= len(f.Lists) {
		return fmt.Errorf("fence: list at %d is beyond the table", at)
	}
	for _, entry := range f.Lists[at+1 : at+1+int(f.Lists[at]&listCount)] {
		index := int(entry & entryIndex)
		if entry&entryCircle != 0 && index >= len(f.Circles) ||
			entry&entryCircle == 0 && (index+1 >= len(f.Edges) || f.Edges[index].Closes()) {
			return fmt.Errorf("fence: list at %d names entry %d, which does not exist", at, index)
		}
	}
	return nil
}
