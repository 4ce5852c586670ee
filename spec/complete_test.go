// Missions with many keys and with all: every value arrives in its field, and every
// field has been written.
package spec

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/internal/circuit"
	"merestone/internal/diag"
	"merestone/internal/geodesy"
	"merestone/internal/quantity"
)

func ptr[T any](v T) *T { return &v }

func cm(n int64) quantity.Length   { return quantity.Length(n * 10_000) }
func ms(n int64) quantity.Duration { return quantity.Duration(n) * quantity.Second / 1000 }
func cms(n int64) quantity.Speed   { return quantity.Speed(n * 10_000) }
func at(value, resolution geodesy.Nanodegree) geodesy.Coordinate {
	return geodesy.Coordinate{Value: value, Resolution: resolution}
}

func fence(name string, latitude, longitude geodesy.Nanodegree) Mark {
	return Mark{Name: name, Path: "marks." + name, Latitude: at(latitude*100_000, 100_000), Longitude: at(longitude*100_000, 100_000)}
}

func TestEveryKeyArrives(t *testing.T) {
	result := parseFolder(t, "testdata/complete")
	require.Empty(t, printed(t, result))
	got := *result.Mission
	got.asWritten = asWritten{}
	want := Mission{
		Name:       "every-key",
		Confidence: ptr(99 * quantity.Percent),
		Site: Site{
			Origin: Origin{Latitude: at(45_301_200_000, 10), Longitude: at(-6_123_400_000, 10), Height: cm(41_260)},
			Date:   Date{2026, 5, 10}, Slope: ptr(quantity.Ratio(20_000)),
			Overhead: []Overhead{
				{Name: "crowns", Kind: Canopy, Centre: "W", Radius: cm(250), Height: cm(700), Headroom: ptr(cm(180))},
				{Name: "porch", Kind: Roof, Ring: []string{"S1", "S2", "S3"}, Height: cm(300)},
			},
		},
		Base: Base{Mark: "BASE", Position: Averaged, AveragedFor: ptr(4 * 3_600 * quantity.Second), Uncertainty: cm(80), ControlMarks: []string{"C1", "C2"}, Rotation: true},
		Receiver: Receiver{
			FixRate: 5 * quantity.Hertz, Latency: ms(120), StaleAfter: ptr(ms(600)),
			Uncertainty: ReceiverUncertainty{Fixed: cm(2), Float: ptr(cm(40))}, Required: board.QualityFloat,
		},
		Rover: Rover{
			Width: cm(42), Length: cm(60), Speed: RoverSpeed{Cruise: cms(60), Minimum: cms(25)}, Coast: []Coast{{From: cms(55), Distance: cm(45), Downhill: 12_500}, {From: cms(30), Distance: cm(15)}},
			TurnRadius: cm(30), TurningCentre: ptr(cm(-8)), CrossTrack: cm(8), MotorLag: ptr(ms(180)), Heading: ptr(quantity.Angle(2_500_000_000)), Tilt: ptr(6 * quantity.Degree),
			Antenna: &Antenna{Forward: cm(-12), Right: cm(3), Height: cm(110)}, Compass: &Compass{FromAntenna: cm(35)},
		},
		Marks: []Mark{
			{Name: "BASE", Path: "marks.BASE", Latitude: at(45_301_200_000, 100_000), Longitude: at(-6_123_400_000, 100_000)},
			{Name: "A", Path: "marks.A", Latitude: at(45_301_210_000, 10_000), Longitude: at(-6_123_410_000, 10_000), Height: ptr(cm(41_190)), Uncertainty: ptr(cm(2)), Setup: "may", SameAs: "C1"},
			// 18' 4.4412" is 0.301233666... degrees, and 7' 24.24" is 0.1234 degrees; 1e-4" is 27.8 nanodegrees.
			{Name: "B", Path: "marks.B", Latitude: at(45_301_233_667, 28), Longitude: at(-6_123_400_000, 28)},
			{Name: "C", Path: "marks.C", Latitude: at(45_301_220_000, 10_000), Longitude: at(-6_123_420_000, 10_000)},
			{Name: "C1", Path: "marks.C1", Latitude: at(45_301_500_000, 100_000), Longitude: at(-6_123_000_000, 100_000), Height: ptr(cm(41_210)), Uncertainty: ptr(quantity.Length(8_000)), Setup: "june"},
			{Name: "C2", Path: "marks.C2", Latitude: at(45_301_600_000, 100_000), Longitude: at(-6_123_000_000, 100_000), Uncertainty: ptr(quantity.Length(8_000)), Setup: "july 2", SameAs: "C1"},
			fence("F1", 453_000, -61_240), fence("F2", 453_000, -61_220), fence("F3", 453_020, -61_220), fence("F4", 453_020, -61_240),
			fence("W", 453_011, -61_231),
			{Name: "S1", Path: "marks.S1", Latitude: at(45_300_833_333, 27_778), Longitude: at(-6_122_777_778, 27_778)}, // 3.0" and 7' 22.0"
			{Name: "S2", Path: "marks.S2", Latitude: at(45_300_833_333, 27_778), Longitude: at(-6_122_500_000, 27_778)}, // 7' 21.0"
			fence("S3", 453_009, -61_228),
		},
		MarksFile: "marks.csv",
		Tape:      []Tape{{From: "A", To: "B", Measured: cm(4_127), Uncertainty: cm(3)}},
		Route: Route{
			Closed: true, ArrivalTolerance: ptr(cm(25)), Speed: ptr(cms(50)),
			Waypoints: []Waypoint{{Mark: "A"}, {Mark: "B", ArrivalTolerance: ptr(cm(10)), Speed: ptr(cms(30)), Dwell: ptr(ms(5_000))}, {Mark: "C"}},
		},
		Geofence: Geofence{
			Boundary: []string{"F1", "F2", "F3", "F4"}, BoundaryHeight: ptr(cm(200)), BoundaryReflects: true,
			Obstacles: []Obstacle{
				{Name: "old well", Centre: "W", Radius: cm(120), Height: ptr(cm(50)), Reflects: true},
				{Name: "shed", Ring: []string{"S1", "S2", "S3"}},
			},
		},
		Holds: []Hold{
			{
				Name: "thumb switch", Kind: board.HoldToRun,
				Channel:  Channel{Pin: 22, Contact: circuit.NormallyOpen, WiredTo: circuit.Ground, Pull: circuit.PullUp, External: ptr(4_700 * quantity.Ohm), Series: ptr(220 * quantity.Ohm)},
				Debounce: ms(20), StopCategory: 0,
			},
			{
				Name: "red button", Kind: board.EmergencyStop,
				Channel:  Channel{Pin: 24, Contact: circuit.NormallyClosed, WiredTo: circuit.Supply, Pull: circuit.PullNone},
				Second:   &Channel{Pin: 26, Contact: circuit.NormallyClosed, WiredTo: circuit.Supply, Pull: circuit.PullDown, External: ptr(10_000 * quantity.Ohm), Series: ptr(330 * quantity.Ohm), Return: "red feed"},
				Debounce: ms(10), StopFilter: ptr(4_500 * quantity.Second / 1_000_000), Discrepancy: ptr(ms(50)), StopCategory: 1,
				Radio: &Radio{Delay: ms(80), LossOfSignal: ms(400)}, CommonCause: &circuit.CommonCause{Cable: true, Supply: true, Actuator: true},
			},
		},
		DrivePath: []Part{
			{Name: "red pole", Kind: circuit.Pole, OpenedBy: []string{"red button"}, OffDelay: ms(5)},
			{Name: "main relay", Kind: circuit.Relay, OpenedBy: []string{DriveEnable, "red button", Watchdog}, OffDelay: ms(60), CoilDiode: ptr(false), Covered: "tried before each drive"},
			{Name: "motor driver", Kind: circuit.Semiconductor, OpenedBy: []string{DriveEnable}, OffDelay: 1_500 * quantity.Second / 1_000_000, PulledOff: true},
		},
		Board: Board{
			InputPins: []int{22, 24, 26}, Pulls: []circuit.Pull{circuit.PullUp}, DriveEnable: ptr(8), IntegerBits: 64, Float: "hardware",
			Loop: ptr(ms(50)), Watchdog: ptr(ms(100)), Covered: "the watchdog's own output takes the relay's supply", ResistorTolerance: ptr(2 * quantity.Percent), Flash: ptr(quantity.Size(64_000)), Instructions: ptr(5_000),
			Logic: &Logic{
				Supply: 3_300 * quantity.Millivolt, LowBelow: 800 * quantity.Millivolt, HighAbove: 2_000 * quantity.Millivolt,
				PullLeast: 20_000 * quantity.Ohm, PullMost: 150_000 * quantity.Ohm,
			},
		},
		Commissioning: &Commissioning{
			Date: Date{2027, 1, 20}, RepeatBy: Date{2027, 7, 20},
			Stopping: []StoppingRun{{From: cms(60), Time: ms(1_400), Distance: cm(52), Downhill: -quantity.Percent}},
			Coast:    []Coast{{From: cms(60), Distance: cm(45)}},
			Passed:   []string{"T01-3fa2", "T02-90c1"},
		},
	}
	assert.Equal(t, want, got)
}

// everyKey is a mission with every key of the language, none with its usual value.
// internal/figures changes each of them, and wants to see it everywhere.
const everyKey = "../testdata/every-key"

// It must have every key, or it would prove nothing of the rest.
func TestEveryKeyIsWritten(t *testing.T) {
	result := parseFolder(t, everyKey)
	require.Empty(t, printed(t, result))
	walk(missionKeys(&Mission{}), "", func(path string, k key) {
		found := false
		for place := range result.Mission.places {
			found = found || sameKey(path, place)
		}
		assert.Truef(t, found, "%s is not written in %s/mission.yaml", path, everyKey)
	})
}

// sameKey compares a path of the reference, with [] and NAME, with a place.
func sameKey(path, place string) bool {
	wanted, got := strings.Split(path, "."), strings.Split(place, ".")
	if len(wanted) != len(got) {
		return false
	}
	for i := range wanted {
		name, _, listed := strings.Cut(got[i], "[")
		if wanted[i] != "NAME" && (strings.TrimSuffix(wanted[i], "[]") != name || strings.HasSuffix(wanted[i], "[]") != listed) {
			return false
		}
	}
	return true
}

// Every field of the types is filled by some key, so that none is forgotten when
// the types grow.
func TestEveryFieldIsFilled(t *testing.T) {
	filled := map[string]bool{}
	// Two, since a word such as ground or normally-open is the zero of its field.
	for _, folder := range []string{everyKey, "testdata/complete"} {
		note(reflect.ValueOf(*parseFolder(t, folder).Mission), "Mission", filled)
	}
	delete(filled, "Mission.asWritten.doubts") // a sound mission leaves none
	for field, yes := range filled {
		assert.Truef(t, yes, "no key filled %s", field)
	}
	assert.Greater(t, len(filled), 80)
}

func note(v reflect.Value, path string, filled map[string]bool) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			note(v.Elem(), path, filled)
		}
	case reflect.Slice:
		for i := range v.Len() {
			note(v.Index(i), path, filled)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			field := path + "." + v.Type().Field(i).Name
			filled[field] = filled[field] || !v.Field(i).IsZero()
			note(v.Field(i), field, filled)
		}
	}
}

// Places point at the text of values, and at the keys of blocks and lists.
func TestPlaces(t *testing.T) {
	mission := parseFolder(t, "testdata/complete").Mission
	for path, want := range map[string]string{
		"mission":                        `mission.yaml "every-key"`,
		"rover":                          `mission.yaml "rover"`,
		"rover.width":                    `mission.yaml "0.42 m"`,
		"rover.speed":                    `mission.yaml "speed"`,
		"rover.speed.cruise":             `mission.yaml "0.60 m/s"`,
		"marks.A":                        `mission.yaml "A"`,
		"marks.A.latitude":               `mission.yaml "45.30121"`,
		"marks.B.longitude":              `mission.yaml "\"6°07'24.2400\\\"W\""`,
		"marks.C1":                       `marks.csv "C1"`,
		"marks.C1.height":                `marks.csv "412.10 m"`,
		"marks.S1.longitude":             `marks.csv "6°07'22.0\"W"`,
		"marks.S2.longitude":             `marks.csv "6°07'21.0\"W"`, // behind a quoted field with a character of two bytes
		"route.waypoints":                `mission.yaml "waypoints"`,
		"route.waypoints[0]":             `mission.yaml "A"`,
		"route.waypoints[0].mark":        `mission.yaml "A"`,
		"route.waypoints[1]":             `mission.yaml "B"`,
		"route.waypoints[1].speed":       `mission.yaml "0.3 m/s"`,
		"geofence.boundary[3]":           `mission.yaml "F4"`,
		"geofence.obstacles[1]":          `mission.yaml "shed"`,
		"geofence.obstacles[1].ring[2]":  `mission.yaml "S3"`,
		"holds[1]":                       `mission.yaml "red button"`,
		"holds[1].second_channel":        `mission.yaml "second_channel"`,
		"holds[1].second_channel.pin":    `mission.yaml "26"`,
		"holds[0].second_channel.pin":    `mission.yaml "thumb switch"`, // not written: the hold
		"board.outputs.drive_enable":     `mission.yaml "8"`,
		"rover.tyres.pressure":           `mission.yaml "rover"`,
		"marks.A.uncertainty.of.nothing": `mission.yaml "2 cm"`,
	} {
		assert.Equal(t, want, shown(t, "testdata/complete", mission.Where(path)), path)
	}
	assert.Equal(t, diag.Position{File: "mission.yaml"}, mission.Where(""))
	assert.Equal(t, diag.Position{File: "mission.yaml"}, mission.Where("no.such.key"))
}

// shown is the text at a position.
func shown(t *testing.T, folder string, at diag.Position) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(folder, at.File))
	require.NoError(t, err)
	line := []rune(strings.Split(string(text), "\n")[at.Line-1])
	return fmt.Sprintf("%s %q", at.File, string(line[at.Column-1:at.Column-1+at.Width]))
}
