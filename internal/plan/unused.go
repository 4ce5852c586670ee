// Keys that are written although nothing in this mission uses them: whoever wrote
// one believes that it has an effect. What the language keeps for the record (the
// base's mark and averaging time, the kind of floating point, the uncertainty of a
// solution that is not accepted) is no such key.
package plan

import (
	"fmt"
	"slices"

	"merestone/internal/circuit"
	"merestone/internal/diag"
	"merestone/spec"
)

// Unused is a key without an effect, and why it has none.
type Unused struct {
	diag.Source
	Why string
}

// unused looks for keys that something else in the mission leaves without an
// effect.
func (r *resolver) unused() {
	written := func(path, format string, args ...any) {
		if r.m.Written(path) {
			r.p.Unused = append(r.p.Unused, Unused{r.source(path), fmt.Sprintf(format, args...)})
		}
	}
	route := r.m.Route
	driven := route.Waypoints // to
	if !route.Closed && len(driven) > 0 {
		const start = "route.waypoints[0]."
		written(start+"speed", "no leg of an open route ends at its first waypoint")
		written(start+"dwell", "an open route begins at its first waypoint when it is started")
		driven = driven[1:]
	}
	own := func(list []spec.Waypoint, has func(spec.Waypoint) bool) bool {
		return len(list) > 0 && !slices.ContainsFunc(list, func(w spec.Waypoint) bool { return !has(w) })
	}
	if own(driven, func(w spec.Waypoint) bool { return w.Speed != nil }) {
		written("route.speed", "every leg has a speed of its own")
	}
	if own(route.Waypoints, func(w spec.Waypoint) bool { return w.ArrivalTolerance != nil }) {
		written("route.arrival_tolerance", "every waypoint has one of its own")
	}
	base := r.m.Base
	if base.Position != spec.Averaged {
		written("base.averaged_for", "the base does not average its position")
		const why = "the base does not average its position, and its uncertainty stands between any two set-ups"
		for _, key := range []string{"setup", "same_as"} {
			for _, m := range r.m.Marks { // one stands for all
				if path := m.Path + "." + key; r.m.Written(path) {
					written(path, why)
					break
				}
			}
		}
	}
	if base.Position == spec.Network {
		written("base.mark", "the stations of a service stand on marks of its own")
	}
	if base.Rotation && len(base.ControlMarks) == 0 {
		written("base.rotation", "there are no control marks, by which to tell a rotation")
	}
	rover := r.p.Machine.Rover
	if rover.AntennaHeightMM == 0 {
		written("rover.tilt", "the antenna is at the height of the ground, where tilt does not move it (rover.antenna)")
	}
	r.unusedWires(written)
	if !slices.ContainsFunc(r.m.DrivePath, func(p spec.Part) bool { return slices.Contains(p.OpenedBy, spec.Watchdog) }) {
		written("board.watchdog", "no part of the drive_path is opened by it")
	}
	for i, h := range r.m.Holds {
		path := fmt.Sprintf("holds[%d].", i)
		if h.Second == nil {
			written(path+"discrepancy", "hold %s has one channel, which cannot differ from another", h.Name)
		}
		if h.Pull == circuit.PullNone {
			written(path+"pull_resistor", "hold %s has no pull", h.Name)
		}
		if h.Second != nil && h.Second.Pull == circuit.PullNone {
			written(path+"second_channel.pull_resistor", "the second channel of hold %s has no pull", h.Name)
		}
	}
}

// unusedWires finds names of wires that a single contact gives.
func (r *resolver) unusedWires(written func(path, format string, args ...any)) {
	type use struct{ path, hold string }
	uses := map[string][]use{}
	var names []string
	add := func(name, path, hold string) {
		if name == "" {
			return
		}
		if uses[name] == nil {
			names = append(names, name)
		}
		uses[name] = append(uses[name], use{path, hold})
	}
	for i, h := range r.m.Holds {
		path := fmt.Sprintf("holds[%d].", i)
		add(h.Return, path+"return_wire", h.Name)
		if h.Second != nil {
			add(h.Second.Return, path+"second_channel.return_wire", h.Name)
		}
	}
	for _, name := range names {
		if at := uses[name]; len(at) == 1 {
			written(at[0].path, "no contact but that of hold %s has the wire %s", at[0].hold, name)
		}
	}
}
