// Errors that have one cause are one finding: the same misspelt key in every entry of a
// list, a column of heights without a unit. It is made of the first, and names the places
// of the others.
//
// Two errors are of one cause where they are of the same rule, at the same key of such
// blocks, and say the same but for the thing's name. Where they differ in what was written
// there, up to a few are each a slip of its own, and more have one cause. A key, a word or
// a mark that is not known is told from others by what was written.
package spec

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"merestone/internal/diag"
	"merestone/internal/words"
)

const (
	fewAlike   = 3     // errors that differ in what was written and are told one by one
	mostKept   = 1_000 // errors of a kind that are compared
	mostShown  = 3     // other places that are shown
	mostGroups = 2_000 // the language has fewer kinds of errors at fewer keys
)

// group are errors that are alike but for what was written there.
type group struct {
	findings []diag.Finding // the first of the text, some more than are told one by one
	others   []place        // every one
}

// place is where one of a group stands.
type place struct {
	about diag.Subject
	at    diag.Position
	fixes []diag.Fix
}

// writtenThere is what an error says was written, and numbers.
var writtenThere = regexp.MustCompile(`"(\\.|[^"\\])*"|[0-9.,]+`)

// ofOneCause is what errors that are alike have in common: strictly, and but for what was
// written there. Both are empty of an error that stands alone.
func ofOneCause(f *diag.Finding) (strict, loose string) {
	switch f.Rule {
	case ruleUnknownMark, ruleMore, ruleTooManyMarks, ruleExtraColumn, ruleGap: // each gap is to be filled in
		return "", ""
	}
	about := f.About[0]
	at := string(about.Kind)
	if about.Kind == diag.Key {
		at = anyEntry(about.Name)
		if at == about.Name {
			return "", "" // there is one such key
		}
	}
	message := strings.ReplaceAll(f.Message(), about.String(), "")
	strict = strings.Join([]string{string(f.Rule), at, f.Format, message}, "\n")
	loose = strings.Join([]string{string(f.Rule), at, f.Format, writtenThere.ReplaceAllString(message, "")}, "\n")
	switch f.Rule {
	case ruleUnknownKey, ruleUnknownWord:
		loose = strict
	case ruleDuplicateKey:
		loose = strict
		strict += fmt.Sprint(f.At) // where there are few, each says where the first one is
	case ruleBadCSV:
		loose += f.Remedy // of a field too many and of one too few
	}
	return strict, loose
}

// anyEntry is a path without what tells one entry of a list, or one mark, from another.
func anyEntry(path string) string {
	var out strings.Builder
	for rest := path; ; {
		before, after, inList := strings.Cut(rest, "[")
		out.WriteString(before)
		if !inList {
			break
		}
		_, rest, _ = strings.Cut(after, "]")
		out.WriteString("[]")
	}
	path = out.String()
	if marks, mark, ok := strings.Cut(path, "."); ok && marks == "marks" {
		_, key, _ := strings.Cut(mark, ".")
		return "marks.*." + key
	}
	return path
}

// sortOf is what can be told of an error at once: of a table with an error in every field no
// more than the first thousand of a kind are compared, and the others counted.
type sortOf struct {
	rule   diag.ID
	at     string
	format string
}

// together takes a finding in with those of the same cause, where it has some.
func (of *fileFindings) together(f diag.Finding) bool {
	about := f.About[0]
	if about.Kind == diag.File && of.said != nil && f.Rule != ruleBadName && f.Rule != ruleDuplicateKey {
		return false // most places of the mission file tell more by themselves
	}
	k := sortOf{f.Rule, string(about.Kind), f.Format}
	if about.Kind == diag.Key {
		k.at = anyEntry(about.Name)
	}
	if of.kinds == nil {
		of.kinds = map[sortOf]int{}
	}
	if of.kinds[k]++; of.kinds[k] > mostKept && f.Severity == diag.Error {
		of.cut++
		return true
	}
	_, loose := ofOneCause(&f)
	if loose == "" {
		return false
	}
	g := of.groups[loose]
	if g == nil {
		if len(of.groups) >= mostGroups {
			return false
		}
		if of.groups == nil {
			of.groups = map[string]*group{}
		}
		g = &group{}
		of.groups[loose] = g
	}
	g.others = append(g.others, place{f.About[0], f.At, f.Fixes})
	if g.findings = append(g.findings, f); len(g.findings) > 2*fewAlike {
		diag.Sort(g.findings)
		g.findings = g.findings[:fewAlike+1]
	}
	return true
}

// told are the findings of a group.
func (g *group) told() []diag.Finding {
	diag.Sort(g.findings)
	if len(g.others) > fewAlike {
		return []diag.Finding{with(g.findings[0], g.others)}
	}
	var list []diag.Finding
	same := map[string]int{}
	others := map[int][]place{}
	for _, f := range g.findings {
		strict, _ := ofOneCause(&f)
		i, seen := same[strict]
		if !seen {
			i = len(list)
			same[strict] = i
			list = append(list, f)
		}
		others[i] = append(others[i], place{f.About[0], f.At, f.Fixes})
	}
	for i := range list {
		list[i] = with(list[i], others[i])
	}
	return list
}

// with is the first of several errors, and names the others.
func with(f diag.Finding, all []place) diag.Finding {
	if len(all) == 1 {
		return f
	}
	slices.SortStableFunc(all, func(a, b place) int {
		return cmp.Or(cmp.Compare(a.at.Line, b.at.Line), cmp.Compare(a.at.Column, b.at.Column))
	})
	var names []diag.Subject
	var lines []int
	named := map[diag.Subject]bool{f.About[0]: true}
	for _, p := range all {
		if p.at == f.At {
			continue
		}
		if !named[p.about] {
			named[p.about] = true
			names = append(names, p.about)
		}
		lines = append(lines, p.at.Line)
		if len(f.Related) < mostShown {
			f.Related = append(f.Related, diag.Related{At: p.at, Message: "so it is here"})
		}
	}
	about := f.About
	if len(names) > 0 {
		f.Add("; so it is with %s", diag.Names(names, ", "))
	} else {
		f.Add("; so it is on %s", onLines(lines))
	}
	f.About = append(about, names...)
	f.Fixes = everywhere(f.Fixes, all)
	f.Numbers = append(f.Numbers, diag.Number{Name: "places", Value: float64(len(all)), Unit: "1"})
	return f
}

// mostEdits is how many places one fix changes at most.
const mostEdits = 500

// everywhere are the fixes of a finding made at all places of its cause, where each of them
// has the same ways; where each has only one, whatever that writes there.
func everywhere(fixes []diag.Fix, all []place) []diag.Fix {
	if len(all) > mostEdits {
		return nil
	}
	var whole []diag.Fix
	for i, fix := range fixes {
		fix.Edits = nil
		for _, p := range all {
			if len(p.fixes) != len(fixes) || len(fixes) > 1 && p.fixes[i].Does != fix.Does {
				return nil
			}
			fix.Certain = fix.Certain && p.fixes[i].Certain
			fix.Edits = append(fix.Edits, p.fixes[i].Edits...)
		}
		fix.Does += fmt.Sprintf(", and so at all %d places", len(all))
		whole = append(whole, fix)
	}
	return whole
}

// onLines names lines: "lines 3 to 40 and 44".
func onLines(lines []int) string {
	var parts []string
	for i := 0; i < len(lines); {
		j := i
		for j+1 < len(lines) && lines[j+1] <= lines[j]+1 {
			j++
		}
		switch {
		case lines[i] == lines[j]:
			parts = append(parts, fmt.Sprint(lines[i]))
		default:
			parts = append(parts, fmt.Sprintf("%d to %d", lines[i], lines[j]))
		}
		i = j + 1
	}
	if len(lines) == 0 || lines[0] == lines[len(lines)-1] {
		return "line " + words.Few(parts, ", ")
	}
	return "lines " + words.Few(parts, ", ")
}
