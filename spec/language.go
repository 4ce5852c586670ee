// The mission language: every block, its keys, what each may hold and which
// field of the Mission it fills. These tables are the only place where keys are
// listed: reading, the suggestions for misspelt keys, the JSON Schema
// (schema.go) and the reference (reference.go) all come from them.
//
// To add a key, add its field in mission.go and one line here.
//
// What ends in a table of the board is bounded by what the table holds (package
// board), so that a header can be written of whatever is accepted here; where
// several keys add up in one entry, internal/plan judges the sum. The other upper
// limits are generous for a small ground rover and keep sums and products of later
// stages far from overflow; they are common practice without a source, save where
// said.
package spec

import (
	"merestone/internal/board"
	"merestone/internal/circuit"
	"merestone/internal/diag"
	"merestone/internal/quantity"
)

const (
	m       = quantity.Metre
	second  = quantity.Second
	hour    = 3_600 * quantity.Second
	degree  = quantity.Degree
	hertz   = quantity.Hertz
	percent = quantity.Percent
	maxPin  = 255
)

// Lengths on and around the machine, and deviations of a position.
func machineLength() bounds[quantity.Length] { return over(0, 100*m) }
func deviation() bounds[quantity.Length]     { return over(0, 1_000*m) }

// What the board keeps in whole millimetres a second.
func drivable() bounds[quantity.Speed] {
	const mmps = quantity.MetrePerSec / 1000
	return from(mmps, board.MaxSpeedMMPerS*mmps)
}

func logicLevel() bounds[quantity.Voltage]  { return over(0, 60_000*quantity.Millivolt) }
func resistor() bounds[quantity.Resistance] { return from(quantity.Ohm, 1_000_000_000*quantity.Ohm) }

// What a board may have: far more than any.
const (
	mostFlash        = 1_000_000 * quantity.Kilobyte
	mostInstructions = 100_000
)

// What the board keeps in 16 bits of whole millimetres.
const longestMM = board.MaxMM * quantity.Millimetre

// Ellipsoidal heights: the deepest dry land is near -430 m and the highest
// ground near 8,850 m above sea level; the geoid lies within 110 m of the
// ellipsoid (from memory).
func ellipsoidalHeight() bounds[quantity.Length] { return from(-600*m, 9_000*m) }

func missionKeys(to *Mission) []key {
	return []key{
		need("mission", named(&to.Name, "mission", maxMissionName), "names the mission and begins its C identifiers"),
		may("confidence", maybe(&to.Confidence, from(50*percent, 9_999*percent/100)), "95 %", "the probability with which each bound on a position is to hold, at one instant"),
		need("site", block(siteKeys(&to.Site)), "where and when the rover drives"),
		need("base", block(baseKeys(&to.Base)), "where the corrections come from"),
		need("receiver", block(receiverKeys(&to.Receiver)), "the satellite receiver on the rover"),
		need("rover", block(roverKeys(&to.Rover)), "the machine"),
		may("marks", marksBlock(&to.Marks), "none", "ground points by name: surveyed, or measured from others (docs/marks.md)").by("stay on each with the receiver, fixed, and log it, for merestone occupy to enter; or write A: {latitude: 45.301212345, longitude: 6.123412345}; delete what is not used"),
		may("marks_file", fileName(&to.MarksFile), "none", "a CSV file of more marks: name,latitude,longitude,height,uncertainty,setup,same_as"),
		may("rows", listOf(&to.Rows, 0, maxList, "list of blocks of keys", func(r *Row) value { return placedByName(block(rowKeys(r))) }), "none", "marks at equal steps along a line, called by the row's name and a number from 1"),
		may("rings", listOf(&to.Rings, 0, maxList, "list of blocks of keys", func(r *Ring) value { return placedByName(block(ringKeys(r))) }), "none", "four corners from one side and the widths, called by the ring's name and 1 to 4, in order around"),
		may("tape", listOf(&to.Tape, 0, maxList, "list of blocks of keys", func(t *Tape) value { return block(tapeKeys(t)) }), "none", "distances taped on the ground, as a check"),
		need("route", block(routeKeys(&to.Route)), "the waypoints in order"),
		need("geofence", block(geofenceKeys(&to.Geofence)), "where the rover may be"),
		may("holds", listOf(&to.Holds, 0, board.MaxHolds, "list of blocks of keys", func(h *Hold) value { return placedByName(block(holdKeys(h))) }), "none, which a later check refuses", "the safety-hold circuits"),
		need("drive_path", listOf(&to.DrivePath, 1, maxParts, "list of blocks of keys", part), "what lies in series from the battery to the motors, and what opens it"),
		need("board", block(boardKeys(&to.Board)), "the microcontroller board"),
		may("commissioning", optional(&to.Commissioning, func(c *Commissioning) value { return block(commissioningKeys(c)) }), "not done", "what was measured and tried on the finished machine"),
	}
}

func siteKeys(to *Site) []key {
	return []key{
		need("origin", located([]key{
			need("latitude", latitude(&to.Origin.Latitude), "WGS 84, north positive").by("the receiver shows it: any point of the site will do, such as a corner"),
			need("longitude", longitude(&to.Origin.Longitude), "WGS 84, east positive").by("as its latitude"),
			need("height", amount(&to.Origin.Height, ellipsoidalHeight()), "above the WGS 84 ellipsoid, not above sea level").by("the receiver shows it, or height above sea level and separation of the geoid, which are to be added"),
		}), "zero of the local frame"),
		need("date", day(&to.Date), "day of the drive, for the magnetic declination"),
		may("slope", maybe(&to.Slope, from(0, 50*quantity.Percent)), "that of the steepest leg, by the heights of its marks", "the steepest ground along the route, between the marks too, in any direction").by("a level and a rule on the steepest metre").ask(),
		may("overhead", listOf(&to.Overhead, 0, maxList, "list of blocks of keys", overhead), "none", "areas with something above them that hides the sky; the rover may drive beneath"),
	}
}

func overhead(to *Overhead) value {
	v := block([]key{
		need("name", named(&to.Name, "overhead area", maxName), "of the area, for messages"),
		need("kind", oneOf(&to.Kind, Canopy, Roof), "canopy: crowns of trees, which weaken signals; roof: lets no signal through"),
		may("centre", markRef(&to.Centre), "it has a ring", "middle of a round area"),
		may("radius", amount(&to.Radius, over(0, board.MaxCoordinateMM*quantity.Millimetre)), "it has a ring", "of a round area"),
		may("ring", ring(&to.Ring), "it has a centre and a radius", "marks around the area, in order; it closes by itself"),
		need("height", amount(&to.Height, over(0, 1_000*m)), "of its top above the ground, for the sky view"),
		may("headroom", maybe(&to.Headroom, over(0, 1_000*m)), "none: the sky is hidden down to the ground", "free height beneath it"),
	})
	return placedByName(v)
}

func baseKeys(to *Base) []key {
	return []key{
		may("mark", markRef(&to.Mark), "not on a mark", "the mark on which the base stands"),
		need("position", oneOf(&to.Position, Averaged, Entered, Network), "averaged: from its own fixes anew at each set-up; entered: the same coordinates each time; network: those of a service").by("how the base is set up"),
		may("averaged_for", maybe(&to.AveragedFor, over(0, 10_000*hour)), "not said", "how long the base averages its own fixes"),
		need("uncertainty", horizontal(&to.Uncertainty), "one standard deviation per horizontal axis of its position at one set-up, as against the mean of many").by("set it up several times over one mark, and take the standard deviation of what it gives; where it is entered, how well the antenna comes to stand over its mark again"),
		may("control_marks", listOf(&to.ControlMarks, 0, maxList, "list of names of marks", markRef), "none", "marks occupied before each drive to find the site shift"),
		may("rotation", boolean(&to.Rotation), "false", "whether the site shift may turn the fixes, too"),
	}
}

// Within sqrt(-2 ln 0.05) = 2.45 standard deviations of an axis lie 95 % of a circular
// normal distribution.
func receiverKeys(to *Receiver) []key {
	return []key{
		need("fix_rate", amount(&to.FixRate, from(hertz/10, 100*hertz)), "fixes a second").by("how the receiver is set up"),
		need("latency", amount(&to.Latency, from(0, 60*second)), "from the instant of a fix to the board having it").by("the longest that its manual says, and the time that the line takes; or time of day in a sentence against a clock set by the receiver"),
		may("stale_after", maybe(&to.StaleAfter, over(0, 60*second)), "latency and three fix intervals", "age of the last fix at which the rover must stop"),
		need("uncertainty", block([]key{
			need("fixed", horizontal(&to.Uncertainty.Fixed), "with integer ambiguities resolved").by("on several days let the rover stand for an hour in one place, and take the standard deviation of all its fixes for each axis; or the manual: a radius that 95 % keep within, such as 5 cm (95 % radial)"),
			may("float", maybeHorizontal(&to.Uncertainty.Float), "not said; needed if required is float", "with ambiguities not resolved"),
		}), "one standard deviation per horizontal axis, relative to the base"),
		need("required", oneWord(&to.Required, board.Quality.String, board.QualityFixed, board.QualityFloat), "the poorest solution with which the rover may drive").by("your choice; fixed needs less room"),
	}
}

func roverKeys(to *Rover) []key {
	return []key{
		need("width", amount(&to.Width, machineLength()), "greatest width, with all that sticks out").by("tape it"),
		need("length", amount(&to.Length, machineLength()), "greatest length").by("tape it"),
		need("speed", block([]key{
			need("cruise", amount(&to.Speed.Cruise, drivable()), "usual speed on a leg").by("your choice; slower needs less room"),
			need("minimum", amount(&to.Speed.Minimum, drivable()), "slowest speed at which the rover drives steadily").by("try on the ground of the site"),
		}), "the speeds it can drive"),
		need("coast", oneOrMore(&to.Coast, maxRuns, coastKeys), "the measured roll-outs after drive power is cut, from one speed or several").by("drive at cruise on level ground, cut the drive, tape the way to rest; several times, and the longest counts"),
		may("turn_radius", amount(&to.TurnRadius, from(0, 100*m)), "0 m: turns on the spot", "least radius of a turn, of the turning centre's way"),
		may("turning_centre", maybe(&to.TurningCentre, from(-100*m, 100*m)), "the middle", "the point about which it turns, between the wheels that drive: forward of the middle, negative behind it"),
		need("cross_track", amount(&to.CrossTrack, from(0, longestMM)), "how far off the line of a leg the board lets the rover be, to each side").by("drive along a taped line, and add some room"),
		may("motor_lag", maybe(&to.MotorLag, from(0, 60*second)), "none", "first-order time constant of the drive; the coast holds it, since it is taped from where the drive is cut"),
		may("heading_uncertainty", maybeAlong(&to.Heading, over(0, 180*degree), "4 deg (95 %)"), "0 deg", "one standard deviation of the heading, which stays for a drive: it leads off the line, and moves an antenna that is not in the middle"),
		may("tilt", maybe(&to.Tilt, from(0, 60*degree)), "0 deg", "greatest tilt while driving, for the height of the antenna"),
		may("antenna", optional(&to.Antenna, func(a *Antenna) value {
			return block([]key{
				need("forward", amount(&a.Forward, from(-100*m, 100*m)), "forward of the middle of the rover"),
				need("right", amount(&a.Right, from(-100*m, 100*m)), "right of the middle"),
				need("height", amount(&a.Height, from(0, 100*m)), "above the ground"),
			})
		}), "above the middle", "where the antenna is on the rover"),
		may("compass", optional(&to.Compass, func(c *Compass) value {
			return block([]key{need("from_antenna", amount(&c.FromAntenna, from(0, 100*m)), "horizontal distance from the antenna")})
		}), "no compass", "the magnetic compass"),
	}
}

// maxRuns is more than anybody tapes of one rover in one state.
const maxRuns = 20

func coastKeys(to *Coast) []key {
	return []key{
		need("from", amount(&to.From, drivable()), "speed at which the drive was cut").by("cruise or more"),
		need("distance", amount(&to.Distance, over(0, longestMM)), "distance from where the drive was cut to rest, taped; motor_lag is in it").by("tape it, on the ground of the site"),
		may("downhill", amount(&to.Downhill, from(-50*quantity.Percent, 50*quantity.Percent)), "0 %: level ground", "by how much the ground falls along the roll-out; negative where it rises"),
	}
}

func tapeKeys(to *Tape) []key {
	return []key{
		need("from", markRef(&to.From), "where the tape begins"),
		need("to", markRef(&to.To), "where it ends"),
		need("measured", amount(&to.Measured, over(0, 50_000*m)), "distance along the ground, tape held level"),
		need("uncertainty", along(&to.Uncertainty, deviation(), "1 cm (95 %)"), "one standard deviation"),
	}
}

func arrivalTolerance(field **quantity.Length) value { return maybe(field, over(0, longestMM)) }

func routeKeys(to *Route) []key {
	return []key{
		may("closed", boolean(&to.Closed), "false", "whether a leg leads from the last waypoint to the first"),
		may("arrival_tolerance", arrivalTolerance(&to.ArrivalTolerance), "each waypoint has its own", "radius within which a waypoint counts as reached").by("your choice; check says what can be met").ask(),
		may("speed", maybe(&to.Speed, drivable()), "cruise", "speed on legs without their own"),
		need("waypoints", listOf(&to.Waypoints, 2, maxWaypoints, "list of names of marks or blocks of keys", waypoint), "the marks visited, in order").by("the marks by name, where the rover is to drive"),
	}
}

// waypoint is the name of a mark, or a block if there is more to say.
func waypoint(to *Waypoint) value {
	keys := []key{
		need("mark", markRef(&to.Mark), "the mark visited"),
		may("arrival_tolerance", arrivalTolerance(&to.ArrivalTolerance), "that of the route", "radius within which it counts as reached"),
		may("speed", maybe(&to.Speed, drivable()), "that of the route", "speed on the leg that ends here"),
		may("dwell", maybe(&to.Dwell, from(0, 24*hour)), "0 s", "how long the rover stays"),
	}
	return value{words: "name of a mark or block of keys", keys: keys, schema: func() map[string]any { return anyOf(refSchema(), blockSchema(keys)) }, read: func(d *decoder, n *node, path string) {
		if n.kind == scalarKind {
			d.places[join(path, "mark")] = n.at
			markRef(&to.Mark).read(d, n, path)
			return
		}
		d.readBlock(n, path, keys)
		d.placeBy(path, "mark")
	}}
}

func geofenceKeys(to *Geofence) []key {
	return []key{
		need("boundary", ring(&to.Boundary), "the outer ring, in order around; it closes by itself").by("walk around the site: one mark for each corner, or a log, of which merestone import makes the corners"),
		may("boundary_height", maybe(&to.BoundaryHeight, over(0, 1_000*m)), "no obstruction", "height of what stands on the boundary, for the sky view"),
		may("boundary_reflects", boolean(&to.BoundaryReflects), "false", "whether it is of metal and reflects satellite signals"),
		may("obstacles", listOf(&to.Obstacles, 0, maxList, "list of blocks of keys", obstacle), "none", "where the rover must not be").by("walk the site: trees, walls, holes, water; [] where there is none").ask(),
	}
}

func ring(field *[]string) value {
	return listOf(field, 3, maxList, "list of names of at least three marks", markRef)
}

func obstacle(to *Obstacle) value {
	v := block([]key{
		need("name", named(&to.Name, "obstacle", maxName), "of the obstacle, for messages and drawings"),
		may("centre", markRef(&to.Centre), "it has a ring", "middle of a round obstacle"),
		may("radius", amount(&to.Radius, over(0, board.MaxCoordinateMM*quantity.Millimetre)), "it has a ring", "of a round obstacle"),
		may("ring", ring(&to.Ring), "it has a centre and a radius", "marks around the obstacle, in order; it closes by itself"),
		may("height", maybe(&to.Height, over(0, 1_000*m)), "no obstruction", "of its top above the ground, for the sky view"),
		may("reflects", boolean(&to.Reflects), "false", "whether it is of metal and reflects satellite signals"),
	})
	return placedByName(v)
}

func holdKeys(to *Hold) []key {
	keys := []key{
		need("name", named(&to.Name, "hold", maxName), "of the circuit"),
		need("kind", oneWord(&to.Kind, board.HoldKind.Word, board.HoldKinds()...), "its duty"),
	}
	keys = append(keys, channelKeys(&to.Channel)...)
	return append(keys,
		may("second_channel", optional(&to.Second, func(c *Channel) value { return block(channelKeys(c)) }), "one channel", "a second contact, actuated by the same device"),
		need("debounce", amount(&to.Debounce, from(0, 10*second)), "how long the input must read run without a break before that counts, no less than the contact bounces; stop counts at once").by("the data sheet of the switch, or an oscilloscope"),
		may("stop_filter", maybe(&to.StopFilter, from(0, second)), "0 s", "how long the input must read stop before that counts, where noise is known to open it for less; it makes every stop later, and a contact that shakes, open for less than half of the time, never stops"),
		may("discrepancy", maybe(&to.Discrepancy, over(0, 10*second)), "100 ms", "how long the two channels may differ"),
		may("stop_category", oneNumber(&to.StopCategory, "", 0, 1, 2), "0", "as in IEC 60204-1; 0, power off at once, is what the board does, and a later check refuses 1 and 2"),
		may("radio", optional(&to.Radio, func(r *Radio) value { return block(radioKeys(r)) }), "the hold is wired", "of a hold whose contacts are those of a radio receiver"),
		may("common_cause", optional(&to.CommonCause, func(c *circuit.CommonCause) value { return block(commonCauseKeys(c)) }), "one channel; needed with second_channel", "what the two channels share, so that one cause takes both"),
	)
}

func radioKeys(to *Radio) []key {
	return []key{
		need("delay", amount(&to.Delay, from(0, 10*second)), "longest time from letting go to the receiver's contacts opening, while the link is sound"),
		need("loss_of_signal", amount(&to.LossOfSignal, from(0, 10*second)), "longest time from the loss of the link to the receiver's contacts opening"),
	}
}

func commonCauseKeys(to *circuit.CommonCause) []key {
	return []key{
		need("cable", boolean(&to.Cable), "whether both run in one cable"),
		need("connector", boolean(&to.Connector), "whether both go through one connector"),
		need("supply", boolean(&to.Supply), "whether one supply feeds both"),
		need("actuator", boolean(&to.Actuator), "whether one moving part moves both contacts"),
	}
}

// maxParts is more than anybody puts between a battery and its motors.
const maxParts = 16

func part(to *Part) value {
	v := block([]key{
		need("name", named(&to.Name, "part", maxName), "of the part"),
		need("kind", oneWord(&to.Kind, circuit.PartKind.String, circuit.PartKinds()...), "relay: has a coil; semiconductor: a motor driver or transistor with an input; contact: poles of holds' own devices in the motors' current"),
		need("opened_by", listOf(&to.OpenedBy, 1, board.MaxHolds+2, "list of drive_enable, watchdog, names of holds", opener), "what opens it: the board's output, the watchdog, and holds by a pole of their own that needs no board").by("the drawing of the wiring; drive_enable must be in one"),
		need("off_delay", amount(&to.OffDelay, from(0, 10*second)), "longest time from what opens it to the current gone").by("the longest that its data sheet says, with what lies across its coil"),
		may("coil_diode", optional(&to.CoilDiode, boolean), "no relay; needed for one", "whether a plain diode lies across the coil, which makes it drop out late").by("look at the relay: many sockets bring one"),
		may("pulled_off", boolean(&to.PulledOff), "false", "of a semiconductor: whether a resistor at its input holds it off while nothing drives the line, as while the board is in reset").by("look at the drawing"),
		may("covered", freeText(&to.Covered), "it is not", "how the failure of the part is covered, in words"),
	})
	return placedByName(v)
}

func channelKeys(to *Channel) []key {
	return []key{
		need("pin", whole(&to.Pin, from(0, maxPin)), "the input pin that reads it").by("the drawing of the wiring"),
		need("contact", oneWord(&to.Contact, circuit.Contact.Word, circuit.NormallyOpen, circuit.NormallyClosed), "the contact when not actuated").by("measure at the switch, unplugged"),
		need("wired_to", oneWord(&to.WiredTo, circuit.Rail.String, circuit.Ground, circuit.Supply), "the rail at the far side of the contact").by("the drawing of the wiring"),
		need("pull", oneWord(&to.Pull, circuit.Pull.Word, circuit.PullUp, circuit.PullDown, circuit.PullNone), "the pull at the pin").by("what the firmware sets, or a resistor on the board"),
		may("pull_resistor", maybe(&to.External, resistor()), "the internal pull of the board", "value of an external pull resistor"),
		may("series_resistor", maybe(&to.Series, resistor()), "none", "a resistor at the board's end of the wire from the contact to its rail, which limits a short"),
		may("return_wire", named(&to.Return, "wire", maxName), "a wire of its own", "name of the wire from the contact to its rail, where contacts share one: those that name the same"),
	}
}

func boardKeys(to *Board) []key {
	to.IntegerBits, to.Float = 32, "software"
	return []key{
		need("input_pins", listOf(&to.InputPins, 1, maxPin+1, "list of pin numbers", func(p *int) value { return whole(p, from(0, maxPin)) }), "pins that can be inputs").by("the drawing of the board"),
		may("pulls", listOf(&to.Pulls, 0, 2, "list of up, down", func(p *circuit.Pull) value { return oneWord(p, circuit.Pull.Word, circuit.PullUp, circuit.PullDown) }), "up and down", "internal pulls that the inputs have"),
		need("outputs", block([]key{
			need("drive_enable", optional(&to.DriveEnable, func(p *int) value { return whole(p, from(0, maxPin)) }), "the pin that powers the drive while high").by("the drawing of the wiring"),
		}), "pins that the guidance sets"),
		// On 64 bits int has 32, too.
		may("integer_bits", oneNumber(&to.IntegerBits, ": the guidance header computes with an int of 32 bits, which compilers for smaller machines do not have", 32, 64), "32", "width of the machine's registers"),
		may("float", oneOf(&to.Float, "software", "hardware"), "software", "whether floating point is done by the hardware"),
		may("loop", maybe(&to.Loop, over(0, 60*second)), "20 ms", "longest time between two calls of the guidance step"),
		may("watchdog", maybe(&to.Watchdog, over(0, 60*second)), "no watchdog", "time after which the watchdog acts on a processor that does not answer"),
		may("covered", freeText(&to.Covered), "it is not", "how a processor or a line that holds drive_enable on is covered, in words"),
		may("resistor_tolerance", maybe(&to.ResistorTolerance, from(0, 20*percent)), "5 %", "how far external pulls and series resistors may be from their values, up or down"),
		may("flash", maybe(&to.Flash, over(0, mostFlash)), "no limit", "how much of the flash the mission's tables may take"),
		may("instructions", optional(&to.Instructions, func(p *int) value { return whole(p, from(1, mostInstructions)) }), "no limit", "the most instructions of a 32-bit processor that a guidance step may take"),
		may("logic", optional(&to.Logic, func(l *Logic) value { return block(logicKeys(l)) }), "worst cases of a 3.3 V board", "the electrical side of the inputs"),
	}
}

func logicKeys(to *Logic) []key {
	return []key{
		need("supply", amount(&to.Supply, logicLevel()), "supply of the board's inputs"),
		need("low_below", amount(&to.LowBelow, logicLevel()), "read as low below this"),
		need("high_above", amount(&to.HighAbove, logicLevel()), "read as high above this"),
		need("pull_least", amount(&to.PullLeast, resistor()), "least value of an internal pull"),
		need("pull_most", amount(&to.PullMost, resistor()), "greatest value of an internal pull"),
	}
}

func commissioningKeys(to *Commissioning) []key {
	return []key{
		need("date", day(&to.Date), "day on which it was done"),
		need("repeat_by", day(&to.RepeatBy), "day by which it is to be done again"),
		need("stopping", oneOrMore(&to.Stopping, maxRuns, stoppingKeys), "measured stops, from letting go to rest"),
		may("coast", oneOrMore(&to.Coast, maxRuns, coastKeys), "not measured again", "measured roll-outs, as those of rover.coast"),
		may("passed", listOf(&to.Passed, 0, maxList, "list of names of tests", func(t *string) value { return named(t, "test", maxName) }), "none", "the tests that were passed"),
	}
}

func stoppingKeys(to *StoppingRun) []key {
	return []key{
		need("from", amount(&to.From, drivable()), "speed at which the hold was let go"),
		need("time", amount(&to.Time, over(0, 60*second)), "from letting go to rest"),
		need("distance", amount(&to.Distance, over(0, longestMM)), "from where it was let go to rest, taped"),
		may("downhill", amount(&to.Downhill, from(-50*quantity.Percent, 50*quantity.Percent)), "0 %: level ground", "by how much the ground falls along the way; negative where it rises"),
	}
}

// surveyedKeys are those of a mark that an antenna stood on, the only ones in a
// marks_file.
func surveyedKeys(to *Mark) []key {
	return []key{
		need("latitude", latitude(&to.Latitude), "WGS 84, north positive"),
		need("longitude", longitude(&to.Longitude), "WGS 84, east positive"),
		may("height", maybe(&to.Height, ellipsoidalHeight()), "that of the origin", "above the WGS 84 ellipsoid"),
		may("uncertainty", maybeHorizontal(&to.Uncertainty), "that of a fixed solution; needed with east and north, and with chainage", "one standard deviation per horizontal axis; of a mark that is measured from others, that of the measurement alone"),
		may("setup", named(&to.Setup, "set-up", maxName), "one that marks without this key share", "set-up of the base, by any name, from which the mark was surveyed"),
		may("same_as", markRef(&to.SameAs), "no other", "the mark that is the same point, surveyed from another set-up"),
	}
}

// maxTapes is more than anybody tapes to one place; fitting them takes their cube.
const maxTapes = 12

// farthestMeasured bounds what is measured from a mark: beyond, a tape is none, and the
// ground bends away from its plane by a millimetre (geodesy.Frame.Level).
const farthestMeasured = 2_000 * m

func measuredAcross() bounds[quantity.Length] { return from(-farthestMeasured, farthestMeasured) }

// markKeys are all keys of a mark. Which of them go together, measurementForms says.
func markKeys(to *Mark, by *Measurement) []key {
	const reach = board.MaxCoordinateMM * quantity.Millimetre
	keys := surveyedKeys(to)
	for i := range keys {
		if keys[i].required {
			keys[i].required, keys[i].usual = false, "the mark is measured"
		}
	}
	return append(keys,
		may("from", markRef(&by.From), "the origin", "the mark from which this one is measured"),
		may("east", maybe(&by.East, from(-reach, reach)), "measured otherwise", "along the axis of the local frame, at the origin's height; with north and uncertainty"),
		may("north", maybe(&by.North, from(-reach, reach)), "measured otherwise", "along the axis of the local frame"),
		may("bearing", maybe(&by.Bearing, from(0, 360*degree)), "measured otherwise", "true bearing at the mark from which it is measured; with bearing_uncertainty, distance and distance_uncertainty"),
		may("magnetic_bearing", maybe(&by.MagneticBearing, from(0, 360*degree)), "measured otherwise", "by a compass, in place of a true bearing"),
		may("bearing_uncertainty", maybeAlong(&by.BearingUncertainty, over(0, 45*degree), "4 deg (95 %)"), "no bearing", "one standard deviation of the reading; that of the declination is added"),
		may("date", optional(&by.Date, day), "that of the site", "day on which the compass was read, for the declination"),
		may("distance", maybe(&by.Distance, over(0, farthestMeasured)), "measured otherwise", "along the ground, tape held level"),
		may("distance_uncertainty", maybeAlong(&by.DistanceUncertainty, deviation(), "1 cm (95 %)"), "no distance", "one standard deviation"),
		may("tapes", listOf(&by.Tapes, 2, maxTapes, "list of blocks of keys", markTape), "measured otherwise", "distances from two marks or more, tape held level; with side"),
		may("side", oneOf(&by.Side, Left, Right), "no tapes", "where the mark lies, seen along the way from the first mark of the tapes to the second"),
		may("towards", markRef(&by.Towards), "measured otherwise", "the mark towards which the line runs that begins at from; with chainage and uncertainty"),
		may("chainage", maybe(&by.Chainage, measuredAcross()), "measured otherwise", "along the line from where it begins, also beyond its far mark; negative behind its beginning"),
		may("right", maybe(&by.Right, measuredAcross()), "0 m: on the line", "square to the line, to the right of it; negative to the left"),
	)
}

func markTape(to *MarkTape) value {
	return block([]key{
		need("from", markRef(&to.From), "where the tape begins"),
		need("distance", amount(&to.Distance, over(0, farthestMeasured)), "along the ground, tape held level"),
		need("uncertainty", along(&to.Uncertainty, deviation(), "1 cm (95 %)"), "one standard deviation"),
	})
}

func rowKeys(to *Row) []key {
	return []key{
		need("name", named(&to.Name, "row", maxName), "its marks are called by it: T1, T2 and so on for T"),
		need("count", whole(&to.Count, from(1, maxList)), "how many marks"),
		need("from", markRef(&to.From), "where the line begins"),
		need("towards", markRef(&to.Towards), "the mark towards which it runs"),
		need("first", amount(&to.First, measuredAcross()), "chainage of the first mark"),
		need("step", amount(&to.Step, over(0, farthestMeasured)), "from one mark to the next"),
		may("right", maybe(&to.Right, measuredAcross()), "0 m: on the line", "square to the line, to the right of it; negative to the left"),
		need("uncertainty", maybeHorizontal(&to.Uncertainty), "one standard deviation of each mark, along the line and across"),
	}
}

func ringKeys(to *Ring) []key {
	return []key{
		need("name", named(&to.Name, "ring", maxName), "its corners are called by it: S1 to S4 for S"),
		need("from", markRef(&to.From), "where the line begins"),
		need("towards", markRef(&to.Towards), "the mark towards which it runs"),
		may("chainage", maybe(&to.Chainage, measuredAcross()), "0 m: at the mark", "of the first corner along the line"),
		may("right", maybe(&to.Right, measuredAcross()), "0 m: on the line", "of the first two corners, square to the line; negative to the left"),
		may("length", maybe(&to.Length, over(0, farthestMeasured)), "as far as the second mark", "of the side along the line, from the first corner to the second"),
		need("widths", listOf(&to.Widths, 1, 2, "list of lengths", func(w *quantity.Length) value { return amount(w, over(0, farthestMeasured)) }), "square to that side: at the first corner and at the second, or one for both"),
		need("side", oneOf(&to.Side, Left, Right), "of the line, on which the other two corners lie"),
		need("uncertainty", maybeHorizontal(&to.Uncertainty), "one standard deviation of each corner, along the line and across"),
	}
}

// marksBlock is a block whose keys are the names of marks.
func marksBlock(to *[]Mark) value {
	mark, by := Mark{}, Measurement{} // that keys read into, of one mark after the other
	keys := markKeys(&mark, &by)
	return value{words: "blocks of keys by name", keys: keys, named: true, listed: true, schema: func() map[string]any { return marksSchema(keys) }, read: func(d *decoder, n *node, path string) {
		if n.kind == nullKind {
			return
		}
		if n.kind != mappingKind {
			d.marksLost = true
			d.wrongType(n, path, "a block with a key for each mark", "write A: {latitude: 45.3012, longitude: 6.1234}")
			return
		}
		d.doubtNode(n, path)
		forms := formCheck{d, measurementForms(), keyNames(keys)}
		for _, e := range n.entries {
			mark, by = Mark{Name: e.key.text, Path: join(path, e.key.text)}, Measurement{}
			if !d.addMark(mark.Name, e.key, mark.Path) {
				d.doubt(mark.Path)
				continue
			}
			if e.value.kind == nullKind {
				d.fail(ruleEmptyValue, e.key.at, "write "+mark.Name+": {latitude: 45.3012, longitude: 6.1234}", "the %s has no coordinates", diag.The(diag.Mark, mark.Name))
				d.doubt(mark.Path)
				continue
			}
			d.readBlock(d.unswapped(e.value, mark.Path), mark.Path, keys)
			forms.check(mark.Name, mark.Path, by)
			d.doubtRead(mark.Path)
			*to = append(*to, apart(mark, by))
		}
	}}
}

// placedByName makes a block be pointed to by the value of its name.
func placedByName(v value) value {
	read := v.read
	v.read = func(d *decoder, n *node, path string) {
		read(d, n, path)
		d.placeBy(path, "name")
	}
	return v
}

// placeBy makes an entry of a list be pointed to by one of its keys.
func (d *decoder) placeBy(path, name string) {
	if at, ok := d.places[join(path, name)]; ok {
		d.places[path] = at
	}
}
