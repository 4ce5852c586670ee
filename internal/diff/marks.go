// Marks moved, added, removed and renamed, and taped distances.
package diff

import (
	"fmt"
	"math"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/geodesy"
	"merestone/internal/plan"
	"merestone/internal/words"
)

// marks matches the marks of both plans. A mark is at the same place when its
// coordinates are the same to the nanodegree (0.1 mm).
func (b *builder) marks() {
	names := func(p *plan.Plan) (names, places []string) {
		for _, m := range p.Survey.Marks {
			names = append(names, m.Name)
			places = append(places, fmt.Sprint(int64(m.Geodetic.Latitude), " ", int64(m.Geodetic.Longitude)))
		}
		return names, places
	}
	oldNames, oldPlaces := names(b.old)
	newNames, newPlaces := names(b.new)
	b.markIDs = match(oldNames, newNames, oldPlaces, newPlaces)
	b.leanedOn = [2]map[int]bool{leanedOn(b.old), leanedOn(b.new)}
	for id, q := range b.markIDs.pairs {
		o := order{section: markSection, index: q.index()}
		if q.both() {
			b.mark(id, o, q)
			continue
		}
		p, i := b.only(q)
		m := p.Survey.Marks[i]
		if m.Measured.Listed != "" {
			continue // it came or went with its row or ring
		}
		o.name = m.Name
		n := b.onOneSide("mark", key{"mark", id}, o, q, "mark "+m.Name, given(p, m), m.Path)
		if m.SameAs >= 0 { // it ties two set-ups: their marks move with it, and are surer for it
			n.change.Kind = max(b.judge("mark.leaned_on", 0, 1), b.appears("marks.NAME.same_as", q.old >= 0, q.new >= 0))
		}
	}
}

func (b *builder) mark(id int, o order, q pair) {
	before, after := b.old.Survey.Marks[q.old], b.new.Survey.Marks[q.new]
	o.name = lesser(before.Name, after.Name)
	subject := "mark " + after.Name
	if before.Name != after.Name {
		b.cause(key{"renamed", id}, o, Change{Subject: "mark " + before.Name, What: "renamed, not moved", Before: before.Name, After: after.Name, Path: after.Path})
	}
	g, h := before.Geodetic, after.Geodetic
	sameForm := before.Measured.Form == after.Measured.Form
	switch {
	case !sameForm:
		o.rank = 1
		b.givenOtherwise(id, o, q)
	case after.Measured.Form != plan.Surveyed: // what was measured otherwise is among the figures
	case g.Latitude != h.Latitude || g.Longitude != h.Longitude:
		o.rank = 1
		c := Change{Kind: b.placeKind(q), Subject: subject, What: "moved", Before: coordinates(g), After: coordinates(h), Move: b.moved(g, h), Path: after.Path}
		b.cause(key{"mark", id}, o, c)
	}
	for rank, f := range b.blocks["marks.NAME"].Figures {
		o.rank = 2 + rank
		if f.Apart || f.Key == "marks.NAME.same_as" && b.samePoint(before, after) || after.Measured.Listed != "" || !formless(f.Key) && !sameForm {
			continue
		}
		n := b.figure(o, subject, after.Path, f, q.old, q.new)
		b.alias(key{f.Key, id + 1}, n) // 0 is any mark's
		if !formless(f.Key) {
			b.alias(key{"mark", id}, n)
		}
	}
}

// samePoint reports whether two marks are tied to one mark, whatever its names.
func (b *builder) samePoint(before, after plan.Mark) bool {
	return before.SameAs >= 0 && after.SameAs >= 0 && b.markIDs.oldID[before.SameAs] == b.markIDs.newID[after.SameAs]
}

// placeKind is that of a move: a mark that other coordinates hang on is to be looked at.
func (b *builder) placeKind(q pair) Kind {
	if b.leanedOn[0][q.old] || b.leanedOn[1][q.new] {
		return b.judge("mark.leaned_on", 0, 1)
	}
	return b.judge("mark", 0, 1)
}

// leanedOn are the marks that other coordinates hang on: the base, control marks, and
// those that tie two set-ups.
func leanedOn(p *plan.Plan) map[int]bool {
	marks := map[int]bool{p.Survey.Base.Mark: true}
	for _, m := range p.Survey.Base.ControlMarks {
		marks[m] = true
	}
	for i, m := range p.Survey.Marks {
		if m.SameAs >= 0 {
			marks[i], marks[m.SameAs] = true, true
		}
	}
	return marks
}

// given says where a mark is, or how it is measured.
func given(p *plan.Plan, m plan.Mark) string {
	if m.Measured.Form.FromOthers() {
		return formWords(p, m)
	}
	return coordinates(m.Geodetic)
}

// coordinates writes latitude and longitude in full.
func coordinates(g geodesy.Geodetic) string {
	return fmt.Sprintf("%v, %v", g.Latitude, g.Longitude)
}

// moved measures a move in the common frame, in the plane.
func (b *builder) moved(from, to geodesy.Geodetic) *Move {
	frame := b.commonFrame()
	from.HeightM, to.HeightM = frame.Origin().HeightM, frame.Origin().HeightM
	a, c := frame.ToLocal(from), frame.ToLocal(to)
	east, north := c.EastM-a.EastM, c.NorthM-a.NorthM
	middle := geodesy.Local{EastM: (a.EastM + c.EastM) / 2, NorthM: (a.NorthM + c.NorthM) / 2}
	azimuth := frame.TrueAzimuth(middle, elementary.Atan2(east, north)) * 180 / math.Pi
	return &Move{DistanceM: words.Round(elementary.Hypot(east, north), 6), BearingDeg: math.Mod(words.Round(azimuth, 6)+360, 360)}
}

// tapes compares the taped distances, matched by their two marks.
func (b *builder) tapes() {
	names := func(p *plan.Plan, ids []int) []string {
		var out []string
		for _, t := range p.Survey.Tapes {
			from, to := ids[t.From], ids[t.To]
			out = append(out, fmt.Sprintf("%d %d", min(from, to), max(from, to)))
		}
		return out
	}
	was, is := names(b.old, b.markIDs.oldID), names(b.new, b.markIDs.newID)
	for id, q := range match(was, is, make([]string, len(was)), make([]string, len(is))).pairs {
		o := order{section: tapeSection, index: q.index()}
		p, i := b.only(q)
		t, subject := p.Survey.Tapes[i], p.Subject(diag.Tape, i).String()
		if !q.both() {
			o.name = subject
			b.onOneSide("tape", key{"tape", id}, o, q, o.name, words.Millimetre.Words(t.MeasuredMM), t.Path)
			continue
		}
		for rank, f := range b.blocks["tape[]"].Figures {
			o.rank = rank
			b.figure(o, subject, t.Path, f, q.old, q.new)
		}
	}
}
