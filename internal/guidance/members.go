package guidance

// The twin's structs are laid out as the C structs are, member by member, spare
// bytes included. So one walk over their fields gives every member its name, its
// value in C, and a table its size: a member that is added to a struct here and in
// the header is written, read back and compared without another line.

import (
	"fmt"
	"math"
	"reflect"
	"regexp"
	"strconv"
	"strings"
)

// Values are the members of one of the structs of numbers (Conversion, Rover, Leg,
// Edge, FenceCircle, Hold) as an initialiser writes them, exact in C and C++.
func Values(table any) []string {
	v := reflect.ValueOf(table)
	values := make([]string, v.NumField())
	for i := range values {
		values[i] = literal(v.Field(i))
	}
	return values
}

// Names are the names of the same members in C.
func Names(table any) []string {
	t := reflect.TypeOf(table)
	names := make([]string, t.NumField())
	for i := range names {
		names[i] = MemberName(t.Field(i).Name)
	}
	return names
}

// literal is a value as C and C++ read it exactly. A 32-bit value that has no
// literal of its own is the sum of two that have; INT64_C is in stdint.h.
func literal(v reflect.Value) string {
	if v.CanInterface() {
		if named, ok := v.Interface().(interface{ Enumerator() string }); ok {
			return named.Enumerator()
		}
	}
	switch v.Kind() {
	case reflect.Bool:
		if v.Bool() {
			return "1u"
		}
		return "0u"
	case reflect.Array:
		cells := make([]string, v.Len())
		for i := range cells {
			cells[i] = literal(v.Index(i))
		}
		return "{" + strings.Join(cells, ", ") + "}"
	case reflect.Int64:
		return "INT64_C(" + strconv.FormatInt(v.Int(), 10) + ")"
	case reflect.Int32:
		if v.Int() == math.MinInt32 {
			return "(-2147483647 - 1)"
		}
		return strconv.FormatInt(v.Int(), 10)
	default:
		return strconv.FormatUint(v.Uint(), 10) + "u"
	}
}

// Size is that of a struct in bytes, on a target with 32-bit pointers that aligns
// 64-bit integers to 8 bytes, such as the Arm procedure call standard's (AAPCS32,
// 5.1). Those of table rows are checked again by the C compiler, in every data
// header; a test compares all with arm-none-eabi-gcc.
func Size(row any) int {
	n, _ := layout(reflect.TypeOf(row))
	return n
}

// MissionSize is that of mere_mission_t: record, conversion, rover, a pointer to
// the legs, the fence, a pointer to the holds, two counts and closed.
func MissionSize() int {
	const record, fence, pointer, counts, align = 148, 48, 4, 4, 8
	up := func(n int) int { return (n + align - 1) / align * align }
	return up(up(record) + Size(Conversion{}) + Size(Rover{}) + pointer + fence + pointer + counts)
}

// Flash is what the tables of a mission take of it, in bytes.
type Flash struct{ Legs, Fence, Search, Holds, Mission int }

// Total is that of all tables.
func (f Flash) Total() int { return f.Legs + f.Fence + f.Search + f.Holds + f.Mission }

// Flash adds up what the tables take.
func (m *Mission) Flash() Flash {
	return Flash{
		Legs:   Size(Leg{}) * len(m.Legs),
		Fence:  Size(Edge{})*len(m.Fence.Edges) + Size(FenceCircle{})*len(m.Fence.Circles),
		Search: 2 * (len(m.Fence.Nodes) + len(m.Fence.Lists)),
		Holds:  Size(Hold{}) * len(m.Holds), Mission: MissionSize(),
	}
}

// layout is the size and the alignment of a type in C.
func layout(t reflect.Type) (size, align int) {
	switch t.Kind() {
	case reflect.Array:
		size, align = layout(t.Elem())
		return size * t.Len(), align
	case reflect.Struct:
		align = 1
		for i := range t.NumField() {
			n, a := layout(t.Field(i).Type)
			size, align = (size+a-1)/a*a+n, max(align, a)
		}
		return (size + align - 1) / align * align, align
	default:
		return int(t.Size()), int(t.Size())
	}
}

var (
	inner  = regexp.MustCompile(`([a-z0-9])([A-Z])`)
	titled = regexp.MustCompile(`(MMPerS|MM|MS|UM|Ndeg|Cdeg|Q\d+)$`)
)

// MemberName is the C name of a field: SpeedMMPerS is speed_mm_s there,
// UnitEastQ30 unit_east_q30. Spare bytes have none.
func MemberName(field string) string {
	if field == "_" {
		return ""
	}
	unit := titled.FindString(field)
	name := strings.ToLower(inner.ReplaceAllString(strings.TrimSuffix(field, unit), "${1}_${2}"))
	switch unit {
	case "":
		return name
	case "MMPerS":
		return name + "_mm_s"
	default:
		return fmt.Sprintf("%s_%s", name, strings.ToLower(unit))
	}
}
