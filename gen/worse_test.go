// No input made worse (wider, faster, later, steeper, less certain, nearer) turns a
// refusal into an acceptance: random missions at their just-refused limits, in which one
// more key is made worse by a small step or a large one.
//
// For longer
//
//	go test ./gen -run Worse -missions 400 -seed 3 -timeout 1h
package gen_test

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/pipeline"
	"merestone/internal/source"
	"merestone/spec"
)

// direction says which way a key of the language gets worse.
type direction struct {
	way   way
	words []string // in place of a way, each worse than the one before
	// but are rules that ask for more of it as well as for less: what is worse for the
	// others mends these.
	but []diag.ID
	why string // of a key without a direction, or of but
}

type way int

const (
	none way = iota
	more
	less
	away // from zero, either way
)

// directions has every key of the language that holds a value, as leaves name it. It is
// an opinion of its own: that of diff, on what loosens, is another question, since a
// figure that is claimed to be better loosens.
func directions() map[string]direction {
	place := direction{why: "a place is neither worse nor better"}
	name := direction{why: "a name"}
	circuit := direction{why: "another circuit, which the table of faults judges"}
	d := map[string]direction{
		"mission": name, "marks_file": name,
		"confidence":           {way: more, why: "more is asked for"},
		"site.origin.latitude": place, "site.origin.longitude": place, "site.origin.height": place,
		"site.date":              {why: "the declination of another day"},
		"site.slope":             {way: more, but: []diag.ID{"slope.bound", "slope.tilt"}, why: "that of the legs is then what is said"},
		"site.overhead.name":     name,
		"site.overhead.kind":     {words: []string{"canopy", "roof"}},
		"site.overhead.centre":   place,
		"site.overhead.radius":   {way: more},
		"site.overhead.ring":     place,
		"site.overhead.height":   {way: more},
		"site.overhead.headroom": {way: less},

		"base.mark":          place,
		"base.position":      {words: []string{"entered", "averaged"}},
		"base.averaged_for":  {way: less},
		"base.rotation":      {words: []string{"false", "true"}},
		"base.uncertainty":   {way: more},
		"base.control_marks": {why: "a list of places: the mean of fewer may be better, where the others are poor"},

		"receiver.fix_rate":          {way: less},
		"receiver.latency":           {way: more},
		"receiver.stale_after":       {way: more, but: []diag.ID{"arrival.stale"}, why: "too short, the rover stops all the time"},
		"receiver.uncertainty.fixed": {way: more},
		"receiver.uncertainty.float": {way: more},
		"receiver.required":          {words: []string{"fixed", "float"}},

		"rover.width":                     {way: more},
		"rover.length":                    {way: more},
		"rover.speed.cruise":              {way: more, but: []diag.ID{"arrival.speed"}, why: "legs with a speed of their own may be slower or faster than it"},
		"rover.speed.minimum":             {way: more},
		"rover.coast.from":                {way: less, but: []diag.ID{"plausible.figure"}, why: "a coast may be too short to be true"},
		"rover.coast.distance":            {way: more, but: []diag.ID{"plausible.figure"}, why: "a coast may be too short to be true"},
		"rover.coast.downhill":            {way: less},
		"rover.turn_radius":               {way: more, but: []diag.ID{"arrival.tolerance", "line.cross-track"}, why: "a rover that turns on the spot stops for it, and its roll-out counts; and who turns wide is steered farther ahead"},
		"rover.turning_centre":            {why: "away from the antenna it carries that along, away from the middle the body sweeps more"},
		"rover.cross_track":               {way: more, but: []diag.ID{"line.cross-track"}, why: "it is what the line needs"},
		"rover.motor_lag":                 {way: more},
		"rover.heading_uncertainty":       {way: more},
		"rover.tilt":                      {way: more},
		"rover.antenna.forward":           {way: away, but: []diag.ID{"line.cross-track"}, why: "a longer arm is steered farther ahead, or does not trail"},
		"rover.antenna.right":             {way: away, but: []diag.ID{"line.cross-track"}, why: "the same"},
		"rover.antenna.height":            {way: more, but: []diag.ID{"site.sky"}, why: "a higher antenna leans further, and sees more"},
		"rover.compass.from_antenna":      {way: less},
		"marks.NAME.latitude":             place,
		"marks.NAME.longitude":            place,
		"marks.NAME.height":               {why: "which way a leg falls; its slope is judged"},
		"marks.NAME.setup":                {why: "another survey"},
		"marks.NAME.same_as":              {why: "another survey"},
		"marks.NAME.uncertainty":          {way: more, but: []diag.ID{"tape.distance", "measured.fit"}, why: "a mark that is honest about it explains a tape"},
		"marks.NAME.bearing_uncertainty":  {way: more, but: []diag.ID{"tape.distance", "measured.fit"}, why: "a mark that is honest about it explains a tape"},
		"marks.NAME.distance_uncertainty": {way: more, but: []diag.ID{"tape.distance", "measured.fit"}, why: "the same"},
		"marks.NAME.tapes.uncertainty":    {way: more, but: []diag.ID{"tape.distance", "measured.fit"}, why: "the same"},
		"marks.NAME.side":                 place,
		"rows.name":                       name,
		"rows.count":                      {why: "marks that others may use"},
		"rows.uncertainty":                {way: more, but: []diag.ID{"tape.distance", "measured.fit"}, why: "a mark that is honest about it explains a tape"},
		"rings.name":                      name,
		"rings.side":                      place,
		"rings.uncertainty":               {way: more, but: []diag.ID{"tape.distance", "measured.fit"}, why: "the same"},
		"tape.from":                       place,
		"tape.to":                         place,
		"tape.measured":                   {why: "a reading"},
		"tape.uncertainty":                {way: more, but: []diag.ID{"tape.distance"}, why: "the same"},
		"route.closed":                    {why: "another route"},
		"route.arrival_tolerance":         tolerance(),
		"route.speed":                     speed(),
		"route.waypoints":                 place,
		"route.waypoints.mark":            place,
		"route.waypoints.speed":           speed(),
		"route.waypoints.dwell":           {why: "whether the rover stops there, and it stands still meanwhile"},
		"geofence.boundary":               place,
		"geofence.boundary_height":        {way: more},
		"geofence.boundary_reflects":      {words: []string{"false", "true"}},
		"geofence.obstacles.name":         name,
		"geofence.obstacles.centre":       place,
		"geofence.obstacles.radius":       {way: more},
		"geofence.obstacles.ring":         place,
		"geofence.obstacles.height":       {way: more},
		"geofence.obstacles.reflects":     {words: []string{"false", "true"}},

		"holds.name": name, "holds.kind": {why: "another duty"},
		"holds.debounce":      {way: more},
		"holds.stop_filter":   {way: more},
		"holds.discrepancy":   {way: more},
		"holds.stop_category": {words: []string{"0", "1", "2"}},

		"holds.radio.delay":            {way: more},
		"holds.radio.loss_of_signal":   {way: more},
		"holds.common_cause.cable":     {words: []string{"false", "true"}},
		"holds.common_cause.connector": {words: []string{"false", "true"}},
		"holds.common_cause.supply":    {words: []string{"false", "true"}},
		"holds.common_cause.actuator":  {words: []string{"false", "true"}},

		"drive_path.name": name, "drive_path.kind": {why: "another part"},
		"drive_path.opened_by":  {why: "a list of names: one less is worse, and is no word"},
		"drive_path.off_delay":  {way: more},
		"drive_path.coil_diode": {why: "off_delay counts it"},
		"drive_path.pulled_off": {words: []string{"true", "false"}},
		"drive_path.covered":    {why: "the author's own words"},

		"board.input_pins":           {why: "which pins there are"},
		"board.pulls":                {why: "what there is"},
		"board.outputs.drive_enable": {why: "a pin"},
		"board.integer_bits":         {why: "the header computes in 32"},
		"board.float":                {why: "the header computes in integers"},
		"board.loop":                 {way: more},
		"board.watchdog":             {way: more},
		"board.covered":              {why: "the author's own words"},
		"board.resistor_tolerance":   {way: more},
		"board.flash":                {way: less},
		"board.instructions":         {way: less},
		"board.logic.supply":         {why: "the thresholds are judged with it"},
		"board.logic.low_below":      {way: less},
		"board.logic.high_above":     {way: more},
		"board.logic.pull_least":     {way: less},
		"board.logic.pull_most":      {way: more},
	}
	for _, k := range []string{"date", "repeat_by", "stopping.from", "stopping.time", "stopping.distance", "stopping.downhill", "coast.from", "coast.distance", "coast.downhill", "passed"} {
		d["commissioning."+k] = direction{why: "a record of what was measured"}
	}
	for _, k := range []string{"marks.NAME.from", "marks.NAME.east", "marks.NAME.north", "marks.NAME.bearing", "marks.NAME.magnetic_bearing", "marks.NAME.date", "marks.NAME.distance",
		"marks.NAME.tapes.from", "marks.NAME.tapes.distance", "marks.NAME.towards", "marks.NAME.chainage", "marks.NAME.right",
		"rows.from", "rows.towards", "rows.first", "rows.step", "rows.right", "rings.from", "rings.towards", "rings.chainage", "rings.right", "rings.length", "rings.widths"} {
		d[k] = place
	}
	d["route.waypoints.arrival_tolerance"] = tolerance()
	for _, channel := range []string{"holds.", "holds.second_channel."} {
		for _, k := range []string{"pin", "contact", "wired_to", "pull", "pull_resistor", "series_resistor", "return_wire"} {
			d[channel+k] = circuit
		}
	}
	return d
}

func tolerance() direction {
	return direction{way: more, but: []diag.ID{"arrival.tolerance", "precision.decimals", "arrival.turn"}, why: "a wider one is easier to meet, and its standoff has room for a wider swing"}
}

func speed() direction {
	return direction{way: more, but: []diag.ID{"arrival.speed", "line.cross-track"}, why: "the rover may not be able to drive as slowly; and who drives faster is steered farther ahead"}
}

// keyLine is a line of the reference of the language: path, what it holds.
var keyLine = regexp.MustCompile("(?m)^\\| `([^`]+)` \\| ([^|]+) \\|")

// Every key that holds a value has its direction, or why it has none; and there are no
// others.
func TestEveryKeyHasItsWorseWay(t *testing.T) {
	all, seen := directions(), map[string]bool{}
	for _, line := range keyLine.FindAllStringSubmatch(spec.Reference(), -1) {
		path := strings.ReplaceAll(line[1], "[]", "")
		d, ok := all[path]
		if strings.Contains(line[2], "block") && !ok {
			continue // its keys have
		}
		assert.True(t, ok, "%s: which way is it worse?", path)
		if d.way == none && d.words == nil || len(d.but) > 0 {
			assert.NotEmpty(t, d.why, "%s: why not?", path)
		}
		seen[path] = true
	}
	for path := range all {
		assert.True(t, seen[path], "%s is no key", path)
	}
}

// worsened makes a leaf worse, by a part of what it is; false when it cannot be.
func worsened(r *rand.Rand, l leaf, d direction, part float64) bool {
	if d.words != nil {
		i := slices.Index(d.words, l.value.text())
		if i < 0 || i == len(d.words)-1 {
			return false
		}
		word := d.words[i+1]
		*l.value = written{kind: 's', same: "word " + word, bare: true, text: func() string { return word }}
		return true
	}
	value, units, ok := amountOf(l)
	if !ok || d.way == none {
		return false
	}
	size := max(value, -value)
	by := int64(part * float64(size))
	if size == 0 { // from a millionth of a metre or second to a few tenths
		by = int64(math.Exp(13 * r.Float64()))
		if units[0].name == "ms" || units[0].name == "deg" {
			by *= 1000
		}
	}
	by = max(by, 1)
	switch {
	case d.way == less || d.way == away && value < 0:
		value -= by
	default:
		value += by
	}
	s := &speller{r: r}
	*l.value = s.amount(value, units)
	return true
}

// amountOf is what a leaf says in small units.
func amountOf(l leaf) (value int64, units []unit, ok bool) {
	if !hasUnit(l) {
		return 0, nil, false
	}
	kind, number, _ := strings.Cut(l.value.same, " ")
	value, err := strconv.ParseInt(number, 10, 64)
	all := map[string][]unit{"mm": lengths(), "m/s": speeds(), "ms": durations(), "deg": angles(), "Hz": rates(), "%": ratios(), "ohm": resistors(), "V": volts()}
	return value, all[kind], err == nil
}

// judged are the rules by which a mission is refused, and all of their messages.
func judged(r *rand.Rand, top written) (text string, rules map[diag.ID]bool, messages []string) {
	s := &speller{r: r, plain: true, newlines: "\n"}
	text = s.write(top)
	found := loaded([]byte(text), nil)
	return text, refusals(found.Findings), errorsOf(found.Findings)
}

func ofTheLanguage(rules map[diag.ID]bool) bool {
	for rule := range rules {
		if strings.HasPrefix(string(rule), "spec.") {
			return true
		}
	}
	return false
}

// instead are rules whose errors take the place of another's: what is looked at there
// means nothing any more.
func instead() map[diag.ID][]diag.ID {
	return map[diag.ID][]diag.ID{
		"geometry.clearance": {"geometry.leg-obstacle", "geometry.leg-outside"},
		"arrival.tolerance":  {"precision.decimals", "slope.rolls"},
		"arrival.turn":       {"geometry.clearance", "geometry.leg-obstacle", "geometry.leg-outside"}, // which speaks where there is no room for more than the turn
		"geometry.short-leg": {"slope.rolls"},
		"slope.tilt":         {"slope.rolls"},
		"site.sky":           {"geometry.leg-obstacle"},
		"base.shift":         {"geometry.clearance", "geometry.leg-obstacle", "geometry.leg-outside"},
		"holds.wire-break":   {"holds.pin"}, // there is no table of faults
	}
}

// steps makes missions from one that is drawn: it is made worse until it is refused,
// and brought back to where it just is.
func TestNothingWorseIsAccepted(t *testing.T) {
	all := directions()
	tried, held, broken := map[string]int{}, map[diag.ID]int{}, 0
	of := []uint64{1, 2}
	if *seed != 0 {
		of = []uint64{*seed}
	}
	for _, seed := range of {
		r := rand.New(rand.NewPCG(seed, 5))
		for number := range *missions / 3 {
			if broken >= 3 {
				return // one is enough to look at
			}
			mo := newModel(r, number)
			if number%4 > 0 { // the table of faults takes most of the time
				mo.holds = slices.DeleteFunc(mo.holds, func(c circuit) bool { return c.kind != "hold-to-run" })
			}
			top := mo.tree(&speller{r: r, plain: true, inMarks: mo.marks})
			steep(r, &top)
			ways := waysOf(&top, all)
			if !toTheLimit(r, &top, ways, all) {
				continue
			}
			before, was, said := judged(r, top)
			for range 12 {
				l := ways.pick(r)
				kept := *l.value
				// From a ten-thousandth of it to as much again.
				if !worsened(r, l, all[l.path], math.Exp(-9.2*r.Float64())) {
					continue
				}
				now := l.value.same
				_, is, _ := judged(r, top)
				*l.value = kept
				if ofTheLanguage(is) || is["precision.bound"] {
					continue // it cannot be written, or not compiled
				}
				tried[l.path]++
				for rule := range was {
					if slices.Contains(all[l.path].but, rule) {
						continue
					}
					held[rule]++
					stands := is[rule] || slices.ContainsFunc(instead()[rule], func(other diag.ID) bool { return is[other] })
					if !stands {
						t.Errorf("seed %d, mission %d: %s, %s made %s, takes away %s, and leaves %v:\n%s\n%s", seed, number, l.path, kept.same, now, rule, is, strings.Join(said, "\n"), before)
						broken++
					}
				}
			}
		}
	}
	t.Logf("tried: %v", tried)
	t.Logf("held: %v", held)
	if *missions >= 40 {
		assert.Greater(t, len(tried), 20, "keys made worse")
		assert.Greater(t, len(held), 3, "rules that held")
	}
}

// ways are the leaves of a mission that can get worse, by key.
type ways struct {
	keys []string
	of   map[string][]leaf
}

func waysOf(top *written, all map[string]direction) ways {
	w := ways{of: map[string][]leaf{}}
	for _, l := range leaves(top, "") {
		if d := all[l.path]; d.words == nil && d.way == none {
			continue
		}
		if len(w.of[l.path]) == 0 {
			w.keys = append(w.keys, l.path)
		}
		w.of[l.path] = append(w.of[l.path], l)
	}
	return w
}

// steep writes more keys than random missions have: how steep the ground is, and was
// where the coast was taped.
func steep(r *rand.Rand, top *written) {
	s := &speller{r: r}
	for i := range top.keys {
		block := &top.keys[i]
		switch {
		case block.key == "site" && r.IntN(2) == 0:
			block.value.keys = append(block.value.keys, pair{"slope", s.amount(r.Int64N(20_000), ratios())})
		case block.key == "rover" && r.IntN(2) == 0:
			for j := range block.value.keys {
				if coast := &block.value.keys[j]; coast.key == "coast" {
					coast.value.keys = append(coast.value.keys, pair{"downhill", s.amount(r.Int64N(20_000)-10_000, ratios())})
				}
			}
		}
	}
}

// pick draws a key, and one of its leaves.
func (w ways) pick(r *rand.Rand) leaf {
	of := w.of[w.keys[r.IntN(len(w.keys))]]
	return of[r.IntN(len(of))]
}

// toTheLimit makes one key of an accepted mission worse until it is refused, and then as
// little worse as still refuses it. False when it is not accepted, stays so, or leaves
// the language.
func toTheLimit(r *rand.Rand, top *written, w ways, all map[string]direction) bool {
	if _, was, _ := judged(r, *top); len(was) > 0 {
		return !ofTheLanguage(was) && r.IntN(4) == 0
	}
	for range 4 {
		l := w.pick(r)
		kept, last := *l.value, *l.value
		refused := false
		for range 8 {
			last = *l.value
			if !worsened(r, l, all[l.path], 0.4+r.Float64()) {
				break
			}
			_, is, _ := judged(r, *top)
			if ofTheLanguage(is) {
				break
			}
			if refused = len(is) > 0; refused {
				break
			}
		}
		if !refused {
			*l.value = kept
			continue
		}
		high, units, ok := amountOf(l)
		if !ok {
			return true
		}
		was := l
		was.value = &last
		low, _, _ := amountOf(was)
		for range 7 {
			middle := low + (high-low)/2
			if middle == low || middle == high {
				break
			}
			*l.value = (&speller{r: r}).amount(middle, units)
			if _, is, _ := judged(r, *top); len(is) > 0 {
				high = middle
			} else {
				low = middle
			}
		}
		*l.value = (&speller{r: r}).amount(high, units)
		return true
	}
	return false
}

// Each refused example stays refused, by the same rule, whichever of its keys is made
// worse, by a little or by much.
func TestNoRefusedExampleIsMendedByWorse(t *testing.T) {
	files, err := filepath.Glob("../examples/refused/*/mission.yaml")
	require.NoError(t, err)
	require.Greater(t, len(files), 50)
	all, tried := directions(), 0
	r := rand.New(rand.NewPCG(9, 9))
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		was := loadedFile(file, text)
		rules := refusals(was.Findings)
		if ofTheLanguage(rules) || was.Plan == nil {
			continue
		}
		m := spec.Parse(file, text, os.ReadFile).Mission
		for _, key := range slices.Sorted(maps.Keys(all)) {
			d := all[key]
			for _, path := range placesOf(m, key) {
				for _, part := range []float64{0.001, 0.3, 3} {
					if *missions < 400 && r.IntN(25) > 0 {
						continue // a part of them; all take minutes
					}
					worse, ok := worsenedText(string(text), m.Where(path), d, part)
					if !ok {
						continue
					}
					is := refusals(loadedFile(file, []byte(worse)).Findings)
					if ofTheLanguage(is) || is["precision.bound"] {
						continue
					}
					tried++
					for rule := range rules {
						stands := is[rule] || slices.Contains(d.but, rule) || slices.ContainsFunc(instead()[rule], func(other diag.ID) bool { return is[other] })
						assert.True(t, stands, "%s: %s made worse by %v takes away %s, and leaves %v", file, path, part, rule, is)
					}
				}
			}
		}
	}
	assert.Greater(t, tried, 200)
}

func refusals(findings []diag.Finding) map[diag.ID]bool {
	rules := map[diag.ID]bool{}
	for _, f := range findings {
		if f.Severity == diag.Error {
			rules[f.Rule] = true
		}
	}
	return rules
}

func loadedFile(file string, text []byte) pipeline.Mission {
	return pipeline.Load(source.Source{Name: file, Path: file, Text: text, Open: func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(filepath.Dir(file), name)) }})
}

// placesOf are the paths at which a mission has a key.
func placesOf(m *spec.Mission, key string) []string {
	paths := []string{""}
	for i, step := range strings.Split(key, ".") {
		var next []string
		for _, p := range paths {
			at := strings.TrimPrefix(p+"."+step, ".")
			switch {
			case step == "NAME" && i == 1:
				for _, mark := range m.Marks {
					next = append(next, p+"."+mark.Name)
				}
			case m.Written(at + "[0]"):
				for n := 0; m.Written(fmt.Sprintf("%s[%d]", at, n)); n++ {
					next = append(next, fmt.Sprintf("%s[%d]", at, n))
				}
			case m.Written(at):
				next = append(next, at)
			}
		}
		paths = next
	}
	return paths
}

var quantityText = regexp.MustCompile(`^(-?[0-9.]+) (\S+)$`)

// worsenedText makes the value at a place worse; false when it cannot be.
func worsenedText(text string, at diag.Position, d direction, part float64) (string, bool) {
	lines := strings.Split(text, "\n")
	if at.Line == 0 || d.words == nil && d.way == none {
		return "", false
	}
	line := []rune(lines[at.Line-1])
	old := string(line[at.Column-1 : at.Column-1+at.Width])
	now := ""
	if i := slices.Index(d.words, old); i >= 0 && i < len(d.words)-1 {
		now = d.words[i+1]
	}
	if parts := quantityText.FindStringSubmatch(old); parts != nil && d.way != none {
		v, err := strconv.ParseFloat(parts[1], 64)
		if err != nil {
			return "", false
		}
		by := max(math.Abs(v)*part, 1e-3)
		if d.way == less || d.way == away && v < 0 {
			by = -by
		}
		now = strconv.FormatFloat(v+by, 'f', 6, 64) + " " + parts[2]
	}
	if now == "" {
		return "", false
	}
	lines[at.Line-1] = string(line[:at.Column-1]) + now + string(line[at.Column-1+at.Width:])
	return strings.Join(lines, "\n"), true
}
