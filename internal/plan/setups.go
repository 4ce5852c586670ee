// The set-ups of the base from which the marks were surveyed.
//
// A base that averages its own position has another one at each set-up, and every mark
// that is surveyed from there is off by the same. Two averages of standard deviation u
// per axis differ by sqrt(2)·u: so much stands between marks of two set-ups. Where some
// point was surveyed from both, the difference of its coordinates is what is between
// the two, known as well as the two surveys of that point. The marks of one set-up are
// then moved onto those of the other.
//
// With points i surveyed from both, each with the difference d_i and the variance s_i²
// (those of its two marks), weighted least squares gives
//
//	d = Σ d_i/s_i² / Σ 1/s_i²,  variance 1 / Σ 1/s_i²
//
// (the mean of unequal observations; JCGM 100:2008, the GUM, from memory). Set-ups that
// are tied by way of others add the variances along the way, of which the least is
// taken. A tie that is known no better than sqrt(2)·u is none: the base's own
// uncertainty says more.
//
// All is moved to the set-up of the control marks, since a site shift of the day leads
// there; without control marks, to the one with most marks. What is tied to it has the
// uncertainty of its tie beside that of its marks. What is not has sqrt(2)·u, if there
// are control marks. Without these the whole mission may come up shifted by as much as
// one set-up from another, which the rule base.shift weighs, whatever set-up it is.
package plan

import (
	"cmp"
	"container/heap"
	"maps"
	"math"
	"slices"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/geodesy"
	"merestone/internal/planar"
)

// Setup is one set-up of the base.
type Setup struct {
	Name  string // empty for that of marks that name none
	First int    // its first mark
	// Tied says that its marks are moved by so much, which is known to StdMM per axis.
	// That to which the others are moved is tied, by nothing.
	Tied                 bool
	EastMM, NorthMM, UpM float64
	StdMM                float64
	by                   int // the set-up by whose tie it is tied; itself where the others are moved to it
}

// Shared is a point that was surveyed from two set-ups: mark From has the coordinates
// of mark To and so much more, which is known to StdMM per axis.
type Shared struct {
	From, To        int
	EastMM, NorthMM float64
	StdMM           float64
	riseM           float64
	hasRise         bool
}

// SetupsStdMM is one standard deviation per axis of what stands between two set-ups of
// the base, or between one and the mean of the marks that were surveyed from another.
func (p *Plan) SetupsStdMM() float64 { return math.Sqrt2 * p.Survey.Base.StdMM }

// setups finds the set-ups, ties them, and moves and judges the marks by it.
func (r *resolver) setups() {
	s := &r.p.Survey
	first := map[string]int{}
	for i, m := range r.m.Marks {
		if s.Marks[i].Measured.Form.FromOthers() {
			continue // it has those of the marks that it was measured from
		}
		if _, known := first[m.Setup]; !known {
			first[m.Setup] = i
		}
	}
	// By name, since the order in which marks are written means nothing.
	for _, name := range slices.Sorted(maps.Keys(first)) {
		s.Setups = append(s.Setups, Setup{Name: name, First: first[name]})
	}
	for i, m := range r.m.Marks {
		if s.Marks[i].SameAs = -1; s.Marks[i].Measured.Form.FromOthers() {
			continue
		}
		number, _ := slices.BinarySearchFunc(s.Setups, m.Setup, func(s Setup, name string) int { return cmp.Compare(s.Name, name) })
		s.Marks[i].Setup = number
		if same, ok := r.byName[m.SameAs]; ok && !s.Marks[same].Measured.Form.FromOthers() {
			s.Marks[i].SameAs = same
		}
	}
	if !s.Base.Averaged() || len(s.Setups) == 0 {
		return // the base's uncertainty is in every budget, as of today's set-up
	}
	r.shared()
	home := r.home()
	r.tie(home)
	for i, m := range s.Marks {
		if !m.Measured.Form.FromOthers() {
			r.move(i)
		}
	}
}

// shared lists the points that were surveyed from two set-ups.
func (r *resolver) shared() {
	s := &r.p.Survey
	for to, m := range s.Marks {
		if m.SameAs < 0 || s.Marks[m.SameAs].Setup == m.Setup {
			continue // a rule of check tells of it
		}
		from := s.Marks[m.SameAs]
		a, b := r.local(from), r.local(m)
		shared := Shared{
			From: m.SameAs, To: to,
			EastMM: (a.EastM - b.EastM) * 1000, NorthMM: (a.NorthM - b.NorthM) * 1000,
			riseM: from.Geodetic.HeightM - m.Geodetic.HeightM, hasRise: from.HasHeight && m.HasHeight,
		}
		for _, of := range []Mark{from, m} {
			shared.StdMM = elementary.Hypot(shared.StdMM, elementary.Hypot(of.OwnStdMM, r.p.digitPart(of.Resolution).StdMM))
		}
		if shared.StdMM > 0 { // as every mark has one, whose mission was read well
			s.Shared = append(s.Shared, shared)
		}
	}
	slices.SortStableFunc(s.Shared, func(a, b Shared) int {
		return cmp.Or(cmp.Compare(s.Marks[a.From].Name, s.Marks[b.From].Name), cmp.Compare(s.Marks[a.To].Name, s.Marks[b.To].Name))
	})
}

// local is where a mark is as it was written.
func (r *resolver) local(m Mark) geodesy.Local {
	g := m.Geodetic
	g.HeightM = r.p.Site.Origin.HeightM
	return r.p.Site.Frame.ToLocal(g)
}

// home is the set-up to which the others are moved. Which comes first where several
// would do must not hang on the order in which marks are written.
func (r *resolver) home() int {
	s := &r.p.Survey
	marks := make([]int, len(s.Setups))
	for _, m := range s.Base.ControlMarks {
		marks[s.Marks[m].Setup]++
	}
	if len(s.Base.ControlMarks) == 0 {
		for _, m := range s.Marks {
			if !m.Measured.Form.FromOthers() {
				marks[m.Setup]++
			}
		}
	}
	home := 0
	for i, n := range marks {
		if better := cmp.Or(cmp.Compare(n, marks[home]), cmp.Compare(s.Setups[home].Name, s.Setups[i].Name)); better > 0 {
			home = i
		}
	}
	return home
}

// tied is a tie of a set-up to another that is nearer home, with its variance per axis
// from home.
type tied struct {
	setup, by            int
	variance             float64
	east, north, up      float64
	eastMM, northMM, upM float64 // of the tie alone
}

// tie finds the way of least variance from home to each set-up.
func (r *resolver) tie(home int) {
	s := &r.p.Survey
	edges := r.edges()
	most := r.p.SetupsStdMM()
	waiting := queue{{setup: home, by: home}}
	for len(waiting) > 0 {
		next := heap.Pop(&waiting).(tied)
		to := &s.Setups[next.setup]
		if to.Tied {
			continue
		}
		if next.variance >= float64(most*most) {
			return // and so is what is farther
		}
		to.Tied, to.EastMM, to.NorthMM, to.UpM, to.StdMM = true, next.east, next.north, next.up, math.Sqrt(next.variance)
		to.by = next.by
		for _, e := range edges[next.setup] {
			e.variance += next.variance
			e.east, e.north, e.up = next.east+e.eastMM, next.north+e.northMM, next.up+e.upM
			heap.Push(&waiting, e)
		}
	}
}

// queue is a heap of ties, the least variance first.
type queue []tied

func (q queue) Len() int           { return len(q) }
func (q queue) Less(i, j int) bool { return q[i].before(q[j]) }
func (q queue) Swap(i, j int)      { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(t any)        { *q = append(*q, t.(tied)) }
func (q *queue) Pop() any {
	last := (*q)[len(*q)-1]
	*q = (*q)[:len(*q)-1]
	return last
}

func (t tied) before(o tied) bool {
	return cmp.Or(cmp.Compare(t.variance, o.variance), cmp.Compare(t.setup, o.setup), cmp.Compare(t.by, o.by)) < 0
}

// edges are the ties between two set-ups, by the set-up that they lead from: the mean
// of the points that were surveyed from both.
func (r *resolver) edges() map[int][]tied {
	s := &r.p.Survey
	type sum struct{ weight, east, north, heights, rise float64 }
	sums := map[[2]int]*sum{}
	var order [][2]int
	for _, shared := range s.Shared {
		pair, sign := [2]int{s.Marks[shared.From].Setup, s.Marks[shared.To].Setup}, 1.0
		if pair[0] > pair[1] {
			pair, sign = [2]int{pair[1], pair[0]}, -1
		}
		if sums[pair] == nil {
			sums[pair] = &sum{}
			order = append(order, pair)
		}
		weight := 1 / float64(shared.StdMM*shared.StdMM)
		of := sums[pair]
		of.weight += weight
		of.east += float64(sign * weight * shared.EastMM)
		of.north += float64(sign * weight * shared.NorthMM)
		if shared.hasRise {
			of.heights += weight
			of.rise += float64(sign * weight * shared.riseM)
		}
	}
	edges := map[int][]tied{}
	for _, pair := range order {
		of := sums[pair]
		there := tied{setup: pair[1], by: pair[0], variance: 1 / of.weight, eastMM: of.east / of.weight, northMM: of.north / of.weight}
		if of.heights > 0 {
			there.upM = of.rise / of.heights
		}
		back := there
		back.setup, back.by, back.eastMM, back.northMM, back.upM = pair[0], pair[1], -there.eastMM, -there.northMM, -there.upM
		edges[pair[0]] = append(edges[pair[0]], there)
		edges[pair[1]] = append(edges[pair[1]], back)
	}
	return edges
}

// move moves a mark with its set-up, and adds what is not known of that.
func (r *resolver) move(i int) {
	s := &r.p.Survey
	m := &s.Marks[i]
	setup := s.Setups[m.Setup]
	switch {
	case setup.Tied:
		m.StdMM = elementary.Hypot(m.OwnStdMM, setup.StdMM)
	case len(s.Base.ControlMarks) > 0:
		m.StdMM = elementary.Hypot(m.OwnStdMM, r.p.SetupsStdMM())
	}
	if setup.EastMM == 0 && setup.NorthMM == 0 && setup.UpM == 0 {
		return
	}
	local := r.local(*m)
	east, north := local.EastM+setup.EastMM/1000, local.NorthM+setup.NorthMM/1000
	m.Point = planar.Point{E: millimetres(east), N: millimetres(north)}
	height := m.Geodetic.HeightM
	if m.HasHeight {
		height += setup.UpM
	}
	m.Placed = r.p.Site.Frame.AtHeight(east, north, r.p.Site.Origin.HeightM)
	m.Placed.HeightM = height
	if !m.Point.InRange() {
		mark := diag.Subject{Kind: diag.Mark, Name: m.Name, Index: i}
		r.fail(ruleExtent, mark, m.Path, "split the site, or move the origin to its middle", "%s is more than %d km from the origin once its set-up is moved onto the others", mark, planar.MaxCoordinate/1_000_000)
		m.Point = planar.Point{E: max(min(m.Point.E, planar.MaxCoordinate), -planar.MaxCoordinate), N: max(min(m.Point.N, planar.MaxCoordinate), -planar.MaxCoordinate)}
	}
}

// betweenStdMM is one standard deviation, along one axis, of what stands between the
// set-ups of two marks.
func (p *Plan) betweenStdMM(a, b int) float64 {
	s := &p.Survey
	from, to := s.Setups[s.Marks[a].Setup], s.Setups[s.Marks[b].Setup]
	switch {
	case s.Marks[a].Setup == s.Marks[b].Setup:
		return 0
	case s.Base.Averaged() && from.Tied && to.Tied:
		return elementary.Hypot(from.StdMM, to.StdMM)
	default:
		return p.SetupsStdMM()
	}
}

// UsedSetups are the set-ups of the marks of route and fence, by their numbers, and of
// each the first of these marks.
func (p *Plan) UsedSetups() (setups, marks []int) {
	seen := make([]int, len(p.Survey.Setups))
	use := func(mark int) {
		for _, n := range p.Survey.Marks[mark].AllSetups() {
			if seen[n] == 0 {
				seen[n] = 1 + mark
				setups = append(setups, n)
			}
		}
	}
	for _, w := range p.Route.Waypoints {
		use(w.Mark)
	}
	for _, m := range p.Fence.Marks() {
		use(m.Number)
	}
	slices.Sort(setups)
	for _, n := range setups {
		marks = append(marks, seen[n]-1)
	}
	return setups, marks
}
