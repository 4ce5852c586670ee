// One of the many ways to write a model down: units, decimals, notations, quotation
// marks, block and flow style, order, comments, anchors, aliases and merge keys, line
// ends, marks in the mission or in the marks_file, usual values written or not.
package gen_test

import (
	"encoding/json"
	"fmt"
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"
)

// written is a value on its way into YAML. Same names its meaning, by which an
// alias may stand for it.
type written struct {
	same    string
	text    func() string // of a value in one piece: one of its spellings
	bare    bool          // which must not be in quotation marks
	keys    []pair
	list    []written
	ordered bool // the keys are to stay in their order
	kind    byte // 's' for a piece, 'm' for a block, 'l' for a list
}

type pair struct {
	key   string
	value written
}

// speller writes one mission.
type speller struct {
	r        *rand.Rand
	out      strings.Builder
	anchors  []anchored
	named    int
	plain    bool // no anchors, comments or line breaks, for tests that look for lines
	reorder  bool // the marks, whose order shows in a comment of the header and nowhere else
	inMarks  []ground
	inTable  []ground
	setups   bool     // whether marks have set-ups, which the marks_file must then say
	names    []string // of all marks
	newlines string
}

type anchored struct {
	name string
	of   written
}

func (s *speller) chance(in int) bool { return s.r.IntN(in) == 0 }

// units as the reference table of the language names them, in the small unit: the
// numerator and denominator of each.
type unit struct {
	name     string
	num, den int64
}

func lengths() []unit { return []unit{{"mm", mm, 1}, {"cm", cm, 1}, {"m", m, 1}, {"km", 1000 * m, 1}} }
func speeds() []unit {
	return []unit{{"m/s", m, 1}, {"mm/s", mm, 1}, {"cm/s", cm, 1}, {"km/h", 1_000_000_000, 3600}}
}
func durations() []unit {
	return []unit{{"ms", ms, 1}, {"s", sec, 1}, {"min", 60 * sec, 1}, {"h", 3600 * sec, 1}}
}
func angles() []unit    { return []unit{{"deg", sec, 1}} }
func rates() []unit     { return []unit{{"Hz", m, 1}} }
func ratios() []unit    { return []unit{{"%", 10_000, 1}} }
func volts() []unit     { return []unit{{"V", m, 1}, {"mV", mm, 1}} }
func resistors() []unit { return []unit{{"ohm", mm, 1}, {"kohm", m, 1}, {"Mohm", 1000 * m, 1}} }

// amount is a quantity, written exactly in a unit in which its decimals end.
func (s *speller) amount(value int64, units []unit) written {
	return written{kind: 's', same: fmt.Sprint(units[0].name, " ", value), text: func() string {
		for {
			u := pick(s.r, units...)
			number, ok := decimal(big.NewRat(value, 1), big.NewRat(u.num, u.den))
			if !ok || len(number) > 30 {
				continue
			}
			return s.dressed(number) + strings.Repeat(" ", s.r.IntN(3)) + u.name
		}
	}}
}

// decimal is a/b written out, if its decimals end within 20.
func decimal(a, b *big.Rat) (string, bool) {
	q := new(big.Rat).Quo(a, b)
	digits, exact := q.FloatPrec()
	return q.FloatString(digits), exact && digits <= 20
}

// dressed is a number with a sign, zeros and a point that mean nothing.
func (s *speller) dressed(number string) string {
	if s.chance(4) {
		if !strings.Contains(number, ".") {
			number += "."
		}
		number += strings.Repeat("0", s.r.IntN(4))
	}
	sign := ""
	if number[0] == '-' {
		sign, number = "-", number[1:]
	} else if s.chance(8) {
		sign = "+"
	}
	if strings.HasPrefix(number, "0.") && len(number) > 2 && s.chance(4) {
		number = number[1:]
	} else if s.chance(8) {
		number = "00" + number
	}
	return sign + number
}

// angle is a coordinate: whole nanodegrees in decimal degrees, or in minutes or
// seconds, whose digits are finer than a nanodegree and so name no coarser one.
func (s *speller) angle(value int64, coarse int, letters string) written {
	return written{kind: 's', same: fmt.Sprint(letters, value, coarse), text: func() string { return s.angleText(value, coarse, letters) }}
}

func (s *speller) angleText(value int64, coarse int, letters string) string {
	size, letter, sign := value, letters[:1], ""
	if value < 0 {
		size, letter, sign = -value, letters[1:], "-"
	} else if s.chance(6) {
		sign = "+"
	}
	minute, second := "'", `"`
	if s.chance(3) {
		minute, second = "′", "″"
	}
	whole, rest := size/1_000_000_000, size%1_000_000_000
	form := s.r.IntN(5)
	switch {
	case coarse > 0 || form > 2:
		return fmt.Sprintf("%s%d.%0*d", sign, whole, 9-coarse, rest/pow10(coarse)) + map[bool]string{true: strings.Repeat("0", s.r.IntN(3))}[coarse == 0]
	case form == 0: // 1e-9 degree is 6e-8 minute
		units := rest * 6
		return fmt.Sprintf("%d°%02d.%08d%s%s", whole, units/100_000_000, units%100_000_000, minute, letter)
	case form == 1: // and 3.6e-6 second, in units of 1e-7 second
		units := rest * 36
		return fmt.Sprintf("%d°%02d%s%02d.%07d%s%s", whole, units/600_000_000, minute, units%600_000_000/10_000_000, units%10_000_000, second, letter)
	default:
		return fmt.Sprintf("%d.%09d°%s", whole, rest, letter)
	}
}

func pow10(n int) int64 {
	p := int64(1)
	for range n {
		p *= 10
	}
	return p
}

func (s *speller) word(text string) written {
	return written{kind: 's', same: "text " + text, text: func() string { return text }}
}

func (s *speller) number(n int64) written {
	return written{kind: 's', same: fmt.Sprint("number ", n), bare: true, text: func() string { return fmt.Sprint(n) }}
}

func (s *speller) truth(yes bool) written {
	return written{kind: 's', same: fmt.Sprint("truth ", yes), bare: true, text: func() string { return fmt.Sprint(yes) }}
}

// block is a mapping whose keys come in any order.
func block(keys ...pair) written { return written{kind: 'm', keys: keys} }

func list(items ...written) written { return written{kind: 'l', list: items} }

// may adds a key that need not be there: a usual value is written or not.
func (s *speller) may(to *written, key string, o optional, value func(int64) written) {
	if o.said && !o.usual || (o.usual && s.chance(2)) {
		to.keys = append(to.keys, pair{key, value(o.value)})
	}
}

// spell writes a model down: the mission and the marks_file, which is nil when the
// mission has none.
func (mo *model) spell(s *speller) (mission, table []byte) {
	s.newlines = pick(s.r, "\n", "\n", "\r\n")
	marks := slices.Clone(mo.marks)
	if s.reorder {
		s.r.Shuffle(len(marks), func(i, j int) { marks[i], marks[j] = marks[j], marks[i] })
	}
	// Those of the marks_file come after the mission's own.
	split := pick(s.r, 0, len(marks), s.r.IntN(len(marks)))
	s.inMarks, s.inTable = marks[:split], marks[split:]
	s.setups, s.names = mo.setup != "", nil
	for _, g := range mo.marks {
		s.names = append(s.names, g.name)
	}
	mission = []byte(s.write(mo.tree(s)))
	if len(s.inTable) > 0 {
		table = []byte(s.table())
	}
	return mission, table
}

// write writes the whole file.
func (s *speller) write(top written) string {
	if s.chance(3) {
		s.out.WriteString("---")
		s.end()
	}
	s.lines(0)
	s.mapping(top, 0)
	text := s.out.String()
	if s.chance(3) {
		text += "..." + s.newlines
	} else if s.chance(3) {
		text = strings.TrimRight(text, "\r\n")
	}
	if s.chance(4) {
		text = "\ufeff" + text
	}
	return text
}

// tree is the mission with the keys that this spelling writes.
func (mo *model) tree(s *speller) written {
	length := func(v int64) written { return s.amount(v, lengths()) }
	speed := func(v int64) written { return s.amount(v, speeds()) }
	duration := func(v int64) written { return s.amount(v, durations()) }
	angle := func(v int64) written { return s.amount(v, angles()) }
	resistor := func(v int64) written { return s.amount(v, resistors()) }
	yes := func(v int64) written { return s.truth(v == 1) }
	name := func(i int) written { return s.word(mo.marks[i].name) }
	names := func(of []int) written {
		l := list()
		for _, i := range of {
			l.list = append(l.list, name(i))
		}
		return l
	}

	receiver := block(pair{"fix_rate", s.amount(mo.fixRate, rates())}, pair{"latency", duration(mo.latency)}, pair{"required", s.word(map[bool]string{true: "fixed", false: "float"}[mo.needsFixed])})
	s.may(&receiver, "stale_after", mo.stale, duration)
	sigma := block(pair{"fixed", length(mo.fixed.value)})
	s.may(&sigma, "float", mo.float, length)
	receiver.keys = append(receiver.keys, pair{"uncertainty", sigma})

	rover := block(pair{"width", length(mo.width)}, pair{"length", length(mo.length)}, pair{"cross_track", length(mo.crossTrack)},
		pair{"speed", block(pair{"cruise", speed(mo.cruise)}, pair{"minimum", speed(mo.least)})},
		pair{"coast", block(pair{"from", speed(mo.coastFrom)}, pair{"distance", length(mo.coast)})})
	s.may(&rover, "turn_radius", mo.turnRadius, length)
	s.may(&rover, "turning_centre", mo.turningCentre, length)
	s.may(&rover, "motor_lag", mo.lag, duration)
	s.may(&rover, "heading_uncertainty", mo.heading, angle)
	s.may(&rover, "tilt", mo.tilt, angle)
	if mo.antenna {
		rover.keys = append(rover.keys, pair{"antenna", block(pair{"forward", length(mo.forward)}, pair{"right", length(mo.right)}, pair{"height", length(mo.mast)})})
	}
	if mo.compass.said {
		rover.keys = append(rover.keys, pair{"compass", block(pair{"from_antenna", length(mo.compass.value)})})
	}

	marks := written{kind: 'm', ordered: true}
	for _, g := range s.inMarks {
		mark := block(pair{"latitude", s.angle(g.latitude, g.coarse, "NS")}, pair{"longitude", s.angle(g.longitude, g.coarse, "EW")})
		s.may(&mark, "height", g.height, length)
		s.may(&mark, "uncertainty", g.uncertainty, length)
		if g.setup != "" {
			mark.keys = append(mark.keys, pair{"setup", s.word(g.setup)})
		}
		if g.sameAs > 0 {
			mark.keys = append(mark.keys, pair{"same_as", name(g.sameAs - 1)})
		}
		marks.keys = append(marks.keys, pair{g.name, mark})
	}

	route := block()
	s.may(&route, "closed", optional{value: int64(len(mo.visits)), said: mo.closed, usual: !mo.closed}, func(int64) written { return s.truth(mo.closed) })
	s.may(&route, "arrival_tolerance", mo.tolerance, length)
	s.may(&route, "speed", mo.speed, speed)
	visits := list()
	for _, v := range mo.visits {
		w := block(pair{"mark", name(v.mark)})
		s.may(&w, "arrival_tolerance", v.tolerance, length)
		s.may(&w, "speed", v.speed, speed)
		s.may(&w, "dwell", v.dwell, duration)
		if len(w.keys) == 1 && s.chance(2) {
			w = name(v.mark)
		}
		visits.list = append(visits.list, w)
	}
	route.keys = append(route.keys, pair{"waypoints", visits})

	fence := block(pair{"boundary", names(mo.boundary)})
	s.may(&fence, "boundary_height", mo.wall, length)
	s.may(&fence, "boundary_reflects", mo.mirror, yes)
	if len(mo.rocks) > 0 {
		rocks := list()
		for _, o := range mo.rocks {
			w := block(pair{"name", s.word(o.name)})
			if o.centre >= 0 {
				w.keys = append(w.keys, pair{"centre", name(o.centre)}, pair{"radius", length(o.radius)})
			} else {
				w.keys = append(w.keys, pair{"ring", names(o.ring)})
			}
			s.may(&w, "height", o.height, length)
			s.may(&w, "reflects", o.reflects, yes)
			rocks.list = append(rocks.list, w)
		}
		fence.keys = append(fence.keys, pair{"obstacles", rocks})
	}

	holds := list()
	for _, h := range mo.holds {
		channel := func(c contact) []pair {
			// An open contact must read the other level: the pull is away from the rail.
			w := block(pair{"pin", s.number(c.pin)}, pair{"contact", s.word(map[bool]string{true: "normally-closed", false: "normally-open"}[c.closed])},
				pair{"wired_to", s.word(map[bool]string{true: "supply", false: "ground"}[c.supply])}, pair{"pull", s.word(map[bool]string{true: "down", false: "up"}[c.supply])})
			s.may(&w, "pull_resistor", c.extern, resistor)
			s.may(&w, "series_resistor", c.series, resistor)
			if c.shares {
				w.keys = append(w.keys, pair{"return_wire", s.word("common ground")})
			}
			return w.keys
		}
		w := block(pair{"name", s.word(h.name)}, pair{"kind", s.word(h.kind)}, pair{"debounce", duration(h.debounce.value)})
		w.keys = append(w.keys, channel(h.channels[0])...)
		if len(h.channels) == 2 {
			w.keys = append(w.keys, pair{"second_channel", block(channel(h.channels[1])...)})
			s.may(&w, "discrepancy", h.discrepancy, duration)
			w.keys = append(w.keys, pair{"common_cause", block(pair{"cable", s.truth(h.common[0])}, pair{"connector", s.truth(h.common[1])}, pair{"supply", s.truth(h.common[2])}, pair{"actuator", s.truth(h.common[3])})})
		}
		s.may(&w, "stop_filter", h.filter, duration)
		s.may(&w, "stop_category", h.category, s.number)
		if h.radio != [2]int64{} {
			w.keys = append(w.keys, pair{"radio", block(pair{"delay", duration(h.radio[0])}, pair{"loss_of_signal", duration(h.radio[1])})})
		}
		holds.list = append(holds.list, w)
	}

	path := list()
	for _, p := range mo.path {
		openers := list()
		if p.enable {
			openers.list = append(openers.list, s.word("drive_enable"))
		}
		if p.watchdog {
			openers.list = append(openers.list, s.word("watchdog"))
		}
		for _, h := range mo.holds {
			if slices.Contains(p.poles, h.name) {
				openers.list = append(openers.list, s.word(h.name))
			}
		}
		if len(openers.list) == 0 {
			continue // its holds were taken out
		}
		w := block(pair{"name", s.word(p.name)}, pair{"kind", s.word(p.kind)}, pair{"opened_by", openers}, pair{"off_delay", duration(p.off)})
		switch p.kind {
		case "relay":
			w.keys = append(w.keys, pair{"coil_diode", s.truth(p.diode)})
		case "semiconductor":
			s.may(&w, "pulled_off", p.pulled, yes)
		}
		if p.covered {
			w.keys = append(w.keys, pair{"covered", s.word("tried before each drive")})
		}
		path.list = append(path.list, w)
	}

	board := block(pair{"outputs", block(pair{"drive_enable", s.number(mo.drive)})})
	pins := list()
	for _, p := range mo.pins {
		pins.list = append(pins.list, s.number(p))
	}
	board.keys = append(board.keys, pair{"input_pins", pins})
	if s.chance(2) {
		board.keys = append(board.keys, pair{"pulls", list(s.word("up"), s.word("down"))})
	}
	s.may(&board, "integer_bits", mo.bits, s.number)
	if mo.hardware || s.chance(2) {
		board.keys = append(board.keys, pair{"float", s.word(map[bool]string{true: "hardware", false: "software"}[mo.hardware])})
	}
	s.may(&board, "loop", mo.loop, duration)
	if mo.watchdog > 0 {
		board.keys = append(board.keys, pair{"watchdog", duration(mo.watchdog)})
	}
	s.may(&board, "resistor_tolerance", mo.ohms, func(v int64) written { return s.amount(v, ratios()) })
	if mo.logic {
		volt := func(v int64) written { return s.amount(v, volts()) }
		board.keys = append(board.keys, pair{"logic", block(pair{"supply", volt(3_300_000)}, pair{"low_below", volt(990_000)}, pair{"high_above", volt(2_310_000)},
			pair{"pull_least", resistor(20_000_000)}, pair{"pull_most", resistor(150_000_000)})})
	}

	site := block(pair{"date", s.word(mo.date)}, pair{"origin", block(pair{"latitude", s.angle(mo.origin.latitude, 0, "NS")}, pair{"longitude", s.angle(mo.origin.longitude, 0, "EW")}, pair{"height", length(mo.origin.height.value)})})
	if len(mo.covers) > 0 {
		covers := list()
		for _, c := range mo.covers {
			w := block(pair{"name", s.word(c.name)}, pair{"kind", s.word(map[bool]string{true: "roof", false: "canopy"}[c.roof])}, pair{"height", length(c.height.value)})
			if c.centre >= 0 {
				w.keys = append(w.keys, pair{"centre", name(c.centre)}, pair{"radius", length(c.radius)})
			} else {
				w.keys = append(w.keys, pair{"ring", names(c.ring)})
			}
			s.may(&w, "headroom", c.headroom, length)
			covers.list = append(covers.list, w)
		}
		site.keys = append(site.keys, pair{"overhead", covers})
	}

	top := block(pair{"mission", s.word(mo.name)}, pair{"site", site},
		pair{"receiver", receiver}, pair{"rover", rover}, pair{"route", route}, pair{"geofence", fence}, pair{"holds", holds}, pair{"drive_path", path}, pair{"board", board})
	if mo.record > 0 {
		stops := list()
		for i := range mo.record { // so soon at rest that they add nothing; what a late one adds, internal/plan tries
			stops.list = append(stops.list, block(pair{"from", speed(mo.cruise)}, pair{"time", duration(int64(1+i) * 10 * ms)}, pair{"distance", length(mo.coast)}))
		}
		top.keys = append(top.keys, pair{"commissioning", block(pair{"date", s.word("2026-01-20")}, pair{"repeat_by", s.word("2028-01-20")}, pair{"stopping", stops})})
	}
	s.may(&top, "confidence", mo.confidence, func(v int64) written { return s.amount(v, ratios()) })
	if len(s.inMarks) > 0 {
		top.keys = append(top.keys, pair{"marks", marks})
	}
	if len(s.inTable) > 0 {
		top.keys = append(top.keys, pair{"marks_file", s.word("marks.csv")})
	}
	base := block(pair{"uncertainty", length(mo.baseSigma)}, pair{"position", s.word(mo.position)})
	if mo.baseMark >= 0 {
		base.keys = append(base.keys, pair{"mark", name(mo.baseMark)})
	}
	if len(mo.controlMarks) > 0 {
		base.keys = append(base.keys, pair{"control_marks", names(mo.controlMarks)})
	}
	s.may(&base, "averaged_for", mo.averagedFor, duration)
	s.may(&base, "rotation", mo.rotation, yes)
	top.keys = append(top.keys, pair{"base", base})
	if len(mo.tape) > 0 {
		tapes := list()
		for _, t := range mo.tape {
			tapes.list = append(tapes.list, block(pair{"from", name(int(t[0]))}, pair{"to", name(int(t[1]))}, pair{"measured", length(t[2])}, pair{"uncertainty", length(t[3])}))
		}
		top.keys = append(top.keys, pair{"tape", tapes})
	}
	return top
}

// comment is one that looks like something else.
func (s *speller) comment() string {
	return pick(s.r, "#", "# a: b", "#}", "# - [", "# *a &b !!c", `# "open`, "# it's open", "# \u00fc \u2713", "# a\tb", "# %TAG", "# --- ", "# <<: x", "#: |")
}

// end ends a line, with a comment now and then.
func (s *speller) end() {
	if s.chance(8) && !s.plain {
		s.out.WriteString(" " + s.comment())
	}
	if s.chance(20) && !s.plain {
		s.out.WriteString("  ")
	}
	s.out.WriteString(s.newlines)
}

// lines puts blank lines and comments between lines.
func (s *speller) lines(indent int) {
	for s.chance(10) && !s.plain {
		if s.chance(2) {
			s.out.WriteString(strings.Repeat(" ", s.r.IntN(indent+3)) + s.comment())
		}
		s.out.WriteString(s.newlines)
	}
}

// key writes a key up to its colon.
func (s *speller) key(key string) {
	s.out.WriteString(s.quoted(key, false) + pick(s.r, "", "", "", " ") + ":")
}

// quoted is a text plain or in quotation marks.
func (s *speller) quoted(text string, bare bool) string {
	switch {
	case bare:
	case s.chance(8):
		return "'" + strings.ReplaceAll(text, "'", "''") + "'"
	case s.chance(8):
		return `"` + strings.ReplaceAll(text, `"`, `\"`) + `"`
	}
	return text
}

// piece writes a value in one piece, or an alias for it.
func (s *speller) piece(v written) {
	for _, a := range s.anchors {
		if !s.plain && a.of.kind == 's' && a.of.same == v.same && s.chance(3) {
			s.out.WriteString("*" + a.name + " ")
			return
		}
	}
	s.keep(s.anchor(), v)
	s.out.WriteString(s.quoted(v.text(), v.bare))
}

// anchor names a value now and then, with a space behind it. The name is of use
// from the end of the value on: whoever writes one of more than one piece keeps it.
func (s *speller) anchor() (name string) {
	if s.plain || !s.chance(12) {
		return ""
	}
	s.named++
	name = fmt.Sprintf("%s%d", pick(s.r, "a", "x-", "B_"), s.named)
	s.out.WriteString("&" + name + " ")
	return name
}

// keep makes a value that is written in full one that aliases and merge keys may
// stand for.
func (s *speller) keep(name string, v written) {
	if name != "" {
		s.anchors = append(s.anchors, anchored{name, v})
	}
}

// merged takes out of a block what an earlier one has the same, and gives the
// merge key that stands for it; empty where there is none.
func (s *speller) merged(v written) (rest []pair, from string) {
	if s.plain || !s.chance(2) {
		return v.keys, ""
	}
	for _, a := range s.anchors {
		if a.of.kind != 'm' || len(a.of.keys) == 0 {
			continue
		}
		var left []pair
		all, same := 0, 0
		for _, p := range v.keys {
			i := slices.IndexFunc(a.of.keys, func(q pair) bool { return q.key == p.key })
			if i < 0 {
				left = append(left, p)
				continue
			}
			all++
			if p.value.kind == 's' && p.value.same == a.of.keys[i].value.same {
				same++
				continue
			}
			left = append(left, p)
		}
		if all == len(a.of.keys) && same > 0 {
			return left, a.name
		}
	}
	return v.keys, ""
}

// entries are the keys of a block in the order in which they are written, the
// merge key among them.
func (s *speller) entries(v written) []pair {
	keys, from := s.merged(v)
	keys = slices.Clone(keys)
	if from != "" {
		keys = append(keys, pair{"<<", written{kind: '*', same: from}})
	}
	if !v.ordered {
		s.r.Shuffle(len(keys), func(i, j int) { keys[i], keys[j] = keys[j], keys[i] })
	}
	return keys
}

// mapping writes a block in block style: each key on a line at the indent. The
// first one may be on a line that is begun.
func (s *speller) mapping(v written, indent int) { s.mappingAfter(v, indent, false) }

func (s *speller) mappingAfter(v written, indent int, begun bool) {
	for _, p := range s.entries(v) {
		if !begun {
			s.lines(indent)
			s.out.WriteString(strings.Repeat(" ", indent))
		}
		begun = false
		if p.value.kind == '*' {
			s.out.WriteString("<<: *" + p.value.same)
			s.end()
			continue
		}
		s.key(p.key)
		s.behind(p.value, indent)
	}
}

// behind writes a value behind its colon, and ends the line.
func (s *speller) behind(v written, indent int) {
	gap := strings.Repeat(" ", 1+s.r.IntN(3))
	switch {
	case v.kind == 's':
		s.out.WriteString(gap)
		s.piece(v)
		s.end()
	case s.chance(2):
		s.out.WriteString(gap)
		s.flow(v, indent+1)
		s.end()
	case v.kind == 'm':
		s.out.WriteString(gap)
		name := s.anchor()
		s.end()
		s.mapping(v, indent+1+s.r.IntN(4))
		s.keep(name, v)
	default:
		s.end()
		s.items(v, indent+s.r.IntN(4))
	}
}

// items writes a list in block style, its dashes at the indent.
func (s *speller) items(v written, indent int) {
	for _, item := range v.list {
		s.lines(indent)
		gap := 1 + s.r.IntN(3)
		s.out.WriteString(strings.Repeat(" ", indent) + "-" + strings.Repeat(" ", gap))
		switch {
		case item.kind == 's':
			s.piece(item)
			s.end()
		case s.chance(2):
			s.flow(item, indent+1)
			s.end()
		default:
			if name := s.anchor(); name != "" {
				s.end()
				s.mapping(item, indent+1+s.r.IntN(3))
				s.keep(name, item)
				continue
			}
			s.mappingAfter(item, indent+1+gap, true)
		}
	}
}

// flow writes a value in brackets, on one line or over several.
func (s *speller) flow(v written, indent int) {
	if v.kind == 's' {
		s.piece(v)
		return
	}
	name := s.anchor()
	open, shut := "[", "]"
	if v.kind == 'm' {
		open, shut = "{", "}"
	}
	s.out.WriteString(open)
	s.gap(indent)
	first := true
	comma := func() {
		if !first {
			s.out.WriteString(pick(s.r, "", "", " ") + ",")
			s.gap(indent)
		}
		first = false
	}
	for _, item := range v.list {
		comma()
		s.flow(item, indent)
	}
	if v.kind == 'm' {
		for _, p := range s.entries(v) {
			comma()
			if p.value.kind == '*' {
				s.out.WriteString("<<: *" + p.value.same + " ")
				continue
			}
			s.key(p.key)
			s.out.WriteString(" ")
			s.flow(p.value, indent)
		}
	}
	if s.chance(8) && !s.plain {
		s.out.WriteString(",") // a comma at the end means nothing
	}
	s.gap(indent)
	s.out.WriteString(shut)
	s.keep(name, v)
}

// gap is the space within brackets: none, some, or a new line.
func (s *speller) gap(indent int) {
	if s.plain || !s.chance(8) {
		s.out.WriteString(pick(s.r, "", " "))
		return
	}
	s.out.WriteString(" ")
	s.end()
	s.lines(indent)
	s.out.WriteString(strings.Repeat(" ", indent+s.r.IntN(3)))
}

// table writes the marks_file.
func (s *speller) table() string {
	var out strings.Builder
	columns := []string{"name", "latitude", "longitude", "height", "uncertainty"}
	if s.setups || s.chance(3) {
		columns = append(columns, "setup", "same_as")
	}
	s.r.Shuffle(len(columns), func(i, j int) { columns[i], columns[j] = columns[j], columns[i] })
	cell := func(text string) string {
		if s.chance(3) || strings.HasPrefix(text, `"`) {
			return `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
		}
		return pick(s.r, "", " ") + text + pick(s.r, "", " ")
	}
	row := func(of func(column string) string) {
		for s.chance(8) && !s.plain {
			out.WriteString(pick(s.r, "", s.comment()) + s.newlines)
		}
		for i, c := range columns {
			if i > 0 {
				out.WriteString(",")
			}
			out.WriteString(cell(of(c)))
		}
		out.WriteString(s.newlines)
	}
	row(func(column string) string { return column })
	for _, g := range s.inTable {
		value := func(o optional) string {
			if o.said && !o.usual || o.usual && s.chance(2) {
				return s.amount(o.value, lengths()).text()
			}
			return ""
		}
		row(func(column string) string {
			switch column {
			case "name":
				return g.name
			case "latitude":
				return s.angleText(g.latitude, g.coarse, "NS")
			case "longitude":
				return s.angleText(g.longitude, g.coarse, "EW")
			case "height":
				return value(g.height)
			case "setup":
				return g.setup
			case "same_as":
				if g.sameAs > 0 {
					return s.names[g.sameAs-1]
				}
				return ""
			default:
				return value(g.uncertainty)
			}
		})
	}
	text := out.String()
	if s.chance(4) {
		text = "\ufeff" + text
	}
	return text
}

// data is a value as a reader of YAML hands it on: numbers, truths, texts, lists and
// blocks.
func (v written) data() any {
	switch v.kind {
	case 'm':
		block := map[string]any{}
		for _, p := range v.keys {
			block[p.key] = p.value.data()
		}
		return block
	case 'l':
		items := []any{}
		for _, item := range v.list {
			items = append(items, item.data())
		}
		return items
	}
	text := v.text()
	if v.bare || strings.HasPrefix(v.same, "NS") || strings.HasPrefix(v.same, "EW") { // else a text to every reader
		if json.Valid([]byte(text)) {
			return json.RawMessage(text)
		}
	}
	return text
}
