// Two sets of tables, number by number, with the names of the plan.
package verify

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"merestone/internal/guidance"
	"merestone/internal/plan"
)

// maxRows is how many differing rows of one table are named one by one.
const maxRows = 20

// compareTables lists what differs between a header and what the plan compiles
// to. The search structure of the fence follows from the fence; it is named only
// when the fence is the same.
func compareTables(header, mission guidance.Mission, p *plan.Plan) []Difference {
	c := &comparison{}
	if header.Record.Mission != mission.Record.Mission {
		c.add("mission", header.Record.Mission, mission.Record.Mission)
	}
	c.fields("conversion", reflect.ValueOf(header.Conversion), reflect.ValueOf(mission.Conversion))
	c.fields("rover", reflect.ValueOf(header.Rover), reflect.ValueOf(mission.Rover))
	c.rows("leg", reflect.ValueOf(header.Legs), reflect.ValueOf(mission.Legs), func(i int) string {
		if i < len(p.Route.Legs) {
			return "leg " + p.Route.Legs[i].ID
		}
		return fmt.Sprintf("leg %d", i+1)
	})
	before := len(c.list)
	number := func(what string) func(int) string {
		return func(i int) string { return fmt.Sprintf("%s %d of the table", what, i+1) }
	}
	c.rows("fence edge", reflect.ValueOf(header.Fence.Edges), reflect.ValueOf(mission.Fence.Edges), number("fence edge"))
	c.rows("round obstacle", reflect.ValueOf(header.Fence.Circles), reflect.ValueOf(mission.Fence.Circles), number("round obstacle"))
	if len(c.list) == before && !reflect.DeepEqual(header.Fence, mission.Fence) {
		c.add("search structure of the fence", "other numbers", "for the same fence")
	}
	c.rows("hold contact", reflect.ValueOf(header.Holds), reflect.ValueOf(mission.Holds), number("hold contact"))
	if header.Closed != mission.Closed {
		c.add("closed", fmt.Sprint(header.Closed), fmt.Sprint(mission.Closed))
	}
	return c.list
}

// compareCode compares what is around the tables: all of it must be the same, comments
// and layout apart, but for the version of the tool. What another version may have
// written otherwise this one cannot vouch for, and tells it from an edit by nothing.
// Constants and lines of the preprocessor are named where they differ. Of another plan
// the rest differs by itself.
func compareCode(header, mission string, is, wanted guidance.Record) []Difference {
	c := &comparison{}
	due := enumerators(mission, nil)
	have := enumerators(header, due)
	for _, name := range slices.Sorted(maps.Keys(due)) {
		if n, ok := have[name]; ok && n != due[name] {
			c.add("constant "+name, fmt.Sprint(n), fmt.Sprint(due[name]))
		}
	}
	if a, b := directives(header), directives(mission); !slices.Equal(a, b) {
		c.add("lines of the preprocessor", strings.Join(a, "; "), strings.Join(b, "; "))
	}
	if len(c.list) == 0 && is.Digest == wanted.Digest {
		if piece, want, same := sameTokens(header, mission, "\""+is.Tool, "\""+wanted.Tool); !same {
			c.add("code", piece, want)
		}
	}
	return c.list
}

// sameCode: a compiler reads the same in two texts, comments and white space apart.
func sameCode(a, b string) bool {
	for _, text := range []string{a, b} {
		if asRead(text) != nil {
			return false
		}
	}
	_, _, same := sameTokens(a, b, "", "")
	return same
}

// sameTokens compares two texts token by token, and gives of both the first piece
// that differs: three tokens before it, and three behind. One token of the first may
// be another in the second, once: the version of the tool, which no other token of a
// header is.
func sameTokens(a, b, toolA, toolB string) (of, other string, same bool) {
	tokensA, tokensB := tokeniser{text: a}, tokeniser{text: b}
	const around = 3
	var before []string
	for exchanged := false; ; {
		one, two := tokensA.next(), tokensB.next()
		if one != two && one == toolA && two == toolB && !exchanged {
			exchanged, two = true, one
		}
		switch {
		case one != two || tokensA.err != nil || tokensB.err != nil:
			rest := func(first string, tokens *tokeniser) string {
				piece := slices.Clone(before)
				for t := first; t != "" && len(piece) <= len(before)+around; t = tokens.next() {
					piece = append(piece, t)
				}
				if tokens.err != nil {
					piece = append(piece, tokens.err.Error())
				}
				return strings.Join(piece, " ")
			}
			return rest(one, &tokensA), rest(two, &tokensB), false
		case one == "":
			return "", "", true
		}
		if before = append(before, one); len(before) > around {
			before = before[1:]
		}
	}
}

type comparison struct{ list []Difference }

func (c *comparison) add(where, header, mission string) {
	c.list = append(c.list, Difference{where, header, mission})
}

// fields compares two structs of one type, member by member.
func (c *comparison) fields(where string, header, mission reflect.Value) {
	for i := range header.NumField() {
		name := guidance.MemberName(header.Type().Field(i).Name)
		if name == "" {
			continue // spare
		}
		a, b := header.Field(i).Interface(), mission.Field(i).Interface()
		if !reflect.DeepEqual(a, b) {
			c.add(where+", "+name, fmt.Sprint(a), fmt.Sprint(b))
		}
	}
}

// rows compares two tables of one type, row by row.
func (c *comparison) rows(what string, header, mission reflect.Value, name func(int) string) {
	n, m := header.Len(), mission.Len()
	if n != m {
		c.add("number of "+what+"s", fmt.Sprint(n), fmt.Sprint(m))
	}
	differing := 0
	for i := range min(n, m) {
		if reflect.DeepEqual(header.Index(i).Interface(), mission.Index(i).Interface()) {
			continue
		}
		if differing++; differing <= maxRows {
			c.fields(name(i), header.Index(i), mission.Index(i))
		}
	}
	if more := differing - maxRows; more > 0 {
		c.add(fmt.Sprintf("%d more of the %ss", more, what), "other numbers", "other numbers")
	}
}
