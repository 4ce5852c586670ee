// Histories: what two changes do together, neither of which is said to loosen anything or
// to be looked at. Missions are drawn as a small model, written as text, and changed as
// people change them: things are moved, renamed, taken out and put back otherwise.
package diff

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/fence"
	"merestone/internal/plan"
	"merestone/internal/tooltest"
)

// spot is a mark of the model: metres east and north of the site's origin.
type spot struct {
	east, north float64
	uncertainty int // cm
}

type visit struct {
	mark             string
	speed, tolerance int // cm/s, cm
	dwell            int // s
}

// site is a mission of the model.
type site struct {
	marks     map[string]spot
	boundary  []string
	obstacles map[string][]string
	route     []visit
	closed    bool
	figures   map[string]int
	float     int // cm; 0 for not said
	renamed   int // how many marks were, for new names
}

func (s site) clone() site {
	c := s
	c.marks, c.figures, c.obstacles = map[string]spot{}, map[string]int{}, map[string][]string{}
	for k, v := range s.marks {
		c.marks[k] = v
	}
	for k, v := range s.figures {
		c.figures[k] = v
	}
	for k, v := range s.obstacles {
		c.obstacles[k] = slices.Clone(v)
	}
	c.boundary, c.route = slices.Clone(s.boundary), slices.Clone(s.route)
	return c
}

func keys[V any](m map[string]V) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// write is the mission as text, with the rest of the grove around it.
func (s site) write(grove string) string {
	var marks, route, fence strings.Builder
	for _, name := range keys(s.marks) {
		m := s.marks[name]
		fmt.Fprintf(&marks, "  %s: {latitude: %.9f, longitude: %.9f, uncertainty: %d cm}\n", name, 45.3012+m.north/111136, 6.1234+m.east/78480, m.uncertainty)
	}
	for _, v := range s.route {
		fmt.Fprintf(&route, "    - {mark: %s, speed: %d cm/s, arrival_tolerance: %d cm, dwell: %d s}\n", v.mark, v.speed, v.tolerance, v.dwell)
	}
	for _, name := range keys(s.obstacles) {
		fmt.Fprintf(&fence, "    - {name: %s, ring: [%s]}\n", name, strings.Join(s.obstacles[name], ", "))
	}
	text := grove[:strings.Index(grove, "marks:\n")] + "marks:\n" + marks.String() +
		fmt.Sprintf("route:\n  closed: %v\n  waypoints:\n%s", s.closed, route.String()) +
		"geofence:\n  boundary: [" + strings.Join(s.boundary, ", ") + "]\n"
	if fence.Len() > 0 {
		text += "  obstacles:\n" + fence.String()
	}
	text += "\n" + grove[strings.Index(grove, "holds:\n"):]
	f := s.figures
	receiver := fmt.Sprintf("fixed: %d mm", f["fixed"])
	if s.float > 0 {
		receiver += fmt.Sprintf(", float: %d cm", s.float)
	}
	return strings.NewReplacer(
		"width: 0.42 m", fmt.Sprintf("width: %d mm", f["width"]),
		"length: 0.60 m", fmt.Sprintf("length: %d mm", f["length"]),
		"cruise: 0.60 m/s", fmt.Sprintf("cruise: %d mm/s", f["cruise"]),
		"distance: 0.45 m", fmt.Sprintf("distance: %d mm", f["coast"]),
		"cross_track: 8 cm", fmt.Sprintf("cross_track: %d mm", f["cross_track"]),
		"latency: 120 ms", fmt.Sprintf("latency: %d ms", f["latency"]),
		"loop: 20 ms", fmt.Sprintf("loop: %d ms", f["loop"]),
		"tilt: 4 deg", fmt.Sprintf("tilt: %d deg", f["tilt"]),
		"fixed: 2 cm, float: 40 cm", receiver,
		"  control_marks: [K1, K2]\n", "", "  mark: BASE\n", "  mark: F1\n", "marks_file: trees.csv\n", "",
	).Replace(text)
}

// drawn is a random mission of the model.
func drawn(r *rand.Rand) site {
	s := site{marks: map[string]spot{}, obstacles: map[string][]string{}, figures: map[string]int{
		"width": 420, "length": 600, "cruise": 600, "coast": 450, "cross_track": 80, "latency": 120, "loop": 20, "tilt": 4, "fixed": 20,
	}, float: 40}
	for i, c := range [][2]float64{{0, 0}, {60, 0}, {60, 60}, {0, 60}} {
		name := fmt.Sprint("F", i+1)
		s.marks[name] = spot{c[0] + r.Float64()*4, c[1] + r.Float64()*4, 1 + r.IntN(2)}
		s.boundary = append(s.boundary, name)
	}
	for i := range 2 {
		s.put(fmt.Sprint("shed", i), 10+40*r.Float64(), 10+40*r.Float64(), 1+2*r.Float64())
	}
	for i := range 3 + r.IntN(4) {
		name := fmt.Sprint("R", i)
		s.marks[name] = spot{6 + 48*r.Float64(), 6 + 48*r.Float64(), 1 + r.IntN(2)}
		s.route = append(s.route, s.visit(r, name))
	}
	return s
}

func (s *site) visit(r *rand.Rand, mark string) visit {
	return visit{mark, 20 + 10*r.IntN(5), 20 + 10*r.IntN(4), 5 * r.IntN(2)}
}

// put sets a square obstacle on the ground.
func (s *site) put(name string, east, north, half float64) {
	var ring []string
	for i, c := range [][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		corner := fmt.Sprint(name, "c", i)
		s.marks[corner] = spot{east + half*c[0], north + half*c[1], 1}
		ring = append(ring, corner)
	}
	s.obstacles[name] = ring
}

// rename gives a mark another name wherever it is used.
func (s *site) rename(mark string) string {
	s.renamed++
	name := fmt.Sprint(strings.TrimRight(mark, "x"), strings.Repeat("x", s.renamed))
	s.marks[name] = s.marks[mark]
	delete(s.marks, mark)
	swap := func(list []string) {
		for i := range list {
			if list[i] == mark {
				list[i] = name
			}
		}
	}
	swap(s.boundary)
	for _, ring := range s.obstacles {
		swap(ring)
	}
	for i := range s.route {
		if s.route[i].mark == mark {
			s.route[i].mark = name
		}
	}
	return name
}

// change makes one change. first is the mission that a history began with: what is not
// there any more may come back.
func (s *site) change(r *rand.Rand, first site) {
	any := func(list []string) string { return list[r.IntN(len(list))] }
	move := func(name string) {
		m, by := s.marks[name], math.Pow(10, -2+2.3*r.Float64())
		angle := 2 * math.Pi * r.Float64()
		m.east, m.north = m.east+by*math.Sin(angle), m.north+by*math.Cos(angle)
		s.marks[name] = m
	}
	at := r.IntN(len(s.route))
	switch r.IntN(20) {
	case 0, 1, 2:
		move(s.route[at].mark)
	case 3:
		move(any(keys(s.marks)))
	case 4:
		name := s.rename(any(keys(s.marks)))
		if r.IntN(2) == 0 {
			move(name)
		}
	case 5, 6:
		if len(s.route) > 2 {
			s.route = slices.Delete(s.route, at, at+1)
		}
	case 7: // one that is there, or was
		mark := any(keys(s.marks))
		if old := first.route[r.IntN(len(first.route))].mark; r.IntN(3) > 0 {
			mark = old
			if _, there := s.marks[old]; !there {
				s.marks[old] = first.marks[old]
			}
		}
		if !strings.HasPrefix(mark, "F") && !strings.Contains(mark, "c") {
			s.route = slices.Insert(s.route, at, s.visit(r, mark))
		}
	case 8: // also nothing, so that what is taken out or brought back stands alone
	case 9:
		to := r.IntN(len(s.route))
		s.route[at], s.route[to] = s.route[to], s.route[at]
	case 10:
		s.route[at].speed += 10 * (r.IntN(3) - 1)
	case 11:
		s.route[at].tolerance += 5 * (r.IntN(3) - 1)
	case 12:
		s.put(fmt.Sprint("shed", r.IntN(9)), 60*r.Float64(), 60*r.Float64(), 0.5+r.Float64())
	case 13:
		if list := keys(s.obstacles); len(list) > 0 {
			delete(s.obstacles, any(list))
		}
	case 14:
		m := any(keys(s.marks))
		v := s.marks[m]
		v.uncertainty = 1 + r.IntN(3)
		s.marks[m] = v
	case 15:
		figure := any(keys(s.figures))
		s.figures[figure] = int(math.Round(float64(s.figures[figure]) * []float64{0.8, 0.9, 1.1, 1.25}[r.IntN(4)]))
	case 16:
		s.float = []int{0, 30, 40, 50}[r.IntN(4)]
	case 17:
		i := r.IntN(len(s.boundary))
		if len(s.boundary) > 4 && r.IntN(2) == 0 {
			s.boundary = slices.Delete(s.boundary, i, i+1)
			return
		}
		a, c := s.marks[s.boundary[i]], s.marks[s.boundary[(i+1)%len(s.boundary)]]
		name := fmt.Sprint("F", len(s.boundary), "n", s.renamed)
		s.renamed++
		s.marks[name] = spot{(a.east+c.east)/2 + r.Float64() - 0.5, (a.north+c.north)/2 + r.Float64() - 0.5, 1 + r.IntN(2)}
		s.boundary = slices.Insert(s.boundary, i+1, name)
	case 18:
		s.closed = !s.closed
	default:
		s.route[at].dwell = 5 * r.IntN(2)
	}
}

// remove takes something out, which may come back otherwise.
func (s *site) remove(r *rand.Rand) {
	switch r.IntN(5) {
	case 0:
		s.float = 0
	case 1:
		if i := r.IntN(len(s.boundary)); len(s.boundary) > 4 {
			s.boundary = slices.Delete(s.boundary, i, i+1)
		}
	default:
		if n := len(s.route); n > 2 {
			at := []int{0, n - 1, r.IntN(n)}[r.IntN(3)]
			s.route = slices.Delete(s.route, at, at+1)
		}
	}
}

// bringBack is something as it was in the first mission, but for a twist.
func (s *site) bringBack(r *rand.Rand, first site) {
	switch r.IntN(5) {
	case 0:
		s.float = first.float - 5
	case 1:
		s.boundary = slices.Clone(first.boundary)
		for _, m := range s.boundary {
			s.marks[m] = first.marks[m]
		}
		m := s.boundary[r.IntN(len(s.boundary))]
		v := s.marks[m]
		v.uncertainty = 1
		s.marks[m] = v
	default:
		s.route = slices.Clone(first.route)
		for _, v := range s.route {
			s.marks[v.mark] = first.marks[v.mark]
		}
		at := []int{0, len(s.route) - 1, r.IntN(len(s.route))}[r.IntN(3)] // the ends are what is taken out most
		switch v := &s.route[at]; r.IntN(3) {
		case 0:
			v.speed += 10
		case 1:
			v.tolerance += 10
		default:
			m := s.marks[v.mark]
			m.east, m.north = m.east+r.Float64()-0.5, m.north+r.Float64()-0.5
			s.marks[v.mark] = m
		}
	}
}

// silent changes a mission until a change is found of which nothing is said to loosen or
// to be looked at; not found in some tries, it gives up.
func silent(r *rand.Rand, grove string, s site, before mission, first site, usual func(s *site)) (site, mission, bool) {
	for range 25 {
		c := s.clone()
		if r.IntN(3) > 0 {
			usual(&c)
		}
		for range r.IntN(3) {
			c.change(r, first)
		}
		after := resolve("grove", c.write(grove))
		if after.plan == nil || !after.plan.Complete() {
			continue
		}
		result := compare(before, after)
		if !result.Same() && !result.Looser() && !result.ToLookAt() {
			return c, after, true
		}
	}
	return s, before, false
}

// histories are so many missions with two silent changes each, by a fixed seed.
func histories(t *testing.T, seed uint64, count int) (list [][3]mission, texts [][3]string) {
	grove := example(t, "grove")
	r := rand.New(rand.NewPCG(13, seed))
	for len(list) < count {
		a := drawn(r)
		before := resolve("grove", a.write(grove))
		require.NotNil(t, before.plan, "%v\n%s", before.findings, a.write(grove))
		if !before.plan.Complete() {
			continue
		}
		b, middle, ok := silent(r, grove, a, before, a, func(s *site) { s.remove(r) })
		if !ok {
			continue
		}
		c, after, ok := silent(r, grove, b, middle, a, func(s *site) { s.bringBack(r, a) })
		if !ok {
			continue
		}
		list = append(list, [3]mission{before, middle, after})
		texts = append(texts, [3]string{a.write(grove), b.write(grove), c.write(grove)})
	}
	return list, texts
}

// trials is how many histories are tried: HISTORIES, or a few.
func trials(t *testing.T) int {
	if s := os.Getenv("HISTORIES"); s != "" {
		n, err := strconv.Atoi(s)
		require.NoError(t, err)
		return n
	}
	return 25
}

// Two changes of which nothing is said do not loosen together, by diff itself, and by
// GEOS: the boundary of the last lies within that of the first, each obstacle of the first
// in one of the last, and a leg between the same two marks at the same speed is not nearer
// to the fence in both.
func TestNothingIsHiddenInAHistory(t *testing.T) {
	list, texts := histories(t, 1, trials(t))
	moved := 0
	for i, h := range list {
		told := func() string { return fmt.Sprintf("%s\n→\n%s\n→\n%s", texts[i][0], texts[i][1], texts[i][2]) }
		r := compare(h[0], h[2])
		if !assert.Zero(t, r.Count(Loosens), "history %d\n%s\n%s\n%s", i, printed(t, r), printed(t, compare(h[0], h[1])), printed(t, compare(h[1], h[2]))) && testing.Verbose() {
			t.Log(told())
		}
		first, last := h[0].plan, h[2].plan
		assert.True(t, tooltest.GeosBools(t, "covers", []string{polygon(first.Fence.Boundary)}, []string{polygon(last.Fence.Boundary)})[0][0], "boundary of history %d", i)
		for _, o := range first.Fence.Obstacles {
			var now []string
			for _, p := range last.Fence.Obstacles {
				now = append(now, polygon(p))
			}
			covered := slices.ContainsFunc(tooltest.GeosBools(t, "covers", now, []string{polygon(o)}), func(row []bool) bool { return row[0] })
			assert.True(t, covered, "obstacle %s of history %d", o.Name, i)
		}
		for _, l := range first.Route.Legs {
			for _, m := range last.Route.Legs {
				if l.Name != m.Name || l.ID != l.Name || m.ID != m.Name {
					continue
				}
				assert.LessOrEqual(t, m.SpeedMMPerS, l.SpeedMMPerS, "leg %s of history %d", l.Name, i)
				if l.Segment == m.Segment || l.SpeedMMPerS != m.SpeedMMPerS {
					continue
				}
				moved++
				nearer := 0
				for _, p := range []*plan.Plan{first, last} {
					mm := tooltest.GeosDistances(t, "nearestPoints", edges(p), []string{line(l), line(m)})
					was, is := math.Inf(1), math.Inf(1)
					for _, row := range mm {
						was, is = min(was, row[0]), min(is, row[1])
					}
					if is < was-2 {
						nearer++
					}
				}
				assert.Less(t, nearer, 2, "leg %s of history %d", l.Name, i)
			}
		}
	}
	assert.NotZero(t, moved, "legs that moved are among those tried")
}

func polygon(p fence.Part) string {
	var words []string
	for i := range len(p.Vertices) + 1 {
		v := p.Vertices[i%len(p.Vertices)]
		words = append(words, fmt.Sprintf("%d %d", v.E, v.N))
	}
	return "POLYGON((" + strings.Join(words, ",") + "))"
}

func edges(p *plan.Plan) (list []string) {
	for _, part := range append([]fence.Part{p.Fence.Boundary}, p.Fence.Obstacles...) {
		for i := range part.Vertices {
			e := part.Vertices.Edge(i)
			list = append(list, fmt.Sprintf("LINESTRING(%d %d,%d %d)", e.A.E, e.A.N, e.B.E, e.B.N))
		}
	}
	return list
}

func line(l plan.Leg) string {
	return fmt.Sprintf("LINESTRING(%d %d,%d %d)", l.Segment.A.E, l.Segment.A.N, l.Segment.B.E, l.Segment.B.N)
}
