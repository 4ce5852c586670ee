// The findings of one Parse, within bounds: of each file those are kept that will
// be printed, the first of the text, and the others are counted. So a file with an
// error in every line takes no more memory than one with a hundred.
package spec

import (
	"cmp"
	"hash/maphash"
	"maps"
	"slices"

	"merestone/internal/diag"
)

// findings collects. Its zero value is empty.
type findings struct {
	pending *diag.Finding // the latest, of which more may be said
	broken  map[diag.ID]bool
	files   map[string]*fileFindings
}

// fileFindings are those of one file.
type fileFindings struct {
	limit int // how many are printed
	list  []diag.Finding
	cut   int // how many are not in the list
	// last is the last place in the text that may still be printed, once there
	// are as many findings as are printed.
	last *diag.Position
	// said tells findings that were counted from new ones, where the same value is
	// read several times; nil where that cannot be. spots are their places.
	said   map[said]bool
	groups map[string]*group // of those with one cause
	kinds  map[sortOf]int    // how many there are of each
	spots  map[spot]bool
	seed   maphash.Seed
}

// said is a finding as far as it is told from others at the same place.
type said struct {
	at   spot
	hash uint64 // of rule and message
}

// spot is a place in a file.
type spot struct{ line, column int32 }

func spotOf(at diag.Position) spot { return spot{int32(at.Line), int32(at.Column)} }

// add records a finding. More can be said of it until the next one is added.
func (f *findings) add(finding diag.Finding) *diag.Finding {
	f.settle()
	if f.broken == nil {
		f.broken = map[diag.ID]bool{}
	}
	f.broken[finding.Rule] = true
	f.pending = &finding
	return f.pending
}

// settle puts away the latest finding. Values of the mission file are read once for
// each alias that stands for them, and are told once; lines of a marks_file are read
// once.
func (f *findings) settle() {
	if f.pending == nil {
		return
	}
	finding := *f.pending
	f.pending = nil
	of := f.files[finding.At.File]
	if of.said != nil {
		key := said{spotOf(finding.At), maphash.String(of.seed, string(finding.Rule)+" "+finding.Message())}
		if of.said[key] {
			return
		}
		of.said[key], of.spots[key.at] = true, true
	}
	if !of.together(finding) {
		of.keep(finding)
	}
}

// keep puts a finding into the list, if it may still be printed.
func (of *fileFindings) keep(finding diag.Finding) {
	if of.last != nil && before(*of.last, finding.At) {
		of.cut++
		return
	}
	of.list = append(of.list, finding)
	if len(of.list) == 2*of.limit {
		of.shorten()
	}
}

func before(a, b diag.Position) bool {
	return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column)) < 0
}

// file makes room for the findings of a file. With aliases, the same may be found
// several times.
func (f *findings) file(name string, limit int, aliases bool) {
	if f.files == nil {
		f.files = map[string]*fileFindings{}
	}
	if f.files[name] != nil {
		return
	}
	of := &fileFindings{limit: limit}
	if aliases {
		of.said, of.spots, of.seed = map[said]bool{}, map[spot]bool{}, maphash.MakeSeed()
	}
	f.files[name] = of
}

// shorten puts the list in order and leaves what is printed.
func (of *fileFindings) shorten() {
	diag.Sort(of.list)
	if len(of.list) < of.limit {
		return
	}
	of.cut += len(of.list) - of.limit
	of.list = of.list[:of.limit]
	last := of.list[of.limit-1].At
	of.last = &last
}

// at reports whether something was found at a place of the mission file.
func (f *findings) at(at diag.Position) bool {
	f.settle()
	of := f.files[at.File]
	return of != nil && of.spots[spotOf(at)]
}

// report are the findings in the order of the text, and how many more there are of
// each file.
func (f *findings) report() []diag.Finding {
	f.settle()
	var all []diag.Finding
	files := slices.Sorted(maps.Keys(f.files))
	for _, name := range files {
		of := f.files[name]
		for _, cause := range slices.Sorted(maps.Keys(of.groups)) {
			for _, finding := range of.groups[cause].told() {
				of.keep(finding)
			}
		}
		of.groups = nil
		of.shorten()
		all = append(all, of.list...)
	}
	for _, name := range files {
		if n := f.files[name].cut; n > 0 {
			at := diag.Position{File: name}
			more := diag.New(at, "%d more errors in this file are not shown", n)
			more.Rule, more.Severity, more.Remedy = ruleMore, diag.Error, "put right the ones shown and run again"
			more.About = []diag.Subject{diag.The(diag.File, name)}
			all = append(all, more)
		}
	}
	return all
}
