// Whether a change did what was asked, and nothing else: the mission is read again, and
// compared with what it was, and with a mission that holds the new values alone.
package insert

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"merestone/internal/diag"
	"merestone/spec"
)

// surveyed is what a mark holds under a key that a mark has on which an antenna stood.
func surveyed(m spec.Mark, key string) (value any, known bool) {
	switch key {
	case "latitude":
		return m.Latitude, true
	case "longitude":
		return m.Longitude, true
	case "height":
		return m.Height, true
	case "uncertainty":
		return m.Uncertainty, true
	case "setup":
		return m.Setup, true
	case "same_as":
		return m.SameAs, true
	}
	return nil, false
}

func surveyedKeys() []string {
	return []string{"latitude", "longitude", "height", "uncertainty", "setup", "same_as"}
}

// The rules that tell of what the new values alone do not have, and those beside them may.
const (
	ruleMissing diag.ID = "spec.missing-key"
	ruleUnknown diag.ID = "spec.unknown-mark"
	ruleGap     diag.ID = "spec.gap"
)

// newValues names the text that holds these alone, of which nobody has a file.
const newValues = "what is to be entered"

// asked are the marks as a mission has them in which nothing else is written. What cannot be
// read is refused here, before anything is changed.
func (c Change) asked() (map[string]spec.Mark, error) {
	if len(c.Marks) == 0 {
		return nil, nil
	}
	var marks []pair
	for _, m := range c.Marks {
		marks = append(marks, pair{key: m.Name, value: tree{keys: keysOf(m.Keys)}})
		for _, k := range m.Keys {
			if strings.ContainsAny(k.Text, "\r\n") || strings.TrimSpace(k.Text) == "" || k.Text == spec.Gap {
				return nil, fmt.Errorf("the mark %q: %s is to be %q, which is no value", m.Name, k.Name, k.Text)
			}
		}
	}
	text := strings.Join(pair{key: "marks", value: tree{keys: marks, lines: true}}.block(1, 2), "\n")
	read := spec.Parse(newValues, []byte(text), nil)
	for _, f := range read.Findings {
		if f.Severity == diag.Error && f.At.Line > 1 && f.Rule != ruleMissing && f.Rule != ruleUnknown {
			return nil, told(f)
		}
	}
	if read.Mission == nil || len(read.Mission.Marks) != len(c.Marks) {
		return nil, fmt.Errorf("%s cannot be read: %s", newValues, firstError(read.Findings))
	}
	return byName(read.Mission.Marks), nil
}

// proved reads the mission again.
func (w *work) proved() error {
	after := spec.Parse(w.source.Path, w.mission.After, w.opener)
	if after.Mission == nil {
		return w.strayed(firstError(after.Findings))
	}
	if f, worse := w.worse(after.Findings); worse {
		return fmt.Errorf("the change would make the mission wrong: %w", told(f))
	}
	was, is := *w.before, *after.Mission
	if err := w.sameMarks(was.Marks, is.Marks); err != nil {
		return err
	}
	was.Marks, is.Marks = nil, nil
	if wanted := w.change.Boundary; wanted != nil {
		if !slices.Equal(is.Geofence.Boundary, wanted) {
			return w.strayed("the boundary is not what was asked")
		}
		was.Geofence.Boundary = wanted
	}
	was.Geofence.Obstacles = w.wanted(was.Geofence.Obstacles)
	if wanted := w.change.Route; wanted != nil {
		was.Route.Waypoints = nil
		for _, name := range wanted {
			was.Route.Waypoints = append(was.Route.Waypoints, spec.Waypoint{Mark: name})
		}
	}
	one, other := reflect.ValueOf(was), reflect.ValueOf(is)
	for i := range one.NumField() {
		if f := one.Type().Field(i); f.IsExported() && !reflect.DeepEqual(one.Field(i).Interface(), other.Field(i).Interface()) {
			return w.strayed("something else would change in " + f.Name)
		}
	}
	return nil
}

// sameMarks wants the marks that were asked for, and the others as they were and in their
// order.
func (w *work) sameMarks(was, is []spec.Mark) error {
	others := func(marks []spec.Mark) []spec.Mark {
		return slices.DeleteFunc(slices.Clone(marks), func(m spec.Mark) bool { _, asked := w.asked[m.Name]; return asked })
	}
	if !slices.EqualFunc(others(was), others(is), func(a, b spec.Mark) bool { return reflect.DeepEqual(a, b) }) {
		return w.strayed("other marks would change")
	}
	then := byName(is)
	for _, m := range w.change.Marks {
		old, now := w.was[m.Name], then[m.Name]
		if now.Name == "" {
			return w.strayed(fmt.Sprintf("the mark %q is not there", m.Name))
		}
		for _, name := range surveyedKeys() {
			wanted, _ := surveyed(old, name)
			if slices.ContainsFunc(m.Keys, func(k Key) bool { return k.Name == name }) {
				wanted, _ = surveyed(w.asked[m.Name], name)
			}
			if got, _ := surveyed(now, name); !reflect.DeepEqual(got, wanted) {
				return w.strayed(fmt.Sprintf("%s of the mark %q is not what was asked", name, m.Name))
			}
		}
		if now.Measured != nil {
			return w.strayed(fmt.Sprintf("the mark %q has become one that is measured from others", m.Name))
		}
	}
	return nil
}

// wanted are the obstacles as they are to be.
func (w *work) wanted(was []spec.Obstacle) []spec.Obstacle {
	all := slices.Clone(was)
	for _, o := range w.change.Obstacles {
		i := slices.IndexFunc(all, func(old spec.Obstacle) bool { return old.Name == o.Name })
		if i < 0 {
			all = append(all, spec.Obstacle{Name: o.Name, Ring: o.Ring})
		} else {
			all[i].Ring = o.Ring
		}
	}
	return all
}

// strayed is the error of a change that does not read as it was meant. Where an anchor names
// what was changed, its aliases are why; where the mission has errors, what is read beside
// them may hang on them; else it is a fault of this program.
func (w *work) strayed(why string) error {
	if len(w.shared) > 0 {
		return fmt.Errorf("%s cannot be changed so: what is named by an anchor (&%s) would change wherever an alias stands for it (%s); write these values out first",
			w.source.Name, sorted(w.shared), why)
	}
	for _, f := range w.findings {
		if f.Severity == diag.Error && f.Rule != ruleGap && f.Rule != ruleMissing && f.Rule != ruleUnknown {
			return fmt.Errorf("%s cannot be changed so (%s), since it has errors: %w; mend them first", w.source.Name, why, told(f))
		}
	}
	return fmt.Errorf("%s is left as it is: the change does not read back as it was meant (%s), which is a fault of merestone", w.source.Name, why)
}

// worse finds an error that the change has brought: of a rule that nothing broke before, or
// about a line that was changed. Gaps are never brought, and those that are left are told in
// other words once others are filled.
func (w *work) worse(after []diag.Finding) (diag.Finding, bool) {
	type said struct {
		rule    diag.ID
		message string
	}
	rules, there := map[diag.ID]bool{}, map[said]bool{}
	for _, f := range w.findings {
		if f.Severity == diag.Error {
			rules[f.Rule], there[said{f.Rule, f.Message()}] = true, true
		}
	}
	changed := map[string][]bool{w.mission.Shown: w.mission.Changed()}
	if w.csv != nil {
		changed[w.csv.Shown] = w.csv.Changed()
	}
	touched := func(at diag.Position) bool {
		lines := changed[at.File]
		return at.Line >= 1 && at.Line <= len(lines) && lines[at.Line-1]
	}
	// What a route or a ring still lacks is for later; a mark comes whole. Nor does a change take
	// marks away: one that nobody wrote is told where it is used once all of them were a gap.
	aside := func(f diag.Finding) bool {
		return f.Rule == ruleGap || f.Rule == ruleUnknown && !touched(f.At) || f.Rule == ruleMissing && !slices.ContainsFunc(f.About, func(s diag.Subject) bool { return s.Kind == diag.Mark })
	}
	for _, f := range after {
		if f.Severity != diag.Error || aside(f) || there[said{f.Rule, f.Message()}] {
			continue
		}
		if !rules[f.Rule] || touched(f.At) || slices.ContainsFunc(f.Related, func(r diag.Related) bool { return touched(r.At) }) {
			return f, true
		}
	}
	return diag.Finding{}, false
}

// told is a finding as an error.
func told(f diag.Finding) error {
	text := f.Message()
	if f.Remedy != "" {
		text += "; " + f.Remedy
	}
	if f.At.Line > 0 && f.At.File != newValues {
		text = at(f.At.File, f.At.Line) + ": " + text
	}
	return errors.New(text)
}

func firstError(findings []diag.Finding) string {
	for _, f := range findings {
		if f.Severity == diag.Error {
			return told(f).Error()
		}
	}
	return "no error is told"
}
