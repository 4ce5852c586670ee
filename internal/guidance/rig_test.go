package guidance

// The bench for the tests of the rules: a board to which time, fixes, pins and buttons
// come as the test says, and a simple rover. The rules are those of the C header's
// section "Rules".

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/internal/geodesy"
	"merestone/internal/planar"
)

// Bits of the yard's holds, in the order of OrderHolds.
const (
	stopA = 1 << iota
	stopB
	thumb
	gate
	second // of the missions that have one contact more
)

// yard is a square with a route of four legs: stop and dwell at B, pass C, stop at
// D, end at E.
func yard(t testing.TB) *Mission {
	m := sketch{
		name: "yard", origin: degrees(45.3012, 6.1234, 412.6), reachMM: 200_000,
		boundary:    square(5_000, 5_000, 20_000),
		waypoints:   []planar.Point{{E: 0, N: 0}, {E: 8_000, N: 0}, {E: 8_000, N: 8_000}, {E: 0, N: 8_000}, {E: 0, N: 3_000}},
		toleranceMM: 250, crossTrackMM: 150, stopEach: 99, backMM: 350,
		circuits: [][]Hold{
			{{Pin: 22, DebounceMS: 20, Kind: board.HoldToRun, RunLevel: 1}},
			{
				{Pin: 24, DebounceMS: 10, DiscrepancyMS: 300, Kind: board.EmergencyStop, RunLevel: 1, Latched: true},
				{Pin: 25, DebounceMS: 10, Kind: board.EmergencyStop, RunLevel: 1, Latched: true},
			},
			{{Pin: 26, DebounceMS: 40, Kind: board.Interlock, RunLevel: 1}},
		},
	}.mission(t)
	m.Legs[1].Dwell = m.Rover.Dwell(2000)
	m.Legs[3].Dwell = 0
	return m
}

// freeJumps lets fixes come from anywhere, for what is not about jumps.
func freeJumps(m *Mission) { m.Rover.JumpMM = 60_000 }

// buttonAlone has no hold-to-run: the gate takes its bit.
func buttonAlone(m *Mission) { m.Holds[2] = m.Holds[3]; m.Holds = m.Holds[:3] }

// twoThumbs has two hold-to-run circuits of one contact each.
func twoThumbs(m *Mission) {
	m.Holds = append(m.Holds, Hold{Pin: 27, DebounceMS: 20, Kind: board.HoldToRun, RunLevel: 1})
}

// twoChannelThumb has a hold-to-run of two channels: the second takes the gate's bit.
func twoChannelThumb(m *Mission) {
	m.Holds[2].TwoChannels, m.Holds[2].DiscrepancyMS = true, 300
	m.Holds = append(m.Holds[:3:3], m.Holds[2], m.Holds[3])
	m.Holds[3].TwoChannels, m.Holds[3].DiscrepancyMS, m.Holds[3].Pin = false, 0, 28
}

// rig is a board on a bench: time passes and fixes come as the test says.
type rig struct {
	t     testing.TB
	m     *Mission
	frame geodesy.Frame
	state State
	in    Input
	out   Output
	// holding repeats the fix at a place every 200 ms.
	holding    bool
	at         planar.Point
	sinceFix   uint32
	all, toRun uint16 // masks of the hold contacts
	events     Events // since last asked
}

const stepMS = 20

// powerUp is a board that was just switched on, nothing of which was tried.
func powerUp(t testing.TB, changes ...func(*Mission)) *rig {
	t.Helper()
	m := yard(t)
	for _, change := range changes {
		change(m)
	}
	require.NoError(t, m.Validate())
	frame, err := geodesy.NewFrame(degrees(45.3012, 6.1234, 412.6))
	require.NoError(t, err)
	r := &rig{t: t, m: m, frame: frame, holding: true}
	for i, h := range m.Holds {
		r.all |= 1 << i
		if h.Kind == board.HoldToRun {
			r.toRun |= 1 << i
		}
	}
	require.True(t, m.Start(&r.state, 0))
	r.in.TimeMS = math.MaxUint32 - 1500 // wraps in every test
	return r
}

// newRig is a board that passed the start-up test: all that is left is to press.
func newRig(t testing.TB, changes ...func(*Mission)) *rig {
	t.Helper()
	return powerUp(t, changes...).try()
}

// try is the start-up test: each contact in stop, then in run, then the reset of the
// emergency stop. The hold-to-run is left released.
func (r *rig) try() *rig {
	r.t.Helper()
	r.set(0).wait(300).set(r.all &^ r.toRun).wait(200)
	r.reset(360)
	require.Zero(r.t, r.out.Untried&^r.toRun, "tried")
	require.Zero(r.t, r.out.Reasons&(Untried|ResetNeeded))
	r.events = 0
	return r
}

// reset presses the reset button for so long, and lets it go.
func (r *rig) reset(ms uint32) *rig {
	r.in.ResetRequest = true
	r.wait(ms)
	r.in.ResetRequest = false
	return r.wait(stepMS)
}

func (r *rig) fix(quality board.Quality) {
	g := r.frame.AtHeight(float64(r.at.E)/1000, float64(r.at.N)/1000, r.frame.Origin().HeightM)
	r.in.FixNew, r.in.Quality = true, quality
	r.in.LatitudeNdeg, r.in.LongitudeNdeg = int64(g.Latitude), int64(g.Longitude)
	r.sinceFix = 0
}

// step is one turn of the loop, some milliseconds after the one before. What holds of
// every step is asserted here.
func (r *rig) step(ms uint32) *rig {
	r.in.TimeMS += ms
	r.sinceFix += ms
	if r.holding && r.sinceFix >= 200 {
		r.fix(board.QualityFixed)
	}
	before, known := r.state.Remember(7)
	carried := known && r.state.flags&(flagCarried|flagRefused) == flagCarried // by a start
	r.m.Step(&r.state, &r.in, &r.out)
	after, _ := r.state.Remember(7)
	r.in.FixNew = false
	r.events |= r.out.Events
	require.Equal(r.t, r.out.DriveEnable, r.out.SpeedLimitMMPerS > 0)
	require.Equal(r.t, known && before != after || carried, r.out.MemoryDue, "told when what is remembered changes, and only then")
	if r.out.DriveEnable {
		require.Zero(r.t, r.out.Reasons, "drives in spite of: %v", r.out.Reasons)
		require.Equal(r.t, Driving, r.out.Phase)
	}
	return r
}

// wait lets time pass in turns of the loop.
func (r *rig) wait(ms uint32) *rig {
	for passed := uint32(0); passed < ms; passed += stepMS {
		r.step(stepMS)
	}
	return r
}

func (r *rig) set(levels uint16) *rig { r.in.HoldLevels = levels; return r }
func (r *rig) release() *rig          { return r.set(r.all &^ r.toRun) }
func (r *rig) press() *rig            { return r.set(r.all) }
func (r *rig) to(e, n int64) *rig     { r.at = planar.Point{E: e, N: n}; return r }

// glide goes to a place by fixes that no rule objects to, 300 mm each. The last came in
// the last step.
func (r *rig) glide(e, n int64) *rig {
	for r.at != (planar.Point{E: e, N: n}) {
		away := math.Hypot(float64(e-r.at.E), float64(n-r.at.N))
		part := min(1, 300/away)
		r.at.E += int64(math.Round(float64(e-r.at.E) * part))
		r.at.N += int64(math.Round(float64(n-r.at.N) * part))
		r.sinceFix = 0
		r.wait(200)
	}
	return r
}

// start brings the rig to driving, from anywhere that allows it.
func (r *rig) start() *rig {
	r.t.Helper()
	r.release().wait(400)
	if r.toRun == 0 {
		r.in.StartRequest = true
		r.wait(340)
		r.in.StartRequest = false
		r.step(stepMS)
	} else {
		r.press().wait(100)
	}
	require.Equal(r.t, Driving, r.out.Phase, "%v", r.out.Reasons)
	r.events = 0
	return r
}

// until lets time pass until a phase, at most so long.
func (r *rig) until(phase Phase, ms uint32) *rig {
	r.t.Helper()
	for passed := uint32(0); r.out.Phase != phase; passed += stepMS {
		require.Less(r.t, passed, ms, "not %v, but %v: %v", phase, r.out.Phase, r.out.Reasons)
		r.step(stepMS)
	}
	return r
}

func (r *rig) is(phase Phase, reasons Reasons) *rig {
	r.t.Helper()
	require.Equal(r.t, phase, r.out.Phase, "phase %v, not %v; reasons are %v", r.out.Phase, phase, r.out.Reasons)
	require.Equal(r.t, reasons, r.out.Reasons, "want %v, got %v", reasons, r.out.Reasons)
	return r
}

func (r *rig) had(events Events) *rig {
	r.t.Helper()
	require.Equal(r.t, events, r.events, "want %v, got %v", events, r.events)
	r.events = 0
	return r
}

// cart is a simple rover: it goes where it is steered at the speed limit while
// driven, and slows down evenly when not, to come to rest after a coast.
type cart struct {
	e, n, bearing, speed float64
	coastMM              float64 // from the leg's speed
}

func (c *cart) move(out *Output, ms float64, leg Leg) {
	top := float64(leg.SpeedMMPerS)
	if out.DriveEnable {
		c.speed = min(c.speed+600*ms/1000, float64(out.SpeedLimitMMPerS))
		c.bearing = float64(out.BearingCdeg) * math.Pi / 18000
	} else {
		c.speed = max(c.speed-top*top/(2*c.coastMM)*ms/1000, 0)
	}
	sin, cos := math.Sincos(c.bearing)
	c.e += c.speed * ms / 1000 * sin
	c.n += c.speed * ms / 1000 * cos
}

// drive lets the cart drive until something; it returns the events in order.
func (r *rig) drive(c *cart, limitMS int, until func() bool) []Events {
	var happened []Events
	for i := 0; i < limitMS; i += stepMS {
		c.move(&r.out, stepMS, r.m.Legs[r.out.Leg])
		r.to(int64(math.Round(c.e)), int64(math.Round(c.n)))
		if r.in.SpeedKnown {
			r.in.SpeedMMPerS = uint32(math.Round(c.speed))
		}
		r.step(stepMS)
		if r.out.Events != 0 {
			happened = append(happened, r.out.Events)
		}
		if until() {
			break
		}
	}
	return happened
}

func TestRigStarts(t *testing.T) {
	r := newRig(t).is(Waiting, Released)
	r.press().wait(20).is(Waiting, Released) // not yet debounced
	r.wait(20).is(Driving, 0).had(EventStarted | EventTried)
	assert.True(t, r.out.DriveEnable)
}
