package guidance

// Rules, "Arriving": the cut, the look at rest, and what comes after it.

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/internal/planar"
)

func TestRouteIsDrivenToItsEnd(t *testing.T) {
	for _, known := range []bool{false, true} {
		r := newRig(t, func(m *Mission) { m.Rover.LatencyMS = 0 }) // the rig's fixes are not late
		r.in.SpeedKnown = known
		r.start()
		c := &cart{coastMM: 500}
		var rest []float64 // distance from the mark, at rest, where the route stops
		happened := r.drive(c, 120_000, func() bool {
			if r.out.Events&(EventArrived|EventDeparted) != 0 && c.speed == 0 {
				mark := r.m.Legs[r.out.Leg]
				if r.out.Phase == Finished {
					mark = r.m.Legs[r.out.Leg+1]
				}
				rest = append(rest, math.Hypot(c.e-float64(mark.EastMM), c.n-float64(mark.NorthMM)))
			}
			c.coastMM = float64(r.m.Legs[r.out.Leg].Coast * r.m.Rover.CoastUnitMM)
			return r.out.Phase == Finished
		})
		require.Equal(t, []Events{
			EventCut, EventArrived, EventDeparted, // B, with its dwell
			EventArrived,                          // C, passing
			EventCut, EventArrived, EventDeparted, // D, a stop
			EventCut, EventArrived | EventFinished, // E
		}, happened, "speed known %v", known)
		require.Len(t, rest, 5)
		for _, d := range rest {
			assert.Less(t, d, 60.0, "mm from the mark at rest, speed known %v", known)
		}

		// A finished mission does not start again by pressing.
		r.release().wait(300).is(Finished, Released).press().wait(300)
		assert.Equal(t, Finished, r.out.Phase)
		assert.NotZero(t, r.events&EventStartRefused)
	}
}

// The rover comes to rest somewhere: what two looks make of it. The mark is at 8000 mm,
// the tolerance 250 mm.
func TestWhereItComesToRest(t *testing.T) {
	for _, c := range []struct {
		name    string
		e, n    int64
		phase   Phase
		events  Events
		reasons Reasons
	}{
		{"on the mark", 8_000, 0, Dwelling, EventCut | EventArrived, 0},
		{"just within, short", 7_752, 0, Dwelling, EventCut | EventArrived, 0},
		{"just within, beyond", 8_248, 0, Dwelling, EventCut | EventArrived, 0},
		{"just within, aside", 8_000, 140, Dwelling, EventCut | EventArrived, 0},
		{"just outside, short", 7_747, 0, Driving, EventCut | EventShort, 0},
		{"just outside, beyond", 8_253, 0, Stopped, EventCut | EventStopped | EventMissed, PassedBy},
		{"beyond and aside", 8_215, 140, Stopped, EventCut | EventStopped | EventMissed, PassedBy},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t).start().glide(7_500, 0)
			r.glide(c.e, c.n).until(Coasting, 1000)
			for r.out.Phase == Coasting {
				require.False(t, r.out.DriveEnable)
				r.wait(20)
			}
			assert.Equal(t, c.phase, r.out.Phase, "%v", r.out.Reasons)
			assert.Equal(t, c.events, r.events, "%v", r.events)
			assert.Equal(t, c.reasons, r.out.Reasons, "%v", r.out.Reasons)
			assert.Equal(t, c.phase == Driving, r.out.DriveEnable)
		})
	}
}

// At rest 1600 ms after the cut; a fix tells of it when it holds for an instant after.
func TestTwoFixesAfterRestDecide(t *testing.T) {
	cut := func(t *testing.T) *rig {
		r := newRig(t).start().glide(7_500, 0)
		r.glide(8_000, 0).is(Coasting, 0)
		r.holding = false
		for r.state.timerMS < 1600-60 && r.out.Phase == Coasting { // a fix each 200 ms, so that none is stale
			if r.sinceFix >= 180 {
				r.fix(board.QualityFixed)
			}
			r.step(stepMS)
		}
		return r
	}
	fixes := func(r *rig, waitMS uint32, ageMS uint32) {
		r.wait(waitMS)
		r.fix(board.QualityFixed)
		r.in.FixAgeMS = ageMS
		r.step(stepMS)
	}
	t.Run("latency counts", func(t *testing.T) {
		r := cut(t)
		fixes(r, 140, 0) // 1600 + 120 - 20 ms at the most
		r.is(Coasting, 0)
		require.Zero(t, r.state.look, "holds for an instant before rest")
		fixes(r, 0, 0)
		require.Equal(t, lookWithin, r.state.look)
		r.is(Coasting, 0)
		fixes(r, 180, 0)
		r.is(Dwelling, 0)
	})
	t.Run("late fixes count when they hold", func(t *testing.T) {
		r := cut(t)
		fixes(r, 240, 360) // 1820 ms after the cut, it holds for an instant 360 ms before
		r.is(Coasting, 0)
		require.Zero(t, r.state.look)
		fixes(r, 240, 360)
		require.Equal(t, lookWithin, r.state.look)
	})
	t.Run("one alone does not decide", func(t *testing.T) {
		for _, jump := range []struct{ e, n int64 }{{8_300, 0}, {7_700, 0}} {
			r := newRig(t, func(m *Mission) { m.Rover.JumpMM = 400 }).start().glide(7_500, 0).glide(8_000, 0).is(Coasting, 0)
			for r.state.look == lookNone && r.out.Phase == Coasting {
				r.step(stepMS)
			}
			r.to(jump.e, jump.n).wait(200)
			require.Contains(t, []uint8{lookShort, lookBeyond}, r.state.look)
			r.is(Coasting, 0)
			r.to(8_000, 0).wait(200).is(Coasting, 0)
			r.wait(200).is(Dwelling, 0)
		}
	})
	t.Run("without fixes there is no arrival", func(t *testing.T) {
		r := cut(t)
		r.wait(800).is(Stopped, StaleFix|LetGoFirst)
		require.Zero(t, r.events&EventArrived)
	})
	t.Run("no speed of the wheels hurries it", func(t *testing.T) {
		r := cut(t)
		r.in.SpeedKnown = true
		fixes(r, 40, 0)
		r.is(Coasting, 0)
	})
}

// After SHORT it creeps on, and is cut again in time.
func TestShortThenArrived(t *testing.T) {
	for _, known := range []bool{false, true} {
		for _, coast := range []float64{60, 250, 480, 500, 700} { // from 600 mm/s; 500 is expected
			r := newRig(t, func(m *Mission) { m.Rover.LatencyMS = 0; m.Legs[1].ToleranceMM = 100 })
			r.in.SpeedKnown = known
			r.start()
			c := &cart{coastMM: coast}
			happened := r.drive(c, 60_000, func() bool {
				if r.out.Events&EventArrived != 0 {
					require.Zero(t, c.speed)
					require.LessOrEqual(t, math.Hypot(c.e-8_000, c.n), 101.0, "arrived outside the tolerance")
				}
				return r.out.Phase == Dwelling || r.out.Phase == Stopped
			})
			if coast < 380 {
				require.Equal(t, []Events{EventCut, EventShort, EventCut}, happened[:3], "coast %v, known %v", coast, known)
			}
			last := happened[len(happened)-1]
			require.Contains(t, []Events{EventArrived, EventStopped | EventMissed}, last)
			if coast <= 500 && coast > 450 || known && coast < 500 {
				assert.Equal(t, EventArrived, last, "coast %v, known %v", coast, known)
			}
		}
	}
	t.Run("cut where it enters the tolerance, at the latest", func(t *testing.T) {
		r := newRig(t).start().glide(7_500, 0).until(Driving, 3000).had(EventCut | EventShort)
		r.glide(7_740, 0).wait(1000).is(Driving, 0)
		assert.True(t, r.out.DriveEnable)
		r.glide(7_760, 0).is(Coasting, 0).had(EventCut)
	})
	t.Run("cut abeam, where it missed the tolerance", func(t *testing.T) {
		r := newRig(t, func(m *Mission) { m.Legs[1].ToleranceMM = 50 }).start().glide(7_500, 0).until(Driving, 3000)
		r.glide(7_990, 100).is(Driving, 0).glide(8_001, 45).is(Coasting, 0)
	})
}

func TestMissedAndBroughtBack(t *testing.T) {
	rest := func(t *testing.T) *rig {
		r := newRig(t).start().glide(7_500, 0).glide(8_300, 0).until(Stopped, 3000).is(Stopped, PassedBy)
		require.Equal(t, PassedBy, r.out.StoppedBy)
		r.events = 0
		return r
	}
	t.Run("no start beyond the mark", func(t *testing.T) {
		r := rest(t).release().wait(300).is(Stopped, PassedBy|Released)
		r.press().wait(300).is(Stopped, PassedBy|LetGoFirst).had(EventStartRefused)
	})
	t.Run("carried back, it goes on", func(t *testing.T) {
		r := rest(t).release().glide(7_000, 0).is(Waiting, Released).start().wait(20)
		assert.True(t, r.out.DriveEnable)
	})
	t.Run("the next leg is begun by mere_start", func(t *testing.T) {
		r := rest(t)
		require.True(t, r.m.Start(&r.state, 1))
		r.to(8_000, 0).start()
	})
	t.Run("passing a waypoint outside its tolerance", func(t *testing.T) {
		r := newRig(t, func(m *Mission) {
			m.Rover.CrossTrackMM, m.Legs[1].JoinCrossMM = 600, 600
			m.Legs[0].JoinCrossMM = 600
			m.Legs[2].JoinCrossMM = 600
			m.Legs[3].JoinCrossMM = 600
		})
		require.True(t, r.m.Start(&r.state, 1))
		r.glide(8_000, 0).start().glide(8_300, 7_990).is(Driving, 0).glide(8_300, 8_010)
		r.is(Stopped, PassedBy).had(EventStopped | EventMissed)
		r.release().wait(400).press().wait(100).is(Stopped, PassedBy|LetGoFirst).had(EventStartRefused)
		r.release().glide(8_200, 7_900).start().glide(8_200, 8_010) // abeam, within
		assert.EqualValues(t, 2, r.out.Leg)
	})
}

// On passing from leg to leg, and on departing, the next leg is asked before the drive is
// on for it.
func TestNextLegIsAskedFirst(t *testing.T) {
	narrow := func(m *Mission) { m.Legs[2].JoinCrossMM = 150 }
	passing := func(t *testing.T, changes ...func(*Mission)) *rig {
		r := newRig(t, changes...)
		require.True(t, r.m.Start(&r.state, 1))
		return r.glide(8_000, 0).start().glide(8_000, 7_700)
	}
	fenceAt := func(north int64) func(m *Mission) {
		return func(m *Mission) { // only leg 2 keeps so far from the fence
			ring := planar.Ring{{E: -9_000, N: -9_000}, {E: 20_000, N: -9_000}, {E: 20_000, N: north}, {E: -9_000, N: north}}
			fence, _, err := BuildFence(region(ring), nil, nil, 9000)
			require.NoError(t, err)
			m.Fence = fence
			m.Legs[2].FenceAllowanceMM = 3_000
		}
	}
	// C is at (8000, 8000), entered 250 mm before.
	r := passing(t).glide(8_000, 7_760).is(Driving, 0).had(EventArrived)
	assert.True(t, r.out.DriveEnable)
	assert.EqualValues(t, 2, r.out.Leg)

	for _, c := range []struct {
		name    string
		change  func(*Mission)
		reasons Reasons
	}{{"off its line", narrow, OffLine}, {"its fence", fenceAt(11_000), FenceNear}} {
		t.Run("passing: "+c.name, func(t *testing.T) {
			r := passing(t, c.change).to(8_000, 7_760)
			for r.out.Leg == 1 {
				require.True(t, r.out.DriveEnable, "%v", r.out.Reasons)
				r.step(stepMS)
			}
			r.is(Stopped, c.reasons).had(EventArrived | EventStopped)
		})
	}
	t.Run("departing: its fence", func(t *testing.T) {
		r := newRig(t, func(m *Mission) {
			m.Legs[1].FenceAllowanceMM = 15_000
		}).start().glide(7_500, 0).glide(8_000, 0).until(Dwelling, 3000)
		r.step(stepMS).is(Stopped, FenceNear)
		assert.EqualValues(t, 1, r.out.Leg)
	})
	t.Run("departing: moved off its line", func(t *testing.T) {
		r := newRig(t, func(m *Mission) { m.Legs[1].JoinCrossMM = 200 }).start().glide(7_500, 0).glide(7_790, 0).until(Dwelling, 3000)
		r.step(stepMS).is(Stopped, OffLine)
	})
}

func TestDwell(t *testing.T) {
	rest := func(t *testing.T, changes ...func(*Mission)) *rig {
		return newRig(t, changes...).start().glide(7_500, 0).glide(8_000, 0).until(Dwelling, 3000)
	}
	t.Run("is counted once at rest", func(t *testing.T) {
		r := rest(t)
		dwelt := uint32(0)
		for ; r.out.Phase == Dwelling; dwelt += stepMS {
			require.False(t, r.out.DriveEnable)
			r.step(stepMS)
		}
		assert.InDelta(t, 2000, dwelt, stepMS)
		r.is(Driving, 0)
		assert.True(t, r.out.DriveEnable)
		assert.EqualValues(t, 1, r.out.Leg)
		assert.NotZero(t, r.out.Events&EventDeparted)
	})
	t.Run("a release ends it, and an act begins it anew", func(t *testing.T) {
		r := rest(t).wait(1500).release().wait(100).is(Waiting, Released).wait(10_000).is(Waiting, Released)
		r.press().wait(60).is(Dwelling, 0)
		assert.False(t, r.out.DriveEnable)
		assert.NotZero(t, r.events&EventStarted)
		r.wait(1900).is(Dwelling, 0).wait(100).is(Driving, 0)
		assert.EqualValues(t, 1, r.out.Leg)
	})
	t.Run("but not where it was moved away meanwhile", func(t *testing.T) {
		r := rest(t).release().wait(100).glide(8_000, 900).wait(900)
		r.press().wait(60).is(Driving, 0)
		assert.EqualValues(t, 1, r.out.Leg)
	})
	t.Run("a place that it moved away from", func(t *testing.T) {
		r := rest(t).to(8_050, 140).wait(200).is(Dwelling, 0)
		for _, n := range []int64{280, 398} {
			r.to(8_000, n).wait(200).is(Dwelling, 0)
		}
		r.to(8_000, 402).wait(200).is(Stopped, NotAtRest)
	})
}

func TestFinished(t *testing.T) {
	end := func(t *testing.T) *rig {
		r := newRig(t)
		require.True(t, r.m.Start(&r.state, 3))
		r.release().glide(0, 8_000).start().glide(0, 3_500).glide(0, 3_000).until(Finished, 3000)
		r.events = 0
		return r
	}
	t.Run("an emergency stop is told, and latched", func(t *testing.T) {
		r := end(t).set(thumb|gate).step(stepMS).is(Finished, Emergency|ResetNeeded|LetGoFirst).had(EventStopped)
		assert.Equal(t, Emergency|ResetNeeded|LetGoFirst, r.out.StoppedBy)
		r.wait(400).had(0) // once
		r.press().wait(400).is(Finished, ResetNeeded|LetGoFirst).had(0)
		r.set(thumb | gate).step(stepMS).had(EventStopped) // and again

		require.True(t, r.m.Start(&r.state, 3))
		r.release().glide(0, 8_000).wait(400).is(Stopped, ResetNeeded|Released)
		r.press().wait(100).is(Stopped, ResetNeeded|LetGoFirst) // its press was lost
		r.reset(360).is(Waiting, LetGoFirst).start()
	})
	t.Run("other stops", func(t *testing.T) {
		r := end(t)
		r.set(r.all&^gate).step(stepMS).is(Finished, InterlockOpen|LetGoFirst).had(EventStopped)
		r = end(t)
		r.to(0, 3_402).wait(400)
		assert.NotZero(t, r.events&EventStopped)
		assert.NotZero(t, r.out.StoppedBy&NotAtRest)
	})
	t.Run("a release is none", func(t *testing.T) {
		end(t).release().wait(400).is(Finished, Released).had(0)
	})
}

func TestWrongWay(t *testing.T) {
	for _, place := range []string{"driving", "coasting"} {
		r := newRig(t).start().glide(4_000, 0)
		if place == "coasting" {
			r.glide(7_500, 0).is(Coasting, 0)
		}
		from := r.at.E
		r.glide(from-200, 0).glide(from-398, 0)
		require.NotEqual(t, Stopped, r.out.Phase)
		r.glide(from-402, 0).is(Stopped, WrongWay)
		assert.Equal(t, WrongWay, r.out.StoppedBy)
		r.release().wait(300).is(Waiting, Released).start() // from there it may go on
	}
	t.Run("from the start on", func(t *testing.T) {
		newRig(t).start().glide(-402, 0).is(Stopped, WrongWay)
	})
	t.Run("pushed back while it stands", func(t *testing.T) {
		newRig(t).start().glide(4_000, 0).release().glide(1_000, 0).is(Waiting, Released).start().wait(400).is(Driving, 0)
	})
}

func TestArrivalFacts(t *testing.T) {
	leg, err := NewLeg(planar.Point{E: 0, N: 0}, planar.Point{E: 10_000, N: 0})
	require.NoError(t, err)
	end := LastWaypoint(planar.Point{E: 10_000, N: 0})
	end.ToleranceMM = 200
	span := Span{&leg, &end}
	for _, c := range []struct {
		e, n int32
		want Arrival
	}{
		{9_799, 0, UnderWay}, {9_800, 0, Arrived}, {9_859, 141, Arrived}, {9_858, 142, UnderWay},
		{10_000, 200, Arrived}, {10_000, 201, Missed}, {10_000, -201, Missed},
		{10_900, 150, Arrived}, {10_900, 250, Missed}, {9_990, 5_000, UnderWay}, {-5_000, 0, UnderWay},
	} {
		at := Point{c.e, c.n}
		assert.Equal(t, c.want, span.Arrival(at, span.Track(at)), "%+v", c)
	}
}
