// Which way each quantity loosens safety. This table is the only place where
// that is decided; docs/versions.md prints it, and a test holds the two
// together.
//
// Three principles give the directions:
//
//   - What the rover is told to do or allowed: more of it loosens. Speed,
//     tolerances, ground it may enter, delays that are chosen (debounce,
//     stale_after, loop, fix interval).
//   - What is stated about the machine and the survey: a better figure loosens,
//     because the proof leans on it and asks for less room. Uncertainties,
//     coast, size, latency.
//   - What protects: less of it loosens. Holds, channels, control marks, taped
//     checks.
//
// Numbers that are worked out from these (standoffs, stopping distances, cut
// distances, budgets, findings) are shown under their cause and are neutral:
// they are judged there. A wider rover needs more standoff, and so does a faster
// one; the first tightens and the second loosens. The one exception is the
// clearance of a path that moved: it is judged itself, since a mark may move
// either way. Where only the fence moved, the ground that it gives or takes is
// judged, and the clearance is neutral: an obstacle added leaves less clearance
// and forbids more.
package diff

// direction says what more of a quantity does; less does the opposite. For
// things that are there or not, and yes-or-no values, "more" is being there, and
// yes.
type direction struct {
	name string // as in the mission file, or the word of the trade
	more Kind
	why  string
}

func directions() []direction {
	return []direction{
		{"confidence", Tightens, "bounds hold with greater probability"},
		{"base", Tightens, "the shift of the base is reckoned with"},
		{"base.averaged", Tightens, "the shift of each set-up is reckoned with"},
		{"base.averaged_for", Tightens, "a longer average is asked for"},
		{"base.uncertainty", Tightens, "a better figure is leaned on when it shrinks"},
		{"base.control_mark", Tightens, "one more check of the shift before a drive"},
		{"receiver.fix_interval", Loosens, "the rover goes farther between fixes"},
		{"receiver.latency", Tightens, "a better figure is leaned on when it shrinks"},
		{"receiver.stale_after", Loosens, "the rover drives longer without a fix"},
		{"receiver.uncertainty.fixed", Tightens, "a better figure is leaned on when it shrinks"},
		{"receiver.uncertainty.float", Tightens, "a better figure is leaned on when it shrinks"},
		{"receiver.required", Tightens, "drives only on better fixes"},
		{"rover.width", Tightens, "less room is asked for when it shrinks"},
		{"rover.length", Tightens, "less room is asked for when it shrinks"},
		{"rover.speed.cruise", Loosens, "more energy, longer way to rest"},
		{"rover.speed.minimum", Tightens, "a better figure is leaned on when it shrinks"},
		{"rover.coast.from", Loosens, "the same roll-out is claimed from a higher speed"},
		{"rover.coast.distance", Tightens, "a better figure is leaned on when it shrinks"},
		{"rover.turn_radius", Tightens, "less room is asked for when it shrinks"},
		{"rover.cross_track", Loosens, "the rover may stray farther from the line"},
		{"rover.motor_lag", Tightens, "a better figure is leaned on when it shrinks"},
		{"rover.heading_uncertainty", Tightens, "a better figure is leaned on when it shrinks"},
		{"rover.tilt", Tightens, "a better figure is leaned on when it shrinks"},
		{"rover.antenna.forward", Tightens, "less room is asked for when it shrinks; the side alone is neutral"},
		{"rover.antenna.right", Tightens, "less room is asked for when it shrinks; the side alone is neutral"},
		{"rover.antenna.height", Tightens, "less tilt error is asked for when it shrinks"},
		{"rover.compass.from_antenna", Neutral, "no bound rests on it"},
		{"mark", Neutral, "judged by the legs and the fence that use it"},
		{"mark.uncertainty", Tightens, "a better figure is leaned on when it shrinks"},
		{"mark.height", Neutral, "the board drives in the plane"},
		{"tape", Tightens, "one more check of the coordinates"},
		{"tape.measured", Neutral, "a reading"},
		{"tape.uncertainty", Loosens, "the check accepts a larger difference"},
		{"waypoint", Neutral, "judged by clearance, speed and tolerance of the legs"},
		{"waypoint.arrival_tolerance", Loosens, "counts as reached from farther off"},
		{"waypoint.dwell", Neutral, "the rover is at rest"},
		{"leg.speed", Loosens, "more energy, longer way to rest"},
		{"leg.clearance", Tightens, "the path has more room to the fence"},
		{"boundary.ground", Loosens, "the rover may go where it might not before"},
		{"boundary.height", Neutral, "for the view of the sky only"},
		{"obstacle", Tightens, "the rover must stay out of more ground"},
		{"obstacle.ground", Tightens, "the rover must stay out of more ground"},
		{"obstacle.height", Neutral, "for the view of the sky only"},
		{"reflects", Neutral, "for the view of the sky only"},
		{"hold", Tightens, "one more way to stop the drive"},
		{"hold.duty", Tightens, "the circuit does this duty"},
		{"hold.pin", Neutral, "judged by the single-fault table"},
		{"hold.contact", Neutral, "judged by the single-fault table"},
		{"hold.wiring", Neutral, "judged by the single-fault table"},
		{"hold.channel", Tightens, "a fault of one channel is seen by the other"},
		{"hold.debounce", Loosens, "the stop comes later"},
		{"hold.discrepancy", Loosens, "a fault of one channel is found later"},
		{"hold.stop_category", Loosens, "power is removed later, or left on"},
		{"hold.breaks_drive_supply", Tightens, "stops whatever the board does"},
		{"hold.table", Tightens, "what single faults do is known"},
		{"hold.fault", Loosens, "a single fault has a worse outcome, in the order of the fault table"},
		{"board.loop", Loosens, "the board looks less often"},
		{"board.output_delay", Tightens, "a better figure is leaned on when it shrinks"},
		{"board.wiring", Neutral, "judged by the single-fault table"},
	}
}

// judge is the kind of a change of the named quantity from before to after. A
// name that the table does not have is a mistake in this package, which the
// tests find; it counts as loosening, so that it is looked at.
func (b *builder) judge(name string, before, after float64) Kind {
	more, ok := b.more[name]
	switch {
	case !ok:
		return Loosens
	case after > before:
		return more
	case after < before:
		return more.reverse()
	default:
		return Neutral
	}
}

// appears is judge for a thing that is there or not.
func (b *builder) appears(name string, before, after bool) Kind {
	return b.judge(name, truth(before), truth(after))
}

func truth(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}
