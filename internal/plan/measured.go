// Marks that were measured from others: by steps, bearings and tapes where no antenna can
// stand. They are placed when the surveyed marks are, set-ups of the base tied, in the
// order in which they hang on each other; internal/measured has the geometry and carries
// the uncertainty.
//
// The inputs, independent of each other, are
//
//   - of each surveyed mark its east and its north, by its own uncertainty and last digit;
//   - of each set-up of the base what it is off, shared by all its marks;
//   - of each measurement its readings;
//   - the declination, one for all compasses and days: the model errs alike.
//
// The marks of a set-up that is tied to another are moved by the points that both share, the
// mean of their differences by weight, and so hang on what these points are off: a mark half
// way between one of them and a mark of the other set-up is off by more than if the tie were
// known apart from both.
//
// Distances are along the ground, level, and bearings by the meridian of the mark that
// they were taken at (geodesy.Frame.Level); east and north are the axes of the frame.
package plan

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/geodesy"
	"merestone/internal/magnetic"
	"merestone/internal/measured"
	"merestone/internal/planar"
	"merestone/internal/quantity"
	"merestone/internal/words"
	"merestone/spec"
)

// Form is how a mark is given.
type Form = spec.Form

// The forms.
const (
	Surveyed = spec.Surveyed
	InFrame  = spec.InFrame
	Step     = spec.Step
	Ray      = spec.Ray
	Tapes    = spec.Tapes
	Beside   = spec.Beside
)

// Measured is how a mark was measured.
type Measured struct {
	Form    Form
	From    []int            // marks: one, the two of a line, or that of each tape
	Given   Given            // as written
	Ellipse measured.Ellipse // in millimetres; of a mark that was measured from others
	Setups  []int            // of the base, from which what it hangs on was surveyed
	Listed  string           // path of the row or ring whose mark it is; empty for others
}

// Given is what was measured, in millimetres and degrees.
type Given struct {
	EastMM, NorthMM           float64
	StdMM                     float64 // of these, or of chainage and offset
	BearingDeg, BearingStdDeg float64
	Magnetic                  bool      // the bearing
	Date                      time.Time // on which it was read
	DistanceMM, DistanceStdMM float64
	Tapes                     []GivenTape
	Left                      bool
	ChainageMM, RightMM       float64
}

// GivenTape is a taped distance.
type GivenTape struct{ DistanceMM, StdMM float64 }

// Row is marks at equal steps along a line, as said.
type Row struct {
	diag.Source
	Name                   string
	Count                  int
	From, Towards          int
	FirstMM, StepMM        float64
	RightMM, UncertaintyMM float64
}

// Ring is four corners from a side and widths, as said.
type Ring struct {
	diag.Source
	Name                         string
	From, Towards                int
	ChainageMM, RightMM          float64
	LengthMM                     float64 // 0 where it reaches as far as the mark
	NearMM, FarMM, UncertaintyMM float64
	Left                         bool
}

// AllSetups are those that a mark hangs on.
func (m Mark) AllSetups() []int {
	if m.Measured.Form.FromOthers() {
		return m.Measured.Setups
	}
	return []int{m.Setup}
}

// given reads how a mark is measured. The marks that it is measured from are found later.
func (r *resolver) given(m spec.Mark) Measured {
	out := Measured{Form: m.Form()}
	if out.Form == Surveyed {
		return out
	}
	by, g := m.Measured, &out.Given
	g.EastMM, g.NorthMM = or(by.East, 0).Millimetres(), or(by.North, 0).Millimetres()
	g.StdMM = or(m.Uncertainty, 0).Millimetres()
	g.BearingDeg, g.BearingStdDeg = or(by.Bearing, or(by.MagneticBearing, 0)).Degrees(), or(by.BearingUncertainty, 0).Degrees()
	g.Magnetic = by.MagneticBearing != nil
	if g.Magnetic {
		g.Date = midnight(or(by.Date, r.m.Site.Date))
	}
	g.DistanceMM, g.DistanceStdMM = or(by.Distance, 0).Millimetres(), or(by.DistanceUncertainty, 0).Millimetres()
	g.ChainageMM, g.RightMM = or(by.Chainage, 0).Millimetres(), or(by.Right, 0).Millimetres()
	for _, t := range by.Tapes {
		g.Tapes = append(g.Tapes, GivenTape{t.Distance.Millimetres(), t.Uncertainty.Millimetres()})
	}
	g.Left = by.Side == spec.Left
	if m.Path != "marks."+m.Name {
		out.Listed = m.Path
	}
	return out
}

// inFrame gives a mark its latitude and longitude by the axes of the frame. From there on
// it is as one that was surveyed.
func (r *resolver) inFrame(m *Mark) {
	height := r.p.Site.Origin.HeightM
	m.Geodetic = r.p.Site.Frame.AtHeight(m.Measured.Given.EastMM/1000, m.Measured.Given.NorthMM/1000, height)
	m.Resolution = 1
}

// nets are the places of the marks that others are measured from, with their inputs.
type nets struct {
	net    measured.Net
	places map[int]measured.Place // by mark
	setups map[int]int            // the input east of what a set-up is off; that north is the next
	own    map[int]int            // by mark, the input east of what its survey is off
	base   map[int]bool           // inputs that are those of set-ups
	needle int                    // that of the declination; -1 while there is none
	told   map[string]bool        // rows, rings and days of which something was found
}

// measuredMarks places the marks that were measured from others. It is false where one cannot
// be placed, which was told.
func (r *resolver) measuredMarks() bool {
	r.lines()
	marks := r.p.Survey.Marks
	r.nets = nets{places: map[int]measured.Place{}, setups: map[int]int{}, own: map[int]int{}, base: map[int]bool{}, needle: -1, told: map[string]bool{}}
	var all []int
	for i := range marks {
		if marks[i].Measured.Form.FromOthers() {
			all = append(all, i)
		}
	}
	if len(all) == 0 {
		return true
	}
	before := len(r.findings)
	lost := map[int]bool{} // refused, or hanging on what is
	for _, i := range all {
		if !r.basesOf(i) {
			lost[i] = true
			delete(r.byName, marks[i].Name)
			r.gap(marks[i].Path, "what it is measured from is not known") // which the parser reports
		}
	}
	order, round := r.order(all)
	for _, i := range round {
		lost[i] = true
	}
	r.circles(round)
	longitudes := []geodesy.Nanodegree{r.p.Site.Origin.Longitude}
	for _, i := range order {
		if lost[i] || slices.ContainsFunc(marks[i].Measured.From, func(from int) bool { return lost[from] }) || !r.measure(i) {
			lost[i] = true
			continue
		}
		longitudes = append(longitudes, marks[i].Placed.Longitude)
	}
	if geodesy.CrossesAntimeridian(longitudes...) && !slices.ContainsFunc(r.findings, func(f diag.Finding) bool { return f.Rule == ruleAntimeridian }) {
		r.fail(ruleAntimeridian, diag.The(diag.Site, ""), "site.origin", "keep the site to one side of that meridian: drives across it are not proved in this version",
			"the site lies across the meridian of 180 degrees, where longitudes jump from +180 to -180")
	}
	for _, i := range all {
		if lost[i] {
			delete(r.byName, marks[i].Name)
		}
	}
	return diag.Worst(r.findings[before:]) != diag.Error
}

// lines reads rows and rings as they are said.
func (r *resolver) lines() {
	mark := func(name string) int {
		if i, ok := r.byName[name]; ok {
			return i
		}
		return -1
	}
	mm := func(l *quantity.Length) float64 { return or(l, 0).Millimetres() }
	for i, in := range r.m.Rows {
		r.p.Survey.Rows = append(r.p.Survey.Rows, Row{
			Source: r.source(fmt.Sprintf("rows[%d]", i)), Name: in.Name, Count: in.Count, From: mark(in.From), Towards: mark(in.Towards),
			FirstMM: in.First.Millimetres(), StepMM: in.Step.Millimetres(), RightMM: mm(in.Right), UncertaintyMM: mm(in.Uncertainty),
		})
	}
	for i, in := range r.m.Rings {
		out := Ring{
			Source: r.source(fmt.Sprintf("rings[%d]", i)), Name: in.Name, From: mark(in.From), Towards: mark(in.Towards),
			ChainageMM: mm(in.Chainage), RightMM: mm(in.Right), LengthMM: mm(in.Length), UncertaintyMM: mm(in.Uncertainty), Left: in.Side == spec.Left,
		}
		if n := len(in.Widths); n > 0 {
			out.NearMM, out.FarMM = in.Widths[0].Millimetres(), in.Widths[n-1].Millimetres()
		}
		r.p.Survey.Rings = append(r.p.Survey.Rings, out)
	}
}

// basesOf finds the marks that a mark is measured from; false where one is not known, or
// where there are too few of them.
func (r *resolver) basesOf(i int) bool {
	by := r.m.Marks[i].Measured
	names := []string{by.From}
	switch r.p.Survey.Marks[i].Measured.Form {
	case Beside:
		names = append(names, by.Towards)
	case Tapes:
		names = nil
		for _, t := range by.Tapes {
			names = append(names, t.From)
		}
		if len(names) < 2 {
			return false
		}
	}
	var from []int
	for _, name := range names {
		base, ok := r.byName[name]
		if !ok {
			return false
		}
		from = append(from, base)
	}
	r.p.Survey.Marks[i].Measured.From = from
	return true
}

// order puts marks behind those that they are measured from, and returns those that hang
// on themselves apart, with what hangs on these.
func (r *resolver) order(all []int) (order, round []int) {
	marks := r.p.Survey.Marks
	waiting := map[int]int{} // for so many others
	followers := map[int][]int{}
	var ready []int
	for _, i := range all {
		for _, from := range marks[i].Measured.From {
			if marks[from].Measured.Form.FromOthers() {
				waiting[i]++
				followers[from] = append(followers[from], i)
			}
		}
		if waiting[i] == 0 {
			ready = append(ready, i)
		}
	}
	for len(ready) > 0 {
		i := ready[0]
		ready = ready[1:]
		order = append(order, i)
		for _, f := range followers[i] {
			if waiting[f]--; waiting[f] == 0 {
				ready = append(ready, f)
			}
		}
	}
	for _, i := range all {
		if waiting[i] > 0 {
			round = append(round, i)
		}
	}
	return order, round
}

// mostCircles is how many circles are told of one by one.
const mostCircles = 10

// circles tells of each circle once: from any mark of those that never became ready, one
// that is not ready either leads on, until one comes again.
func (r *resolver) circles(round []int) {
	marks := r.p.Survey.Marks
	on := map[int]int{} // the walk that came by a mark
	stuck := map[int]bool{}
	for _, i := range round {
		stuck[i] = true
	}
	found := 0
	for walk, start := range round {
		var way []int
		at := start
		for on[at] == 0 {
			on[at] = 1 + walk
			way = append(way, at)
			at = marks[at].Measured.From[slices.IndexFunc(marks[at].Measured.From, func(from int) bool { return stuck[from] })]
		}
		if on[at] != 1+walk {
			continue // it leads to a circle that was told
		}
		if found++; found > mostCircles {
			continue
		}
		circle := way[slices.Index(way, at):]
		first := slices.Index(circle, slices.Min(circle)) // the first in the file begins
		circle = append(slices.Clone(circle[first:]), circle[:first+1]...)
		var names diag.List
		var about []diag.Subject
		for _, m := range circle {
			names.Items = append(names.Items, diag.Name(r.p.Subject(diag.Mark, m)))
			about = append(about, r.p.Subject(diag.Mark, m))
		}
		said := diag.Say("%s", diag.Name(about[0]))
		for _, item := range names.Items[1:] {
			said = diag.Say("%s from %s", said, item)
		}
		r.fail(ruleCircular, about[0], marks[circle[0]].Path, "measure one of them from a mark that was surveyed",
			"marks are measured from each other in a circle: %s", said)
		r.findings[len(r.findings)-1].About = about[:len(about)-1]
	}
	if more := found - mostCircles; more > 0 {
		r.findings[len(r.findings)-1].Add("; and %d more such circles", more)
	}
}

// place is where a mark is, with all that it hangs on.
func (r *resolver) place(i int) measured.Place {
	if p, ok := r.nets.places[i]; ok {
		return p
	}
	m := r.p.Survey.Marks[i]
	at := m.Placed
	at.HeightM = r.p.Site.Origin.HeightM
	local := r.p.Site.Frame.ToLocal(at)
	p := measured.Place{Vector: measured.Vector{East: local.EastM * 1000, North: local.NorthM * 1000}}
	both := func(east int, by float64) {
		p = p.Moving(east, measured.Vector{East: by}).Moving(east+1, measured.Vector{North: by})
	}
	both(r.ownInput(i), 1)
	for _, input := range r.setupInputs(m.Setup) {
		both(input.east, input.by)
	}
	r.nets.places[i] = p
	return p
}

// ownInput is the input east, of which that north is the next, of what the survey of a mark
// is off by itself.
func (r *resolver) ownInput(i int) int {
	east, ok := r.nets.own[i]
	if !ok {
		m := r.p.Survey.Marks[i]
		std := elementary.Hypot(m.OwnStdMM, r.p.digitPart(m.Resolution).StdMM)
		east = r.nets.net.Input(std)
		r.nets.net.Input(std)
		r.nets.own[i] = east
	}
	return east
}

// sharedInput is what marks of a set-up hang on alike: an input east, of which that north
// is the next, and by how much.
type sharedInput struct {
	east int
	by   float64
}

// tieInputs are those of the points by which a set-up is tied to another: w_i of what the
// mark there is off, less w_i of what the mark here is, with w_i = (1/s_i²) / Σ 1/s_i².
func (r *resolver) tieInputs(setup, by int) (list []sharedInput) {
	s := &r.p.Survey
	sum := 0.0
	for _, shared := range s.Shared {
		here, there := shared.From, shared.To
		if s.Marks[here].Setup == by {
			here, there = there, here
		}
		if s.Marks[here].Setup != setup || s.Marks[there].Setup != by {
			continue
		}
		weight := 1 / float64(shared.StdMM*shared.StdMM)
		sum += weight
		list = append(list, sharedInput{r.ownInput(there), weight}, sharedInput{r.ownInput(here), -weight})
	}
	for i := range list {
		list[i].by /= sum
	}
	return list
}

// tiedTogether stands for all set-ups that are tied: they are off alike, but for the ties.
const tiedTogether = -1

// setupInputs are those of a set-up. Each average, or centring, of the base is off by u
// per axis, and a mark by that of its set-up. Where a site shift takes off what the
// set-up is off to which all are moved, that counts against the others.
func (r *resolver) setupInputs(setup int) []sharedInput {
	s := &r.p.Survey
	off := func(of int) int {
		east, ok := r.nets.setups[of]
		if !ok {
			east = r.nets.net.Input(s.Base.StdMM)
			r.nets.net.Input(s.Base.StdMM)
			r.nets.setups[of], r.nets.base[east], r.nets.base[east+1] = east, true, true
		}
		return east
	}
	var list []sharedInput
	for at := setup; s.Setups[at].Tied && s.Setups[at].by != at && len(list) <= measured.MostInputs; at = s.Setups[at].by {
		list = append(list, r.tieInputs(at, s.Setups[at].by)...)
	}
	switch tied := s.Setups[setup].Tied; {
	case tied && s.Base.LeansOnShift():
	case tied:
		list = append(list, sharedInput{off(tiedTogether), 1})
	case s.Base.LeansOnShift():
		list = append(list, sharedInput{off(setup), 1}, sharedInput{off(tiedTogether), -1})
	default:
		list = append(list, sharedInput{off(setup), 1})
	}
	return list
}

// covariances are that of a place as far as it counts for the mark, and without what is
// of set-ups.
//
// Where no shift is leaned on, one set-up's error as a whole is reckoned with elsewhere
// (the rule base.shift, or every budget). A mark that hangs on one set-up alone has just
// that; of one that hangs on several, what is more.
func (r *resolver) covariances(p measured.Place) (all, own measured.Matrix) {
	n := &r.nets.net
	own = n.Covariance(p, p, func(input int) bool { return !r.nets.base[input] })
	if r.p.Survey.Base.LeansOnShift() {
		return n.Covariance(p, p, nil), own
	}
	u := r.p.Survey.Base.StdMM
	setups := n.Covariance(p, p, func(input int) bool { return r.nets.base[input] })
	return own.Plus(setups.Excess(float64(u * u))), own
}

// ground is the plane of the ground at a mark for what is measured from there: at its
// height, or half way to that of the mark that is measured.
func (r *resolver) ground(from int, heightM float64, hasHeight bool) measured.Matrix {
	base := r.p.Survey.Marks[from]
	height := base.Placed.HeightM
	if hasHeight && base.HasHeight {
		height = (height + heightM) / 2
	}
	p := r.place(from)
	return measured.Matrix(r.p.Site.Frame.Level(geodesy.Local{EastM: p.East / 1000, NorthM: p.North / 1000}, height))
}

// measure places a mark whose others are placed, or says why it cannot.
func (r *resolver) measure(i int) bool {
	m := &r.p.Survey.Marks[i]
	g, n := m.Measured.Given, &r.nets.net
	height, hasHeight := r.p.Site.Origin.HeightM, false
	if h := r.m.Marks[i].Height; h != nil {
		height, hasHeight = h.Metres(), true
	}
	var bases []measured.Place
	for _, from := range m.Measured.From {
		bases = append(bases, r.place(from))
		m.Measured.Setups = append(m.Measured.Setups, r.p.Survey.Marks[from].AllSetups()...)
	}
	slices.Sort(m.Measured.Setups)
	m.Measured.Setups = slices.Compact(m.Measured.Setups)
	var form measured.Form
	var readings []measured.Reading
	read := func(value, std float64) {
		readings = append(readings, measured.Reading{Value: value, Input: n.Input(std)})
	}
	const degree = math.Pi / 180
	switch m.Measured.Form {
	case Step:
		form = measured.Step{}
		read(g.EastMM, g.StdMM)
		read(g.NorthMM, g.StdMM)
	case Ray:
		form = measured.Ray{Ground: r.ground(m.Measured.From[0], height, hasHeight)}
		read(g.DistanceMM, g.DistanceStdMM)
		read(g.BearingDeg*degree, g.BearingStdDeg*degree)
		if g.Magnetic {
			declination, ok := r.declination(i)
			if !ok {
				return false
			}
			readings = append(readings, declination)
		}
	case Beside:
		form = measured.Line{Ground: r.ground(m.Measured.From[0], height, hasHeight)}
		read(g.ChainageMM, g.StdMM)
		read(g.RightMM, g.StdMM)
	case Tapes:
		tapes := measured.Tapes{Left: g.Left}
		for k, t := range g.Tapes {
			tapes.Ground = append(tapes.Ground, r.ground(m.Measured.From[k], height, hasHeight))
			read(t.DistanceMM, t.StdMM)
		}
		form = tapes
	}
	p, err := n.Measure(form, bases, readings, quantity.RadialFactor(r.p.Confidence))
	if err != nil {
		r.refused(i, err)
		return false
	}
	if tapes, ok := form.(measured.Tapes); ok && len(bases) > 2 && !r.tapesFit(i, p, tapes, bases, readings) {
		return false
	}
	r.nets.places[i] = p
	all, own := r.covariances(p)
	m.Measured.Ellipse = all.Ellipse()
	m.StdMM, m.OwnStdMM = m.Measured.Ellipse.Major, own.Ellipse().Major
	m.Setup, m.SameAs, m.Resolution = m.Measured.Setups[0], -1, 1
	m.Point = planar.Point{E: millimetres(p.East / 1000), N: millimetres(p.North / 1000)}
	if !m.Point.InRange() {
		if !r.toldOf(i) {
			mark := r.p.Subject(diag.Mark, i)
			r.fail(ruleExtent, mark, m.Path, "split the site, or move the origin to its middle; check the measurement for a digit too many",
				"%s is %.1f km from the origin; a site reaches at most %d km east, west, north and south of it", mark, elementary.Hypot(p.East, p.North)/1_000_000, planar.MaxCoordinate/1_000_000)
		}
		return false
	}
	m.Placed = r.p.Site.Frame.AtHeight(p.East/1000, p.North/1000, r.p.Site.Origin.HeightM)
	m.Placed.HeightM = height
	m.Geodetic, m.HasHeight = m.Placed, hasHeight
	return true
}

// declination is that of the day on which a compass was read. What it is off is one input:
// the model's error is of the place, and hardly of the day.
func (r *resolver) declination(i int) (measured.Reading, bool) {
	day := r.p.Survey.Marks[i].Measured.Given.Date
	field, err := r.p.Site.Magnetic.Field, r.p.Site.Magnetic.Err
	if !day.Equal(r.p.Site.Date) {
		o := r.p.Site.Origin
		field, err = magnetic.At(o.Latitude.Degrees(), o.Longitude.Degrees(), o.HeightM, day)
	}
	if err != nil {
		if !r.nets.told[err.Error()] { // once for all that were read on that day
			r.nets.told[err.Error()] = true
			mark := r.p.Subject(diag.Mark, i)
			r.fail(ruleDeclination, mark, r.m.Marks[i].Path, "measure a true bearing, or write the date on which the compass was read", "the magnetic bearing to %s cannot be made a true one: %v", mark, err)
		}
		return measured.Reading{}, false
	}
	const degree = math.Pi / 180
	if r.nets.needle < 0 {
		r.nets.needle = r.nets.net.Input(field.DeclinationUncertaintyDeg * degree)
	}
	return measured.Reading{Value: field.DeclinationDeg * degree, Input: r.nets.needle}, true
}

// toldOf reports whether something was found of a mark's row or ring: all of it has one
// cause.
func (r *resolver) toldOf(i int) bool {
	path := r.p.Survey.Marks[i].Path
	told := r.nets.told[path]
	r.nets.told[path] = true
	return told
}

// from are the marks that a mark is measured from, by their names.
func (r *resolver) from(i int) diag.List {
	var list []diag.Subject
	for _, m := range r.p.Survey.Marks[i].Measured.From {
		list = append(list, r.p.Subject(diag.Mark, m))
	}
	return diag.Names(list, ", ")
}

// refused says why a mark cannot be placed.
func (r *resolver) refused(i int, err error) {
	if r.toldOf(i) {
		return
	}
	mark, path := r.p.Subject(diag.Mark, i), r.p.Survey.Marks[i].Path
	confidence := words.Percent(r.p.Confidence)
	weak := func(format string, args ...any) {
		r.fail(ruleWeak, mark, path, "measure it from marks that stand otherwise, so that two tapes cross more nearly at a right angle, or from nearer marks", format, args...)
	}
	var many measured.ErrTooMany
	var apart measured.ErrApart
	var loose measured.ErrWeak
	switch {
	case errors.As(err, &many):
		r.fail(ruleChain, mark, path, "survey a mark between, and measure from there", "%s hangs on %d measured quantities by way of other marks; at most %d are followed", mark, many.Inputs, measured.MostInputs)
	case errors.As(err, &apart):
		given := r.p.Survey.Marks[i].Measured.Given.Tapes
		allowed := float64(quantity.RadialFactor(r.p.Confidence) * apart.StdMM)
		if apart.GapMM <= allowed {
			weak("the first two tapes to %s, from %s, hardly meet: they miss each other by %s, which may be chance up to %s (%s), and where they meet they do not tell", mark, r.from(i), words.MM(int64(math.Ceil(apart.GapMM))), words.MM(int64(math.Ceil(allowed))), confidence)
			break
		}
		how := "%s are missing between them"
		if apart.Inside {
			how = "the circle of one lies within that of the other, by %s"
		}
		r.fail(ruleApart, mark, path, "tape both again: a metre is misread, or a tape is from another mark",
			"the first two tapes to %s, %.3f m and %.3f m, do not meet: the marks %s are %.3f m apart, and "+how, mark, given[0].DistanceMM/1000, given[1].DistanceMM/1000,
			r.from(i), apart.ApartMM/1000, words.MM(int64(math.Ceil(apart.GapMM))))
		r.findings[len(r.findings)-1].Numbers = []diag.Number{{Name: "gap", Value: apart.GapMM / 1000, Unit: "m"}, {Name: "allowed", Value: allowed / 1000, Unit: "m"}}
	case errors.Is(err, measured.ErrNoLine{}):
		weak("%s is measured from marks that are at one place, %s: there is no way from the one to the other", mark, r.from(i))
	case errors.As(err, &loose) && !math.IsInf(loose.Departure, 0) && !math.IsNaN(loose.Departure):
		weak("%s is told too weakly by what it is measured from, %s: known to %.3f m by first order (one standard deviation), from which its place departs by %.0f %% where a reading is off by as much as %s lets expect; %.0f %% are allowed", mark, r.from(i),
			loose.StdMM/1000, 100*loose.Departure, confidence, 100*measured.MostDeparture)
	default:
		weak("%s is not told by what it is measured from, %s: readings that are off by as much as %s lets expect lead nowhere, or to the other side", mark, r.from(i), confidence)
	}
}

// blunder is the probability below which tapes that do not fit are no chance: three
// standard deviations of one reading, as for taped checks (common practice, no source).
const blunder = 0.0027

// tapesFit tests how more than two tapes fit, and whether the place p to which they lead is
// on the side that is said. Nearer to the line than it is known, it may be there by chance.
func (r *resolver) tapesFit(i int, p measured.Place, form measured.Tapes, bases []measured.Place, readings []measured.Reading) bool {
	fit, err := r.nets.net.Fit(form, bases, readings)
	if err != nil {
		r.refused(i, err)
		return false
	}
	m := r.p.Survey.Marks[i]
	if _, own := r.covariances(p); fit.BesideMM > float64(quantity.RadialFactor(r.p.Confidence)*own.Ellipse().Major) {
		mark := r.p.Subject(diag.Mark, i)
		leads, said := "right", "left"
		if !form.Left {
			leads, said = said, leads
		}
		r.fail(ruleFit, mark, m.Path, "look on which side it is, and whether each tape is from the mark that is written",
			"the %d tapes to %s lead to a place %.3f m %s of the way from %s to %s, and side says %s", len(bases), mark, fit.BesideMM/1000, leads,
			diag.Name(r.p.Subject(diag.Mark, m.Measured.From[0])), diag.Name(r.p.Subject(diag.Mark, m.Measured.From[1])), said)
		return false
	}
	chance := fit.Exceeded()
	if chance >= 1-r.p.Confidence {
		return true
	}
	mark, worst := r.p.Subject(diag.Mark, i), r.p.Subject(diag.Mark, m.Measured.From[fit.Worst])
	often := diag.Say("%.2g %%", 100*chance)
	if chance < 1e-4 {
		often = diag.Say("less than 0.01 %%")
	}
	which := diag.Say("which one is off, %d cannot tell", len(bases))
	if fit.Freedom > 1 {
		how := "%s too long"
		if fit.OffMM < 0 {
			how = "%s too short"
		}
		which = diag.Say("worst is that from %s, "+how+", %.1f times its standard deviation", diag.Name(worst), words.MM(int64(math.Round(math.Abs(fit.OffMM)))), fit.Times)
	}
	r.fail(ruleFit, mark, m.Path, "tape them again, and look whether each is from the mark that is written; else the uncertainties are too small",
		"the %d tapes to %s do not fit: chi squared is %.1f with %s of freedom, exceeded in %s of all cases by tapes as good as stated; %s",
		len(bases), mark, fit.ChiSquared, words.Count(fit.Freedom, "degree", "degrees"), often, which)
	f := &r.findings[len(r.findings)-1]
	f.Numbers = []diag.Number{{Name: "chi squared", Value: fit.ChiSquared}, {Name: "off", Value: fit.OffMM / 1000, Unit: "m"}}
	if fit.Freedom > 1 {
		f.Related = []diag.Related{{At: r.p.Survey.Marks[m.Measured.From[fit.Worst]].At, Message: worst.String()}}
	}
	if chance >= blunder {
		f.Severity = diag.Warning
		return true
	}
	return false
}
