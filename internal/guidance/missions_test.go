package guidance

// Missions that the tests run on. They are not meant to be driven; between them
// they have every kind of table that there is.

import (
	"crypto/sha256"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/internal/geodesy"
	"merestone/internal/planar"
)

// star is a ring of n vertices around a centre, whose radius wobbles by a part of
// itself.
func star(centre planar.Point, n int, radiusMM, wobble float64, seed uint64) planar.Ring {
	r := rand.New(rand.NewPCG(seed, 0))
	ring := make(planar.Ring, n)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		radius := radiusMM * (1 + wobble*(r.Float64()-0.5))
		ring[i] = planar.Point{E: centre.E + int64(math.Round(radius*cos)), N: centre.N + int64(math.Round(radius*sin))}
	}
	return ring
}

// region is nil for a ring with faults.
func region(r planar.Ring) *planar.Region {
	g, _ := planar.NewRegion(r)
	return g
}

func regions(rings []planar.Ring) (list []*planar.Region) {
	for _, r := range rings {
		list = append(list, region(r))
	}
	return list
}

// sketch is a mission in short.
type sketch struct {
	name         string
	origin       geodesy.Geodetic
	reachMM      int64 // of the domain
	boundary     planar.Ring
	rings        []planar.Ring
	circles      []planar.Circle
	waypoints    []planar.Point
	toleranceMM  uint16
	crossTrackMM uint16
	stopEach     int // stop and dwell at every n-th waypoint
	circuits     [][]Hold
	closed       bool
	backMM       uint16
	shiftNeeded  bool
}

func (k sketch) mission(t testing.TB) *Mission {
	t.Helper()
	frame, err := geodesy.NewFrame(k.origin)
	require.NoError(t, err)
	m := &Mission{
		Record: Record{Format: RecordFormat, Digest: sha256.Sum256([]byte(k.name)), Mission: k.name, Tool: "test"},
		Closed: k.closed,
	}
	m.Conversion, err = FitConversion(frame, Domain{-k.reachMM, -k.reachMM, k.reachMM, k.reachMM})
	require.NoError(t, err)
	m.Rover = Rover{
		LatencyMS: 120, FixIntervalMS: 200, LoopMS: 50, OutputDelayMS: 20,
		StaleAfterMS: 700, SettleMS: 1600, ResetPressMS: 300, ReleaseMS: 200, LookAheadMM: 1200, FrontMM: 280, HalfWidthMM: 210, BackMM: k.backMM,
		CrossTrackMM: k.crossTrackMM, RetreatMM: 400, JumpMM: 150, StandsMM: 1000,
		MaxShiftMM: 3000, RequiredQuality: board.QualityFixed, ShiftNeeded: k.shiftNeeded,
	}
	require.NoError(t, m.Rover.SetCoast(900, 900))
	require.NoError(t, m.Rover.SetUnits(900, 2000))
	level := Leg{SpeedMMPerS: 600, FenceAllowanceMM: 290}
	require.NoError(t, level.SetCoast(&m.Rover, 450, 450))
	m.Fence, _, err = BuildFence(region(k.boundary), regions(k.rings), k.circles, uint16(m.Rover.FenceReachMM(&level, 600)))
	require.NoError(t, err)
	last := len(k.waypoints) - 1
	for i := range k.waypoints {
		leg := LastWaypoint(k.waypoints[i])
		if i < last {
			leg, err = NewLeg(k.waypoints[i], k.waypoints[i+1])
			require.NoError(t, err)
			leg.SpeedMMPerS = 600
			rise := float64(50 * ((i + 1) % 3)) // each leg has its own slope
			require.NoError(t, leg.SetCoast(&m.Rover, 450+rise, 450+2*rise))
			leg.JoinCrossMM, leg.JoinMM = max(k.crossTrackMM, k.toleranceMM)+uint16(20*(i+1)), 3000
			leg.FenceAllowanceMM = uint16(60 + 20*(i+1))
		}
		leg.ToleranceMM, leg.Dwell = k.toleranceMM, PassThrough
		if i%k.stopEach == 0 || i == last {
			leg.Dwell = 0
		}
		if i > 0 && i%k.stopEach == 0 {
			leg.Dwell = m.Rover.Dwell(2000)
		}
		m.Legs = append(m.Legs, leg)
	}
	m.Holds, _, err = OrderHolds(k.circuits)
	require.NoError(t, err)
	require.NoError(t, m.Validate())
	return m
}

func degrees(latitude, longitude, heightM float64) geodesy.Geodetic {
	return geodesy.Geodetic{
		Latitude:  geodesy.Nanodegree(math.Round(latitude * 1e9)),
		Longitude: geodesy.Nanodegree(math.Round(longitude * 1e9)),
		HeightM:   heightM,
	}
}

func square(e, n, half int64) planar.Ring {
	return planar.Ring{{E: e - half, N: n - half}, {E: e + half, N: n - half}, {E: e + half, N: n + half}, {E: e - half, N: n + half}}
}

// orchard has a fence of 64 vertices and 4 obstacles, and is the one that the
// budgets of instructions and flash are stated for.
func orchard() sketch {
	return sketch{
		name: "orchard", origin: degrees(45.3012, 6.1234, 412.6), reachMM: 200_000,
		boundary: star(planar.Point{}, 64, 60_000, 0.15, 7),
		rings: []planar.Ring{
			square(0, 20_000, 3_000),
			{{E: -22_000, N: -15_000}, {E: -18_000, N: -22_000}, {E: -14_000, N: -16_000}, {E: -20_000, N: -17_000}},
		},
		circles: []planar.Circle{
			{Centre: planar.Point{E: 25_000, N: -8_000}, RadiusMM: 1_200},
			{Centre: planar.Point{E: -30_000, N: 12_000}, RadiusMM: 4_000},
		},
		waypoints: []planar.Point{
			{E: -10_000, N: -40_000}, {E: 12_000, N: -38_000}, {E: 14_000, N: 0}, {E: 36_000, N: 4_000},
			{E: 33_500, N: 18_000}, {E: 8_000, N: 12_000}, {E: -8_000, N: 9_000}, {E: -12_000, N: 35_000}, {E: 6_000, N: 38_000},
		},
		toleranceMM: 250, crossTrackMM: 150, stopEach: 2, backMM: 350,
		circuits: [][]Hold{
			{{Pin: 22, DebounceMS: 20, Kind: board.HoldToRun, RunLevel: 0}},
			{
				{Pin: 24, DebounceMS: 10, DiscrepancyMS: 500, Kind: board.EmergencyStop, RunLevel: 0, Latched: true},
				{Pin: 25, DebounceMS: 10, Kind: board.EmergencyStop, RunLevel: 0, Latched: true},
			},
			{{Pin: 26, DebounceMS: 30, Kind: board.Interlock, RunLevel: 1}},
		},
	}
}

// saltPan is as far north and as large as a site may be, and lies across the
// meridian of 180 degrees.
func saltPan() sketch {
	const reach = 20_200_000
	corner := int64(19_900_000)
	return sketch{
		name: "salt pan", origin: degrees(-80, 179.9, -12.5), reachMM: reach,
		boundary:    planar.Ring{{E: -corner, N: -corner}, {E: -corner, N: corner}, {E: 1, N: corner - 77_777}, {E: corner, N: corner}, {E: corner, N: -corner}},
		rings:       []planar.Ring{square(3_000_000, -500_000, 400_000), square(3_300_000, -300_000, 400_000)},
		circles:     []planar.Circle{{Centre: planar.Point{E: -9_000_000, N: 9_000_000}, RadiusMM: 5_000_000}},
		waypoints:   []planar.Point{{E: 0, N: 0}, {E: 7_000, N: -3_000}, {E: 3_000, N: 4_000}, {E: -18_000_000, N: -18_000_000}, {E: 0, N: 19_000_000}},
		toleranceMM: 900, crossTrackMM: 700, stopEach: 1, backMM: 128,
		circuits: [][]Hold{{{Pin: 4, DebounceMS: 15, Kind: board.EmergencyStop, RunLevel: 1, Latched: true}}},
	}
}

// track is a closed lap without stops, with as many hold contacts as there may
// be. It is near a pole, where not the first coefficient decides the scales of the
// conversion.
func track() sketch {
	k := sketch{
		name: "track", origin: degrees(-89, -70.7, 2800), reachMM: 300_000,
		boundary:    star(planar.Point{E: 5_000, N: -3_000}, 24, 40_000, 0, 0),
		rings:       []planar.Ring{star(planar.Point{E: 5_000, N: -3_000}, 12, 9_000, 0, 0)},
		toleranceMM: 400, crossTrackMM: 300, stopEach: 99, closed: true, backMM: 200, shiftNeeded: true,
	}
	k.waypoints = append(k.waypoints, star(planar.Point{E: 5_000, N: -3_000}, 16, 25_000, 0, 0)...)
	k.waypoints = append(k.waypoints, k.waypoints[0])
	for i := range uint16(8) {
		pair := []Hold{
			{Pin: 2 * i, DebounceMS: 5 * i, DiscrepancyMS: 100 + 50*i, RunLevel: uint8(i % 2), Kind: board.HoldKind(i % 3), FilterMS: 30 * (i % 3), Latched: i%3 != 0},
			{Pin: 2*i + 1, DebounceMS: 7 * i, RunLevel: uint8(i / 2 % 2), Kind: board.HoldKind(i % 3), FilterMS: 30 * (i % 3), Latched: i%3 != 0},
		}
		k.circuits = append(k.circuits, pair)
	}
	return k
}

func sketches() []sketch { return []sketch{orchard(), saltPan(), track()} }
