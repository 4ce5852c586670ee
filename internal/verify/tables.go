// From the initialisers of a data header to the tables that the board holds:
// the way of the header's template backwards. The order of the members is that
// of the structs in the guidance header, whose layout has the version
// MERE_RECORD_FORMAT.
package verify

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"

	"merestone/internal/board"
	"merestone/internal/guidance"
)

// ReadHeader reads the tables of a data header. With an error, only the record is
// given, where it could be read: tables of another format than this version's
// cannot, nor those that do not hold together.
func ReadHeader(text string) (guidance.Mission, error) {
	read, all, err := definitions(text)
	if err != nil {
		return guidance.Mission{}, fmt.Errorf("this is not a data header of merestone: %w", err)
	}
	byName := map[string]definition{}
	var top *definition
	for i, d := range all {
		if _, twice := byName[d.name]; twice || d.ctype == "mere_mission_t" && top != nil {
			// Which of the two the firmware uses cannot be told from here.
			return guidance.Mission{}, fmt.Errorf("this is not a data header of merestone: %s is defined a second time", d.name)
		}
		byName[d.name] = d
		if d.ctype == "mere_mission_t" {
			top = &all[i]
		}
	}
	if top == nil {
		return guidance.Mission{}, errors.New("this is not a data header of merestone: it defines no mere_mission_t")
	}
	f := &filler{tree: read, byName: byName, enumerators: map[string]int64{}}
	for _, k := range board.HoldKinds() {
		f.enumerators[k.Enumerator()] = int64(k)
	}
	for q := board.QualityNone; q <= board.QualityFixed; q++ {
		f.enumerators[q.Enumerator()] = int64(q)
	}
	m := f.mission(top.value)
	if f.err != nil {
		return guidance.Mission{Record: m.Record}, fmt.Errorf("the tables of %s cannot be read: %w", top.name, f.err)
	}
	return m, nil
}

// filler fills in the tables and keeps the first error.
type filler struct {
	*tree
	byName      map[string]definition
	enumerators map[string]int64 // of hold kinds and qualities
	err         error
}

func (f *filler) fail(format string, args ...any) {
	if f.err == nil {
		f.err = fmt.Errorf(format, args...)
	}
}

func (f *filler) members(what string, v value, n int) []value {
	list := f.list(v)
	if v.kind != listValue || len(list) != n {
		f.fail("%s has %d members where %d are known", what, len(list), n)
		return make([]value, n)
	}
	return list
}

func (f *filler) mission(v value) guidance.Mission {
	var m guidance.Mission
	top := f.members("mere_mission_t", v, 9)
	record := f.record(top[0])
	if f.err != nil {
		return m
	}
	m.Record = record
	if m.Record.Format != guidance.RecordFormat {
		f.fail("they have the format %d, and this version reads format %d", m.Record.Format, guidance.RecordFormat)
		return m
	}
	f.structure("conversion", reflect.ValueOf(&m.Conversion).Elem(), top[1])
	f.structure("rover", reflect.ValueOf(&m.Rover).Elem(), top[2])
	rows(f, "leg", &m.Legs, top[3])
	f.fence(&m.Fence, top[4])
	rows(f, "hold", &m.Holds, top[5])
	f.count("leg_count", top[6], m.LegCount())
	f.count("hold_count", top[7], len(m.Holds))
	m.Closed = f.number("closed", top[8], 0, 1) == 1
	return m
}

func (f *filler) record(v value) guidance.Record {
	cells := f.members("record", v, 6)
	if f.err != nil {
		return guidance.Record{}
	}
	if begin := f.text(cells[0]); begin != guidance.Magic {
		f.fail("the record begins with %q", begin)
	}
	r := guidance.Record{Format: uint8(f.number("format", cells[1], 0, math.MaxUint8)), Mission: f.text(cells[4]), Tool: f.text(cells[5])}
	if len(r.Mission) >= board.MissionNameSize || len(r.Tool) >= board.ToolSize {
		f.fail("a text of the record is too long")
	}
	for i, b := range f.members("digest", cells[3], len(r.Digest)) {
		r.Digest[i] = byte(f.number("digest", b, 0, math.MaxUint8))
	}
	return r
}

func (f *filler) fence(t *guidance.FenceTable, v value) {
	cells := f.members("fence", v, 16)
	if f.err != nil {
		return
	}
	rows(f, "edge", &t.Edges, cells[0])
	rows(f, "circle", &t.Circles, cells[1])
	word := func(what string, rows []value) (out []uint16) {
		for _, w := range rows {
			out = append(out, uint16(f.number(what, w, 0, math.MaxUint16)))
		}
		return out
	}
	t.Nodes, t.Lists = word("node", f.table(cells[2])), word("list", f.table(cells[3]))
	f.count("edge_count", cells[6], len(t.Edges))
	f.count("circle_count", cells[7], len(t.Circles))
	f.count("node_count", cells[8], len(t.Nodes))
	f.count("list_count", cells[9], len(t.Lists))
	fields := reflect.ValueOf(t).Elem()
	for i, cell := range slices.Concat(cells[4:6], cells[10:]) { // the counts stand between them
		f.field(guidance.MemberName(fields.Type().Field(4+i).Name), fields.Field(4+i), cell)
	}
}

// rows reads a table of structs.
func rows[T any](f *filler, what string, to *[]T, v value) {
	for i, row := range f.table(v) {
		var one T
		f.structure(fmt.Sprintf("%s %d", what, i), reflect.ValueOf(&one).Elem(), row)
		*to = append(*to, one)
	}
}

// table follows the name of a table; 0, a null pointer, is an empty one.
func (f *filler) table(v value) []value {
	if v.kind == numberValue && v.number == 0 {
		return nil
	}
	name := f.text(v)
	d, ok := f.byName[name]
	if v.kind != nameValue || !ok || d.value.kind != listValue {
		f.fail("the table %q is not there", name)
		return nil
	}
	return f.list(d.value)
}

// count holds a table to its count: a board that believes another one reads
// beyond it, or not all of it.
func (f *filler) count(what string, v value, n int) {
	if got := f.number(what, v, 0, math.MaxUint32); f.err == nil && got != int64(n) {
		f.fail("%s is %d, but the table has %d", what, got, n)
	}
}

func (f *filler) number(what string, v value, least, most int64) int64 {
	if v.kind == nameValue {
		n, ok := f.enumerators[f.text(v)]
		if !ok {
			f.fail("%s is %q", what, f.text(v))
		}
		return n
	}
	if v.kind != numberValue || v.number < least || v.number > most {
		f.fail("%s does not fit", what)
		return 0
	}
	return v.number
}

// structure fills in a struct of numbers, yes-or-no values and arrays in the
// order of its fields.
func (f *filler) structure(what string, s reflect.Value, v value) {
	cells := f.members(what, v, s.NumField())
	if f.err != nil {
		return
	}
	for i, cell := range cells {
		if name := guidance.MemberName(s.Type().Field(i).Name); name != "" { // not spare
			f.field(what+" "+name, s.Field(i), cell)
		}
	}
}

func (f *filler) field(name string, field reflect.Value, cell value) {
	switch field.Kind() {
	case reflect.Bool:
		field.SetBool(f.number(name, cell, 0, 1) == 1)
	case reflect.Array:
		for i, c := range f.members(name, cell, field.Len()) {
			if f.err == nil {
				f.field(name, field.Index(i), c)
			}
		}
	case reflect.Uint8, reflect.Uint16, reflect.Uint32:
		n := f.number(name, cell, 0, math.MaxUint32)
		if field.OverflowUint(uint64(n)) {
			f.fail("%s does not fit", name)
			return
		}
		field.SetUint(uint64(n))
	default:
		n := f.number(name, cell, math.MinInt64, math.MaxInt64)
		if field.OverflowInt(n) {
			f.fail("%s does not fit", name)
			return
		}
		field.SetInt(n)
	}
}
