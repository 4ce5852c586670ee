// Occupations of a mark, good and bad, as logs of a simulated receiver: each bad one is
// refused, or doubted, by the rule that stands beside it. The pages of the rules show them.
package examples

import (
	"bytes"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/logtest"
	"merestone/internal/nmea"
	"merestone/internal/occupy"
)

// visit is a log of half an hour on one mark, a fix every two seconds: errors of 8 mm that fade in 10 s, and
// noise of 3 mm on top.
func visit(hour int) logtest.Log {
	return logtest.Log{
		Seed: uint64(hour), Latitude: 45_301173011, Longitude: 6_123349017, HeightM: 412.6, SeparationM: 48.2,
		From: time.Date(2026, 5, 10, hour, 0, 0, 0, time.UTC), Every: 2 * time.Second, Fixes: 900, Order: []string{"RMC", "GGA", "GST"},
		StdMM: [3]float64{8, 8, 14}, TimeConstant: 10 * time.Second, WhiteMM: 3,
	}
}

// with is a visit with something changed.
func with(hour int, change func(*logtest.Log)) logtest.Log {
	l := visit(hour)
	change(&l)
	return l
}

// eastward moves the fixes of a visit to the east.
func eastward(mm func(after time.Duration) float64) func(*logtest.Log) {
	return func(l *logtest.Log) {
		l.OffsetMM = func(after time.Duration) (east, north, up float64) { return mm(after), 0, 0 }
	}
}

// quality gives fixes of a visit another quality.
func quality(of func(i int) int) func(*logtest.Log) {
	return func(l *logtest.Log) { l.Quality = of }
}

// occupation is one with the rule that it is refused or doubted by.
type occupation struct {
	name     string
	logs     []logtest.Log
	damage   int // one line of so many is broken; 0 none
	alter    func(*nmea.Fix)
	accept   []nmea.Quality
	rule     diag.ID
	severity diag.Severity
}

func occupations() []occupation {
	morning, noon := visit(8), visit(10)
	once := []logtest.Log{morning}
	return []occupation{
		{name: "two good ones", logs: []logtest.Log{morning, noon}},
		{name: "broken lines", logs: []logtest.Log{morning, noon}, damage: 30, rule: "occupy.log", severity: diag.Warning},
		{name: "float alone", logs: []logtest.Log{with(8, quality(func(int) int { return 5 }))}, rule: "occupy.quality", severity: diag.Error},
		{name: "float, as asked", logs: []logtest.Log{with(8, quality(func(int) int { return 5 })), noon}, accept: []nmea.Quality{nmea.Float}, rule: "occupy.quality", severity: diag.Warning},
		{name: "half of it float", logs: []logtest.Log{with(8, quality(func(i int) int { return 4 + i%2 })), noon}, rule: "occupy.quality", severity: diag.Warning},
		{name: "a little of it float", logs: []logtest.Log{with(8, quality(func(i int) int { return 4 + max(1-i%50, 0) })), noon}, rule: "occupy.quality", severity: diag.Note},
		{name: "no fix", logs: []logtest.Log{with(8, func(l *logtest.Log) { l.Order = []string{"RMC"} })}, rule: "occupy.few", severity: diag.Error},
		{name: "six fixes", logs: []logtest.Log{with(8, func(l *logtest.Log) { l.Fixes = 6 })}, rule: "occupy.few", severity: diag.Error},
		{name: "six fixes after a gap", logs: []logtest.Log{morning, with(10, func(l *logtest.Log) { l.Fixes = 6 })}, rule: "occupy.few", severity: diag.Warning},
		{name: "one fix again and again", logs: []logtest.Log{with(8, func(l *logtest.Log) { l.StdMM, l.WhiteMM = [3]float64{}, 0 })}, rule: "occupy.repeated", severity: diag.Error},
		{name: "a fix that is held", logs: []logtest.Log{with(8, func(l *logtest.Log) { l.Decimals = 4; l.StdMM[2] = 0; l.WhiteMM = 0 }), noon}, alter: func(f *nmea.Fix) { f.HeightMM = 412_600 }, rule: "occupy.repeated", severity: diag.Warning},
		{name: "a wrong fix from the middle on", logs: []logtest.Log{with(8, eastward(func(after time.Duration) float64 {
			if after > 20*time.Minute {
				return 280
			}
			return 0
		}))}, rule: "occupy.two-places", severity: diag.Error},
		{name: "a wrong fix there and back", logs: []logtest.Log{with(8, eastward(func(after time.Duration) float64 {
			if after > 10*time.Minute && after < 15*time.Minute {
				return -190
			}
			return 0
		}))}, rule: "occupy.two-places", severity: diag.Error},
		{name: "every sixth fix anywhere", logs: []logtest.Log{with(8, anywhere(6))}, rule: "occupy.outliers", severity: diag.Error},
		{name: "every fiftieth fix anywhere", logs: []logtest.Log{with(8, anywhere(50)), noon}, rule: "occupy.outliers", severity: diag.Note},
		{name: "the way to the mark", logs: []logtest.Log{with(8, eastward(func(after time.Duration) float64 { return max(30_000-500*after.Seconds(), 0) })), noon}, rule: "occupy.walked", severity: diag.Note},
		{name: "carried on", logs: []logtest.Log{with(8, eastward(func(after time.Duration) float64 { return 300 * after.Seconds() })), noon}, rule: "occupy.walked", severity: diag.Error},
		{name: "a long way to the mark", logs: []logtest.Log{with(8, eastward(func(after time.Duration) float64 { return max(300_000-500*after.Seconds(), 0) })), noon}, rule: "occupy.walked", severity: diag.Warning},
		{name: "an antenna that sinks", logs: []logtest.Log{with(8, eastward(func(after time.Duration) float64 { return 60 * after.Hours() }))}, rule: "occupy.drift", severity: diag.Warning},
		{name: "three minutes", logs: []logtest.Log{with(8, func(l *logtest.Log) { l.Fixes = 90 }), noon}, rule: "occupy.short", severity: diag.Note},
		{name: "errors that fade slowly", logs: []logtest.Log{with(8, func(l *logtest.Log) { l.TimeConstant = 5 * time.Minute }), noon}, rule: "occupy.short", severity: diag.Note},
		{name: "old corrections, few satellites", logs: []logtest.Log{morning, noon}, alter: func(f *nmea.Fix) { f.Age, f.Satellites, f.HDOP = 25*time.Second, 5, 4.2 }, rule: "occupy.reception", severity: diag.Warning},
		{name: "one occupation", logs: once, rule: "occupy.once", severity: diag.Note},
		{name: "two within 45 minutes", logs: []logtest.Log{morning, with(8, func(l *logtest.Log) { l.From = l.From.Add(50 * time.Minute) })}, rule: "occupy.once", severity: diag.Note},
		{name: "two places at two hours", logs: []logtest.Log{morning, with(10, eastward(func(time.Duration) float64 { return 60 }))}, rule: "occupy.disagree", severity: diag.Error},
		{name: "no separation", logs: []logtest.Log{morning, noon}, alter: func(f *nmea.Fix) { f.HasHeight = false }, rule: "occupy.height", severity: diag.Warning},
		{name: "a height of nowhere", logs: []logtest.Log{morning, noon}, alter: func(f *nmea.Fix) { f.HeightMM -= 2_000_000 }, rule: "occupy.height", severity: diag.Error},
	}
}

// anywhere puts one fix of so many somewhere else, within half a metre.
func anywhere(oneOf int) func(*logtest.Log) {
	return func(l *logtest.Log) {
		l.OffsetMM = func(after time.Duration) (east, north, up float64) {
			i := int(after / l.Every)
			if i%oneOf != 0 {
				return 0, 0, 0
			}
			sin, cos := math.Sincos(float64(i))
			far := 150 + float64(i*7919%350)
			return far * sin, far * cos, 0
		}
	}
}

// altered are fixes with something changed in each.
type altered struct {
	occupy.Fixes
	change func(*nmea.Fix)
}

func (a altered) Next() (nmea.Fix, error) {
	f, err := a.Fixes.Next()
	if err == nil && a.change != nil {
		a.change(&f)
	}
	return f, err
}

func (c occupation) result(t *testing.T) occupy.Result {
	t.Helper()
	o := occupy.Options{Mark: "B", Accept: append([]nmea.Quality{nmea.Fixed}, c.accept...), Centring: occupy.UsualCentring}
	var logs []*occupy.Log
	for i, l := range c.logs {
		text := l.Text()
		if c.damage > 0 {
			text, _ = logtest.Damage(text, 1, c.damage)
		}
		reader := nmea.NewReader(bytes.NewReader(text))
		log, err := occupy.ReadLog([]string{"morning.nmea", "noon.nmea"}[i], altered{reader, c.alter}, o)
		require.NoError(t, err)
		log.Counts = reader.Counts()
		log.Digest = c.logs[i].From.String()
		logs = append(logs, log)
	}
	r, err := occupy.Occupy(logs, o)
	require.NoError(t, err)
	return r
}

// firstOccupied are, for every rule of an occupation, the finding that its page shows: of its
// first case.
func firstOccupied(t *testing.T) map[diag.ID]diag.Finding {
	t.Helper()
	first := map[diag.ID]diag.Finding{}
	for _, c := range occupations() {
		if _, there := first[c.rule]; there || c.rule == "" {
			continue
		}
		for _, f := range c.result(t).Findings {
			if f.Rule == c.rule {
				first[c.rule] = f
				break
			}
		}
	}
	return first
}

func TestOccupiedMarks(t *testing.T) {
	shown := map[diag.ID]bool{}
	for _, c := range occupations() {
		t.Run(c.name, func(t *testing.T) {
			shown[c.rule] = true
			r := c.result(t)
			assert.Equal(t, c.severity == diag.Error, r.Refused())
			if c.rule == "" {
				assert.Empty(t, r.Findings)
			} else {
				assert.Contains(t, rules(r.Findings, c.severity), c.rule)
			}
			// Nothing else is worse than what the case is about.
			for _, f := range r.Findings {
				assert.True(t, f.Rule == c.rule || f.Severity < diag.Warning || f.Severity < c.severity, "%v", f)
			}
			if r.Refused() {
				return
			}
			// What is made is near the mark: within 2.45 standard deviations, and half as much
			// for chance, but for a log that is off as a whole.
			if c.rule != "occupy.drift" {
				assert.Less(t, math.Hypot(float64(r.Place.Latitude-45_301173011)*0.1111, float64(r.Place.Longitude-6_123349017)*0.0785), 1.5*2.45*float64(r.UncertaintyMM()))
			}
		})
	}
	for _, rule := range occupy.Rules() {
		assert.True(t, shown[rule.ID], "no occupation for the rule %s", rule.ID)
	}
}
