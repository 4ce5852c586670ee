// A C program that prints every value of a mission by its member's name, and what
// it must print, from the plan's tables. The names come from the twin, the places
// from the compiler: a member out of its place prints another one's value.
package gen_test

import (
	"fmt"
	"reflect"
	"strings"

	"merestone/internal/guidance"
)

// printer is the C of a function that prints a mission.
func printer(function, mission string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "#include <inttypes.h>\n#include <stdio.h>\n\nvoid %s(void);\nvoid %s(void)\n{\n    const mere_mission_t *m = &%s;\n    uint32_t i;\n\n", function, function, mission)
	one := func(indent, what, member string) {
		fmt.Fprintf(&b, "%sprintf(\"%s %%\" PRId64 \"\\n\", (int64_t)%s);\n", indent, what, member)
	}
	members := func(indent, what, at string, table any) {
		s := reflect.TypeOf(table)
		for i, name := range guidance.Names(table) {
			switch field := s.Field(i).Type; {
			case name == "":
			case field.Kind() == reflect.Array:
				for k := range field.Len() {
					one(indent, what+"."+name, fmt.Sprintf("%s%s[%d]", at, name, k))
				}
			default:
				one(indent, what+"."+name, at+name)
			}
		}
	}
	loop := func(count, what, table string, row any) {
		fmt.Fprintf(&b, "    for (i = 0u; i < %s; i++) {\n", count)
		if row == nil {
			one("        ", what, table+"[i]")
		} else {
			members("        ", what, table+"[i].", row)
		}
		b.WriteString("    }\n")
	}
	b.WriteString("    printf(\"%s %u \", m->record.magic, (unsigned)m->record.format);\n    for (i = 0u; i < 32u; i++) { printf(\"%02x\", (unsigned)m->record.digest[i]); }\n    printf(\" %s %s\\n\", m->record.mission, m->record.tool);\n")
	members("    ", "conversion", "m->conversion.", guidance.Conversion{})
	members("    ", "rover", "m->rover.", guidance.Rover{})
	loop("m->leg_count + 1u", "leg", "m->legs", guidance.Leg{})
	loop("m->fence.edge_count", "edge", "m->fence.edges", guidance.Edge{})
	loop("m->fence.circle_count", "circle", "m->fence.circles", guidance.FenceCircle{})
	loop("m->fence.node_count", "node", "m->fence.nodes", nil)
	loop("m->fence.list_count", "list", "m->fence.lists", nil)
	for _, name := range []string{"west_mm", "south_mm", "root_log2", "list_log2", "margin_unit_mm", "exact_within_mm", "slack_mm", "limit_mm"} {
		one("    ", "fence."+name, "m->fence."+name)
	}
	loop("m->hold_count", "hold", "m->holds", guidance.Hold{})
	one("    ", "closed", "m->closed")
	b.WriteString("}\n")
	return b.String()
}

// expected is what it must print.
func expected(m guidance.Mission) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s %d %x %s %s\n", guidance.Magic, m.Record.Format, m.Record.Digest, m.Record.Mission, m.Record.Tool)
	var value func(what string, v reflect.Value)
	value = func(what string, v reflect.Value) {
		switch v.Kind() {
		case reflect.Array:
			for k := range v.Len() {
				value(what, v.Index(k))
			}
		case reflect.Bool:
			fmt.Fprintln(&b, what, map[bool]int{true: 1}[v.Bool()])
		case reflect.Int32, reflect.Int64:
			fmt.Fprintln(&b, what, v.Int())
		default:
			fmt.Fprintln(&b, what, v.Uint())
		}
	}
	members := func(what string, table any) {
		for i, name := range guidance.Names(table) {
			if name != "" {
				value(what+"."+name, reflect.ValueOf(table).Field(i))
			}
		}
	}
	f := m.Fence
	members("conversion", m.Conversion)
	members("rover", m.Rover)
	for _, l := range m.Legs {
		members("leg", l)
	}
	for _, e := range f.Edges {
		members("edge", e)
	}
	for _, c := range f.Circles {
		members("circle", c)
	}
	for _, v := range f.Nodes {
		fmt.Fprintln(&b, "node", v)
	}
	for _, v := range f.Lists {
		fmt.Fprintln(&b, "list", v)
	}
	fmt.Fprintf(&b, "fence.west_mm %d\nfence.south_mm %d\nfence.root_log2 %d\nfence.list_log2 %d\nfence.margin_unit_mm %d\nfence.exact_within_mm %d\nfence.slack_mm %d\nfence.limit_mm %d\n",
		f.WestMM, f.SouthMM, f.RootLog2, f.ListLog2, f.MarginUnitMM, f.ExactWithinMM, f.SlackMM, f.LimitMM)
	for _, h := range m.Holds {
		members("hold", h)
	}
	fmt.Fprintln(&b, "closed", map[bool]int{true: 1}[m.Closed])
	return b.String()
}
