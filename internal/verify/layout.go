// A mission's tables as a compiler lays them out: member by member in the order of
// the structs of the guidance header, each at a multiple of its size or of the most
// that the board aligns to. What lies between members is not looked at.
package verify

import (
	"encoding/binary"
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"merestone/internal/board"
	"merestone/internal/guidance"
)

// layout is what boards differ in.
type layout struct {
	order   binary.ByteOrder
	pointer int // bytes of one
	align   int // bytes to whose multiples a member is aligned at most: 8, or 4, 2 and 1 where compilers pack more
}

// layouts are all that there may be in an image.
func (m *memory) layouts() (all []layout) {
	for _, order := range m.orders {
		for _, pointer := range m.pointers {
			for _, align := range []int{8, 4, 2, 1} {
				all = append(all, layout{order, pointer, align})
			}
		}
	}
	return all
}

// block is bytes that are due, with the places of the members in them.
type block struct {
	layout
	bytes   []byte
	members []member
	links   []link // the pointers: they are followed, not compared
}

// member is a number, or a text, at a place in a block.
type member struct {
	name     string
	at, size int
	signed   bool
	isText   bool
}

// link is a pointer to a table; nil where it is to be null.
type link struct {
	name  string
	at    int
	table reflect.Value // a slice
}

func (b *block) pad(align int) {
	for len(b.bytes)%min(align, b.align) != 0 {
		b.bytes = append(b.bytes, 0)
	}
}

// number puts a number of some bytes.
func (b *block) number(name string, value uint64, size int, signed bool) {
	b.pad(size)
	b.members = append(b.members, member{name: name, at: len(b.bytes), size: size, signed: signed})
	switch size {
	case 1:
		b.bytes = append(b.bytes, byte(value))
	case 2:
		b.bytes = append(b.bytes, 0, 0)
		b.order.PutUint16(b.bytes[len(b.bytes)-2:], uint16(value))
	case 4:
		b.bytes = append(b.bytes, 0, 0, 0, 0)
		b.order.PutUint32(b.bytes[len(b.bytes)-4:], uint32(value))
	default:
		b.bytes = append(b.bytes, make([]byte, 8)...)
		b.order.PutUint64(b.bytes[len(b.bytes)-8:], value)
	}
}

// text puts bytes as they are, filled up with zeros.
func (b *block) text(name, value string, size int) {
	b.members = append(b.members, member{name: name, at: len(b.bytes), size: size, isText: true})
	b.bytes = append(b.bytes, value+strings.Repeat("\x00", size-len(value))...)
}

func (b *block) link(name string, table any) {
	b.pad(b.pointer)
	b.links = append(b.links, link{name, len(b.bytes), reflect.ValueOf(table)})
	b.bytes = append(b.bytes, make([]byte, b.pointer)...)
}

// value puts one of the twin's structs, arrays or numbers.
func (b *block) value(name string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		b.pad(alignment(v.Type()))
		for i := range v.NumField() {
			b.value(joined(name, guidance.MemberName(v.Type().Field(i).Name)), v.Field(i))
		}
		b.pad(alignment(v.Type()))
	case reflect.Array:
		for i := range v.Len() {
			b.value(name, v.Index(i))
		}
	case reflect.Bool:
		n := uint64(0)
		if v.Bool() {
			n = 1
		}
		b.number(name, n, 1, false)
	case reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		b.number(name, uint64(v.Int()), int(v.Type().Size()), true)
	default:
		b.number(name, v.Uint(), int(v.Type().Size()), false)
	}
}

func joined(name, member string) string {
	switch {
	case name == "":
		return member
	case member == "":
		return name
	default:
		return name + ", " + member
	}
}

// alignment is that of a type of the twin, which has no pointers, before the board's
// own limit.
func alignment(t reflect.Type) int {
	switch t.Kind() {
	case reflect.Array:
		return alignment(t.Elem())
	case reflect.Struct:
		most := 1
		for i := range t.NumField() {
			most = max(most, alignment(t.Field(i).Type))
		}
		return most
	default:
		return int(t.Size())
	}
}

// missionBlock is a mere_mission_t, without what may lie behind its last member.
func missionBlock(m guidance.Mission, l layout) *block {
	b := &block{layout: l}
	b.text("record", guidance.Magic, magicSize)
	b.number("record, format", uint64(m.Record.Format), 1, false)
	b.text("record, spare", "", 3)
	b.text("record, digest", string(m.Record.Digest[:]), len(m.Record.Digest))
	b.text("record, mission", m.Record.Mission, board.MissionNameSize)
	b.text("record, tool", m.Record.Tool, board.ToolSize)
	b.value("conversion", reflect.ValueOf(m.Conversion))
	b.value("rover", reflect.ValueOf(m.Rover))
	b.link("legs", m.Legs)
	f := m.Fence
	b.pad(max(b.pointer, 4))
	b.link("fence edges", f.Edges)
	b.link("round obstacles", f.Circles)
	b.link("nodes of the fence's search", f.Nodes)
	b.link("lists of the fence's search", f.Lists)
	b.number("fence, west_mm", uint64(f.WestMM), 4, true)
	b.number("fence, south_mm", uint64(f.SouthMM), 4, true)
	b.number("fence, edge_count", uint64(len(f.Edges)), 2, false)
	b.number("fence, circle_count", uint64(len(f.Circles)), 2, false)
	b.number("fence, node_count", uint64(len(f.Nodes)), 4, false)
	b.number("fence, list_count", uint64(len(f.Lists)), 4, false)
	b.number("fence, root_log2", uint64(f.RootLog2), 1, false)
	b.number("fence, list_log2", uint64(f.ListLog2), 1, false)
	b.number("fence, margin_unit_mm", uint64(f.MarginUnitMM), 2, false)
	b.number("fence, exact_within_mm", uint64(f.ExactWithinMM), 2, false)
	b.number("fence, slack_mm", uint64(f.SlackMM), 2, false)
	b.number("fence, limit_mm", uint64(f.LimitMM), 2, false)
	b.pad(max(b.pointer, 4))
	b.link("holds", m.Holds)
	b.number("leg_count", uint64(m.LegCount()), 2, false)
	b.number("hold_count", uint64(len(m.Holds)), 1, false)
	closed := uint64(0)
	if m.Closed {
		closed = 1
	}
	b.number("closed", closed, 1, false)
	return b
}

// tableBytes are the rows of a table as they lie in memory.
func tableBytes(table reflect.Value, l layout) string {
	b := &block{layout: l}
	for i := range table.Len() {
		b.value("", table.Index(i))
		b.members = b.members[:0]
	}
	return string(b.bytes)
}

// differing are the members of a block that have other bytes elsewhere.
func (b *block) differing(there string) (out []Difference) {
	for _, m := range b.members {
		is, due := there[m.at:m.at+m.size], string(b.bytes[m.at:m.at+m.size])
		if is != due {
			out = append(out, Difference{m.name, m.shown(is, b.order), m.shown(due, b.order)})
		}
	}
	return out
}

// shown is a member in words.
func (m member) shown(bytes string, order binary.ByteOrder) string {
	if m.isText {
		text := strings.TrimRight(bytes, "\x00")
		if strings.IndexFunc(text, func(r rune) bool { return r < ' ' || r > '~' }) < 0 {
			return strconv.Quote(text)
		}
		return fmt.Sprintf("%x", bytes)
	}
	n := numberOf(bytes, order)
	if m.signed {
		unused := 64 - 8*m.size
		return strconv.FormatInt(int64(n<<unused)>>unused, 10)
	}
	return strconv.FormatUint(n, 10)
}

// numberOf reads a number of at most 8 bytes.
func numberOf(bytes string, order binary.ByteOrder) (n uint64) {
	for i := range len(bytes) {
		if order == binary.ByteOrder(binary.LittleEndian) {
			i = len(bytes) - 1 - i
		}
		n = n<<8 | uint64(bytes[i])
	}
	return n
}
