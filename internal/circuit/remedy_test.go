package circuit

// What a remedy promises, for any wiring. Its words alone are read back, by a reader that
// shares nothing with what wrote them, put into the mission literally, and analysed.

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
)

// remedyMission is what Advise is given.
type remedyMission struct {
	board    Board
	circuits []Circuit
	path     Path
	room     Room
}

// follower puts edits into a mission.
type follower struct {
	t        *testing.T
	circuits []Circuit
	path     Path
}

// remedyBlock is a block of keys: strings, lists of strings, and blocks.
type remedyBlock map[string]any

// readBlock reads "a: b, c: {d: e}, f: [g, h]" up to its end.
func readBlock(t *testing.T, text string) remedyBlock {
	t.Helper()
	b := remedyBlock{}
	for text != "" {
		key, rest, ok := strings.Cut(text, ": ")
		require.True(t, ok, "no key in %q", text)
		end, depth := len(rest), 0
		for i, r := range rest {
			if strings.ContainsRune("{[", r) {
				depth++
			}
			if strings.ContainsRune("}]", r) {
				depth--
			}
			if r == ',' && depth == 0 {
				end = i
				break
			}
		}
		value := rest[:end]
		text = strings.TrimPrefix(rest[end:], ", ")
		require.NotContains(t, b, key, "key given twice")
		switch value[0] {
		case '{':
			b[key] = readBlock(t, value[1:len(value)-1])
		case '[':
			b[key] = strings.Split(value[1:len(value)-1], ", ")
		default:
			b[key] = value
		}
	}
	return b
}

// follow carries out one edit.
func (f *follower) follow(edit string) {
	f.t.Helper()
	edit, _, _ = strings.Cut(edit, " # ")
	subject, what, ok := strings.Cut(edit, ": ")
	require.True(f.t, ok, edit)
	switch {
	case subject == "board":
		f.path.WatchdogMS = f.number(strings.TrimPrefix(what, "watchdog: "), "ms")
	case subject == "drive_path":
		b := readBlock(f.t, strings.TrimSuffix(strings.TrimPrefix(what, "add {"), "}"))
		part := Part{Name: b["name"].(string), Kind: map[string]PartKind{"contact": Pole, "relay": Relay}[b["kind"].(string)], OffMS: f.number(b["off_delay"], "ms")}
		f.openers(&part, b["opened_by"].([]string))
		f.path.Parts = append(f.path.Parts, part)
	case strings.HasPrefix(subject, "drive_path "):
		i := slices.IndexFunc(f.path.Parts, func(p Part) bool { return "drive_path "+p.Name == subject })
		require.GreaterOrEqual(f.t, i, 0, edit)
		for key, value := range readBlock(f.t, what) {
			if key == "pulled_off" {
				require.Equal(f.t, "true", value)
				f.path.Parts[i].PulledOff = true
				continue
			}
			require.Equal(f.t, "opened_by", key)
			f.openers(&f.path.Parts[i], value.([]string))
		}
	case subject == "holds":
		b := readBlock(f.t, strings.TrimSuffix(strings.TrimPrefix(what, "add {"), "}"))
		require.Equal(f.t, "hold-to-run", b["kind"])
		f.number(b["debounce"], "ms")
		c := Circuit{Name: b["name"].(string), Kind: board.HoldToRun, Channels: []Channel{{Pin: int(f.number(b["pin"], ""))}}}
		for _, key := range []string{"name", "kind", "debounce", "pin"} {
			delete(b, key)
		}
		f.hold(&c, b, "")
		f.circuits = append(f.circuits, c)
	default:
		i := slices.IndexFunc(f.circuits, func(c Circuit) bool { return "hold "+c.Name == subject })
		require.GreaterOrEqual(f.t, i, 0, edit)
		what, out, _ := strings.Cut(what, "; take out ")
		f.hold(&f.circuits[i], readBlock(f.t, what), out)
	}
}

func (f *follower) hold(c *Circuit, b remedyBlock, out string) {
	f.t.Helper()
	c.Channels = slices.Clone(c.Channels)
	if second, ok := b["second_channel"]; ok {
		if len(c.Channels) == 1 {
			c.Channels = append(c.Channels, Channel{})
			c.DiscrepancyMS = f.number(b["discrepancy"], "ms")
			cause := b["common_cause"].(remedyBlock)
			require.Len(f.t, cause, 4)
			yes := func(key string) bool { return map[string]bool{"true": true, "false": false}[cause[key].(string)] }
			c.CommonCause = CommonCause{yes("cable"), yes("connector"), yes("supply"), yes("actuator")}
			delete(b, "discrepancy")
			delete(b, "common_cause")
		}
		block := second.(remedyBlock)
		c.Channels[1] = Channel{Pin: int(f.number(block["pin"], ""))}
		delete(block, "pin")
		f.channel(&c.Channels[1], block)
		delete(b, "second_channel")
	}
	f.channel(&c.Channels[0], b)
	for _, key := range strings.Split(out, ", ") {
		switch key {
		case "":
		case "pull_resistor":
			c.Channels[0].PullOhm = 0
		case "series_resistor":
			c.Channels[0].SeriesOhm = 0
		case "return_wire":
			c.Channels[0].Return = ""
		default:
			require.Fail(f.t, "no such key", key)
		}
	}
}

func (f *follower) channel(ch *Channel, b remedyBlock) {
	f.t.Helper()
	for key, value := range b {
		word := value.(string)
		switch key {
		case "contact":
			ch.Contact = oneOf(f.t, word, map[string]Contact{"normally-open": NormallyOpen, "normally-closed": NormallyClosed})
		case "wired_to":
			ch.WiredTo = oneOf(f.t, word, map[string]Rail{"ground": Ground, "supply": Supply})
		case "pull":
			ch.Pull = oneOf(f.t, word, map[string]Pull{"up": PullUp, "down": PullDown, "none": PullNone})
		case "pull_resistor":
			ch.PullOhm = f.ohm(word)
		case "series_resistor":
			ch.SeriesOhm = f.ohm(word)
		case "return_wire":
			ch.Return = word
		default:
			require.Fail(f.t, "no such key", key)
		}
	}
}

func oneOf[T any](t *testing.T, word string, from map[string]T) T {
	t.Helper()
	require.Contains(t, from, word)
	return from[word]
}

// openers has the circuits in the order of the holds, as a plan has them.
func (f *follower) openers(part *Part, names []string) {
	f.t.Helper()
	part.Enable, part.Watchdog, part.Holds = slices.Contains(names, "drive_enable"), slices.Contains(names, "watchdog"), nil
	for i, c := range f.circuits {
		if slices.Contains(names, c.Name) {
			part.Holds = append(part.Holds, i)
		}
	}
	known := len(part.Holds)
	for _, own := range []bool{part.Enable, part.Watchdog} {
		if own {
			known++
		}
	}
	require.Len(f.t, names, known)
}

func (f *follower) number(value any, unit string) int64 {
	f.t.Helper()
	digits, ok := strings.CutSuffix(value.(string), strings.TrimRight(" "+unit, " "))
	require.True(f.t, ok, value)
	n, err := strconv.ParseInt(digits, 10, 64)
	require.NoError(f.t, err)
	return n
}

func (f *follower) ohm(word string) int64 {
	f.t.Helper()
	scale := 1.0
	digits, thousands := strings.CutSuffix(word, " kohm")
	if thousands {
		scale = 1000
	}
	ohm, err := strconv.ParseFloat(strings.TrimSuffix(digits, " ohm"), 64)
	require.NoError(f.t, err)
	return int64(ohm*scale + 0.5)
}

// followed is a mission after edits.
func (m remedyMission) followed(t *testing.T, edits []string) remedyMission {
	t.Helper()
	f := follower{t, slices.Clone(m.circuits), Path{slices.Clone(m.path.Parts), m.path.WatchdogMS, m.path.Covered}}
	for _, e := range edits {
		f.follow(e)
	}
	m.circuits, m.path = f.circuits, f.path
	return m
}

// remedyFacts are what a table says of a mission, as far as a remedy promises anything of it.
type remedyFacts struct {
	// left are the faults that are not credited but for jammed actuators of whole holds.
	left []Fault
	// dangers, with the holds that they are about, and quiet name broken conductors that leave the drive running, and that
	// are credited though they do not stop it.
	dangers map[string][]int
	quiet   []string
	// blind are holds that cannot tell run from stop.
	blind []int
}

func factsOf(m remedyMission) remedyFacts {
	a := newAnalysis(m.board, m.circuits, m.path)
	facts := remedyFacts{dangers: map[string][]int{}}
	for i := range m.circuits {
		if !a.allDistinct([]int{i}) {
			facts.blind = append(facts.blind, i)
		}
	}
	for _, j := range jobs(m.board, m.circuits, m.path) {
		if j.fault.Kind != NoFault && !a.allDistinct(j.about) {
			continue
		}
		r := a.row(j)
		uncredited := r.Outcome == LeavesRunning || r.Outcome == ShortCircuit || r.Outcome == Indistinct
		whole := r.Fault.Kind == ActuatorJammed && len(r.Fault.Places) == len(m.circuits[r.Fault.Places[0].Circuit].Channels)
		if uncredited && !whole {
			facts.left = append(facts.left, r.Fault)
		}
		switch r.Fault.Kind {
		case SignalOpen, ReturnOpen, ContactStuckOpen, CableCut, ConnectorOff, FeedsLost:
			name := fmt.Sprint(r.Fault.Kind)
			for _, p := range r.Fault.Places {
				name += fmt.Sprint(" ", p.Circuit, p.Channel)
			}
			switch r.Outcome {
			case LeavesRunning:
				facts.dangers[name] = j.about
			case StopsOnDemand:
				facts.quiet = append(facts.quiet, name)
			}
		}
	}
	return facts
}

// refused lists what other rules have against a mission.
func (m remedyMission) refused() []string {
	var list []string
	names := map[string]bool{}
	for i, c := range m.circuits {
		for j, ch := range c.Channels {
			if ch.PullOhm == 0 && (ch.Pull == PullUp && !m.room.PullUp || ch.Pull == PullDown && !m.room.PullDown) {
				list = append(list, fmt.Sprintf("hold %d, channel %d: no internal pull %d", i, j, ch.Pull))
			}
		}
		pole := false
		for _, p := range m.path.Parts {
			pole = pole || slices.Contains(p.Holds, i)
		}
		if c.Kind == board.EmergencyStop && !pole {
			list = append(list, fmt.Sprintf("hold %d: no pole", i))
		}
	}
	for _, p := range m.path.Parts {
		if names[strings.ToLower(p.Name)] || len(p.Name) > 40 {
			list = append(list, "part "+p.Name)
		}
		names[strings.ToLower(p.Name)] = true
	}
	if len(m.path.Parts) > 16 {
		list = append(list, "too many parts")
	}
	return list
}

// lone lists return wires that one contact has.
func lone(circuits []Circuit) []string {
	users := map[string]int{}
	for _, c := range circuits {
		for _, ch := range c.Channels {
			users[ch.Return]++
		}
	}
	var list []string
	for name, n := range users {
		if name != "" && n == 1 {
			list = append(list, name)
		}
	}
	return list
}

// randomRemedyMission is any mission that makes sense, good or bad.
func randomRemedyMission(r *rand.Rand) remedyMission {
	for {
		m := remedyMission{board: DefaultBoard(), room: Room{PullUp: r.IntN(8) > 0, PullDown: r.IntN(8) > 0}}
		m.board.Outputs = []Output{{Name: "drive_enable", Pin: 8, EnablesDrive: true}}
		if r.IntN(3) == 0 {
			m.board.SupplyLimitMA = []int64{15, 50, 120}[r.IntN(3)]
			m.board.LeakageNA = []int64{0, 10_000, 50_000}[r.IntN(3)]
			m.board.LowBelowMV = 600 + r.Int64N(900)
			m.board.HighAboveMV = 1600 + r.Int64N(1200)
			m.board.ContactOpenOhm = []int64{100_000, 10_000_000}[r.IntN(2)]
		}
		for range r.IntN(6) {
			m.room.FreePins = append(m.room.FreePins, 40+len(m.room.FreePins))
		}
		pin := 20
		for i := range 1 + r.IntN(4) {
			c := Circuit{Name: fmt.Sprint("hold ", i), Kind: board.HoldKind(r.IntN(3))}
			for range 1 + r.IntN(2) {
				ch := Channel{Pin: pin, Contact: Contact(r.IntN(2)), WiredTo: Rail(r.IntN(2)), SeriesOhm: []int64{0, 0, 0, 330, 2200}[r.IntN(5)]}
				if ch.Pull = PullUp; ch.WiredTo == Supply {
					ch.Pull = PullDown
				}
				if r.IntN(8) == 0 {
					ch.Pull = Pull(r.IntN(3))
				}
				if ch.Pull != PullNone {
					ch.PullOhm = []int64{0, 0, 0, 4700, 47_123, 100}[r.IntN(6)]
				}
				if r.IntN(3) == 0 {
					ch.Return, ch.SeriesOhm = "wire to "+ch.WiredTo.String(), 0
				}
				pin++
				c.Channels = append(c.Channels, ch)
			}
			if len(c.Channels) == 2 {
				c.DiscrepancyMS = 100
				c.CommonCause = CommonCause{r.IntN(2) == 0, r.IntN(2) == 0, r.IntN(2) == 0, r.IntN(2) == 0}
			}
			m.circuits = append(m.circuits, c)
		}
		m.path = randomRemedyPath(r, len(m.circuits))
		if validate(m.board, m.circuits, m.path) == nil {
			return m
		}
	}
}

func randomRemedyPath(r *rand.Rand, holds int) Path {
	path := Path{Parts: []Part{{Name: "motor driver", Kind: Semiconductor, Enable: true, OffMS: 2, PulledOff: r.IntN(2) == 0}}}
	some := func() []int {
		var list []int
		for h := range holds {
			if r.IntN(3) == 0 {
				list = append(list, h)
			}
		}
		return list
	}
	if r.IntN(2) == 0 {
		path.Parts = append(path.Parts, Part{Name: "main relay", Kind: Relay, Enable: true, OffMS: 60, Holds: some(), Watchdog: r.IntN(3) == 0})
		if path.Parts[1].Watchdog {
			path.WatchdogMS = 250
		}
	}
	if poles := some(); len(poles) > 0 {
		path.Parts = append(path.Parts, Part{Name: []string{"poles", "hold 0 pole", "Hold 1 Pole"}[r.IntN(3)], Kind: Pole, OffMS: 5, Holds: poles})
	}
	if r.IntN(20) == 0 { // no room for poles in the motors' current
		for len(path.Parts) < mostParts {
			path.Parts = append(path.Parts, Part{Name: fmt.Sprint("part ", len(path.Parts)), Kind: Semiconductor, Enable: true})
		}
	}
	return path
}

// promises checks all that a remedy promises.
func (m remedyMission) promises(t *testing.T, r Remedy) {
	t.Helper()
	after := m.followed(t, r.Edits)
	require.Equal(t, r.Circuits, after.circuits, "the edits are not what was tried")
	require.Equal(t, r.Path, after.path, "the edits are not what was tried")
	require.LessOrEqual(t, r.Tried, budget+pruning)

	was, is := factsOf(m), factsOf(after)
	require.Len(t, was.left, r.Before)
	require.Len(t, is.left, r.After)
	require.Len(t, r.Left, r.After)
	if len(r.Left) > 0 {
		table, err := Analyse(after.board, after.circuits, after.path)
		require.NoError(t, err)
		for i, row := range r.Left {
			require.Equal(t, is.left[i], row.Fault)
			require.Contains(t, table.Rows, row)
		}
	}
	refused := after.refused()
	require.Equal(t, r.Clean, len(is.left) == 0 && len(refused) == 0)
	for name, about := range is.dangers {
		// Of a hold that could not tell run from stop, whole conductors did, too.
		blind := func(i int) bool { return slices.Contains(was.blind, i) }
		require.True(t, was.dangers[name] != nil || slices.ContainsFunc(about, blind), "%s leaves the drive running, and did not before", name)
	}
	require.Subset(t, m.refused(), refused, "another rule refuses the edits")
	require.Subset(t, lone(m.circuits), lone(after.circuits), "a return wire by name that no other contact has")
	for _, c := range after.circuits {
		for _, ch := range c.Channels {
			require.True(t, slices.Contains(m.room.FreePins, ch.Pin) || wiring{m.circuits, m.path}.reads(ch.Pin), "pin %d is not free", ch.Pin)
		}
	}
	const small = 5 // contacts; the others take long
	if !r.Clean || (wiring{after.circuits, after.path}).contacts() > small {
		return
	}
	for i := range r.Edits {
		if strings.HasPrefix(r.Edits[i], "holds: add") {
			continue // others name it
		}
		less := slices.Delete(slices.Clone(r.Edits), i, i+1)
		without := m.followed(t, less)
		if validate(without.board, without.circuits, without.path) != nil {
			continue
		}
		facts := factsOf(without)
		if len(facts.left) == 0 && len(without.refused()) == 0 {
			require.Greater(t, len(facts.quiet), len(is.quiet), "clean without %q", r.Edits[i])
		}
	}
}

// The whole promise, at random. A drive path without room for a pole cannot be cured; it
// is drawn once in twenty.
func TestRemedies(t *testing.T) {
	const missions = 300
	clean, edits, worst, total, before, tried := 0, 0, time.Duration(0), time.Duration(0), 0, 0
	kept := map[FaultKind]int{}
	for seed := range uint64(missions) {
		m := randomRemedyMission(rand.New(rand.NewPCG(seed, 1)))
		begin := time.Now()
		r := Advise(m.board, m.circuits, m.path, m.room)
		took := time.Since(begin)
		ok := t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) { m.promises(t, r) })
		if !ok {
			t.Logf("%+v\n%s", m, strings.Join(r.Edits, "\n"))
		}
		if seed%30 == 0 {
			assert.Equal(t, r, Advise(m.board, m.circuits, m.path, m.room), "another remedy the second time")
		}
		total, worst, tried = total+took, max(worst, took), max(tried, r.Tried)
		edits, before = edits+len(r.Edits), before+r.Before
		if r.Clean {
			clean++
		}
		for _, row := range r.Left {
			kept[row.Fault.Kind]++
		}
	}
	t.Logf("%d of %d clean, %.1f edits, %.1f faults before, %v on average, %v at most, %d tried at most, left: %v", clean, missions,
		float64(edits)/missions, float64(before)/missions, total/missions, worst, tried, kept)
	assert.Greater(t, clean, missions*9/10)
	assert.Less(t, clean, missions, "no mission that cannot be cured was drawn")
}

// remedyHold is a hold of one channel.
func remedyHold(name string, kind board.HoldKind, ch Channel) Circuit {
	return Circuit{Name: name, Kind: kind, Channels: []Channel{ch}}
}

// usualRemedyMission is one of the usual board with pins 30 and 31 free.
func usualRemedyMission(path Path, circuits ...Circuit) remedyMission {
	m := remedyMission{DefaultBoard(), circuits, path, Room{FreePins: []int{31, 30}, PullUp: true, PullDown: true}}
	m.board.Outputs = []Output{{Name: "drive_enable", Pin: 8, EnablesDrive: true}}
	return m
}

func TestRemediesOfTheUsualMistakes(t *testing.T) {
	opensToRun := Channel{Pin: 22, Contact: NormallyClosed, WiredTo: Ground, Pull: PullUp}
	closesToRun := Channel{Pin: 22, Contact: NormallyOpen, WiredTo: Ground, Pull: PullUp}
	limited := closesToRun
	limited.SeriesOhm = 330
	relay := plain()
	relay.Parts = append(relay.Parts, Part{Name: "main relay", Kind: Relay, Enable: true, OffMS: 60})
	full := Path{}
	for i := range mostParts {
		full.Parts = append(full.Parts, Part{Name: fmt.Sprint("driver ", i), Kind: Semiconductor, Enable: true, PulledOff: true})
	}
	with := func(ch Channel, change func(*Channel)) Channel {
		change(&ch)
		return ch
	}
	const (
		pole = "drive_path: add {name: it pole, kind: contact, opened_by: [it], off_delay: 10 ms}"
		good = "hold it: contact: normally-open, wired_to: ground, pull: up, series_resistor: 330 ohm"
	)
	noPulls := usualRemedyMission(plain(), remedyHold("it", board.HoldToRun, closesToRun))
	noPulls.room.PullUp = false
	tests := []struct {
		name    string
		mission remedyMission
		want    []string
	}{
		{"nothing is to be done", usualRemedyMission(withPole(0), remedyHold("it", board.HoldToRun, limited)), nil},
		{"a hold-to-run with nothing beside it", usualRemedyMission(plain(), remedyHold("it", board.HoldToRun, closesToRun)), []string{good, pole}},
		{"one that opens to run", usualRemedyMission(plain(), remedyHold("it", board.HoldToRun, opensToRun)), []string{good, pole}},
		{"an emergency stop that closes to stop", usualRemedyMission(plain(), remedyHold("it", board.EmergencyStop, limited)),
			[]string{strings.Replace(good, "open", "closed", 1), pole}},
		{"a pull towards the contact's rail", usualRemedyMission(withPole(0), remedyHold("it", board.HoldToRun, with(limited, func(ch *Channel) { ch.Pull = PullDown }))), []string{good}},
		{"no pull", usualRemedyMission(withPole(0), remedyHold("it", board.HoldToRun, with(limited, func(ch *Channel) { ch.Pull = PullNone }))), []string{good}},
		{"no internal pull-up: an external one", noPulls, []string{strings.Replace(good, "pull: up", "pull: up, pull_resistor: 15 kohm", 1), pole}},
		{"a relay takes the pole", usualRemedyMission(relay, remedyHold("it", board.HoldToRun, limited)), []string{"drive_path main relay: opened_by: [drive_enable, it]"}},
		{"a resistor is taken out", usualRemedyMission(withPole(0), remedyHold("it", board.HoldToRun, with(limited, func(ch *Channel) { ch.PullOhm = 100 }))),
			[]string{good + "; take out pull_resistor"}},
		{"the pole's name is taken", func() remedyMission {
			m := usualRemedyMission(plain(), remedyHold("it", board.HoldToRun, limited))
			m.path.Parts[0].Name = "It Pole"
			return m
		}(), []string{strings.Replace(pole, "it pole", "it pole 2", 1)}},
		{"two on one wire", usualRemedyMission(withPole(0, 1),
			remedyHold("it", board.HoldToRun, with(closesToRun, func(ch *Channel) { ch.Return = "brown" })),
			remedyHold("stop", board.EmergencyStop, with(opensToRun, func(ch *Channel) { ch.Return, ch.Pin = "brown", 24 }))),
			[]string{good + ", return_wire: brown", "hold stop: contact: normally-closed, wired_to: ground, pull: up, series_resistor: 330 ohm, return_wire: brown"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m := tt.mission
			r := Advise(m.board, m.circuits, m.path, m.room)
			m.promises(t, r)
			assert.True(t, r.Clean)
			assert.Equal(t, tt.want, r.Edits)
		})
	}
	t.Run("no room for a pole", func(t *testing.T) {
		m := usualRemedyMission(full, remedyHold("it", board.HoldToRun, limited))
		r := Advise(m.board, m.circuits, m.path, m.room)
		m.promises(t, r)
		assert.False(t, r.Clean)
		assert.Less(t, r.After, r.Before)
		assert.Contains(t, strings.Join(r.Edits, "\n"), "hold it: second_channel: {pin: 30, ")
	})
	t.Run("a watchdog does not hold a driver off, a resistor does", func(t *testing.T) {
		m := usualRemedyMission(full, remedyHold("it", board.HoldToRun, limited))
		m.path = wiring{path: full}.clone().path
		m.path.Parts[3].PulledOff, m.path.Parts[3].Watchdog, m.path.WatchdogMS = false, true, 100
		r := Advise(m.board, m.circuits, m.path, m.room)
		m.promises(t, r)
		assert.Contains(t, r.Edits, "drive_path driver 3: pulled_off: true")
	})
	t.Run("what makes no sense is left alone", func(t *testing.T) {
		m := usualRemedyMission(Path{}, remedyHold("it", board.HoldToRun, limited))
		r := Advise(m.board, m.circuits, m.path, m.room)
		assert.Equal(t, Remedy{Circuits: m.circuits, Path: m.path, Tried: 1}, r)
	})
}

func TestProposals(t *testing.T) {
	const pole = "drive_path: add {name: thumb switch pole, kind: contact, opened_by: [thumb switch], off_delay: 10 ms}"
	guard := remedyHold("Thumb Switch", board.Interlock, Channel{Pin: 22, Contact: NormallyClosed, WiredTo: Ground, Pull: PullUp, SeriesOhm: 330})
	onlyDown := usualRemedyMission(plain())
	onlyDown.room.PullUp = false
	noPulls := usualRemedyMission(plain())
	noPulls.room = Room{FreePins: []int{31}}
	tests := []struct {
		name    string
		mission remedyMission
		want    []string
	}{
		{"the lowest free pin", usualRemedyMission(plain()), []string{
			"holds: add {name: thumb switch, kind: hold-to-run, pin: 30, contact: normally-open, wired_to: ground, pull: up, series_resistor: 330 ohm, debounce: 20 ms}", pole}},
		{"only pull-downs", onlyDown, []string{
			"holds: add {name: thumb switch, kind: hold-to-run, pin: 30, contact: normally-open, wired_to: ground, pull: up, pull_resistor: 15 kohm, series_resistor: 330 ohm, debounce: 20 ms}", pole}},
		{"no pulls", noPulls, []string{
			"holds: add {name: thumb switch, kind: hold-to-run, pin: 31, contact: normally-open, wired_to: ground, pull: up, pull_resistor: 15 kohm, series_resistor: 330 ohm, debounce: 20 ms}", pole}},
		{"beside an interlock of that name", usualRemedyMission(withPole(0), guard), []string{
			"holds: add {name: thumb switch 2, kind: hold-to-run, pin: 30, contact: normally-open, wired_to: ground, pull: up, series_resistor: 330 ohm, debounce: 20 ms}",
			strings.ReplaceAll(pole, "thumb switch", "thumb switch 2")}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m := tt.mission
			r := Propose(m.board, m.circuits, m.path, m.room)
			m.promises(t, r)
			assert.True(t, r.Clean)
			assert.Equal(t, tt.want, r.Edits)
		})
	}
	t.Run("no free pin", func(t *testing.T) {
		m := usualRemedyMission(plain())
		assert.Equal(t, Remedy{Circuits: m.circuits, Path: m.path}, Propose(m.board, m.circuits, m.path, Room{PullUp: true, PullDown: true}))
	})
	t.Run("at random", func(t *testing.T) {
		const missions = 60
		for seed := range uint64(missions) {
			m := randomRemedyMission(rand.New(rand.NewPCG(seed, 2)))
			if len(m.room.FreePins) == 0 || len(m.path.Parts) == mostParts {
				continue
			}
			r := Propose(m.board, m.circuits, m.path, m.room)
			m.promises(t, r)
			require.True(t, r.Clean, "seed %d", seed)
			last := r.Circuits[len(r.Circuits)-1]
			require.Equal(t, board.HoldToRun, last.Kind)
			require.Equal(t, NormallyOpen, last.Channels[0].Contact)
		}
	})
}

// What the search makes of a row is what the table makes of it, but that it does not tell
// StopsDrive from StopsOnDemand where it does not matter.
func TestBriefRowsAreThoseOfTheTable(t *testing.T) {
	const missions = 150
	of := map[Outcome]int{}
	for seed := range uint64(missions) {
		m := randomRemedyMission(rand.New(rand.NewPCG(seed, 3)))
		a := newAnalysis(m.board, m.circuits, m.path)
		for _, j := range jobs(m.board, m.circuits, m.path) {
			if j.fault.Kind == NoFault || j.fault.Kind.ofPath() || !a.allDistinct(j.about) {
				continue
			}
			want := a.row(j).Outcome
			of[want]++
			if want == StopsDrive && !j.fault.Kind.opens() {
				want = StopsOnDemand
			}
			scope := a.model.scope(j.about)
			require.Equal(t, want, a.brief(j, scope, a.model.elsewhereMA(scope)).outcome, "seed %d: %s", seed, j.fault)
		}
	}
	for _, o := range []Outcome{StopsDrive, StopsOnDemand, ShortCircuit, LeavesRunning} {
		assert.Greater(t, of[o], missions, o)
	}
}

// One kind alone is said to be beyond wiring, and it is: the best of all wirings, two
// channels and two poles, leaves it, where the same with an actuator for each does not.
func TestBeyondWiring(t *testing.T) {
	two := remedyHold("it", board.HoldToRun, Channel{Pin: 22, Contact: NormallyOpen, WiredTo: Ground, Pull: PullUp, SeriesOhm: 330})
	two.Channels = append(two.Channels, Channel{Pin: 23, Contact: NormallyOpen, WiredTo: Supply, Pull: PullDown, SeriesOhm: 330})
	two.DiscrepancyMS = 100
	path := withPole(0)
	path.Parts = append(path.Parts, Part{Name: "second pole", Kind: Pole, Holds: []int{0}})
	for _, actuator := range []bool{true, false} {
		two.CommonCause.Actuator = actuator
		table, err := Analyse(DefaultBoard(), []Circuit{two}, path)
		require.NoError(t, err)
		for _, r := range table.Rows {
			beyond := beyondWiring(table.Circuits, r.Fault) != ""
			assert.Equal(t, actuator && r.Fault.Kind == ActuatorJammed, beyond, r.Fault)
			assert.Equal(t, beyond, !r.Outcome.Credited(), r.Fault)
		}
	}
}

func TestResistorValues(t *testing.T) {
	for _, tt := range []struct {
		atLeast float64
		want    int64
		text    string
	}{
		{0, 10, "10 ohm"}, {10, 10, "10 ohm"}, {10.1, 12, "12 ohm"}, {330, 330, "330 ohm"}, {331, 390, "390 ohm"}, {821, 1000, "1 kohm"},
		{1001, 1200, "1.2 kohm"}, {14_000, 15_000, "15 kohm"}, {1_000_000, 1_000_000, "1000 kohm"},
	} {
		got := e12AtLeast(tt.atLeast)
		assert.Equal(t, tt.want, got)
		assert.Equal(t, tt.text, ohms(got))
	}
	assert.Equal(t, "47123 ohm", ohms(47_123))
}

// No score buys a broken conductor that leaves the drive running; of a hold that could
// not tell run from stop, it is no news.
func TestNoDangerIsIntroduced(t *testing.T) {
	stop := Channel{Pin: 22, Contact: NormallyClosed, WiredTo: Ground, Pull: PullUp}
	closes, floats := stop, stop
	closes.Contact, floats.Pull = NormallyOpen, PullNone
	anything := score{1 << 20}
	for _, tt := range []struct {
		name     string
		from, to Channel
		allowed  bool
	}{
		{"opened to stop, closes to stop", stop, closes, false},
		{"closed to stop, opens to stop", closes, stop, true},
		{"could not tell, closes to stop", floats, closes, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m := usualRemedyMission(plain(), remedyHold("it", board.EmergencyStop, tt.from))
			s := newSearch(m.board, wiring{m.circuits, m.path}, m.room)
			s.most = 1
			var ok bool
			s.first, ok = s.rater.rate(s.origin, nil)
			require.True(t, ok)
			r := s.rate(s.origin.withChannel(Place{Pin: 22}, tt.to), anything)
			assert.Equal(t, tt.allowed, r != nil)
		})
	}
}

// What a row came to is used again only where the current of all other circuits decides
// nothing otherwise.
func TestKeptRowsKnowTheCurrentElsewhere(t *testing.T) {
	limited := Channel{Pin: 22, Contact: NormallyOpen, WiredTo: Ground, Pull: PullUp, SeriesOhm: 330}
	lamp := limited
	lamp.Pin = 23
	m := usualRemedyMission(withPole(0, 1), remedyHold("it", board.HoldToRun, limited), remedyHold("other", board.HoldToRun, lamp))
	m.board.SupplyLimitMA = 15 // the 10 mA of a short, and 5 elsewhere
	wirings := []wiring{{m.circuits, m.path}}
	for _, pull := range []int64{100, 150, 220, 330, 1000} {
		lamp.PullOhm = pull
		wirings = append(wirings, wirings[0].withChannel(Place{1, 0, 23}, lamp))
	}
	of := map[score]bool{}
	for _, first := range wirings {
		for _, second := range wirings {
			r := &rater{board: m.board, room: m.room, rows: map[string][]kept{}}
			fresh := &rater{board: m.board, room: m.room, rows: map[string][]kept{}}
			_, _ = r.rate(first, nil)
			got, _ := r.rate(second, nil)
			want, _ := fresh.rate(second, nil)
			require.Equal(t, want.score, got.score)
			of[got.score] = true
		}
	}
	assert.Greater(t, len(of), 1)
}

// What is kept of a row holds for wirings that it depends on nothing else of: a pole before
// a semiconductor is worth what holds that off, and a pole in a coil is worth all.
func TestKeptRowsKnowHowAPoleOpens(t *testing.T) {
	b := DefaultBoard()
	room := Room{PullUp: true, PullDown: true}
	shared := &rater{board: b, room: room, rows: map[string][]kept{}}
	for _, part := range []Part{
		{Name: "driver", Kind: Semiconductor, Enable: true, Holds: []int{0}},
		{Name: "driver", Kind: Semiconductor, Enable: true, Holds: []int{0}, PulledOff: true},
		{Name: "driver", Kind: Relay, Enable: true, Holds: []int{0}},
	} {
		w := wiring{[]Circuit{thumb()}, Path{Parts: []Part{part}}}
		alone := &rater{board: b, room: room, rows: map[string][]kept{}}
		want, ok := alone.rate(w, nil)
		require.True(t, ok)
		got, _ := shared.rate(w, nil)
		require.Equal(t, want.score, got.score, "%+v", part)
	}
}
