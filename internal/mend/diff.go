// What was changed in a file, as a unified diff: the form of POSIX, diff -u, with three
// lines around each change. Nothing is searched for: which line became which is known
// from the edits.
package mend

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"

	"merestone/internal/diag"
	"merestone/internal/words"
)

// changed is a line that is no line of the file as it was.
const changed = -1

// follow keeps account of where the lines come from, before edits are made.
func (f *File) follow(edits []diag.Edit) {
	edits = slices.Clone(edits)
	slices.SortStableFunc(edits, func(a, b diag.Edit) int { return cmp.Or(b.Line-a.Line, b.Column-a.Column) }) // the last first: lines before it keep their numbers
	for _, e := range edits {
		from, to := e.Line-1, min(e.EndLine, len(f.from))
		put := slices.Repeat([]int{changed}, 1+strings.Count(e.Text, "\n"))
		switch inserted := e.Line == e.EndLine && e.Column == e.EndColumn; {
		case e.Column == 1 && e.EndColumn == 1 && (e.Text == "" || strings.HasSuffix(e.Text, "\n")):
			to, put = e.EndLine-1, put[1:] // whole lines: the one behind them stays
		case inserted && strings.HasPrefix(e.Text, "\n") && to == len(f.from):
			from, put = to, put[1:] // behind the last line, which has no end
		}
		f.from = slices.Replace(f.from, from, to, put...)
	}
}

// around is how many lines are shown before and behind a change.
const around = 3

// line is one of a diff: taken out, put in, or in both.
type line struct {
	sign          byte
	text          string
	before, after int // how many lines of each file are before it
}

// Diff is what was changed, in lines for a person to read: what a terminal would obey is
// written out.
func (f File) Diff() string {
	lines := f.lines()
	if last := len(lines) - 1; lines[last].sign == ' ' && lines[last].text == "" { // behind the last line end
		lines = lines[:last]
	}
	near := make([]bool, len(lines))
	for i, l := range lines {
		if l.sign != ' ' {
			for k := max(i-around, 0); k <= min(i+around, len(lines)-1); k++ {
				near[k] = true
			}
		}
	}
	var out strings.Builder
	fmt.Fprintf(&out, "--- %s\n+++ %s\n", words.Visible(f.Shown), words.Visible(f.Shown))
	for i := 0; i < len(lines); i++ {
		if !near[i] {
			continue
		}
		end := i
		before, after := 0, 0
		for end < len(lines) && near[end] {
			if lines[end].sign != '+' {
				before++
			}
			if lines[end].sign != '-' {
				after++
			}
			end++
		}
		fmt.Fprintf(&out, "@@ -%s +%s @@\n", span(lines[i].before, before), span(lines[i].after, after))
		for _, l := range lines[i:end] {
			fmt.Fprintf(&out, "%c%s\n", l.sign, words.Visible(l.text))
		}
		i = end
	}
	return out.String()
}

// span is where a hunk begins in a file, counted from 1, and how many lines it has: an
// empty one stands behind the line that is named.
func span(before, count int) string {
	if count > 0 {
		before++
	}
	return fmt.Sprintf("%d,%d", before, count)
}

// lines are those of both files, in order.
func (f File) lines() []line {
	before, after := linesOf(f.Before), linesOf(f.After)
	var all []line
	old := 0
	takeOut := func(to int) {
		for ; old < to; old++ {
			all = append(all, line{'-', before[old], old, 0})
		}
	}
	for i, text := range after {
		switch from := f.from[i]; {
		case from == changed:
		case before[from] == text:
			takeOut(from)
			old++
			all = append(all, line{' ', text, from, i})
			continue
		}
		all = append(all, line{'+', text, old, i})
	}
	takeOut(len(before))
	return ordered(all)
}

// ordered puts what is taken out before what is put in in its place, and counts.
func ordered(all []line) []line {
	for i := 0; i < len(all); {
		end := i
		for end < len(all) && all[end].sign != ' ' {
			end++
		}
		slices.SortStableFunc(all[i:end], func(a, b line) int { return int(b.sign) - int(a.sign) }) // '-' is greater than '+'
		i = end + 1
	}
	before, after := 0, 0
	for i := range all {
		all[i].before, all[i].after = before, after
		if all[i].sign != '+' {
			before++
		}
		if all[i].sign != '-' {
			after++
		}
	}
	return all
}

// linesOf are the lines of a text without their ends. Behind the last line end there is an
// empty one.
func linesOf(text []byte) []string {
	lines := strings.Split(string(bytes.TrimPrefix(text, []byte("\ufeff"))), "\n")
	for i := range lines {
		lines[i] = strings.TrimSuffix(lines[i], "\r")
	}
	return lines
}
