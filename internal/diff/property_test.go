package diff

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/gen"
	"merestone/internal/fence"
	"merestone/internal/plan"
)

// quantities finds every quantity of a mission, with its key.
var quantities = regexp.MustCompile(`(\w+): (-?\d+(?:\.\d+)?) (cm|m|m/s|ms|s|h|Hz|%|deg)\b`)

// coordinatesIn finds every latitude and longitude.
var coordinatesIn = regexp.MustCompile(`(latitude|longitude): (\d+\.\d+)`)

// swaps are words that may stand for each other.
var swaps = [][2]string{
	{"position: averaged", "position: entered"}, {"required: fixed", "required: float"}, {"closed: false", "closed: true"},
	{"contact: normally-open", "contact: normally-closed"}, {"wired_to: ground", "wired_to: supply"}, {"pull: up", "pull: down"},
	{"kind: hold-to-run", "kind: interlock"}, {"stop_category: 0", "stop_category: 1"}, {"pulled_off: true", "pulled_off: false"}, {"coil_diode: true", "coil_diode: false"}, {"cable: false", "cable: true"},
	{"opened_by: [drive_enable, thumb switch, mushroom", "opened_by: [drive_enable, mushroom"}, {"opened_by: [drive_enable]", "opened_by: [drive_enable, thumb switch]"},
	{"reflects: true", "reflects: false"}, {"pin: 22", "pin: 23"}, {"pin: 26", "pin: 27"}, {"drive_enable: 8", "drive_enable: 9"},
	{"name: water tank", "name: tank"}, {"thumb switch", "grip"}, {"walnut-grove-rows", "grove"},
	{"2026-05-10", "2027-01-31"}, {"[F1, F2, F3, F4]", "[F4, F3, F2, F1]"}, {"[W1, W2, W3, W4]", "[W2, W3, W4, W1]"},
	{"[K1, K2]", "[K2, K1]"}, {"[K1, K2]", "[K1]"}, {"START", "GATE"}, {"W3", "W9"}, {"  mark: BASE\n", "  mark: K1\n"},
}

// mutate makes one change to a mission's text that a person could make.
func mutate(t *rapid.T, text string) string {
	lines := strings.Split(text, "\n")
	pick := func(match func(string) bool) int {
		var at []int
		for i, l := range lines {
			if match(l) {
				at = append(at, i)
			}
		}
		return rapid.SampledFrom(at).Draw(t, "line")
	}
	item := func(l string) bool { return strings.HasPrefix(l, "    - ") }
	switch rapid.SampledFrom([]string{"quantity", "quantity", "coordinate", "word", "remove", "repeat", "exchange"}).Draw(t, "sort") {
	case "quantity":
		at := rapid.SampledFrom(quantities.FindAllStringSubmatchIndex(text, -1)).Draw(t, "quantity")
		return scaled(text, at, rapid.SampledFrom([]float64{0.5, 0.8, 0.9, 0.99, 1.01, 1.1, 1.3, 2}).Draw(t, "factor"))
	case "coordinate":
		at := rapid.SampledFrom(coordinatesIn.FindAllStringSubmatchIndex(text, -1)).Draw(t, "coordinate")
		v, err := strconv.ParseFloat(text[at[4]:at[5]], 64)
		require.NoError(t, err)
		v += rapid.SampledFrom([]float64{1e-9, 3e-9, 2e-8, 1e-7, 1e-6, 5e-6}).Draw(t, "offset") * rapid.SampledFrom([]float64{-1, 1}).Draw(t, "side")
		return text[:at[4]] + strconv.FormatFloat(v, 'f', 9, 64) + text[at[5]:]
	case "word":
		swap := rapid.SampledFrom(swaps).Draw(t, "words")
		if strings.Contains(swap[0], ":") {
			return strings.Replace(text, swap[0], swap[1], 1)
		}
		return regexp.MustCompile(`\b`+regexp.QuoteMeta(strings.Trim(swap[0], "[]"))+`\b`).ReplaceAllString(text, strings.Trim(swap[1], "[]"))
	case "remove":
		i := pick(func(l string) bool { return item(l) || strings.HasPrefix(l, "  - {from") })
		lines = slices.Delete(lines, i, i+1)
	case "repeat":
		i := pick(func(l string) bool { return item(l) && !strings.Contains(l, "name:") })
		j := pick(func(l string) bool { return item(l) && !strings.Contains(l, "name:") })
		lines = slices.Insert(lines, j, lines[i])
	default: // exchange two items of the route, or two of the obstacles
		same := func(l string) bool { return item(l) && !strings.Contains(l, "name:") }
		if rapid.Bool().Draw(t, "obstacles") {
			same = func(l string) bool { return item(l) && strings.Contains(l, "name:") }
		}
		i, j := pick(same), pick(same)
		lines[i], lines[j] = lines[j], lines[i]
	}
	return strings.Join(lines, "\n")
}

// scaled multiplies the quantity at a match of quantities.
func scaled(text string, at []int, factor float64) string {
	v, err := strconv.ParseFloat(text[at[4]:at[5]], 64)
	if err != nil {
		panic(err)
	}
	return text[:at[4]] + strconv.FormatFloat(math.Round(v*factor*1e4)/1e4, 'f', -1, 64) + text[at[5]:]
}

// mirrored is a result made backwards, without the paths, the subjects (those of
// renamed things differ) and the names of further causes.
func mirrored(changes []Change, backward bool) []string {
	var out []string
	for _, c := range changes {
		if strings.HasSuffix(c.What, whereItIs) || c.What == otherGround {
			continue // only what has less now, or is elsewhere, is looked at
		}
		if c.Kind == Look { // one way round it may be neutral
			c.Kind = Neutral
		}
		if backward {
			c.Kind, c.Before, c.After = c.Kind.Reverse(), c.After, c.Before
			c.What = backwards(c.What)
			if c.Number != nil {
				n := *c.Number
				n.Before, n.After, n.Delta = n.After, n.Before, -n.Delta
				if c.What == "bearing" && math.Abs(n.Delta) == 180 {
					n.Delta = -180
				}
				c.Number = &n
			}
			if c.Move != nil {
				m := *c.Move
				m.BearingDeg = math.Mod(m.BearingDeg+180, 360)
				c.Move = &m
			}
		}
		number, move := "", ""
		if c.Number != nil {
			number = fmt.Sprintf("%.6f %s", c.Number.Delta+0, c.Number.Unit)
			if c.Number.Delta == 0 {
				number = "0 " + c.Number.Unit
			}
		}
		if c.Move != nil {
			move = fmt.Sprintf("%.5f m", c.Move.DistanceM)
		}
		if c.Number != nil && c.Number.Unit == "d" {
			c.Number = nil
		}
		out = append(out, fmt.Sprintf("%v|%s|%s|%s|%s|%s|%d|%s", c.Kind, c.What, c.Before, c.After, number, move, len(c.Also), strings.Join(mirrored(c.Effects, backward), "&")))
	}
	slices.Sort(out)
	return out
}

func headers(m mission) ([]byte, bool) {
	files, err := gen.Files(m.plan, "test")
	if err != nil {
		return nil, false
	}
	return files[0].Data, true
}

// For any two missions one or two mutations apart: a mission does not differ
// from itself; backwards says the same backwards; and the header's bytes differ,
// by its digest at least, where and only where the missions do.
func TestProperties(t *testing.T) {
	text := example(t, "grove")
	compiled := 0
	rapid.Check(t, func(t *rapid.T) {
		first := text
		if rapid.Bool().Draw(t, "mutate both") {
			first = mutate(t, first)
		}
		a, b := resolve("grove", first), resolve("grove", mutate(t, first))
		there, back := compare(a, b), compare(b, a)
		assert.Empty(t, compare(b, b).Changes, "a mission and itself")
		assert.Equal(t, mirrored(there.Changes, false), mirrored(back.Changes, true), "backwards")
		assert.Equal(t, there.Count(Loosens), back.Count(Tightens))

		x, ok1 := headers(a)
		y, ok2 := headers(b)
		if ok1 && ok2 {
			compiled++
			if !bytes.Equal(x, y) {
				assert.False(t, there.Same(), "the headers differ")
				assert.False(t, back.Same(), "the headers differ")
			} else {
				assert.True(t, there.Same(), "the headers are the same: %v", there.Changes)
			}
			if there.Same() {
				assert.True(t, canonicalOf(a) == canonicalOf(b), "no difference, so the canonical text is the same")
			}
		}
		for _, write := range []func(*bytes.Buffer, Result) error{
			func(w *bytes.Buffer, r Result) error { return WriteText(w, r) },
			func(w *bytes.Buffer, r Result) error { return WriteMarkdown(w, r) },
			func(w *bytes.Buffer, r Result) error { return WriteJSON(w, r) },
		} {
			var out bytes.Buffer
			require.NoError(t, write(&out, there))
			assert.NotContains(t, out.String(), "NaN")
		}
		var out bytes.Buffer
		require.NoError(t, WriteJSON(&out, there))
		assert.True(t, json.Valid(out.Bytes()))
	})
	assert.Greater(t, compiled, 10, "missions that compile must be among those tried")
}

func canonicalOf(m mission) string {
	var out bytes.Buffer
	if err := WriteCanonical(&out, m.plan, nil); err != nil {
		panic(err)
	}
	return out.String()
}

// more says for a key of the mission file whether more of it loosens (+1) or
// tightens (-1): an opinion of its own, by key and not by what the plan makes of
// it. Keys that are left out are neutral.
var more = map[string]int{
	"confidence": -1, "averaged_for": -1, "uncertainty": -1, "fix_rate": -1, "latency": -1, "stale_after": +1,
	"fixed": -1, "float": -1, "width": -1, "length": -1, "cruise": +1, "minimum": -1, "from": +1, "distance": -1,
	"boundary_height": -1, // of the sky that site.sky counts as open
	"cross_track":     +1, "motor_lag": -1, "heading_uncertainty": -1, "tilt": -1,
	"arrival_tolerance": +1, "speed": +1, "radius": -1, "debounce": +1, "discrepancy": +1, "loop": +1, "off_delay": -1, "watchdog": +1,
}

// One figure alone is changed: nothing may then be said to go the other way, and
// unless the change is lost in rounding, something goes this way.
func TestNoFigureIsJudgedTheWrongWay(t *testing.T) {
	text := example(t, "grove")
	before := resolve("grove", text)
	seen := map[string]bool{}
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.SampledFrom(quantities.FindAllStringSubmatchIndex(text, -1)).Draw(t, "quantity")
		factor := rapid.SampledFrom([]float64{0.7, 0.9, 1.1, 1.4}).Draw(t, "factor")
		name := text[at[2]:at[3]]
		direction := more[name]
		if strings.Contains(text[strings.LastIndexByte(text[:at[0]], '\n')+1:at[0]], "measured") && name == "uncertainty" {
			direction = +1 // of a tape: the check accepts more
		}
		if strings.Contains(text[strings.LastIndexByte(text[:at[0]], '\n')+1:at[0]], "antenna:") && name == "height" || strings.Contains(text[strings.LastIndexByte(text[:at[0]], '\n')+1:at[0]], "{name:") && name == "height" {
			direction = -1
		}
		if factor < 1 {
			direction = -direction
		}
		r := compare(before, resolve("grove", scaled(text, at, factor)))
		loosens, tightens := r.Count(Loosens), r.Count(Tightens)
		switch {
		case direction > 0:
			assert.Zero(t, tightens, "%s × %v: %s", name, factor, printed(t, r))
			assert.Equal(t, !r.Same(), loosens > 0, "%s × %v: %s", name, factor, printed(t, r))
		case direction < 0:
			assert.Zero(t, loosens, "%s × %v: %s", name, factor, printed(t, r))
			assert.Equal(t, !r.Same(), tightens > 0, "%s × %v: %s", name, factor, printed(t, r))
		default:
			assert.Zero(t, loosens+tightens, "%s × %v: %s", name, factor, printed(t, r))
		}
		seen[name] = true
	})
	assert.Greater(t, len(seen), 10, "figures tried: %v", seen)
}

// Marks are moved at random, of route and fence alike. Legs: whether each is
// nearer to or farther from the old fence is reckoned by brute force, in
// floating point. Ground: sampled points say what may be entered now and might
// not before.
func TestNoMoveIsJudgedTheWrongWay(t *testing.T) {
	text := example(t, "grove")
	before := resolve("grove", text)
	tried := map[[2]bool]int{}
	line := regexp.MustCompile(`  (\w+): +\{latitude: (\d+\.\d+), longitude: (\d+\.\d+)`)
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.SampledFrom(line.FindAllStringSubmatchIndex(text, -1)[3:]).Draw(t, "mark") // not the base and the control marks
		shift := func(from, to int) string {
			v, err := strconv.ParseFloat(text[from:to], 64)
			require.NoError(t, err)
			return strconv.FormatFloat(v+float64(rapid.IntRange(-8000, 8000).Draw(t, "shift"))*1e-9, 'f', 9, 64)
		}
		changed := text[:at[4]] + shift(at[4], at[5]) + text[at[5]:at[6]] + shift(at[6], at[7]) + text[at[7]:]
		after := resolve("grove", changed)
		r := compare(before, after)
		sameGround := slices.Equal(before.plan.Fence.Boundary.Vertices, after.plan.Fence.Boundary.Vertices) && slices.EqualFunc(before.plan.Fence.Obstacles, after.plan.Fence.Obstacles,
			func(x, y fence.Part) bool { return slices.Equal(x.Vertices, y.Vertices) && x.Circle == y.Circle })
		for i, l := range before.plan.Route.Legs {
			m := after.plan.Route.Legs[i]
			near := nearest(before.plan, m) - nearest(before.plan, l)
			said := find(r.Changes, "leg "+l.Name, "clearance")
			switch {
			case !sameGround:
				for _, c := range said {
					assert.Equal(t, Neutral, c.Kind, "only the fence moved")
				}
			case near < -2:
				require.Len(t, said, 1, "%s: %v mm nearer", l.Name, near)
				assert.Equal(t, Loosens, said[0].Kind)
			case near > 2:
				require.Len(t, said, 1, "%s: %v mm farther", l.Name, near)
				assert.Equal(t, Tightens, said[0].Kind)
			}
		}
		if sameGround {
			return
		}
		// Points around each corner of both fences.
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		for _, p := range []*plan.Plan{before.plan, after.plan} {
			for _, m := range p.Fence.Marks() {
				for range 20 {
					e := float64(p.Survey.Marks[m.Number].Point.E) + (random.Float64()-0.5)*1200
					n := float64(p.Survey.Marks[m.Number].Point.N) + (random.Float64()-0.5)*1200
					was, is := allowed(before.plan, e, n), allowed(after.plan, e, n)
					if is && !was {
						assert.NotZero(t, r.Count(Loosens), "%v, %v may be entered now\n%s", e, n, printed(t, r))
					}
					if was && !is {
						assert.NotZero(t, r.Count(Tightens), "%v, %v may not be entered any more\n%s", e, n, printed(t, r))
					}
					tried[[2]bool{was, is}]++
				}
			}
		}
	})
	assert.NotZero(t, tried[[2]bool{false, true}], "points that may be entered now")
	assert.NotZero(t, tried[[2]bool{true, false}], "points that may not any more")
}

// allowed reports whether a point may be entered, by counting crossings of a
// ray, for rings alone.
func allowed(p *plan.Plan, e, n float64) bool {
	within := func(marks []fence.Mark) bool {
		odd := false
		for i := range marks {
			a, b := p.Survey.Marks[marks[i].Number].Point, p.Survey.Marks[marks[(i+1)%len(marks)].Number].Point
			if (float64(a.N) > n) != (float64(b.N) > n) && e < float64(a.E)+(n-float64(a.N))/float64(b.N-a.N)*float64(b.E-a.E) {
				odd = !odd
			}
		}
		return odd
	}
	if !within(p.Fence.Boundary.Marks) {
		return false
	}
	for _, o := range p.Fence.Obstacles {
		if !o.IsCircle && within(o.Marks) {
			return false
		}
	}
	return true
}

// nearest is the distance of a leg from the fence in millimetres, by every edge
// and every circle, as long as they do not meet.
func nearest(p *plan.Plan, l plan.Leg) float64 {
	best := math.Inf(1)
	type xy struct{ e, n float64 }
	toSegment := func(q, a, b xy) float64 {
		d := xy{b.e - a.e, b.n - a.n}
		s := 0.0
		if d.e != 0 || d.n != 0 {
			s = min(1, max(0, ((q.e-a.e)*d.e+(q.n-a.n)*d.n)/(d.e*d.e+d.n*d.n)))
		}
		return math.Hypot(q.e-a.e-s*d.e, q.n-a.n-s*d.n)
	}
	at := func(mark int) xy {
		return xy{float64(p.Survey.Marks[mark].Point.E), float64(p.Survey.Marks[mark].Point.N)}
	}
	a, b := xy{float64(l.Segment.A.E), float64(l.Segment.A.N)}, xy{float64(l.Segment.B.E), float64(l.Segment.B.N)}
	ring := func(marks []fence.Mark) {
		for i := range marks {
			c, d := at(marks[i].Number), at(marks[(i+1)%len(marks)].Number)
			best = min(best, toSegment(a, c, d), toSegment(b, c, d), toSegment(c, a, b), toSegment(d, a, b))
		}
	}
	ring(p.Fence.Boundary.Marks)
	for _, o := range p.Fence.Obstacles {
		if o.IsCircle {
			best = min(best, toSegment(at(o.Marks[0].Number), a, b)-float64(o.Circle.RadiusMM))
		} else {
			ring(o.Marks)
		}
	}
	return best
}
