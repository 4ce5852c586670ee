// An image against plans: from each record to the numbers beside it, and by the
// pointers among them to every table, all byte for byte what a compiler makes of the
// plan's header.
//
// In an ELF file a pointer is the address of what it points to. The file of a
// programmer says where bytes are written to, which is the same unless a program
// copies or maps them elsewhere; a raw binary says nothing. There all tables must lie
// as the pointers say but for one distance, the same for the whole file, and there must
// be no other copy of the legs or the fence: by bytes alone it could stand in for one
// that was changed.
package verify

import (
	"cmp"
	"errors"
	"fmt"
	"reflect"
	"slices"

	"merestone/internal/guidance"
	"merestone/internal/plan"
)

// Mission is a plan that an image is held against.
type Mission struct {
	Name string // of its file
	Plan *plan.Plan
}

// due is what a plan compiles to, with its tables as the layouts have them.
type due struct {
	Mission
	board  guidance.Mission
	found  bool
	tables map[tableKey]string
	blocks map[blockKey]*block
	equal  map[tablePlace]bool // places that were looked at: whether the table is there
}

type blockKey struct {
	layout
	tool string
}

type tableKey struct {
	link   int
	little bool
}

type tablePlace struct {
	tableKey
	address uint64
}

func newDue(m Mission, board guidance.Mission) *due {
	return &due{Mission: m, board: board, tables: map[tableKey]string{}, blocks: map[blockKey]*block{}, equal: map[tablePlace]bool{}}
}

// block is the mission as a version of the tool would have recorded it, laid out once.
func (d *due) block(l layout, tool string) *block {
	key := blockKey{l, tool}
	if d.blocks[key] == nil {
		own := d.board
		own.Record.Tool = tool
		d.blocks[key] = missionBlock(own, l)
	}
	return d.blocks[key]
}

// table is the table of a link, laid out once.
func (d *due) table(b *block, k int) string {
	key := keyOf(b, k)
	text, ok := d.tables[key]
	if !ok {
		text = tableBytes(b.links[k].table, b.layout)
		d.tables[key] = text
	}
	return text
}

func keyOf(b *block, k int) tableKey { return tableKey{k, numberOf("\x01\x00", b.order) == 1} }

// is reports whether some bytes at an address are the table of a link. Missions may
// share tables, of which each is compared once.
func (d *due) is(b *block, k int, address uint64, there string) bool {
	place := tablePlace{keyOf(b, k), address}
	same, known := d.equal[place]
	if !known {
		same = there == d.table(b, k)
		d.equal[place] = same
	}
	return same
}

// carried is a mission in an image.
type carried struct {
	record  guidance.Record
	address uint64
	due     *due     // nil when it is of no plan that was given
	block   *block   // what is due, as this board lays it out; nil where no layout fits
	points  []uint64 // the values of its pointers

	verdict     Verdict
	differences []Difference
	untold      []string // why it cannot be told
}

func (c *carried) say(v Verdict, differences ...Difference) {
	c.verdict = max(c.verdict, v)
	c.differences = append(c.differences, differences...)
}

// cannotTell says why a mission's tables cannot be held against the plan.
func (c *carried) cannotTell(format string, args ...any) {
	c.say(Untold)
	c.untold = append(c.untold, fmt.Sprintf("mission at 0x%08x: ", c.address)+fmt.Sprintf(format, args...))
}

// built judges every mission of an image. The remark says how tables were found, where
// that was not by addresses.
func (m *memory) built(found []Found, missions []*due, tool string) (all []*carried, remark string, err error) {
	for _, f := range found {
		d := ofDigest(missions, f.Record.Digest)
		for _, address := range f.Addresses {
			c := &carried{record: f.Record, address: address, due: d}
			all = append(all, c)
			m.beside(c, missions, tool)
		}
	}
	linked := slices.DeleteFunc(slices.Clone(all), func(c *carried) bool { return c.block == nil })
	slices.SortStableFunc(linked, func(a, b *carried) int { return cmp.Compare(a.address, b.address) })
	linked = twins(linked)
	if m.exact || m.placed && slices.ContainsFunc(linked, func(c *carried) bool { return m.leads(c) }) {
		for _, c := range linked {
			m.follow(c, 0)
		}
		return all, "", nil
	}
	remark, err = m.displaced(linked)
	return all, remark, err
}

func ofDigest(missions []*due, digest [32]byte) *due {
	for _, d := range missions {
		if d.board.Record.Digest == digest {
			return d
		}
	}
	return nil
}

// beside compares the record and the numbers of the same struct, and finds the layout.
func (m *memory) beside(c *carried, missions []*due, tool string) {
	r := c.record
	if c.due == nil {
		near := missions[0]
		for _, d := range missions {
			if d.board.Record.Mission == r.Mission {
				near = d
				break
			}
		}
		own := near.board.Record
		if r.Mission != own.Mission {
			c.say(OtherPlan, Difference{"mission", r.Mission, own.Mission})
		} else {
			c.say(OtherPlan, Difference{"plan", fmt.Sprintf("digest %x", r.Digest), fmt.Sprintf("digest %x", own.Digest)})
		}
		return
	}
	c.due.found = true
	worse := Edited
	if r.Tool != tool {
		c.say(OtherTool)
		worse = OtherTables
	}
	if own := c.due.board.Record; r.Format != own.Format {
		c.say(worse, Difference{"format of the tables", fmt.Sprint(r.Format), fmt.Sprint(own.Format)})
		return
	}
	var nearest []Difference
	for _, l := range m.layouts() {
		b := c.due.block(l, r.Tool)
		there, ok := m.at(c.address, len(b.bytes))
		if !ok {
			continue
		}
		differing := b.differing(there)
		if len(differing) == 0 {
			c.block = b
			m.point(c, there)
			return
		}
		if nearest == nil || len(differing) < len(nearest) {
			nearest = differing
		}
	}
	if nearest == nil {
		c.cannotTell("it is cut short: the image ends within it, or has a gap")
		return
	}
	c.say(worse, nearest[:min(len(nearest), maxRows)]...)
}

// point reads the pointers of a mission.
func (m *memory) point(c *carried, there string) {
	size := uint64(c.block.pointer)
	free := c.address // up to here the loader writes nothing but pointers
	for _, l := range c.block.links {
		at := c.address + uint64(l.at)
		value := numberOf(there[l.at:l.at+int(size)], c.block.order)
		if m.loader.within(free, at-free) {
			c.cannotTell("the loader writes into its numbers")
		}
		free = at + size
		written, known := m.loader.pointer(at)
		switch due := l.table.Len() > 0; {
		case known && due:
			value = written
		case due && m.loader != nil && m.loader.moves:
			c.cannotTell("what its pointer to the %s becomes when it is loaded is not known", l.name)
		case m.loader.within(at, size):
			c.cannotTell("the loader writes over its pointer to the %s", l.name)
		}
		c.points = append(c.points, value)
	}
	if m.loader.within(free, c.address+uint64(len(there))-free) {
		c.cannotTell("the loader writes into its numbers")
	}
	if c.verdict == Untold {
		c.block = nil
	}
}

// twins refuses missions that point to the same tables, and returns the others: no
// compiler makes two of them, so the image has two copies of one program, and the tables
// of one of them would not be looked at.
func twins(linked []*carried) (others []*carried) {
	first := map[string]uint64{}
	for _, c := range linked {
		points := fmt.Sprint(c.points)
		if at, ok := first[points]; ok {
			c.cannotTell("it has the pointers of the one at 0x%08x: these are two copies of one program, to be verified one by one", at)
			continue
		}
		first[points] = c.address
		others = append(others, c)
	}
	return others
}

// leads: some pointer of a mission leads to bytes that are loaded.
func (m *memory) leads(c *carried) bool {
	for k, l := range c.block.links {
		if l.table.Len() > 0 {
			if _, ok := m.at(c.points[k], 1); ok {
				return true
			}
		}
	}
	return false
}

// follow compares all tables of a mission, each where its pointer says but for a
// distance.
func (m *memory) follow(c *carried, distance uint64) {
	worse := Edited
	if c.verdict == OtherTool {
		worse = OtherTables
	}
	for k, l := range c.block.links {
		to := c.points[k]
		if l.table.Len() == 0 {
			if to != 0 {
				c.say(worse, Difference{l.name, fmt.Sprintf("at 0x%08x", to), "none"})
			}
			continue
		}
		size := len(c.due.table(c.block, k))
		there, ok := m.at(to+distance, size)
		switch {
		case !ok:
			c.cannotTell("its %s are to be at 0x%08x, where not all of them is loaded", l.name, to)
		case m.loader.within(to+distance, uint64(size)):
			c.cannotTell("the loader writes into its %s", l.name)
		case !c.due.is(c.block, k, to+distance, there):
			c.say(worse, c.rows(k, there)...)
		}
	}
}

// rows names the members that differ of the rows of a table.
func (c *carried) rows(k int, there string) (out []Difference) {
	l, differing := c.block.links[k], 0
	table := c.due.table(c.block, k)
	size := len(table) / l.table.Len()
	for i := range l.table.Len() {
		row := there[i*size : (i+1)*size]
		if row == table[i*size:(i+1)*size] {
			continue
		}
		if differing++; differing > maxRows {
			continue
		}
		b := &block{layout: c.block.layout}
		b.value("", l.table.Index(i))
		name := fmt.Sprintf("%s, number %d", l.name, i+1)
		if l.table.Type().Elem() == reflect.TypeFor[guidance.Leg]() && i < len(c.due.Plan.Route.Legs) {
			name = "leg " + c.due.Plan.Route.Legs[i].ID
		}
		for _, d := range b.differing(row) {
			out = append(out, Difference{joined(name, d.Where), d.Header, d.Mission})
		}
	}
	if more := differing - maxRows; more > 0 {
		out = append(out, Difference{fmt.Sprintf("%d more of the %s", more, l.name), "other numbers", "other numbers"})
	}
	return out
}

// displaced looks for the one distance from the pointers to the tables.
func (m *memory) displaced(linked []*carried) (remark string, err error) {
	if len(linked) == 0 {
		return "", nil
	}
	work := 0
	tooMuch := errors.New("the tables of a plan stand in too many places of the image to be told apart")
	first := linked[0]
	starts, err := m.places(first.due.table(first.block, 0), maxPlaces)
	if err != nil {
		return "", err
	}
	for _, start := range starts {
		distance := start - first.points[0]
		fits := true
		for _, c := range linked {
			for k, l := range c.block.links {
				table := ""
				if l.table.Len() > 0 {
					table = c.due.table(c.block, k)
				}
				if work += 1 + len(table); work > maxComparisons {
					return "", tooMuch
				}
				there, ok := m.at(c.points[k]+distance, len(table))
				if fits = l.table.Len() == 0 || ok && there == table; !fits {
					break
				}
			}
			if !fits {
				break
			}
		}
		if !fits {
			continue
		}
		for _, c := range linked {
			m.follow(c, distance) // the null pointers, too
		}
		if err := m.unclaimed(linked, distance); err != nil {
			return "", err
		}
		if m.placed {
			return fmt.Sprintf("the pointers of the mission lead outside of the file; all tables lie as they say but for one distance, %s", signed(distance)), nil
		}
		return fmt.Sprintf("a raw binary has no addresses; all tables lie as the pointers of the mission say when it is loaded to %s", signed(-distance)), nil
	}
	for _, c := range linked {
		c.cannotTell("its tables are not found: legs, fence and holds lie at no distance from where its pointers say at which all of them are the plan's, so that some were changed, or are not in the image")
	}
	return "", nil
}

// signed is an address, or a distance that may be negative.
func signed(n uint64) string {
	if int64(n) < 0 {
		return fmt.Sprintf("-0x%08x", -n)
	}
	return fmt.Sprintf("0x%08x", n)
}

// unclaimed refuses copies of the legs and of the fence's edges that no mission points
// to.
func (m *memory) unclaimed(linked []*carried, distance uint64) error {
	claimed := map[uint64]bool{}
	for _, c := range linked {
		for _, to := range c.points {
			claimed[to+distance] = true
		}
	}
	done := map[string]bool{}
	for _, c := range linked {
		for k := range 2 { // legs, edges
			table := c.due.table(c.block, k)
			if done[table] {
				continue
			}
			done[table] = true
			places, err := m.places(table, maxPlaces)
			if err != nil {
				return err
			}
			for _, at := range places {
				if !claimed[at] {
					c.cannotTell("there is another copy of its %s at 0x%08x, to which no mission points: without addresses it cannot be told which of them drives", c.block.links[k].name, at)
				}
			}
		}
	}
	return nil
}
