// Missions that are wrong in one place only: an accepted one with one value, key or
// name changed to what the language must refuse. Each is refused with a finding on
// the very line.
package gen_test

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/figures"
	"merestone/internal/plan"
	"merestone/spec"
)

// marker stands before what was changed until the text is written and its line is
// known.
const marker = "\u2603"

// leaf is a value in one piece, or a key, in the tree of a mission.
type leaf struct {
	path  string // "rover.speed.cruise", without the numbers of entries
	value *written
	of    *written // the block that holds the key
	index int      // of the key in that block, -1 for an entry of a list
}

func leaves(v *written, path string) (all []leaf) {
	for i := range v.keys {
		k := &v.keys[i]
		name := k.key
		if path == "marks" {
			name = "NAME"
		}
		at := strings.TrimPrefix(path+"."+name, ".")
		all = append(all, leaf{at, &k.value, v, i})
		all = append(all, leaves(&k.value, at)...)
	}
	for i := range v.list {
		all = append(all, leaf{path, &v.list[i], v, -1})
		all = append(all, leaves(&v.list[i], path)...)
	}
	return all
}

// bound is a limit of the language's reference: the least and greatest value in
// small units, and whether the least is out itself.
type bound struct {
	low, high int64
	open      bool
	units     []unit
}

func bounds() map[string]bound {
	board16 := int64(65_535 * mm)
	minute, hour, degree := int64(60*sec), int64(3600*sec), int64(sec)
	height := bound{-600 * m, 9_000 * m, false, lengths()}
	tolerance := bound{0, board16, true, lengths()}
	return map[string]bound{
		"confidence":                        {50_0000, 99_9900, false, ratios()},
		"site.origin.height":                height,
		"site.overhead.radius":              {0, 20_000 * m, true, lengths()},
		"marks.NAME.height":                 height,
		"base.averaged_for":                 {0, 10_000 * hour, true, durations()},
		"receiver.fix_rate":                 {m / 10, 100 * m, false, rates()},
		"receiver.latency":                  {0, minute, false, durations()},
		"receiver.stale_after":              {0, minute, true, durations()},
		"rover.turn_radius":                 {0, 100 * m, false, lengths()},
		"rover.turning_centre":              {-100 * m, 100 * m, false, lengths()},
		"rover.cross_track":                 {0, board16, false, lengths()},
		"rover.coast.distance":              {0, board16, true, lengths()},
		"rover.motor_lag":                   {0, minute, false, durations()},
		"rover.heading_uncertainty":         {0, 180 * degree, true, angles()},
		"rover.tilt":                        {0, 60 * degree, false, angles()},
		"rover.antenna.forward":             {-100 * m, 100 * m, false, lengths()},
		"rover.antenna.right":               {-100 * m, 100 * m, false, lengths()},
		"rover.antenna.height":              {0, 100 * m, false, lengths()},
		"rover.compass.from_antenna":        {0, 100 * m, false, lengths()},
		"tape.measured":                     {0, 50_000 * m, true, lengths()},
		"route.arrival_tolerance":           tolerance,
		"route.waypoints.arrival_tolerance": tolerance,
		"route.waypoints.dwell":             {0, 24 * hour, false, durations()},
		"geofence.boundary_height":          {0, 1_000 * m, true, lengths()},
		"geofence.obstacles.height":         {0, 1_000 * m, true, lengths()},
		"geofence.obstacles.radius":         {0, 20_000 * m, true, lengths()},
		"holds.debounce":                    {0, 10 * sec, false, durations()},
		"holds.discrepancy":                 {0, 10 * sec, true, durations()},
		"board.loop":                        {0, minute, true, durations()},
		"board.watchdog":                    {0, minute, true, durations()},
		"drive_path.off_delay":              {0, 10 * sec, false, durations()},
		"holds.radio.delay":                 {0, 10 * sec, false, durations()},
		"holds.radio.loss_of_signal":        {0, 10 * sec, false, durations()},
	}
}

// fault is one way to spoil a mission.
type fault struct {
	what  string
	fits  func(l leaf) bool
	spoil func(r *rand.Rand, l leaf)
	rules []diag.ID // one of which must be on the line
}

// says makes a value another text, written plain.
func says(l leaf, text string) {
	*l.value = written{kind: 's', bare: true, same: marker, text: func() string { return marker + text }}
}

func hasUnit(l leaf) bool {
	if l.value.kind != 's' {
		return false
	}
	kind, _, _ := strings.Cut(l.value.same, " ")
	return slices.Contains([]string{"mm", "m/s", "ms", "deg", "Hz", "%", "ohm", "V"}, kind)
}

func isCoordinate(l leaf) bool {
	return strings.HasSuffix(l.path, ".latitude") || strings.HasSuffix(l.path, ".longitude")
}

// named is a key that the language knows; the names of marks are the author's.
func named(l leaf) bool { return l.index >= 0 && l.path != "marks.NAME" }

func faults() []fault {
	text := func(l leaf) string { return l.value.text() }
	number := func(l leaf) string {
		t := text(l)
		return strings.TrimSpace(t[:strings.LastIndexAny(t, "0123456789.")+1])
	}
	same := func(prefix string) func(l leaf) bool {
		return func(l leaf) bool { return l.value.kind == 's' && strings.HasPrefix(l.value.same, prefix) }
	}
	written := func(l leaf) bool { return l.value.kind == 's' }
	isBound := func(l leaf) bool { _, ok := bounds()[l.path]; return ok && hasUnit(l) }
	is := func(words ...string) func(l leaf) bool {
		return func(l leaf) bool {
			return written(l) && slices.Contains(words, l.path[strings.LastIndex(l.path, ".")+1:])
		}
	}
	reference := is("mark", "boundary", "ring", "centre", "control_marks", "from", "to")
	return []fault{
		{"a unit of another kind", hasUnit, func(r *rand.Rand, l leaf) {
			other := map[string]string{"mm": "ms", "m/s": "m", "ms": "m", "deg": "m", "Hz": "s", "%": "deg", "ohm": "V", "V": "ohm"}
			kind, _, _ := strings.Cut(l.value.same, " ")
			says(l, number(l)+" "+other[kind])
		}, []diag.ID{"spec.bad-quantity"}},
		{"a unit that there is not", hasUnit, func(r *rand.Rand, l leaf) {
			says(l, number(l)+pick(r, " ft", " M", " µm", "m s", " KM", " Deg", " hz", "°"))
		}, []diag.ID{"spec.bad-quantity"}},
		{"no unit", hasUnit, func(r *rand.Rand, l leaf) { says(l, number(l)) }, []diag.ID{"spec.no-unit"}},
		{"a decimal comma", hasUnit, func(r *rand.Rand, l leaf) { says(l, "'1,5"+strings.TrimPrefix(text(l), number(l))+"'") }, []diag.ID{"spec.bad-quantity"}},
		{"an exponent", hasUnit, func(r *rand.Rand, l leaf) { says(l, "1e0"+strings.TrimPrefix(text(l), number(l))) }, []diag.ID{"spec.bad-quantity"}},
		{"a least unit too much", isBound, func(r *rand.Rand, l leaf) {
			b := bounds()[l.path]
			step := int64(1)
			*l.value = speltFrom(r, b.high+step, b.units)
		}, []diag.ID{"spec.out-of-range"}},
		{"a least unit too little", isBound, func(r *rand.Rand, l leaf) {
			b := bounds()[l.path]
			low := b.low - 1
			if b.open {
				low = b.low
			}
			*l.value = speltFrom(r, low, b.units)
		}, []diag.ID{"spec.out-of-range"}},
		{"a key misspelt", named, func(r *rand.Rand, l leaf) {
			key := l.of.keys[l.index].key
			at := r.IntN(len(key))
			l.of.keys[l.index].key = marker + pick(r, key[:at]+key[at:at+1]+key[at:], strings.ToUpper(key), key+"s", "x"+key, strings.Replace(key+"-", "_", "-", 1))
		}, []diag.ID{"spec.unknown-key"}},
		{"a key twice", named, func(r *rand.Rand, l leaf) {
			k := l.of.keys[l.index]
			l.of.keys = append(l.of.keys, pair{marker + k.key, k.value})
		}, []diag.ID{"spec.duplicate-key"}},
		{"no value", func(l leaf) bool { return named(l) && l.value.kind != 'l' && l.path != "marks" }, func(r *rand.Rand, l leaf) {
			says(l, pick(r, "", "~", "null"))
		}, []diag.ID{"spec.empty-value"}},
		{"a list in place of a value", func(l leaf) bool { return named(l) && written(l) }, func(r *rand.Rand, l leaf) { says(l, "[1, 2]") }, []diag.ID{"spec.wrong-type"}},
		{"a value in place of a block", func(l leaf) bool { return named(l) && l.value.kind == 'm' }, func(r *rand.Rand, l leaf) { says(l, "1 m") }, []diag.ID{"spec.wrong-type"}},
		{"a truth in other words", same("truth "), func(r *rand.Rand, l leaf) { says(l, pick(r, "yes", "True", "on", "TRUE", "'true'", `"false"`, "1")) }, []diag.ID{"spec.wrong-type"}},
		{"a whole number in quotation marks", same("number "), func(r *rand.Rand, l leaf) { says(l, `"`+text(l)+`"`) }, []diag.ID{"spec.wrong-type"}},
		{"a whole number in another notation", same("number "), func(r *rand.Rand, l leaf) {
			says(l, pick(r, "0x"+text(l), "0"+text(l), "+"+text(l), text(l)+".0", text(l)+"e0", "1_0"))
		}, []diag.ID{"spec.wrong-type"}},
		{"a negative number", same("number "), func(r *rand.Rand, l leaf) { says(l, "-1") }, []diag.ID{"spec.wrong-type"}},
		{"a word misspelt", is("kind", "contact", "wired_to", "pull", "pulls", "required", "position", "float"), func(r *rand.Rand, l leaf) {
			if hasUnit(l) { // the uncertainty of a float solution
				says(l, number(l)+" furlong")
				return
			}
			says(l, pick(r, text(l)+"x", strings.ToUpper(text(l)), text(l)[1:]))
		}, []diag.ID{"spec.unknown-word", "spec.bad-quantity"}},
		{"a mark that there is not", func(l leaf) bool { return reference(l) && !hasUnit(l) }, func(r *rand.Rand, l leaf) { says(l, "nowhere at all") }, []diag.ID{"spec.unknown-mark"}},
		{"a coordinate that there is not", isCoordinate, func(r *rand.Rand, l leaf) {
			says(l, pick(r, "180.000000001", "-180.000000001", "1e1", "45°60'N", "45.3°", "+45°N", "'45,3'", "45°18'04\"n", "45.", ".5", "--1", "45°18'60\"N", "north", "181°E"))
		}, []diag.ID{"spec.bad-coordinate"}},
		{"a day that there is not", is("date"), func(r *rand.Rand, l leaf) {
			says(l, pick(r, "2026-02-29", "2026-13-01", "2026-00-10", "2026-04-31", "2026-4-1", "01.02.2026", "2026-02-01T00:00:00Z", "26-02-01", "0000-01-01", "2026/02/01", "today"))
		}, []diag.ID{"spec.bad-date"}},
		{"a name that C cannot have", func(l leaf) bool { return l.path == "mission" || is("name")(l) }, func(r *rand.Rand, l leaf) {
			says(l, pick(r, "-x", "int", "a.b", "b/c", "ä", "x*/y", "'a\"b'", strings.Repeat("x", 49), "' x'"))
		}, []diag.ID{"spec.bad-name"}},
	}
}

// speltFrom is a value in some spelling.
func speltFrom(r *rand.Rand, v int64, units []unit) written {
	w := (&speller{r: r}).amount(v, units)
	of := w.text
	w.bare, w.same, w.text = true, marker, func() string { return marker + of() }
	return w
}

func TestOneFaultIsToldOnItsLine(t *testing.T) {
	for _, seed := range seeds(t) {
		r := rand.New(rand.NewPCG(seed, 1))
		tried := map[string]int{}
		for number := range *missions / 2 {
			mo := newModel(r, number)
			for _, fault := range faults() {
				s := &speller{r: r, plain: true, newlines: "\n", inMarks: mo.marks}
				top := mo.tree(s)
				all := slices.DeleteFunc(leaves(&top, ""), func(l leaf) bool { return !fault.fits(l) })
				if len(all) == 0 {
					continue
				}
				l := all[r.IntN(len(all))]
				fault.spoil(r, l)
				text := s.write(top)
				before, after, ok := strings.Cut(text, marker)
				require.True(t, ok && !strings.Contains(after, marker), "%s\n%s", fault.what, text)
				text, line := before+after, 1+strings.Count(before, "\n")
				tried[fault.what]++

				findings := spec.Parse("mission.yaml", []byte(text), nil).Findings
				told := slices.ContainsFunc(findings, func(f diag.Finding) bool {
					here := f.At.Line == line
					for _, related := range f.Related {
						here = here || related.At.Line == line && f.Rule == "spec.duplicate-key"
					}
					return here && f.Severity == diag.Error && slices.Contains(fault.rules, f.Rule)
				})
				if !told {
					require.Fail(t, "not told on its line", "seed %d: %s, %s in line %d:\n%s\n%s\n%v", seed, fault.what, l.path, line, strings.Split(text, "\n")[line-1], text, errorsOf(findings))
				}
			}
		}
		for _, fault := range faults() {
			require.NotZero(t, tried[fault.what], fault.what)
		}
	}
}

// The limits themselves are within: the language has nothing against them.
func TestTheLimitItselfIsRead(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	read := map[string]bool{}
	for number := range 30 {
		mo := newModel(r, number)
		for range 20 {
			s := &speller{r: r, plain: true, newlines: "\n", inMarks: mo.marks}
			top := mo.tree(s)
			all := slices.DeleteFunc(leaves(&top, ""), func(l leaf) bool { _, ok := bounds()[l.path]; return !ok || !hasUnit(l) })
			l := all[r.IntN(len(all))]
			b := bounds()[l.path]
			v := b.high
			if r.IntN(2) == 0 {
				v = b.low
				if b.open {
					v++
				}
			}
			*l.value = speltFrom(r, v, b.units)
			text := strings.Replace(s.write(top), marker, "", 1)
			findings := spec.Parse("mission.yaml", []byte(text), nil).Findings
			require.Empty(t, errorsOf(findings), "%s\n%s", l.path, text)
			read[l.path] = true
		}
	}
	for path := range bounds() {
		require.True(t, read[path], path)
	}
}

// A digit before the others is another mission: refused, of another digest, or told to be
// of no use.
func TestADigitMoreIsAnotherMission(t *testing.T) {
	for _, seed := range seeds(t) {
		r := rand.New(rand.NewPCG(seed, 3))
		for number := range *missions / 4 {
			mo, sound, _, _ := driveable(t, r, number, map[diag.ID]int{})
			for range 3 {
				s := &speller{r: r, plain: true, newlines: "\n", inMarks: mo.marks}
				top := mo.tree(s)
				all := slices.DeleteFunc(leaves(&top, ""), func(l leaf) bool { return !hasUnit(l) || strings.HasSuffix(l.value.same, " 0") })
				l := all[r.IntN(len(all))]
				value := l.value.text()
				digits := strings.TrimLeft(value, "+-")
				says(l, value[:len(value)-len(digits)]+"1"+digits)
				text := s.write(top)
				line := 1 + strings.Count(text[:strings.Index(text, marker)], "\n")
				text = strings.Replace(text, marker, "", 1)
				found := loaded([]byte(text), nil)
				unused := found.Plan != nil && slices.ContainsFunc(found.Plan.Unused, func(u plan.Unused) bool { return u.At.Line == line })
				if found.Refused() || unused {
					continue
				}
				require.NotEqual(t, figures.Digest(sound.Plan), figures.Digest(found.Plan), "seed %d: %s in line %d, was %s:\n%s", seed, l.path, line, value, text)
			}
		}
	}
}
