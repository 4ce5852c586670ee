// The text writer: one change a line, what follows from it indented under it,
// the kind in front. Many changes that say the same of many things are one line;
// the JSON writer leaves nothing out.
package diff

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"merestone/internal/diag"
	"merestone/internal/figures"
	"merestone/internal/plan"
	"merestone/internal/words"
)

// maxAlike is how many changes that say the same are written out.
const maxAlike = 3

// WriteText writes a result for a person at a terminal.
func WriteText(w io.Writer, r Result) error {
	var out bytes.Buffer
	fmt.Fprintf(&out, "%s\n", words.Visible(heading(r)))
	for _, s := range remarks(r) {
		fmt.Fprintf(&out, "%s\n", words.Visible(s))
	}
	if len(r.Changes) > 0 {
		out.WriteByte('\n')
	}
	textLines(&out, r.Changes, 0)
	if list := standing(r); len(list) > 0 {
		fmt.Fprintf(&out, "\nin both missions:\n")
		for _, s := range list {
			fmt.Fprintf(&out, "%s\n", words.Visible(s))
		}
	}
	_, err := w.Write(out.Bytes())
	return err
}

// WriteCanonical writes one mission as text, for a textual diff of two: what it
// says, and its findings without their places. A nil plan has findings only.
func WriteCanonical(w io.Writer, p *plan.Plan, findings []diag.Finding) error {
	var out bytes.Buffer
	if p != nil {
		out.Write(figures.Text(p))
	}
	lines := make([]string, len(findings))
	for i, f := range findings {
		lines[i] = words.Visible(fmt.Sprintf("%v %s: %s", f.Severity, f.Rule, f.Message()))
	}
	slices.Sort(lines)
	for _, s := range lines {
		fmt.Fprintln(&out, s)
	}
	_, err := w.Write(out.Bytes())
	return err
}

func textLines(out *bytes.Buffer, changes []Change, depth int) {
	for _, g := range grouped(changes) {
		fmt.Fprintf(out, "%-8s  %s%s\n", kindWord(g.change.Kind), strings.Repeat("    ", depth), words.Visible(g.sentence()))
		textLines(out, g.change.Effects, depth+1)
	}
}

// kindWord sets the kinds that matter apart without colour.
func kindWord(k Kind) string {
	switch k {
	case Loosens:
		return "LOOSENS"
	case Look:
		return "LOOK AT"
	default:
		return k.String()
	}
}

// heading says what was compared and what came out.
func heading(r Result) string {
	name := cmp.Or(r.New.Mission, r.Old.Mission, "mission")
	if r.Old.Name != "" || r.New.Name != "" {
		name += ", " + r.Old.Name + " → " + r.New.Name
	}
	if r.Same() {
		return name + ": no difference"
	}
	return fmt.Sprintf("%s: %d loosen, %d to be looked at, %d tighten, %d neutral", name, r.Count(Loosens), r.Count(Look), r.Count(Tightens), r.Count(Neutral))
}

// remarks are what a reader must know of the comparison itself.
func remarks(r Result) []string {
	var out []string
	for _, s := range []struct {
		word string
		side Side
	}{{"old", r.Old}, {"new", r.New}} {
		switch {
		case !s.side.Resolved:
			out = append(out, "the "+s.word+" mission cannot be resolved; nothing of it but its findings is compared")
		case !s.side.Complete:
			out = append(out, "the "+s.word+" mission has errors; it is compared as far as it resolves")
		}
	}
	return out
}

// standing lists the errors that both missions have; those of one are changes.
func standing(r Result) (out []string) {
	for _, e := range r.Errors {
		if e.In == "both" {
			out = append(out, fmt.Sprintf("error %s: %s", e.Rule, e.Message))
		}
	}
	return out
}

// group is one change, or several that say the same of different subjects.
type group struct {
	change   Change
	subjects []string
	least    float64 // of the numbers after, where they differ
	most     float64
	uneven   bool // not all have the same before and after
}

// grouped joins changes without effects that agree in kind, what, before, after;
// and effects that are of one kind and quantity when there are more than a few.
func grouped(changes []Change) []*group {
	if len(changes) == 1 {
		return []*group{{change: changes[0], subjects: []string{changes[0].Subject}}}
	}
	type sort struct {
		kind                      Kind
		noun, what, before, after string
		also                      string
		direction                 int
	}
	signature := func(c Change, values bool) sort {
		s := sort{kind: c.Kind, noun: nounOf(c.Subject), what: c.What, also: strings.Join(c.Also, ",")}
		if values {
			s.before, s.after = c.Before, c.After
		} else if c.Number != nil {
			s.direction = 1
			if c.Number.Delta < 0 {
				s.direction = -1
			}
		}
		return s
	}
	alone := func(c Change) bool {
		return len(c.Effects) > 0 || c.Move != nil || strings.HasPrefix(c.What, "appeared") || strings.HasPrefix(c.What, "disappeared")
	}
	many := map[sort]int{}
	for _, c := range changes {
		if !alone(c) && c.Number != nil {
			many[signature(c, false)]++
		}
	}
	var groups []*group
	at := map[sort]*group{}
	for _, c := range changes {
		if alone(c) {
			groups = append(groups, &group{change: c, subjects: []string{c.Subject}})
			continue
		}
		s := signature(c, true)
		if loose := signature(c, false); c.Number != nil && many[loose] > maxAlike {
			s = loose
		}
		g := at[s]
		if g == nil {
			g = &group{change: c}
			if c.Number != nil {
				g.least, g.most = c.Number.Delta, c.Number.Delta
			}
			at[s] = g
			groups = append(groups, g)
		}
		g.subjects = append(g.subjects, c.Subject)
		g.uneven = g.uneven || c.Before != g.change.Before || c.After != g.change.After
		if c.Number != nil {
			if math.Abs(c.Number.Delta) > math.Abs(g.most) {
				// The one that changes most stands for all.
				g.most, g.change = c.Number.Delta, c
			}
			if math.Abs(c.Number.Delta) < math.Abs(g.least) {
				g.least = c.Number.Delta
			}
		}
	}
	return groups
}

// sentence is a group in one line.
func (g *group) sentence() string {
	c := g.change
	switch n := len(g.subjects); {
	case n == 1:
		return sentence(c)
	case g.uneven:
		noun := nounOf(c.Subject)
		name := strings.TrimPrefix(c.Subject, noun+" ")
		by := fmt.Sprintf("%s to %s %s, most", signed(g.least), signed(g.most), c.Number.Unit)
		if g.least == g.most {
			by = fmt.Sprintf("%s %s each, so", signed(g.most), c.Number.Unit)
		}
		return fmt.Sprintf("%s of %d %ss: %s at %s: %s → %s", c.What, n, noun, by, name, c.Before, c.After)
	default:
		noun := nounOf(c.Subject)
		names := make([]string, n)
		for i, s := range g.subjects {
			names[i] = strings.TrimPrefix(s, noun+" ")
		}
		c.Subject = plural(noun, names)
		return sentence(c)
	}
}

// nounOf is what a subject is: "leg", "control mark".
func nounOf(subject string) string {
	if strings.HasPrefix(subject, "control mark ") {
		return "control mark"
	}
	noun, _, _ := strings.Cut(subject, " ")
	return noun
}

func signed(v float64) string {
	s := words.Decimal(v, 0)
	if v > 0 {
		s = "+" + s
	}
	return s
}

// sentence is a change in one line.
func sentence(c Change) string {
	var s string
	switch {
	case c.Move != nil:
		s = fmt.Sprintf("%s %s %s on bearing %s", c.Subject, c.What, movedBy(c.Move.DistanceM), bearing(c.Move.BearingDeg))
	case strings.HasPrefix(c.What, "renamed"):
		// "B renamed B2, not moved"
		s = fmt.Sprintf("%s renamed %s%s", c.Subject, c.After, strings.TrimPrefix(c.What, "renamed"))
	case c.Before == "" && c.After == "":
		s = c.Subject + " " + c.What
	case placed(c.Before) && c.After == "", placed(c.After) && c.Before == "":
		s = fmt.Sprintf("%s %s %s%s", c.Subject, c.What, c.Before, c.After)
	case c.Before == "":
		s = fmt.Sprintf("%s %s: %s", c.Subject, c.What, c.After)
	case c.After == "":
		s = fmt.Sprintf("%s %s; was: %s", c.Subject, c.What, c.Before)
	default:
		s = fmt.Sprintf("%s, %s: %s → %s", c.Subject, c.What, c.Before, c.After)
	}
	if c.Number != nil && c.Number.Unit != "" && c.Number.Delta != 0 && c.Move == nil {
		s += fmt.Sprintf(" (%s %s)", signed(c.Number.Delta), c.Number.Unit)
	}
	if len(c.Also) > 0 {
		s += "; also by " + strings.Join(c.Also, ", ")
	}
	return s
}

// placed reports whether words say where along the route something is.
func placed(s string) bool {
	return strings.HasPrefix(s, "between ") || strings.HasPrefix(s, "at the ")
}
