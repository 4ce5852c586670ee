// Whatever the checks accept, a header can be written of; and what is refused for
// what the board can hold is refused by name. Every key that holds a number is
// taken to both ends of its range and beyond, one at a time and at random.
package plan_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/bits"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v3"
	"pgregory.net/rapid"

	"merestone/gen"
	"merestone/internal/check"
	"merestone/internal/diag"
	"merestone/internal/missiontest"
	"merestone/internal/plan"
	"merestone/internal/quantity"
	"merestone/spec"
)

// numeric is a key that holds a number: a quantity of a range, or a choice.
type numeric struct {
	path           string // "route.waypoints[0].dwell"
	within, beyond []string
	low, high      int64 // of a quantity, in its smallest unit
	unit           string
}

// write is a quantity with every digit of its smallest unit.
func (n numeric) write(v int64) string {
	one, _ := quantity.Parse("1 "+n.unit, dimension(n.unit))
	sign := ""
	if v < 0 {
		sign, v = "-", -v
	}
	return fmt.Sprintf("%s%d.%0*d %s", sign, v/one, len(fmt.Sprint(one))-1, v%one, n.unit)
}

var ranged = regexp.MustCompile(`, (?:from (\S+) (\S+) to|more than (\S+) (\S+), at most) (\S+) ([^\s;)]+)[;)]`)

func dimension(unit string) quantity.Dimension {
	for _, d := range []quantity.Dimension{
		quantity.Length(0).Dimension(), quantity.Speed(0).Dimension(), quantity.Duration(0).Dimension(), quantity.Angle(0).Dimension(),
		quantity.Frequency(0).Dimension(), quantity.Voltage(0).Dimension(), quantity.Resistance(0).Dimension(), quantity.Ratio(0).Dimension(), quantity.Size(0).Dimension(),
	} {
		if slices.Contains(d.Units(), unit) {
			return d
		}
	}
	panic(unit)
}

// numerics reads the keys from the JSON Schema, which is made of the language's own
// tables: a key that is added there is tried here.
func numerics(t require.TestingT) []numeric {
	text, err := spec.Schema()
	require.NoError(t, err)
	var schema map[string]any
	require.NoError(t, json.Unmarshal(text, &schema))
	var found []numeric
	var walk func(path string, s map[string]any)
	walk = func(path string, s map[string]any) {
		words, _ := s["description"].(string)
		if m := ranged.FindStringSubmatch(words); m != nil {
			n := numeric{path: path, unit: m[6]}
			var err1, err2 error
			n.low, err1 = quantity.Parse(m[1]+m[3]+" "+m[2]+m[4], dimension(n.unit))
			n.high, err2 = quantity.Parse(m[5]+" "+m[6], dimension(n.unit))
			require.NoError(t, errors.Join(err1, err2))
			if m[3] != "" { // more than
				n.low++
			}
			n.within, n.beyond = []string{n.write(n.low), n.write(n.high)}, []string{n.write(n.low - 1), n.write(n.high + 1)}
			found = append(found, n)
		}
		if low, ok := s["minimum"].(float64); ok && s["type"] == "integer" {
			high := s["maximum"].(float64)
			found = append(found, numeric{path: path, within: []string{fmt.Sprint(low), fmt.Sprint(high)}, beyond: []string{fmt.Sprint(high + 1)}})
		}
		if options, ok := s["enum"].([]any); ok {
			if _, number := options[0].(float64); number {
				n := numeric{path: path, beyond: []string{"8", "16", "128"}}
				for _, o := range options {
					n.within = append(n.within, fmt.Sprint(o))
				}
				found = append(found, n)
			}
		}
		for _, option := range []string{"properties", "patternProperties"} {
			properties, _ := s[option].(map[string]any)
			for name, of := range properties {
				if option == "patternProperties" {
					name = "A" // a mark of the route
				}
				walk(strings.TrimPrefix(path+"."+name, "."), of.(map[string]any))
			}
		}
		if items, ok := s["items"].(map[string]any); ok {
			walk(path+"[0]", items)
		}
		either, _ := s["anyOf"].([]any)
		for _, of := range either {
			if of := of.(map[string]any); of["properties"] != nil || of["minimum"] != nil || of["enum"] != nil {
				walk(path, of)
			}
		}
	}
	walk("", schema)
	for i := range found {
		found[i].path = onMeasured(found[i].path)
	}
	slices.SortFunc(found, func(a, b numeric) int { return strings.Compare(a.path, b.path) })
	return found
}

// onMeasured moves a key that the surveyed mark A cannot have to the mark of
// testdata/roomy.yaml that has it.
func onMeasured(path string) string {
	key, ok := strings.CutPrefix(path, "marks.A.")
	if !ok {
		return path
	}
	for mark, keys := range map[string][]string{
		"STEP": {"east", "north"}, "RAY": {"bearing", "bearing_uncertainty", "distance", "distance_uncertainty"}, "NEEDLE": {"magnetic_bearing"},
		"TAPED": {"tapes[0].distance", "tapes[0].uncertainty"}, "BESIDE": {"chainage", "right"},
	} {
		if slices.Contains(keys, key) {
			return "marks." + mark + "." + key
		}
	}
	return path
}

// roomy is the mission of testdata/roomy.yaml with some of its values replaced, and
// with some holds more.
func roomy(t require.TestingT, values map[string]string, moreHolds ...string) string {
	text, err := os.ReadFile("testdata/roomy.yaml")
	require.NoError(t, err)
	var file yaml.Node
	require.NoError(t, yaml.Unmarshal(text, &file))
	for path, value := range values {
		n := file.Content[0]
		for _, name := range strings.FieldsFunc(path, func(r rune) bool { return r == '.' || r == '[' || r == ']' }) {
			of := n
			if n = child(of, name); n == nil {
				require.Truef(t, of.Kind == yaml.MappingNode && strings.HasSuffix(path, name), "testdata/roomy.yaml has nothing for %s: give it one, to be tried at its limits", path)
				n = &yaml.Node{Kind: yaml.ScalarNode}
				of.Content = append(of.Content, &yaml.Node{Kind: yaml.ScalarNode, Value: name}, n)
			}
		}
		n.Value, n.Tag = value, ""
	}
	holds := child(file.Content[0], "holds")
	for _, h := range moreHolds {
		var n yaml.Node
		require.NoError(t, yaml.Unmarshal([]byte(h), &n))
		holds.Content = append(holds.Content, n.Content[0])
	}
	changed, err := yaml.Marshal(&file)
	require.NoError(t, err)
	return string(changed)
}

func child(n *yaml.Node, name string) *yaml.Node {
	if n.Kind == yaml.SequenceNode && name == "0" && len(n.Content) > 0 {
		return n.Content[0]
	}
	for i := 0; n.Kind == yaml.MappingNode && i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == name {
			return n.Content[i+1]
		}
	}
	return nil
}

// judged takes a mission through every stage as the commands do, and fails where a
// header is written of what was refused, or none of what was not.
func judged(t require.TestingT, text string) []diag.Finding {
	parsed := spec.Parse("roomy.yaml", []byte(text), nil)
	refusals := func(findings []diag.Finding) []diag.Finding {
		return slices.DeleteFunc(slices.Clone(findings), func(f diag.Finding) bool { return f.Severity != diag.Error })
	}
	if found := refusals(parsed.Findings); len(found) > 0 {
		return found
	}
	p, findings := plan.Resolve(parsed.Mission)
	found := refusals(findings)
	if p == nil {
		require.NotEmpty(t, found)
		return found
	}
	found = append(found, refusals(check.All(p))...)
	if len(found) > 0 {
		return found
	}
	require.True(t, p.Complete(), "refused without a word: %v", p.Incomplete)
	_, err := gen.Files(p, "merestone 0.0.0-test")
	require.NoError(t, err)
	return nil
}

func said(findings []diag.Finding) string {
	var all strings.Builder
	for _, f := range findings {
		fmt.Fprintf(&all, "%s: %s\n", f.Rule, f.Message())
	}
	return all.String()
}

// One key at a time. Just beyond its range each is refused by name. At its two ends
// it is accepted, or refused by rules that have nothing to do with the language; the
// table is of those, so that a limit that is out of reach shows.
func TestEveryNumberAtItsLimits(t *testing.T) {
	require.Empty(t, said(judged(t, roomy(t, nil))))
	keys := numerics(t)
	require.Greater(t, len(keys), 50)
	refused := map[string]string{}
	for _, n := range keys {
		for _, value := range n.beyond {
			found := judged(t, roomy(t, map[string]string{n.path: value}))
			assert.Contains(t, said(found), "spec.out-of-range: "+n.path+" is ", value)
		}
		for i, value := range n.within {
			var rules []string
			for _, f := range judged(t, roomy(t, map[string]string{n.path: value})) {
				rules = append(rules, string(f.Rule))
				if f.Rule == "precision.bound" {
					assert.Contains(t, f.Message(), named(n.path), "%s: %s", n.path, value)
				}
			}
			if slices.Sort(rules); len(rules) > 0 {
				end := " " + value
				switch i {
				case 0:
					end = " least"
				case len(n.within) - 1:
					end = " most"
				}
				refused[n.path+end] = strings.Join(slices.Compact(rules), " ")
			}
		}
	}
	assert.Equal(t, map[string]string{
		"board.flash least":                            "board.budget",
		"board.instructions least":                     "board.budget",
		"board.input_pins[0] most":                     "spec.listed-twice",
		"board.logic.high_above least":                 "spec.out-of-range",
		"board.logic.high_above most":                  "spec.out-of-range",
		"board.logic.low_below least":                  "holds.pin",
		"board.logic.low_below most":                   "spec.out-of-range",
		"board.logic.pull_least least":                 "holds.wire-break",
		"board.logic.pull_least most":                  "spec.out-of-range",
		"board.logic.pull_most least":                  "spec.out-of-range",
		"board.logic.pull_most most":                   "holds.wire-break",
		"board.logic.supply least":                     "spec.out-of-range",
		"board.logic.supply most":                      "holds.wire-break",
		"board.loop most":                              "arrival.stale arrival.tolerance geometry.clearance precision.bound",
		"board.outputs.drive_enable least":             "holds.pin",
		"board.outputs.drive_enable most":              "holds.pin",
		"commissioning.coast.distance least":           "plausible.figure",
		"commissioning.coast.distance most":            "geometry.clearance precision.bound slope.tilt",
		"commissioning.coast.downhill least":           "precision.bound",
		"commissioning.coast.from least":               "precision.bound",
		"commissioning.coast.from most":                "plausible.figure",
		"commissioning.stopping.distance most":         "geometry.clearance precision.bound",
		"commissioning.stopping.from least":            "arrival.tolerance geometry.clearance precision.bound",
		"commissioning.stopping.time most":             "precision.bound",
		"drive_path[0].off_delay most":                 "line.cross-track",
		"geofence.obstacles[0].radius most":            "geometry.leg-obstacle geometry.obstacle-outside",
		"holds[0].pull_resistor least":                 "holds.wire-break",
		"holds[0].pull_resistor most":                  "holds.wire-break",
		"holds[0].second_channel.pull_resistor least":  "holds.wire-break",
		"holds[0].second_channel.pull_resistor most":   "holds.wire-break",
		"holds[0].second_channel.series_resistor most": "holds.wire-break",
		"holds[0].series_resistor most":                "holds.wire-break",
		"holds[0].stop_category 1":                     "holds.category",
		"holds[0].stop_category most":                  "holds.category",
		"marks.A.height most":                          "tape.distance",
		"marks.A.uncertainty most":                     "measured.weak",
		"marks.RAY.bearing_uncertainty most":           "measured.weak",
		"marks.STEP.east least":                        "geometry.extent",
		"marks.STEP.north least":                       "geometry.extent",
		"marks.TAPED.tapes[0].distance least":          "measured.weak",
		"marks.TAPED.tapes[0].distance most":           "measured.apart",
		"marks.TAPED.tapes[0].uncertainty most":        "measured.weak",
		"receiver.fix_rate least":                      "arrival.stale arrival.tolerance line.cross-track",
		"receiver.latency most":                        "arrival.stale line.cross-track",
		"receiver.stale_after least":                   "arrival.stale",
		"receiver.uncertainty.fixed most":              "arrival.tolerance geometry.clearance precision.bound",
		"route.arrival_tolerance least":                "precision.decimals",
		"route.waypoints[0].arrival_tolerance least":   "precision.decimals",
		"rover.antenna.forward least":                  "precision.bound",
		"rover.antenna.forward most":                   "precision.bound",
		"rover.antenna.height most":                    "site.headroom",
		"rover.antenna.right least":                    "precision.bound",
		"rover.antenna.right most":                     "precision.bound",
		"rover.coast.distance least":                   "plausible.figure",
		"rover.coast.downhill least":                   "precision.bound",
		"rover.coast.from least":                       "precision.bound",
		"rover.cross_track least":                      "line.cross-track",
		"rover.cross_track most":                       "arrival.tolerance",
		"rover.heading_uncertainty most":               "line.cross-track",
		"rover.motor_lag most":                         "line.cross-track",
		"rover.speed.cruise least":                     "arrival.speed",
		"rover.tilt most":                              "slope.tilt",
		"rover.turning_centre least":                   "line.cross-track",
		"rover.turning_centre most":                    "line.cross-track",
		"site.origin.height most":                      "tape.distance",
		"site.overhead[0].headroom least":              "site.headroom",
		"site.overhead[0].headroom most":               "spec.out-of-range",
		"site.overhead[0].height least":                "spec.out-of-range",
		"site.slope most":                              "slope.rolls",
		"tape[0].measured least":                       "tape.distance",
		"tape[0].measured most":                        "tape.distance",
		"tape[0].uncertainty least":                    "tape.distance",
	}, refused)
}

// named is how a sum speaks of a key.
func named(path string) string {
	switch {
	case strings.HasPrefix(path, "marks"):
		return "the uncertainty of marks"
	case strings.HasPrefix(path, "receiver.uncertainty"), strings.HasPrefix(path, "rover.antenna"), strings.HasPrefix(path, "rover.coast"), strings.HasPrefix(path, "commissioning."):
		return path[:strings.LastIndex(path, ".")]
	}
	return path
}

// Several keys at once, at their ends and anywhere between, with any number of
// holds: judged says what must hold.
func TestWhatIsAcceptedCanBeWritten(t *testing.T) {
	keys, accepted, tried := numerics(t), 0, 0
	rapid.Check(t, func(t *rapid.T) {
		values := map[string]string{}
		for range rapid.IntRange(1, 4).Draw(t, "keys") {
			n := keys[rapid.IntRange(0, len(keys)-1).Draw(t, "key")]
			choices := append(slices.Clone(n.within), n.within...)
			if n.unit != "" {
				// As many small ones as large ones.
				size := rapid.IntRange(0, bits.Len64(uint64(n.high-n.low))).Draw(t, "size")
				choices = append(choices, n.write(n.low+rapid.Int64Range(0, min(1<<size, n.high-n.low)).Draw(t, "value")))
			}
			values[n.path] = rapid.SampledFrom(append(choices, n.beyond...)).Draw(t, n.path)
		}
		tried++
		if len(judged(t, roomy(t, values, holds(rapid.SampledFrom([]int{0, 0, 0, 0, 0, 1, 13, 14}).Draw(t, "holds"), rapid.IntRange(0, 1).Draw(t, "twos"))...))) == 0 {
			accepted++
		}
	})
	t.Logf("%d of %d accepted", accepted, tried)
	require.Greater(t, accepted, tried/20)
}

// The same with the ground: an origin anywhere, near the poles too, and marks, route
// and fence of any shape, many of them without a sense.
func TestWhatIsAcceptedCanBeWrittenOnAnyGround(t *testing.T) {
	names := []string{"BASE", "A", "B", "C", "D", "F1", "F2", "F3", "F4", "W"}
	accepted, tried := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		text := roomy(t, nil)
		latitude := rapid.SampledFrom([]float64{0, 1e-9, 30, 51.62, 51.62, 75, 85.98, 86, 88, 89, 89.5, 89.9, 89.98, 89.99, 90}).Draw(t, "latitude")
		if rapid.Bool().Draw(t, "south") {
			latitude = -latitude
		}
		longitude := rapid.SampledFrom([]float64{25.91, 0, 90, -89, 179.9, -179.99, 180}).Draw(t, "longitude")
		// Marks keep their places, in some unit of length, and some are moved.
		unit := rapid.SampledFrom([]float64{1, 1, 0.3, 0.1, 0.03, 0.03, 0.001, 0}).Draw(t, "size")
		moved := rapid.SampledFrom(append(slices.Clone(names), "", "", "", "", "", "", "", "", "", "")).Draw(t, "moved")
		meridians := max(math.Cos(latitude*math.Pi/180)/math.Cos(51.62*math.Pi/180), 1e-6)
		place := regexp.MustCompile(`latitude: (\S+), longitude: (\S+?)([,}])`)
		text = place.ReplaceAllStringFunc(text, func(s string) string {
			m := place.FindStringSubmatch(s)
			n, _ := strconv.ParseFloat(m[1], 64)
			e, _ := strconv.ParseFloat(m[2], 64)
			n, e = latitude+unit*(n-51.62), longitude+unit*(e-25.91)/meridians
			if moved != "" && strings.Contains(text, moved+": {"+s) {
				n += rapid.Float64Range(-0.3, 0.3).Draw(t, "north")
				e += rapid.Float64Range(-0.3, 0.3).Draw(t, "east")
			}
			return fmt.Sprintf("latitude: %.9f, longitude: %.9f%s", max(min(n, 90), -90), max(min(e, 180), -180), m[3])
		})
		list := func(least int, label string) string {
			return "[" + strings.Join(rapid.SliceOfN(rapid.SampledFrom(names), least, 9).Draw(t, label), ", ") + "]"
		}
		if rapid.IntRange(0, 3).Draw(t, "rerouted") == 0 {
			text = regexp.MustCompile(`waypoints: \[.*\]`).ReplaceAllString(text, "waypoints: "+list(2, "route"))
		}
		if rapid.IntRange(0, 3).Draw(t, "refenced") == 0 {
			text = regexp.MustCompile(`boundary: \[.*\]`).ReplaceAllString(text, "boundary: "+list(3, "boundary"))
		}
		if unit < 0.5 || rapid.Bool().Draw(t, "small") { // what fits into a smaller site
			text = strings.NewReplacer("20 m/s", "0.6 m/s", "distance: 60 m", "distance: 0.3 m", "cross_track: 5 m", "cross_track: 25 cm", "arrival_tolerance: 30 m", "arrival_tolerance: 50 cm", "radius: 100 m", "radius: 10 cm").Replace(text)
		}
		text = strings.Replace(text, "closed: false", fmt.Sprintf("closed: %v", rapid.Bool().Draw(t, "closed")), 1)
		text = regexp.MustCompile(`(?s)tape:.*?route:`).ReplaceAllString(text, "route:")
		tried++
		if len(judged(t, text)) == 0 {
			accepted++
		}
	})
	t.Logf("%d of %d accepted", accepted, tried)
	require.NotZero(t, accepted)
}

// holds are interlocks of one channel, the first few with a second.
func holds(n, twos int) []string {
	var list []string
	for i := range n {
		second := ""
		if i < twos {
			second = fmt.Sprintf("second_channel: {pin: %d, contact: normally-closed, wired_to: ground, pull: up}, common_cause: {cable: false, connector: false, supply: false, actuator: false}, ", 115-i)
		}
		list = append(list, fmt.Sprintf("{name: gate %d, kind: interlock, pin: %d, contact: normally-closed, wired_to: ground, pull: up, %sdebounce: 20 ms, stop_category: 0}", i, 101+i, second))
	}
	return list
}

// What several keys make up together, at the limit and one beyond it: refused once,
// at the key with the largest share.
func TestSumsAtTheirLimits(t *testing.T) {
	slow := func(v, from, coast string) map[string]string {
		return map[string]string{
			"rover.speed.cruise": v, "route.speed": v, "route.waypoints[0].speed": v, "rover.coast.from": from, "rover.coast.distance": coast, "rover.motor_lag": "0 s", "rover.tilt": "0 deg",
		}
	}
	with := func(m map[string]string, path, value string) map[string]string {
		m[path] = value
		return m
	}
	beside := func(mm int64) map[string]string { // of the antenna, with the smallest of angles
		return map[string]string{
			"rover.heading_uncertainty": "0.000000001 deg", "rover.tilt": "0 deg", "rover.antenna.right": fmt.Sprintf("%d mm", mm),
		}
	}
	p, _ := plan.Resolve(missiontest.Parse(t, "roomy.yaml", roomy(t, beside(0))))
	most := 65_535 - p.Machine.Rover.HalfWidthMM
	stale := func(ms int) map[string]string {
		// So late a fix steers at a crawl alone.
		return with(with(slow("10 mm/s", "1 m/s", "1 m"), "receiver.latency", "20 s"), "receiver.stale_after", fmt.Sprintf("%d ms", ms))
	}
	for _, c := range []struct {
		name         string
		good, bad    map[string]string
		extra, worse []string // holds
		words, at    string
	}{
		// 20 000 + 45 473 + 2·20 loop and 1 clock + 20 relay and 1 step
		{"fixes", stale(45_473), stale(45_474), nil, nil, "20000 ms by receiver.latency, 45474 ms by receiver.stale_after, 41 ms by board.loop (twice, and the clock) and 21 ms by drive_path and the step", "stale_after"},
		{"relay", with(stale(45_470), "drive_path[0].off_delay", "23 ms"), with(stale(45_470), "drive_path[0].off_delay", "24 ms"), nil, nil, "is 65536 ms, more than the 65535", "stale_after"},
		// 300 + 3·(18902·1.15 = 21738) + 21 relay
		{"time to rest", with(slow("1 m/s", "1 m/s", "18.902 m"), "drive_path[0].off_delay", "21 ms"), with(slow("1 m/s", "1 m/s", "18.902 m"), "drive_path[0].off_delay", "22 ms"), nil, nil,
			"the time to come to rest is 65536 ms, more than the 65535 that the board's table holds: 65514 ms by rover.coast and commissioning.coast and the speeds and 22 ms by drive_path", "coast"},
		// 80² / 2·1391 = 2.30, over 1.15
		{"deceleration", slow("80 mm/s", "80 mm/s", "1.391 m"), slow("80 mm/s", "80 mm/s", "1.392 m"), nil, nil, "rover.coast and commissioning.coast: the rover brakes by less than 2 mm/s² on level ground", "coast"},
		{"room", beside(most), beside(most + 1), nil, nil, "the distance from the antenna to the wider side is 65536 mm", "width"},
		{"room to the left", beside(-most), beside(-most - 1), nil, nil, "by rover.width and rover.antenna.right", "width"},
		{"holds of one channel", nil, nil, holds(13, 0), holds(14, 0), "the holds have 17 contacts, and the board's table has room for 16", "holds"},
		{"holds of two", nil, nil, holds(7, 6), holds(7, 7), "the holds have 17 contacts", "holds"},
	} {
		assert.Empty(t, said(judged(t, roomy(t, c.good, c.extra...))), c.name)
		text := roomy(t, c.bad, c.worse...)
		var found []diag.Finding
		for _, f := range judged(t, text) {
			if f.Rule == "precision.bound" {
				found = append(found, f)
			}
		}
		require.Len(t, found, 1, c.name)
		assert.Contains(t, found[0].Message(), c.words, c.name)
		assert.NotEmpty(t, found[0].Remedy, c.name)
		line := strings.Split(text, "\n")[found[0].At.Line-1]
		assert.Contains(t, line, c.at, c.name)
	}
}
