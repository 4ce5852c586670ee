// The yard that the refused missions share, and each refused mission as the one
// change that makes it so.
package examples

import (
	"fmt"
	"strings"

	"merestone/internal/geodesy"
)

// Yard is 30 m by 20 m, with a round well and a shed of four corners in it. The
// drawing's picture is at the head of examples/refused/base.yaml.
func Yard() Layout {
	return Layout{
		Folder: "refused",
		Origin: geodesy.Geodetic{Latitude: 51_620_400_000, Longitude: 25_913_700_000, HeightM: 168},
		Along:  North(),
		Groups: []Group{{Uncertainty: "1 cm", Points: []Point{
			at("BASE", -5, 10),
			at("A", 5, 5), at("B", 25, 5), at("C", 25, 15), at("D", 5, 15),
			at("F1", 0, 0), at("F2", 30, 0), at("F3", 30, 20), at("F4", 0, 20),
			at("W", 19, 10),
			at("S1", 9, 9), at("S2", 12, 9), at("S3", 12, 11), at("S4", 9, 11),
		}}},
	}
}

// Case is one mission that is refused, or warned of, for one reason.
type Case struct {
	Folder string // under examples/refused, or examples/warned where Warned
	Rule   string // the one rule that it breaks
	Why    string // what is wrong, in plain words
	Change []Change
	// Passes is text in place of Change with which the mission just passes the rule.
	Passes []Change
	Warned bool // the rule is a warning: the mission compiles
	// Untried: the record of the commissioning is that of the yard, whatever was changed.
	Untried bool
}

// Change changes the drawing or the text of the yard. The zero fields change
// nothing.
type Change struct {
	Mark     Point            // moved, or added when the yard has no such mark
	Find     string           // text of the base mission, there exactly once...
	Write    string           // ...and what stands there instead
	Origin   geodesy.Geodetic // of the mission and of the drawing: the site is elsewhere
	Mistaken geodesy.Geodetic // of the mission alone: the drawing stays where it was
}

func moved(name string, acrossM, alongM float64) Change {
	return Change{Mark: at(name, acrossM, alongM)}
}

func written(find, write string) Change { return Change{Find: find, Write: write} }

const (
	yardWaypoints = "waypoints: [A, B, C, D]"
	yardBoundary  = "boundary: [F1, F2, F3, F4]"
	yardShed      = "ring: [S1, S2, S3, S4]"
	yardBase      = "base: {mark: BASE, position: entered, uncertainty: 1 mm}"
	yardApart     = "    common_cause: {cable: false, connector: false, supply: true, actuator: true}\n"
	yardPoles     = "opened_by: [drive_enable, thumb switch, mushroom button]"
	yardNoThumb   = "opened_by: [drive_enable, mushroom button]"
	yardDriver    = "  - {name: motor driver, kind: semiconductor, opened_by: [drive_enable], off_delay: 2 ms, pulled_off: true}\n"
	yardThumb     = "    pin: 22\n    contact: normally-open\n    wired_to: ground\n    pull: up\n    series_resistor: 330 ohm\n    second_channel: {pin: 28, contact: normally-open, wired_to: ground, pull: up, series_resistor: 330 ohm}\n" + yardApart + "    debounce: 20 ms\n    discrepancy: 200 ms\n"
	yardOneWire   = "    pin: 22\n    contact: normally-open\n    wired_to: ground\n    pull: up\n    series_resistor: 330 ohm\n    debounce: 20 ms\n"
	yardButton    = "    pin: 24\n    contact: normally-closed\n    wired_to: ground\n    pull: up\n    series_resistor: 330 ohm\n    second_channel: {pin: 26, contact: normally-closed, wired_to: ground, pull: up, series_resistor: 330 ohm}\n" + yardApart
	yardLine      = "latitude: 51.620400000, longitude: 25.913700000, height: 168.00 m"
)

// Cases are the refused missions in the order of the rules, then those that are
// only warned of.
func Cases() []Case {
	yard := Yard().Origin
	return []Case{
		{Folder: "ring-crossed", Rule: "geometry.ring", Why: "two corners of the fence are listed in the wrong order, so that its sides cross.",
			Change: []Change{written(yardBoundary, "boundary: [F1, F3, F2, F4]")}},
		{Folder: "ring-crossed-obstacle", Rule: "geometry.ring", Why: "two corners of the shed are listed in the wrong order.",
			Change: []Change{written(yardShed, "ring: [S1, S3, S2, S4]")}},
		{Folder: "ring-repeated", Rule: "geometry.ring", Why: "two marks of the fence have the same coordinates.",
			Change: []Change{moved("F5", 30, 20), written(yardBoundary, "boundary: [F1, F2, F3, F5, F4]")}},
		{Folder: "ring-spike", Rule: "geometry.ring", Why: "the fence runs 5 m past its corner F2 and back again.",
			Change: []Change{moved("F5", 35, 0), written(yardBoundary, "boundary: [F1, F5, F2, F3, F4]")}},
		{Folder: "ring-crossed-overhead", Rule: "geometry.ring", Why: "two corners of a canopy are listed in the wrong order.",
			Change: []Change{written("date: 2026-06-15", "date: 2026-06-15\n  overhead:\n    - {name: elms, kind: canopy, ring: [S1, S3, S2, S4], height: 6 m}")}},
		{Folder: "ring-pinched", Rule: "geometry.ring", Why: "the shed is drawn as an hourglass, whose two halves touch at one point.",
			Change: []Change{moved("M1", 10.5, 10), moved("M2", 10.5, 10), written(yardShed, "ring: [S1, S2, M1, S3, S4, M2]")}},
		{Folder: "ring-flat", Rule: "geometry.ring", Why: "the three marks of an obstacle lie on one line: it encloses nothing.",
			Change: []Change{moved("S2", 10, 10), moved("S3", 11, 11), written(yardShed, "ring: [S1, S2, S3]")}},

		{Folder: "obstacle-outside", Rule: "geometry.obstacle-outside", Why: "the well is beyond the fence; a digit of its longitude was exchanged.",
			Change: []Change{moved("W", 49, 10)}},
		{Folder: "obstacle-across-fence", Rule: "geometry.obstacle-outside", Why: "the well stands in the line of the fence, half inside and half outside.",
			Change: []Change{moved("W", 29.8, 10)}},

		{Folder: "waypoint-outside", Rule: "geometry.leg-outside", Why: "waypoint C is 5 m beyond the fence.",
			Change: []Change{moved("C", 35, 15)}},
		{Folder: "leg-outside", Rule: "geometry.leg-outside", Why: "the fence has a bay; both ends of the leg are inside, its middle is not.",
			Change: []Change{moved("N1", 13, 0), moved("N2", 15, 7), moved("N3", 17, 0), written(yardBoundary, "boundary: [F1, N1, N2, N3, F2, F3, F4]")}},

		{Folder: "leg-through-circle", Rule: "geometry.leg-obstacle", Why: "the leg from A to B runs over the well.",
			Change: []Change{moved("W", 19, 5.5)}},
		{Folder: "leg-through-ring", Rule: "geometry.leg-obstacle", Why: "the route is cut short, and its last leg runs through the shed.",
			Change: []Change{moved("E", 5, 10), moved("G", 15, 10), written(yardWaypoints, "waypoints: [A, B, C, D, E, G]")}},
		{Folder: "waypoint-in-ring", Rule: "geometry.leg-obstacle", Why: "the route ends inside the shed, without a wall being crossed on the way: it starts there too.",
			Change: []Change{moved("P", 10, 10), moved("Q", 11, 10), moved("S1", 7, 8), moved("S2", 14, 8), moved("S3", 14, 12), moved("S4", 7, 12),
				written(yardWaypoints, "waypoints: [P, Q]")}},

		{Folder: "clearance-boundary", Rule: "geometry.clearance", Why: "the route starts 0.8 m from the fence, nearer than the rover needs.",
			Change: []Change{moved("A", 5, 0.8)}},
		{Folder: "clearance-circle", Rule: "geometry.clearance", Why: "the well is wider than was thought; two legs pass too near to it.",
			Change: []Change{written("radius: 0.8 m", "radius: 4.3 m")}},
		{Folder: "clearance-ring", Rule: "geometry.clearance", Why: "a corner of the shed was measured anew and is 0.6 m from the leg.",
			Change: []Change{moved("S3", 12, 14.4)}},
		{Folder: "clearance-waypoint", Rule: "geometry.clearance", Why: "at B the rover turns on the spot, about an axle 60 cm behind its middle, and its body sweeps a wide circle.",
			Change: []Change{moved("B", 27.8, 5), written("length: 0.50 m", "length: 1.40 m"), written("cross_track: 8 cm", "cross_track: 12 cm"), written("turn_radius: 0 m", "turn_radius: 0 m\n  turning_centre: -60 cm")},
			Passes: []Change{moved("B", 27.8, 5), written("length: 0.50 m", "length: 1.40 m"), written("cross_track: 8 cm", "cross_track: 12 cm")}},
		{Folder: "clearance-long", Rule: "geometry.clearance", Why: "the rover is 2 m long, and its front comes to the fence before its middle does.",
			Change: []Change{moved("A", 5, 1.2), written("length: 0.50 m", "length: 2.00 m")},
			Passes: []Change{moved("A", 5, 1.2)}},
		{Folder: "clearance-coast", Rule: "geometry.clearance", Why: "nothing was moved, but the rover rolls on for 4.5 m, on wet grass, say (and the arrival tolerance allows for it).",
			Change: []Change{written("distance: 0.30 m", "distance: 4.50 m"), written("arrival_tolerance: 30 cm", "arrival_tolerance: 1.0 m"), written("cross_track: 8 cm", "cross_track: 11 cm")}},

		{Folder: "zero-leg", Rule: "geometry.zero-leg", Why: "two waypoints are at the same place.",
			Change: []Change{moved("B2", 25, 5), written(yardWaypoints, "waypoints: [A, B, B2, C, D]")}},
		{Folder: "zero-leg-closed", Rule: "geometry.zero-leg", Why: "a closed route returns to its first waypoint by itself; here that is listed once more at the end.",
			Change: []Change{written("closed: false", "closed: true"), written(yardWaypoints, "waypoints: [A, B, C, D, A]")}},
		{Folder: "short-leg", Rule: "geometry.short-leg", Why: "the leg from B to B2 is shorter than the rover's roll-out.",
			Change: []Change{moved("B2", 25, 5.3), written(yardWaypoints, "waypoints: [A, {mark: B, dwell: 2 s}, {mark: B2, dwell: 2 s, arrival_tolerance: 50 cm}, C, D]")}},
		{Folder: "short-leg-turn", Rule: "geometry.short-leg", Why: "with a turning radius of 6 m the rover needs more than the 1 m from P to Q for the two gentle turns there.",
			Change: []Change{written("turn_radius: 0 m", "turn_radius: 6 m"), moved("P", 12, 5), moved("Q", 13, 5.2), moved("R", 20, 8), written(yardWaypoints, "waypoints: [A, P, {mark: Q, arrival_tolerance: 40 cm}, R]")}},
		{Folder: "extent", Rule: "geometry.extent", Why: "one digit of the origin's latitude is wrong, so that every mark is 22 km from it.",
			Change: []Change{{Mistaken: geodesy.Geodetic{Latitude: 51_820_400_000, Longitude: yard.Longitude, HeightM: yard.HeightM}}}},
		{Folder: "exchanged", Rule: "geometry.exchanged", Why: "latitude and longitude of the origin are exchanged: every mark would be 3500 km from it, and is at it the other way round.",
			Change: []Change{{Mistaken: geodesy.Geodetic{Latitude: yard.Longitude, Longitude: yard.Latitude, HeightM: yard.HeightM}}}},
		{Folder: "pole", Rule: "geometry.pole", Why: "the origin is 220 m from the north pole, where longitudes run together.",
			Change: []Change{
				{Origin: geodesy.Geodetic{Latitude: 89_988_000_000, Longitude: 25_913_700_000, HeightM: 168}},
				{Mistaken: geodesy.Geodetic{Latitude: 89_998_000_000, Longitude: 25_913_700_000, HeightM: 168}},
			}},
		{Folder: "antimeridian", Rule: "geometry.antimeridian", Why: "the site lies across the meridian of 180 degrees: to the west of it longitudes are +179.9999, to the east -179.9999.",
			Change: []Change{{Origin: geodesy.Geodetic{Latitude: yard.Latitude, Longitude: 179_999_800_000, HeightM: 168}}}},

		{Folder: "measured-circular", Rule: "measured.circular", Why: "the tree was measured from the post, the post from the gate, and the gate from the tree: none of them lies anywhere.",
			Change: []Change{yardMeasured("TREE: {from: POST, east: 2.10 m, north: 0.40 m, uncertainty: 2 cm}", "POST: {from: GATE, east: 1.00 m, north: 3.20 m, uncertainty: 2 cm}", "GATE: {from: TREE, east: 0.50 m, north: 1.10 m, uncertainty: 2 cm}")}},
		{Folder: "measured-chain", Rule: "measured.chain", Why: "posts of a fence were measured each from the one before, 49 of them.",
			Change: []Change{yardMeasured(yardPosts(49)...)},
			Passes: []Change{yardMeasured(yardPosts(48)...)}},
		{Folder: "measured-apart", Rule: "measured.apart", Why: "a metre was misread on one of the two tapes to the tree.",
			Change: []Change{yardMeasured("TREE: {tapes: [{from: A, distance: 7.81 m, uncertainty: 2 cm}, {from: B, distance: 11.11 m, uncertainty: 2 cm}], side: left}")},
			Passes: []Change{yardMeasured("TREE: {tapes: [{from: A, distance: 9.81 m, uncertainty: 2 cm}, {from: B, distance: 11.11 m, uncertainty: 2 cm}], side: left}")}},
		{Folder: "measured-weak", Rule: "measured.weak", Why: "the tree stands almost in the line from A to B, and the two tapes along it hardly cross.",
			Change: []Change{yardMeasured("TREE: {tapes: [{from: A, distance: 10.01 m, uncertainty: 2 cm}, {from: B, distance: 10.02 m, uncertainty: 2 cm}], side: left}")},
			Passes: []Change{yardMeasured("TREE: {tapes: [{from: A, distance: 10.10 m, uncertainty: 2 cm}, {from: B, distance: 10.11 m, uncertainty: 2 cm}], side: left}")}},
		{Folder: "measured-fit", Rule: "measured.fit", Why: "four tapes lead to the tree, and the one from C was read half a metre too long.",
			Change: []Change{yardMeasured("TREE: {tapes: [{from: A, distance: 12.207 m, uncertainty: 2 cm}, {from: B, distance: 12.207 m, uncertainty: 2 cm}, {from: C, distance: 10.940 m, uncertainty: 2 cm}, {from: D, distance: 10.440 m, uncertainty: 2 cm}], side: left}")},
			Passes: []Change{yardMeasured("TREE: {tapes: [{from: A, distance: 12.207 m, uncertainty: 2 cm}, {from: B, distance: 12.207 m, uncertainty: 2 cm}, {from: C, distance: 10.440 m, uncertainty: 2 cm}, {from: D, distance: 10.440 m, uncertainty: 2 cm}], side: left}")}},
		{Folder: "measured-declination", Rule: "measured.declination", Why: "the compass was read in 2024, before the years for which the magnetic model holds.",
			Change: []Change{yardMeasured("TREE: {from: A, magnetic_bearing: 38 deg, bearing_uncertainty: 1 deg, date: 2024-06-15, distance: 10.30 m, distance_uncertainty: 2 cm}")},
			Passes: []Change{yardMeasured("TREE: {from: A, magnetic_bearing: 38 deg, bearing_uncertainty: 1 deg, date: 2025-06-15, distance: 10.30 m, distance_uncertainty: 2 cm}")}},

		{Folder: "near-pole", Rule: "precision.bound", Why: "the site is 1.3 km from the north pole, where a degree of longitude is 23 m and the board's conversion cannot follow.",
			Change: []Change{{Origin: geodesy.Geodetic{Latitude: 89_988_000_000, Longitude: 25_913_700_000, HeightM: 168}}}},
		{Folder: "decimals", Rule: "precision.decimals", Why: "waypoint B is recorded with five decimals of a degree, a metre apart.",
			Change: []Change{{Mark: Point{Name: "B", AcrossMM: 25_000, AlongMM: 5_000, Decimals: 5}}}},

		{Folder: "tolerance", Rule: "arrival.tolerance", Why: "the rover is to stop within 5 cm of C, and can only promise more.",
			Change: []Change{written(yardWaypoints, "waypoints: [A, B, {mark: C, arrival_tolerance: 5 cm}, D]")}},
		{Folder: "speed-over-cruise", Rule: "arrival.speed", Why: "a leg is to be driven faster than the rover's cruise speed.",
			Change: []Change{written(yardWaypoints, "waypoints: [A, B, {mark: C, speed: 0.8 m/s}, D]")}},
		{Folder: "speed-under-minimum", Rule: "arrival.speed", Why: "a leg is to be driven slower than the rover can.",
			Change: []Change{written(yardWaypoints, "waypoints: [A, B, {mark: C, speed: 0.1 m/s}, D]")}},
		{Folder: "slope-rolls", Rule: "slope.rolls", Why: "the ground falls by 6 %, and the rover, which has no brake, would not come to rest on it.",
			Change: []Change{written("date: 2026-06-15", "date: 2026-06-15\n  slope: 6 %")},
			Passes: []Change{written("date: 2026-06-15", "date: 2026-06-15\n  slope: 5.2 %")}},
		{Folder: "slope-leg-rolls", Rule: "slope.rolls", Why: "by the heights of its marks the leg from A to B falls by 8 %, on which the rover would not come to rest.",
			Change: []Change{
				{Mark: Point{Name: "A", AcrossMM: 5_000, AlongMM: 5_000, RiseMM: 1_610}},
				{Mark: Point{Name: "B", AcrossMM: 25_000, AlongMM: 5_000, RiseMM: 10}},
			}},
		{Folder: "slope-bound", Rule: "slope.bound", Why: "the mission says that the ground nowhere falls or rises by more than 0.5 %, and the leg from A to B falls by 1 %.",
			Change: []Change{
				{Mark: Point{Name: "A", AcrossMM: 5_000, AlongMM: 5_000, RiseMM: 210}}, {Mark: Point{Name: "B", AcrossMM: 25_000, AlongMM: 5_000, RiseMM: 10}},
				written("date: 2026-06-15", "date: 2026-06-15\n  slope: 0.5 %"),
			}},
		{Folder: "slope-tilt", Rule: "slope.tilt", Why: "the rover tilts by up to 4 degrees, which is 7 %, and the mission does not say how much of that is the ground.",
			Change: []Change{written("cross_track: 8 cm", "cross_track: 8 cm\n  tilt: 4 deg")},
			Passes: []Change{written("cross_track: 8 cm", "cross_track: 8 cm\n  tilt: 3 deg")}},
		{Folder: "stale", Rule: "arrival.stale", Why: "the watchdog on fixes is shorter than the time from one fix to the next, so it would trip all the time.",
			Change: []Change{written("latency: 80 ms", "latency: 80 ms\n  stale_after: 100 ms")}},
		{Folder: "turn", Rule: "arrival.turn", Why: "the rover turns in a circle of 1.5 m radius, and so swings wide of the right angle at B, towards a well that is near.",
			Change: []Change{written("turn_radius: 0 m", "turn_radius: 1.5 m"), written("cross_track: 8 cm", "cross_track: 10 cm"), moved("W", 27.2, 6)},
			Passes: []Change{written("turn_radius: 0 m", "turn_radius: 1.5 m"), written("cross_track: 8 cm", "cross_track: 10 cm")}},

		{Folder: "line", Rule: "line.cross-track", Why: "the receiver is a 2 cm one, and the board is to stop the rover 2 cm off its line.",
			Change: []Change{written("uncertainty: {fixed: 1 cm", "uncertainty: {fixed: 2 cm"), written("cross_track: 8 cm", "cross_track: 2 cm")},
			Passes: []Change{written("uncertainty: {fixed: 1 cm", "uncertainty: {fixed: 2 cm"), written("cross_track: 8 cm", "cross_track: 123 mm")}},
		{Folder: "line-late", Rule: "line.cross-track", Why: "the motors follow a second late, and the rover swings about its line.",
			Change: []Change{written("turn_radius: 0 m", "turn_radius: 0 m\n  motor_lag: 1 s")}},

		{Folder: "board-flash", Rule: "board.budget", Why: "the tables are to take no more than 700 bytes of the flash.",
			Change: []Change{written("  outputs: {drive_enable: 8}\n", "  outputs: {drive_enable: 8}\n  flash: 700 B\n")},
			Passes: []Change{written("  outputs: {drive_enable: 8}\n", "  outputs: {drive_enable: 8}\n  flash: 10 kB\n")}},
		{Folder: "board-instructions", Rule: "board.budget", Why: "a step is to take no more than a thousand instructions.",
			Change: []Change{written("  outputs: {drive_enable: 8}\n", "  outputs: {drive_enable: 8}\n  instructions: 1000\n")},
			Passes: []Change{written("  outputs: {drive_enable: 8}\n", "  outputs: {drive_enable: 8}\n  instructions: 2000\n")}},

		{Folder: "tape", Rule: "tape.distance", Why: "the tape says 30.45 m where the coordinates say 30.00 m: a mark or the tape is wrong.",
			Change: []Change{written("measured: 30.00 m", "measured: 30.45 m")}},

		{Folder: "holds-none", Rule: "holds.none", Why: "there is neither a hold-to-run nor an emergency stop, only a bumper.",
			Change: []Change{written(holdsOf(), "holds:\n  - name: bumper\n    kind: interlock\n    pin: 22\n    contact: normally-closed\n    wired_to: ground\n    pull: up\n    series_resistor: 330 ohm\n    debounce: 20 ms\n    stop_category: 0\n"), written(yardPoles, "opened_by: [drive_enable, bumper]")}},
		{Folder: "holds-pin-twice", Rule: "holds.pin", Why: "two circuits are read by the same pin.",
			Change: []Change{written(yardThumb, strings.Replace(yardThumb, "pin: 22", "pin: 24", 1))}},
		{Folder: "holds-pin-output", Rule: "holds.pin", Why: "the thumb switch is on the pin that powers the drive.",
			Change: []Change{written(yardThumb, strings.Replace(yardThumb, "pin: 22", "pin: 8", 1))}},
		{Folder: "holds-pin-unknown", Rule: "holds.pin", Why: "the thumb switch is on a pin that the board does not list as an input.",
			Change: []Change{written(yardThumb, strings.Replace(yardThumb, "pin: 22", "pin: 23", 1))}},
		{Folder: "holds-category", Rule: "holds.category", Why: "the emergency stop asks for a stop under control before the power goes (category 1), which the board does not carry out.",
			Change: []Change{written("stop_category: 0\n\ndrive_path", "stop_category: 1\n\ndrive_path")},
			Passes: []Change{written("    stop_category: 0\n\ndrive_path", "\ndrive_path")}},
		{Folder: "holds-category-run", Rule: "holds.category", Why: "the thumb switch leaves the power on (category 2).",
			Change: []Change{written("stop_category: 0\n  - name", "stop_category: 2\n  - name")}},
		{Folder: "holds-wire-break", Rule: "holds.wire-break", Why: "the thumb switch has one contact, which opens when it is held, and no pole: a broken wire reads the same as a hand that holds it.",
			Change: []Change{written(yardThumb, strings.Replace(yardOneWire, "normally-open", "normally-closed", 1)), written(yardPoles, yardNoThumb)}},
		{Folder: "holds-wire-break-bumper", Rule: "holds.wire-break", Why: "a bumper has one contact, which closes when it is pushed in: with a broken wire, it stops nothing.",
			Change: []Change{
				written("\ndrive_path:", "  - name: bumper\n    kind: interlock\n    pin: 30\n    contact: normally-open\n    wired_to: ground\n    pull: up\n    series_resistor: 330 ohm\n    debounce: 20 ms\n\ndrive_path:"),
				written("26, 28]", "26, 28, 30]"),
			}},
		{Folder: "holds-single-part", Rule: "holds.single-part", Why: "the main relay is the only part between the battery and the motors: once it welds, nothing stops the rover.",
			Change: []Change{written(yardDriver, "")}},
		{Folder: "holds-emergency-stop", Rule: "holds.emergency-stop", Why: "the mushroom button is read by two pins and opens nothing by itself: it works as long as the program does.",
			Change: []Change{written(yardPoles, "opened_by: [drive_enable, thumb switch]")}},

		{Folder: "base-shift", Rule: "base.shift", Why: "the base averages its position anew each day and no control mark is occupied: the map moves by a decimetre, and a corner of the shed leaves less room than that.",
			Change: []Change{moved("S1", 9, 5.95), written(yardBase, "base: {mark: BASE, position: averaged, averaged_for: 24 h, uncertainty: 3 cm}")},
			Passes: []Change{moved("S1", 9, 5.95)}},
		{Folder: "control-twice", Rule: "base.control-marks", Why: "a control mark is listed twice, as if occupying it again told where it is.",
			Change: []Change{moved("K1", -3, -3), moved("K2", 33, 23), written(yardBase, averaged("[K1, K2, K1]"))},
			Passes: []Change{moved("K1", -3, -3), moved("K2", 33, 23), written(yardBase, averaged("[K1, K2]"))}},
		{Folder: "control-base", Rule: "base.control-marks", Why: "the mark on which the base stands is to be a control mark, too.",
			Change: []Change{moved("K1", 33, 23), written(yardBase, averaged("[BASE, K1]"))},
			Passes: []Change{moved("K1", 33, 23), moved("K2", -3, -3), written(yardBase, averaged("[K2, K1]"))}},
		{Folder: "control-obstacle", Rule: "base.control-marks", Why: "the middle of the well is to be a control mark, where nobody can put the rover.",
			Change: []Change{moved("K1", 33, 23), written(yardBase, averaged("[W, K1]"))},
			Passes: []Change{moved("K1", 33, 23), written(yardBase, averaged("[A, K1]"))}},
		{Folder: "control-measured", Rule: "base.control-marks", Why: "a post that was taped from two marks is to be a control mark: what it says of a shift is what they say.",
			Change: []Change{moved("K1", 33, 23), yardMeasured(yardPost), written(yardBase, averaged("[POST, K1]"))},
			Passes: []Change{moved("K1", 33, 23), moved("K2", -3, -3), yardMeasured(yardPost), written(yardBase, averaged("[K2, K1]"))}},
		{Folder: "control-rotation", Rule: "base.control-marks", Why: "the site shift may turn the fixes, and one control mark alone tells no rotation.",
			Change: []Change{moved("K1", 33, 23), written(yardBase, strings.Replace(averaged("[K1]"), "}", ", rotation: true}", 1))},
			Passes: []Change{moved("K1", 33, 23), moved("K2", -3, -3), written(yardBase, strings.Replace(averaged("[K1, K2]"), "}", ", rotation: true}", 1))}},
		{Folder: "setup-control", Rule: "base.setup", Why: "the two control marks were surveyed from two set-ups of a base that averages its position, which share no point.",
			Change: []Change{written(yardBase, averaged("[F1, F3]")), yardJune},
			Passes: []Change{written(yardBase, averaged("[F1, F3]")), yardJune, yardShared}},
		{Folder: "coast-short", Rule: "plausible.figure", Why: "the coast is 1.5 cm, a digit lost: no wheel stops as short as that.",
			Change: []Change{written("distance: 0.30 m", "distance: 0.015 m")},
			Passes: []Change{written("distance: 0.30 m", "distance: 0.036 m")}},
		{Folder: "sky-roof", Rule: "site.sky", Why: "the route leads into a barn, whose roof hides the sky between C and D.",
			Change: []Change{written("date: 2026-06-15", "date: 2026-06-15\n  overhead:\n    - {name: barn, kind: roof, ring: [S4, S3, F3, F4], height: 6 m, headroom: 4 m}"),
				moved("S3", 30, 12), moved("S4", 0, 12), moved("R1", 12, 11), moved("R2", 9, 11), written(yardShed, "ring: [S1, S2, R1, R2]")},
			Passes: []Change{written("date: 2026-06-15", "date: 2026-06-15\n  overhead:\n    - {name: barn, kind: canopy, ring: [S4, S3, F3, F4], height: 6 m, headroom: 4 m}"),
				moved("S3", 30, 12), moved("S4", 0, 12), moved("R1", 12, 11), moved("R2", 9, 11), written(yardShed, "ring: [S1, S2, R1, R2]")}},
		{Folder: "headroom", Rule: "site.headroom", Why: "a pipe bridge over the leg from A to B is 60 cm above the ground, and the antenna is 80 cm.",
			Change: []Change{moved("G1", 14, 3), moved("G2", 14.5, 3), moved("G3", 14.5, 8), moved("G4", 14, 8), written("cross_track: 8 cm", "cross_track: 8 cm\n  antenna: {forward: 0 m, right: 0 m, height: 80 cm}"), written("date: 2026-06-15", "date: 2026-06-15\n  overhead:\n    - {name: pipe bridge, kind: roof, ring: [G1, G2, G3, G4], height: 1.2 m, headroom: 60 cm}")},
			Passes: []Change{moved("G1", 14, 3), moved("G2", 14.5, 3), moved("G3", 14.5, 8), moved("G4", 14, 8), written("cross_track: 8 cm", "cross_track: 8 cm\n  antenna: {forward: 0 m, right: 0 m, height: 80 cm}"), written("date: 2026-06-15", "date: 2026-06-15\n  overhead:\n    - {name: pipe bridge, kind: roof, ring: [G1, G2, G3, G4], height: 1.4 m, headroom: 80 cm}")}},
		{Folder: "declination", Rule: "magnetic.declination", Why: "the rover has a compass, and the date is past the years for which the magnetic model holds.",
			Change: []Change{written("date: 2026-06-15", "date: 2031-06-15"), written("cross_track: 8 cm", "cross_track: 8 cm\n  compass: {from_antenna: 1 m}")}},

		{Folder: "duplicate-leg", Rule: "geometry.duplicate-leg", Why: "the leg from A to B is driven twice.", Warned: true,
			Change: []Change{written(yardWaypoints, "waypoints: [A, B, C, D, A, B]")}},
		{Folder: "reversed-leg", Rule: "geometry.duplicate-leg", Why: "the leg from C to D is driven back again.", Warned: true,
			Change: []Change{written(yardWaypoints, "waypoints: [A, B, C, D, C]")}},
		{Folder: "decimals-fence", Rule: "precision.decimals", Why: "a corner of the fence is recorded with six decimals of a degree, a tenth of a metre apart.", Warned: true,
			Change: []Change{{Mark: Point{Name: "F3", AcrossMM: 30_000, AlongMM: 20_000, Decimals: 6}}}},
		{Folder: "height", Rule: "precision.height", Why: "the height of a corner of the fence has a digit too many, 2168 m for 168 m.", Warned: true,
			Change: []Change{{Mark: Point{Name: "F3", AcrossMM: 30_000, AlongMM: 20_000, RiseMM: 2_000_000}}}},
		{Folder: "speed-over-coast", Rule: "arrival.speed", Why: "the coast was measured from a speed below that at which the rover drives.", Warned: true,
			Change: []Change{written("coast: {from: 0.60 m/s", "coast: {from: 0.50 m/s")}},
		{Folder: "slope-taped", Rule: "slope.taped", Why: "gravity takes more than a third of the braking on this ground, and the coast was taped on the level, from one speed.", Warned: true,
			Change: []Change{
				written("date: 2026-06-15", "date: 2026-06-15\n  slope: 1.8 %"),
				written("arrival_tolerance: 30 cm", "arrival_tolerance: 50 cm\n  speed: 0.40 m/s"),
			},
			Passes: []Change{
				written("date: 2026-06-15", "date: 2026-06-15\n  slope: 1.7 %"),
				written("arrival_tolerance: 30 cm", "arrival_tolerance: 50 cm\n  speed: 0.40 m/s"),
			}},
		{Folder: "coast-runs", Rule: "coast.runs", Why: "from half the speed the rover is said to roll farther than from the whole.", Warned: true,
			Change: []Change{written("coast: {from: 0.60 m/s, distance: 0.30 m}", "coast: [{from: 0.60 m/s, distance: 0.30 m}, {from: 0.30 m/s, distance: 0.32 m}]")},
			Passes: []Change{written("coast: {from: 0.60 m/s, distance: 0.30 m}", "coast: [{from: 0.60 m/s, distance: 0.30 m}, {from: 0.30 m/s, distance: 0.19 m}]")}},
		{Folder: "stale-late", Rule: "arrival.stale", Why: "when fixes stop coming the rover drives on for five seconds, farther than there is room beside a shed that reaches half a metre further north.", Warned: true,
			Change: []Change{moved("S3", 12, 11.5), moved("S4", 9, 11.5), written("latency: 80 ms", "latency: 80 ms\n  stale_after: 5 s")}},
		{Folder: "stale-slip", Rule: "plausible.figure", Why: "the watchdog on fixes waits for six seconds; there is room for that, since the rover is slow.", Warned: true,
			Change: []Change{written("latency: 80 ms", "latency: 80 ms\n  stale_after: 6 s"), written("cruise: 0.60 m/s", "cruise: 0.20 m/s")},
			Passes: []Change{written("latency: 80 ms", "latency: 80 ms\n  stale_after: 5 s"), written("cruise: 0.60 m/s", "cruise: 0.20 m/s")}},
		{Folder: "tape-doubtful", Rule: "tape.distance", Why: "the tape is 6 cm off: more than is likely, and not enough to be sure of a blunder.", Warned: true,
			Change: []Change{written("measured: 30.00 m", "measured: 30.06 m")}},
		{Folder: "holds-no-hold-to-run", Rule: "holds.none", Why: "nobody has to hold a switch for the rover to drive.", Warned: true,
			Change: []Change{written("  - name: thumb switch\n    kind: hold-to-run\n"+yardThumb+"    stop_category: 0\n", ""), written(yardPoles, yardNoThumb)}},
		{Folder: "holds-dwell", Rule: "holds.dwell", Why: "nobody holds a switch, and the rover stands at B for a minute and then leaves by itself.", Warned: true,
			Change: []Change{written(yardWaypoints, "waypoints: [A, {mark: B, dwell: 1 min}, C, D]"), written("  - name: thumb switch\n    kind: hold-to-run\n"+yardThumb+"    stop_category: 0\n", ""), written(yardPoles, yardNoThumb)},
			Passes: []Change{written(yardWaypoints, "waypoints: [A, {mark: B, dwell: 1 min}, C, D]")}},
		{Folder: "holds-single-fault", Rule: "holds.single-fault", Why: "the thumb switch has no pole of its own in the path to the motors: a program that halts drives on when it is let go.", Warned: true,
			Change: []Change{written(yardPoles, yardNoThumb)}},
		{Folder: "holds-times", Rule: "holds.times", Why: "the main relay is said to let go within 20 ms, and has a plain diode across its coil.", Warned: true,
			Change: []Change{written("off_delay: 20 ms, coil_diode: false", "off_delay: 20 ms, coil_diode: true")},
			Passes: []Change{written("off_delay: 20 ms, coil_diode: false", "off_delay: 30 ms, coil_diode: true")}},
		{Folder: "commissioning-record", Rule: "commissioning.record", Why: "the main relay was changed for a slower one after the machine was tried.", Warned: true, Untried: true,
			Change: []Change{written("off_delay: 20 ms", "off_delay: 25 ms")}},
		{Folder: "commissioning-late", Rule: "commissioning.record", Why: "the test was to be repeated before the day of the drive.", Warned: true,
			Change: []Change{written("repeat_by: 2026-12-01", "repeat_by: 2026-06-14")},
			Passes: []Change{written("repeat_by: 2026-12-01", "repeat_by: 2026-06-15")}},
		{Folder: "commissioning-stopping", Rule: "commissioning.stopping", Why: "when it was tried the rover took two seconds to come to rest, longer than any figure here explains.", Warned: true,
			Change: []Change{written("time: 1.1 s", "time: 2.1 s")},
			Passes: []Change{written("time: 1.1 s", "time: 1.7 s")}},
		{Folder: "base-shift-absorbed", Rule: "base.shift", Why: "the base averages its position anew; here clearances and arrivals have room for that.", Warned: true,
			Change: []Change{written(yardBase, "base: {mark: BASE, position: averaged, averaged_for: 24 h, uncertainty: 3 cm}")}},
		{Folder: "control-near", Rule: "base.control-near", Why: "the two control marks are 4 m apart, and what is wrong with the fixes on the one is so on the other.", Warned: true,
			Change: []Change{moved("K1", 33, 19), moved("K2", 33, 23), written(yardBase, averaged("[K1, K2]"))},
			Passes: []Change{moved("K1", 33, 17.9), moved("K2", 33, 23), written(yardBase, averaged("[K1, K2]"))}},
		{Folder: "setup-untied", Rule: "base.setup", Why: "a corner of the fence was surveyed in June, when the base had averaged another position; no point was surveyed from both.", Warned: true,
			Change: []Change{moved("K1", -3, -3), moved("K2", 33, 23), written(yardBase, averaged("[K1, K2]")), yardJune},
			Passes: []Change{moved("K1", -3, -3), moved("K2", 33, 23), written(yardBase, averaged("[K1, K2]")), yardJune, yardShared}},
		{Folder: "magnetic-pole", Rule: "magnetic.declination", Why: "the site is near the magnetic north pole, where a compass does not point anywhere.", Warned: true,
			Change: []Change{{Origin: geodesy.Geodetic{Latitude: 85_700_000_000, Longitude: 139_300_000_000, HeightM: 168}}}},
		{Folder: "compass", Rule: "magnetic.compass", Why: "the compass is 20 cm from the antenna, which has a magnet.", Warned: true,
			Change: []Change{written("cross_track: 8 cm", "cross_track: 8 cm\n  compass: {from_antenna: 20 cm}")}},
		{Folder: "unused-key", Rule: "keys.unused", Why: "the rover is to wait ten seconds at A, where an open route begins when it is started.", Warned: true,
			Change: []Change{written(yardWaypoints, "waypoints: [{mark: A, dwell: 10 s}, B, C, D]")},
			Passes: []Change{written(yardWaypoints, "waypoints: [A, {mark: B, dwell: 10 s}, C, D]")}},
		{Folder: "sky", Rule: "site.sky", Why: "the shed is a house of 9 m by 6 m, 6.5 m high, and hides a good part of the sky from A and D, 3 m from its corners.", Warned: true,
			Change: []Change{moved("S1", 7, 7), moved("S2", 16, 7), moved("S3", 16, 13), moved("S4", 7, 13), written(yardShed, yardShed+", height: 6.5 m")},
			Passes: []Change{moved("S1", 7, 7), moved("S2", 16, 7), moved("S3", 16, 13), moved("S4", 7, 13), written(yardShed, yardShed+", height: 4 m")}},
		{Folder: "sky-canopy", Rule: "site.sky", Why: "the crown of a lime over the well is 16 m wide: it is over B and C, and its leaves weaken the signals.", Warned: true,
			Change: []Change{written("date: 2026-06-15", "date: 2026-06-15\n  overhead:\n    - {name: lime, kind: canopy, centre: W, radius: 8 m, height: 9 m, headroom: 2.2 m}")}},
		{Folder: "reflection", Rule: "site.reflection", Why: "the route passes within 3 m of a well with a steel cover.", Warned: true,
			Change: []Change{moved("W", 19, 8), written("radius: 0.8 m", "radius: 0.8 m, reflects: true")}},
	}
}

// A post north of A and B.
const yardPost = "POST: {tapes: [{from: A, distance: 13.00 m, uncertainty: 2 cm}, {from: B, distance: 13.00 m, uncertainty: 2 cm}], side: left}"

// yardMeasured adds marks that are measured from others.
func yardMeasured(lines ...string) Change {
	return written("\nmarks:\n", "\nmarks:\n  "+strings.Join(lines, "\n  ")+"\n")
}

// yardPosts are so many posts, each measured from the one before.
func yardPosts(count int) []string {
	lines := []string{"POST1: {from: A, east: 0.30 m, north: 0 m, uncertainty: 1 cm}"}
	for i := 2; i <= count; i++ {
		lines = append(lines, fmt.Sprintf("POST%d: {from: POST%d, east: 0.30 m, north: 0 m, uncertainty: 1 cm}", i, i-1))
	}
	return lines
}

// averaged is a base that averages, with control marks.
func averaged(control string) string {
	return "base: {mark: BASE, position: averaged, averaged_for: 4 h, uncertainty: 0.8 m, control_marks: " + control + "}"
}

// A corner of the fence that was surveyed from another set-up of the base, and a point
// that was surveyed from both.
var (
	yardJune   = written("longitude: 25.914133157, uncertainty: 1 cm}", "longitude: 25.914133157, uncertainty: 1 cm, setup: june}")
	yardShared = written("marks:\n", "marks:\n  D-june: {latitude: 51.620534816, longitude: 25.913772193, uncertainty: 1 cm, setup: june, same_as: D}\n")
)

// holdsOf is the whole holds block of the yard.
func holdsOf() string {
	return `holds:
  - name: thumb switch
    kind: hold-to-run
` + yardThumb + `    stop_category: 0
  - name: mushroom button
    kind: emergency-stop
` + yardButton + `    debounce: 20 ms
    discrepancy: 200 ms
    stop_category: 0
`
}

// Path is the folder of a case under examples.
func (c Case) Path() string {
	if c.Warned {
		return "warned/" + c.Folder
	}
	return "refused/" + c.Folder
}

// Layout is the yard as this case draws it. Its origin is where the drawing
// is; mission is the origin that the mission gives.
func (c Case) Layout() (drawn Layout, mission geodesy.Geodetic) {
	drawn = Yard()
	points := drawn.Groups[0].Points
	for _, change := range c.Change {
		if change.Origin != (geodesy.Geodetic{}) {
			drawn.Origin = change.Origin
		}
		if change.Mark.Name != "" {
			points = put(points, change.Mark)
		}
	}
	drawn.Groups[0].Points = points
	mission = drawn.Origin
	for _, change := range c.Change {
		if change.Mistaken != (geodesy.Geodetic{}) {
			mission = change.Mistaken
		}
	}
	return drawn, mission
}

func put(points []Point, p Point) []Point {
	for i := range points {
		if points[i].Name == p.Name {
			points[i] = p
			return points
		}
	}
	return append(points, p)
}

// Mission writes the case's mission from the text of the base mission, whose
// marks are already in place.
func (c Case) Mission(base string) (string, error) {
	_, origin := c.Layout()
	changes := append([]Change{{Find: yardLine, Write: fmt.Sprintf("latitude: %s, longitude: %s, height: %.2f m",
		decimal(origin.Latitude, 9), decimal(origin.Longitude, 9), origin.HeightM)}}, c.Change...)
	_, text, found := strings.Cut(base, "\n\n") // the base's own opening comment goes
	if !found {
		return "", fmt.Errorf("%s: the base mission has no empty line", c.Folder)
	}
	for _, change := range changes {
		if change.Find == "" {
			continue
		}
		if n := strings.Count(text, change.Find); n != 1 {
			return "", fmt.Errorf("%s: %q is %d times in the base mission, wanted once", c.Folder, change.Find, n)
		}
		text = strings.Replace(text, change.Find, change.Write, 1)
	}
	verb := "refused"
	if c.Warned {
		verb = "warned"
	}
	return fmt.Sprintf("# %s by: %s\n%s\n%s", verb, c.Rule, comment("The yard of refused/base.yaml, but "+c.Why), text), nil
}

// comment wraps words into comment lines.
func comment(words string) string {
	const width = 80
	var text strings.Builder
	line := "#"
	for _, word := range strings.Fields(words) {
		if len(line)+1+len(word) > width {
			text.WriteString(line + "\n")
			line = "#"
		}
		line += " " + word
	}
	return text.String() + line + "\n"
}
