// Names that would be one in C. What becomes the same identifier is told once, with what it
// becomes and every name that does; so is what a compiler need not tell apart.
package spec

import (
	"cmp"
	"fmt"
	"strings"

	"merestone/internal/diag"
	"merestone/internal/words"
)

// checkClashes reports names of one kind that are the same once they are C
// identifiers.
func (d *decoder) checkClashes(what string, names []called) {
	var order []string
	same := map[string][]called{}
	for _, n := range names {
		if n.name == "" {
			continue // refused already
		}
		id := words.Identifier(n.name)
		if same[id] = append(same[id], n); len(same[id]) == 2 {
			order = append(order, id)
		}
	}
	for _, id := range order {
		clash := same[id]
		distinct := diag.List{By: ", "}
		seen := map[string]bool{}
		for _, n := range clash {
			if !seen[n.name] {
				seen[n.name] = true
				distinct.Items = append(distinct.Items, quote(n.name))
			}
		}
		count, remedy := "two", "give one of them another name"
		if len(clash) > 2 {
			count, remedy = fmt.Sprint(len(clash)), "give all but one of them other names"
		}
		message := diag.Say("the names %s of %s %ss all become %s in C", distinct, count, what, id)
		switch {
		case len(seen) == 1:
			message = diag.Say("%s %ss are called %s", count, what, quote(clash[0].name))
		case len(clash) == 2:
			message = diag.Say("the names %s and %s of two %ss both become %s in C", quote(clash[0].name), quote(clash[1].name), what, id)
		}
		d.clash(clash, remedy, message)
	}
}

// clash reports names at the second of them.
func (d *decoder) clash(names []called, remedy string, message diag.Phrase) *diag.Finding {
	f := d.fail(ruleNameClash, names[1].at, remedy, "%s", message)
	for _, n := range names {
		d.doubt(cmp.Or(n.path, join("marks", n.name)))
	}
	for i, n := range names {
		if i != 1 && len(f.Related) < maxUses {
			f.Related = append(f.Related, diag.Related{At: n.at, Message: map[bool]string{true: "the other one", false: "another one"}[len(names) == 2]})
		}
	}
	return f
}

// significant is how many characters of a name a compiler of C must tell apart: 63 of an
// internal identifier (ISO/IEC 9899:1999 and 2011, 5.2.4.1).
const significant = 63

// checkEnumerators looks at the names that the header gives to waypoints: by their marks,
// and by a number from the second visit on.
func (d *decoder) checkEnumerators(to *Mission) {
	visits := map[string]int{} // of a mark, by its identifier
	var names []called
	for i, w := range to.Route.Waypoints {
		id := words.Identifier(w.Mark)
		if visits[id]++; visits[id] == 1 && w.Mark != "" {
			at := fmt.Sprintf("route.waypoints[%d]", i)
			names = append(names, called{w.Mark, d.where(at), at})
		}
	}
	for _, n := range names {
		id := words.Identifier(n.name)
		cut := strings.LastIndexByte(id, '_')
		if cut < 0 {
			continue
		}
		before, number := id[:cut], 0
		if _, err := fmt.Sscanf(id[cut+1:], "%d", &number); err != nil || id != fmt.Sprintf("%s_%d", before, number) || number < 2 || number > visits[before] {
			continue
		}
		f := d.fail(ruleNameClash, n.at, "give the mark another name", "the mark %s and visit %d of the mark that becomes %s would both become %s in C", quote(n.name), number, before, id)
		f.About = []diag.Subject{diag.The(diag.Mark, n.name)}
		d.doubt(n.path)
	}
	d.checkLength(to, "waypoint", names)
	var holds []called
	for i, h := range to.Holds {
		if h.Name != "" {
			at := fmt.Sprintf("holds[%d].name", i)
			holds = append(holds, called{h.Name, d.where(at), at})
		}
	}
	d.checkLength(to, "second_hold", holds)
}

// checkLength warns of names that differ only behind what a compiler must look at.
func (d *decoder) checkLength(to *Mission, kind string, names []called) {
	first := map[string]called{}
	for _, n := range names {
		whole := words.Identifier(to.Name) + "_" + kind + "_" + words.Identifier(n.name)
		if len(whole) <= significant || to.Name == "" {
			continue
		}
		other, alike := first[whole[:significant]]
		if !alike {
			first[whole[:significant]] = n
			continue
		}
		if words.Identifier(other.name) == words.Identifier(n.name) {
			continue // told
		}
		f := d.clash([]called{other, n}, "shorten the name of the mission, or begin theirs otherwise",
			diag.Say("the names %s and %s become identifiers in C that begin with the same %d characters, %s, and no compiler need look at more", quote(other.name), quote(n.name), significant, whole[:significant]))
		f.Severity = diag.Warning
		return // the same remedy mends all
	}
}
