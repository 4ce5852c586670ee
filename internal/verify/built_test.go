// Firmware as compilers and linkers make it, held against its plan; and the same with
// any byte of any table changed.
package verify

import (
	"debug/elf"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/gen"
	"merestone/internal/missiontest"
	"merestone/internal/plan"
)

// bench is a folder with the headers of some plans, in which firmware is built.
type bench struct {
	dir   string
	plans []*plan.Plan
}

func newBench(t *testing.T, plans ...*plan.Plan) *bench {
	b := &bench{t.TempDir(), plans}
	for _, p := range plans {
		b.headers(t, p, tool)
	}
	// With the names of mere_start and mere_step, which keep all that they may read; a
	// second source file has tables of its own.
	b.source(t, "main.c", plans, "int main(void)", "_start", "drive")
	b.source(t, "second.c", plans[:1], "", "second_start", "second_drive")
	return b
}

func (b *bench) headers(t *testing.T, p *plan.Plan, tool string) {
	files, err := gen.Files(p, tool)
	require.NoError(t, err)
	for _, f := range files {
		require.NoError(t, os.WriteFile(filepath.Join(b.dir, f.Name), f.Data, 0o644))
	}
}

func (b *bench) source(t *testing.T, name string, plans []*plan.Plan, main, start, drive string) {
	var text strings.Builder
	for _, p := range plans {
		fmt.Fprintf(&text, "#include \"%s_mission.h\"\n", p.Identifier)
	}
	text.WriteString("static mere_state_t state;\nvolatile mere_input_t " + drive + "_in;\nvolatile mere_output_t " + drive + "_out;\n")
	fmt.Fprintf(&text, "int %s(int which);\nint %s(int which)\n{\n    mere_input_t in = %s_in;\n    mere_output_t out;\n", drive, drive, drive)
	for i, p := range plans {
		fmt.Fprintf(&text, "    if (which == %d) {\n        (void)mere_start(&%s_mission, &state, 0u);\n        mere_step(&%s_mission, &state, &in, &out);\n        %s_out = out;\n    }\n", i, p.Identifier, p.Identifier, drive)
	}
	text.WriteString("    return 0;\n}\n")
	if main != "" {
		fmt.Fprintf(&text, "volatile int turn;\nint second_drive(int which) __attribute__((weak));\n%s\n{\n    return drive(turn) + (second_drive ? second_drive(turn) : 0);\n}\n", main)
	}
	require.NoError(t, os.WriteFile(filepath.Join(b.dir, name), []byte(text.String()), 0o644))
}

func (b *bench) run(t *testing.T, line string) string {
	args := strings.Fields(line)
	c := exec.Command(args[0], args[1:]...)
	c.Dir = b.dir
	out, err := c.CombinedOutput()
	require.NoErrorf(t, err, "%s: %s", line, out)
	return string(out)
}

func (b *bench) read(t *testing.T, name string) string {
	data, err := os.ReadFile(filepath.Join(b.dir, name))
	require.NoError(t, err)
	return string(data)
}

const (
	arm  = "arm-none-eabi-gcc -mcpu=cortex-m3 -mthumb -ffreestanding -nostartfiles -nodefaultlibs -Wl,-e,main -O2 -fno-builtin "
	libs = " -lgcc -lc "
)

func asked(file, data string, plans ...*plan.Plan) Question {
	q := Question{File: file, Data: data, Tool: tool}
	for i, p := range plans {
		q.Missions = append(q.Missions, Mission{fmt.Sprintf("m%d.yaml", i+1), p})
	}
	return q
}

func answerOf(t require.TestingT, q Question) Answer {
	a, err := q.Answer()
	require.NoError(t, err)
	return a
}

// Every compiler, processor and option leaves all tables where the pointers say, in
// every kind of file; the number of missions is that of the source files.
func TestFirmwareOfCompilers(t *testing.T) {
	b := newBench(t, resolve(t, "walnut-grove"))
	for _, c := range []struct {
		name, build string
		copies      int
	}{
		{"a small board", arm + "main.c -o f.elf" + libs, 1},
		{"two source files", arm + "main.c second.c -o f.elf" + libs, 2},
		{"with debug information, which has the texts once more", arm + "-g3 main.c -o f.elf" + libs, 1},
		{"for size, unused sections removed", arm + "-Os -ffunction-sections -fdata-sections -Wl,--gc-sections main.c second.c -o f.elf" + libs, 2},
		{"optimised as a whole", arm + "-flto main.c second.c -o f.elf" + libs, 2},
		{"a board of the other byte order", arm + "-mbig-endian refer.c -o f.elf", 1},
		{"a computer of 64 bits", "gcc -O2 main.c second.c -o f.elf", 2},
		{"the same at a fixed place", "gcc -O2 -no-pie main.c -o f.elf", 1},
		{"the same, linked in whole", "gcc -O2 -static-pie main.c -o f.elf", 1},
		{"another compiler", "clang -O2 main.c -o f.elf", 1},
		{"64-bit numbers at multiples of 4", "gcc -m32 -ffreestanding -fno-stack-protector -fno-pie -no-pie -nostdlib -e main refer.c -o f.elf", 1},
		{"the same, that may lie anywhere", "gcc -m32 -ffreestanding -fno-stack-protector -fpie -pie -nostdlib -e main refer.c -o f.elf", 1},
		{"members at multiples of 2", "gcc -O1 -fpack-struct=2 -no-pie main.c -o f.elf", 1},
		{"members side by side", "gcc -O1 -fpack-struct=1 -no-pie main.c -o f.elf", 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.NoError(t, os.WriteFile(filepath.Join(b.dir, "refer.c"), []byte("#include \"walnut_grove_rows_mission.h\"\nconst mere_mission_t *volatile mission = &walnut_grove_rows_mission;\nint main(void) { for (;;) { } }\n"), 0o644))
			b.run(t, c.build)
			data := b.read(t, "f.elf")
			a := answerOf(t, asked("f.elf", data, b.plans[0]))
			require.True(t, a.Accepted, a)
			assert.Equal(t, "built from this plan", a.Verdict)
			require.Len(t, a.Records, 1)
			assert.Len(t, a.Records[0].Addresses, c.copies)
			assert.Empty(t, a.Remarks)

			// A plan that is another by one figure is not it.
			other := *b.plans[0]
			other.Machine.Receiver.LatencyMS++
			a = answerOf(t, asked("f.elf", data, &other))
			assert.False(t, a.Accepted)
			assert.Equal(t, OtherPlan.String(), a.Verdict)

			// Without its table of sections it is the same, but for their names.
			a = answerOf(t, asked("f.elf", withoutSections(data), b.plans[0]))
			assert.Equal(t, "built from this plan", a.Verdict)
		})
	}
}

// withoutSections takes the table of sections off an ELF file: the members e_shoff,
// e_shnum and e_shstrndx of its header.
func withoutSections(data string) string {
	b := []byte(data)
	order := binary.ByteOrder(binary.LittleEndian)
	if elf.Data(b[elf.EI_DATA]) == elf.ELFDATA2MSB {
		order = binary.BigEndian
	}
	at, counts := 32, 48
	if elf.Class(b[elf.EI_CLASS]) == elf.ELFCLASS64 {
		at, counts = 40, 60
		order.PutUint64(b[at:], 0)
	} else {
		order.PutUint32(b[at:], 0)
	}
	order.PutUint32(b[counts:], 0)
	return string(b)
}

// files are an ELF file of a small board in the other kinds.
func (b *bench) files(t *testing.T) map[string]string {
	out := map[string]string{"f.elf": b.read(t, "f.elf")}
	for file, how := range map[string]string{
		"f.bin": "-O binary", "f.hex": "-O ihex", "moved.hex": "-O ihex --change-addresses 0x8000000", "f.srec": "-O srec",
		"f.s37": "-O srec --srec-forceS3 --srec-len=9", "f.s19": "-O srec --change-addresses -0x8000", "stripped.elf": "-O elf32-littlearm --strip-all",
	} {
		b.run(t, "arm-none-eabi-objcopy "+how+" f.elf "+file)
		out[file] = b.read(t, file)
	}
	return out
}

func TestFirmwareInEveryKindOfFile(t *testing.T) {
	b := newBench(t, resolve(t, "walnut-grove"))
	b.run(t, arm+"main.c second.c -o f.elf"+libs)
	const raw = "a raw binary has no addresses; all tables lie as the pointers of the mission say when it is loaded to 0x00008000"
	remarks := map[string]string{
		"f.bin":     raw,
		"moved.hex": "the pointers of the mission lead outside of the file; all tables lie as they say but for one distance, 0x08000000",
		"f.s19":     "the pointers of the mission lead outside of the file; all tables lie as they say but for one distance, -0x00008000",
	}
	for file, data := range b.files(t) {
		t.Run(file, func(t *testing.T) {
			a := answerOf(t, asked(file, data, b.plans[0]))
			require.True(t, a.Accepted, a)
			assert.Equal(t, remarks[file], strings.Join(a.Remarks, "; "))
		})
	}
}

type span struct{ at, size uint64 }

// symbols are the places of the tables, by nm.
func (b *bench) symbols(t *testing.T, name string) map[string]span {
	tables := map[string]span{}
	for line := range strings.Lines(b.run(t, "nm -S f.elf")) {
		fields := strings.Fields(line)
		if len(fields) == 4 && strings.HasPrefix(fields[3], name) {
			at, err := strconv.ParseUint(fields[0], 16, 64)
			require.NoError(t, err)
			size, err := strconv.ParseUint(fields[1], 16, 64)
			require.NoError(t, err)
			tables[fields[3]] = span{at, size}
		}
	}
	return tables
}

// judged is the verdict on an image that is loaded.
func judged(t require.TestingT, m memory, dues []*due) Verdict {
	for _, d := range dues {
		d.found = false
		clear(d.equal)
	}
	found, torn, err := m.records()
	require.NoError(t, err)
	all, _, err := m.built(found, dues, tool)
	require.NoError(t, err)
	worst := Same
	for _, c := range all {
		worst = max(worst, c.verdict)
	}
	for _, d := range dues {
		if !d.found {
			worst = max(worst, Missing)
		}
	}
	if len(torn) > 0 {
		worst = max(worst, Torn)
	}
	return worst
}

func duesOf(t require.TestingT, plans ...*plan.Plan) (dues []*due) {
	for _, p := range plans {
		board, err := gen.Board(p, tool)
		require.NoError(t, err)
		dues = append(dues, newDue(Mission{"m.yaml", p}, board))
	}
	return dues
}

// Every byte of every table that the linker names, changed: noticed, but for those
// that lie between the members. What the board can read of the file is changed; in all
// kinds of files this is the same memory, with what they know of its addresses.
func TestEveryByteOfEveryTableCounts(t *testing.T) {
	// Behind the record, at the ends of conversion, rover and fence.
	board := []span{{148, 4}, {260, 4}, {314, 2}, {366, 2}}
	// The same where pointers have 64 bits, and at the end of the mission.
	computer := []span{{148, 4}, {260, 4}, {314, 6}, {390, 2}, {404, 4}}
	// And the pointers themselves: the loader writes them.
	moving := append([]span{{320, 8}, {328, 8}, {336, 8}, {344, 8}, {352, 8}, {392, 8}}, computer...)
	// Of those, one that is null is not written.
	noCircles := slices.DeleteFunc(slices.Clone(moving), func(s span) bool { return s.at == 336 })
	for _, c := range []struct {
		example, build string
		between        []span // of mere_mission_t: what nothing reads
		tables         int
	}{
		{"walnut-grove", arm + "main.c -o f.elf" + libs, board, 7},
		{"running-track", arm + "main.c -o f.elf" + libs, board, 6}, // no round obstacles
		{"walnut-grove", "gcc -O2 -no-pie main.c -o f.elf", computer, 7},
		{"walnut-grove", "gcc -O2 main.c -o f.elf", moving, 7},
		{"running-track", "gcc -O2 main.c -o f.elf", noCircles, 6},
	} {
		t.Run(c.example+" "+strings.Join(strings.Fields(c.build)[:3], " "), func(t *testing.T) {
			b := newBench(t, resolve(t, c.example))
			b.run(t, c.build)
			tables := b.symbols(t, b.plans[0].Identifier+"_")
			require.Len(t, tables, c.tables)
			var due []uint64
			for _, between := range c.between {
				for i := range between.size {
					due = append(due, tables[b.plans[0].Identifier+"_mission"].at+between.at+i)
				}
			}
			slices.Sort(due)
			m, err := readELF(b.read(t, "f.elf"))
			require.NoError(t, err)
			dues := duesOf(t, b.plans...)
			require.Equal(t, Same, judged(t, m, dues))
			kinds := []memory{m}
			if !m.loader.moves {
				kinds = append(kinds, anyBoard(m.pieces, true), anyBoard(m.pieces, false))
			}
			random, whole := rand.New(rand.NewPCG(1, 1)), os.Getenv("MERESTONE_EVERY_VALUE") != ""
			for _, m := range kinds {
				var unnoticed []uint64
				for _, table := range tables {
					for at := table.at; at < table.at+table.size; at++ {
						first := 1 + random.IntN(255)
						last := first
						if whole {
							first, last = 1, 255
						}
						for by := first; by <= last; by++ {
							if judged(t, changed(m, at, byte(by)), dues) == Same {
								unnoticed = append(unnoticed, at)
							}
						}
					}
				}
				slices.Sort(unnoticed)
				assert.Equal(t, due, slices.Compact(unnoticed))
			}
		})
	}
}

// Where the loader writes the pointers, what says what it writes is looked at: any byte
// of it changed is noticed.
func TestEveryByteOfARelocationCounts(t *testing.T) {
	b := newBench(t, resolve(t, "walnut-grove"))
	b.run(t, "gcc -O2 main.c -o f.elf")
	data := b.read(t, "f.elf")
	file, err := elf.NewFile(strings.NewReader(data))
	require.NoError(t, err)
	table := file.Section(".rela.dyn")
	mission := b.symbols(t, "walnut_grove_rows_mission")["walnut_grove_rows_mission"]
	dues, tried := duesOf(t, b.plans...), 0
	for at := table.Offset; at < table.Offset+table.Size; at += 24 {
		if to := binary.LittleEndian.Uint64([]byte(data[at:])); to < mission.at || to >= mission.at+mission.size {
			continue
		}
		for i := range uint64(24) {
			other := []byte(data)
			other[at+i] ^= 0x41
			m, err := readELF(string(other))
			require.NoError(t, err)
			assert.NotEqual(t, Same, judged(t, m, dues), "byte %d", i)
			tried++
		}
	}
	assert.Equal(t, 6*24, tried)
}

// changed is a memory with one byte changed by an exclusive or.
func changed(m memory, at uint64, by byte) memory {
	m.pieces = slices.Clone(m.pieces)
	for i, p := range m.pieces {
		if at >= p.address && at < p.end() {
			data := []byte(p.data)
			data[at-p.address] ^= by
			m.pieces[i].data = string(data)
		}
	}
	return m
}

// Several missions in one image: all of those given, and no others, in any order.
func TestSeveralMissions(t *testing.T) {
	grove, track, pan := resolve(t, "walnut-grove"), resolve(t, "running-track"), resolve(t, "salt-pan")
	slower := resolve(t, "walnut-grove", missiontest.Edit{"mission: walnut-grove-rows", "mission: walnut-grove-slow"}, missiontest.Edit{"speed: 0.42 m/s", "speed: 0.40 m/s"})
	b := newBench(t, grove, track, slower) // the first and the last have one fence
	b.run(t, arm+"main.c second.c -o f.elf"+libs)
	same, missing := "built from these plans", Missing.String()
	for file, data := range b.files(t) {
		for _, c := range []struct {
			name    string
			plans   []*plan.Plan
			verdict string
		}{
			{"all", []*plan.Plan{grove, track, slower}, same},
			{"in another order", []*plan.Plan{slower, grove, track}, same},
			{"one is not given", []*plan.Plan{grove, track}, OtherPlan.String()},
			{"one alone", []*plan.Plan{grove}, OtherPlan.String()},
			{"one more is given", []*plan.Plan{grove, track, slower, pan}, missing},
			{"another in place of one", []*plan.Plan{grove, track, pan}, OtherPlan.String()},
		} {
			a := answerOf(t, asked(file, data, c.plans...))
			assert.Equal(t, c.verdict, a.Verdict, "%s, %s: %v", file, c.name, a.Remarks)
			assert.Equal(t, c.verdict == same, a.Accepted)
			assert.Len(t, a.Missions, len(c.plans))
		}
	}
	_, err := asked("f.elf", b.read(t, "f.elf"), grove, grove).Answer()
	assert.ErrorContains(t, err, "m1.yaml and m2.yaml are the same mission")
	_, err = asked("h.h", header(t, grove, tool), grove, track).Answer()
	assert.ErrorContains(t, err, "it is a header, which is of one mission, but 2 are given")
}

// A raw binary does not say of what board it is: each layout is found, and any number of
// any member of it that is another is noticed. Rows of tables have nothing between their
// members.
func TestEveryLayout(t *testing.T) {
	for _, example := range []string{"walnut-grove", "running-track"} {
		p := resolve(t, example)
		board, err := gen.Board(p, tool)
		require.NoError(t, err)
		all := anyBoard(nil, false)
		dues := duesOf(t, p)
		require.Len(t, all.layouts(), 16)
		for _, l := range all.layouts() {
			whole := laidOut(board, l, 0x20000)
			image := anyBoard([]piece{{0x20000, whole}}, false)
			require.Equal(t, Same, judged(t, image, dues), l)
			b := missionBlock(board, l)
			for _, one := range b.members {
				assert.NotEqual(t, Same, judged(t, changed(image, 0x20000+uint64(one.at+one.size-1), 1), dues), "%v, %s", l, one.name)
			}
			for _, one := range b.links {
				if one.table.Len() == 0 {
					continue
				}
				row := &block{layout: l}
				row.value("", one.table.Index(0))
				used := 0
				for _, m := range row.members {
					used += m.size
				}
				assert.Len(t, row.bytes, used, one.name)
			}
		}
	}
}

// Two programs in one flash, as a board has them that is updated while it runs. Without
// addresses an intact copy must not stand in for one that was changed.
func TestTwoProgramsInOneFlash(t *testing.T) {
	p := resolve(t, "walnut-grove")
	board, err := gen.Board(p, tool)
	require.NoError(t, err)
	l := layout{binary.LittleEndian, 4, 8}
	first, second, copied := laidOut(board, l, 0x8000), laidOut(board, l, 0xc000), laidOut(board, l, 0x8000)
	legs := strings.Index(first, tableBytes(missionBlock(board, l).links[0].table, l))
	search := strings.Index(first, tableBytes(missionBlock(board, l).links[3].table, l))
	gap := strings.Repeat("\xff", 0x4000-len(first))
	edited := func(text string, at int) string { return text[:at] + string(text[at]^1) + text[at+1:] }
	erased := func(text string) string { return strings.Repeat("\xff", recordSize) + text[recordSize:] }
	for _, c := range []struct {
		name         string
		raw          string
		bare, placed Verdict // as raw binary; with addresses from 0x8000 on
	}{
		{"one", first, Same, Same},
		{"two, each for its place", first + gap + second, Same, Same},
		{"the first changed in its legs", edited(first, legs) + gap + second, Untold, Edited},
		{"the second changed in its legs", first + gap + edited(second, legs), Untold, Edited},
		{"the first changed in its search", edited(first, search) + gap + second, Untold, Edited},
		{"a copy of one", first + gap + copied, Untold, Untold},
		{"a copy that was changed", first + gap + edited(copied, legs), Untold, Untold},
		{"one changed in its legs, and what an erased one left", edited(first, legs) + gap + erased(second), Untold, Edited},
		{"one changed in its search, and what an erased one left", edited(first, search) + gap + erased(second), Untold, Edited},
		{"one, and what an erased one left", first + gap + erased(second), Untold, Same},
	} {
		dues := duesOf(t, p)
		assert.Equal(t, c.bare, judged(t, anyBoard([]piece{{0, c.raw}}, false), dues), "%s, raw", c.name)
		assert.Equal(t, c.placed, judged(t, anyBoard([]piece{{0x8000, c.raw}}, true), dues), "%s, with addresses", c.name)
		exact := memory{exact: true, placed: true, pieces: []piece{{0x8000, c.raw}}, orders: []binary.ByteOrder{binary.LittleEndian}, pointers: []int{4}}
		assert.Equal(t, c.placed, judged(t, exact, dues), "%s, linked", c.name)
	}
}

// A file that is cut anywhere is refused, or has no mission; with its table of
// sections at the end, as linkers write it, it cannot be read.
func TestCutShort(t *testing.T) {
	b := newBench(t, resolve(t, "walnut-grove"))
	b.run(t, arm+"main.c -o f.elf"+libs)
	for file, data := range b.files(t) {
		accepted := 0
		for n := 100; n < len(data); n += 100 {
			a, err := asked(file, data[:n], b.plans[0]).Answer()
			if err == nil && a.Accepted {
				accepted = n
			}
			if !strings.HasSuffix(file, ".bin") {
				require.Error(t, err, "%s cut at %d", file, n)
			}
		}
		if file == "f.bin" { // behind the last table there is nothing that counts
			end := uint64(0)
			for _, s := range b.symbols(t, b.plans[0].Identifier+"_") {
				end = max(end, s.at+s.size-0x8000)
			}
			if accepted > 0 {
				assert.GreaterOrEqual(t, uint64(accepted), end)
			}
			continue
		}
		assert.Zero(t, accepted, file)
	}
	bare := withoutSections(b.read(t, "f.elf"))
	for n := 100; n < len(bare); n += 100 {
		a, err := asked("f.elf", bare[:n], b.plans[0]).Answer()
		if err == nil && a.Accepted { // all that is loaded is there
			file, err := elf.NewFile(strings.NewReader(bare))
			require.NoError(t, err)
			for _, p := range file.Progs {
				assert.LessOrEqual(t, p.Off+p.Filesz, uint64(n))
			}
		}
	}
}

// Objects that are not linked, and segments that contradict each other, are no program.
func TestWhatIsNoProgram(t *testing.T) {
	b := newBench(t, resolve(t, "walnut-grove"))
	b.run(t, arm+"-c main.c -o f.o")
	_, err := asked("f.o", b.read(t, "f.o"), b.plans[0]).Answer()
	assert.ErrorContains(t, err, "f.o: the ELF file cannot be read: it is an object file, which is not linked")
	b.run(t, arm+"main.c -o f.elf"+libs)
	data := b.read(t, "f.elf")
	file, err := elf.NewFile(strings.NewReader(data))
	require.NoError(t, err)
	first := slices.IndexFunc(file.Progs, func(p *elf.Prog) bool { return p.Type == elf.PT_LOAD })
	with := func(index, member int, value uint32) string { // a member of a program header, by its offset
		out := []byte(data)
		binary.LittleEndian.PutUint32(out[52+32*index+member:], value)
		return string(out)
	}
	for _, c := range []struct{ name, data, err string }{
		{"a segment beyond the end", with(first, 16, uint32(len(data))), "a segment that is loaded goes beyond its end"},
		{"more in the file than in memory", with(first, 20, 1), "more bytes in the file than in memory"},
		{"beyond the last address", with(first, 8, 0xffffff00), ""},
		{"a core file", data[:16] + "\x04" + data[17:], "it is no program, but of the type ET_CORE"},
	} {
		a, err := asked("f.elf", c.data, b.plans[0]).Answer()
		if c.err == "" {
			assert.False(t, err == nil && a.Accepted, c.name)
			continue
		}
		assert.ErrorContains(t, err, c.err, c.name)
	}
	// A linker that is told not to look puts zeros over the tables, which the start of the
	// program writes.
	for at, why := range map[string]string{"0x20000100": "segments that are loaded lie over each other", "0x20008000": ""} {
		require.NoError(t, os.WriteFile(filepath.Join(b.dir, "over.ld"), []byte("SECTIONS { .text 0x08000000 : { *(.text*) } .ram 0x20000000 : { *(.rodata*) *(.data*) } .bss "+at+" (NOLOAD) : { *(.bss*) *(COMMON) } }\n"), 0o644))
		b.run(t, arm+"-T over.ld -Wl,--no-check-sections main.c -o over.elf"+libs)
		a, err := asked("over.elf", b.read(t, "over.elf"), b.plans[0]).Answer()
		if why == "" {
			require.NoError(t, err)
			assert.True(t, a.Accepted, a)
		} else {
			assert.ErrorContains(t, err, why)
		}
	}
	one := smallELF([]byte("one"))
	second := slices.Clone(one[52:84])
	for _, apart := range []struct {
		by  uint32
		err string
	}{{2, "segments that are loaded lie over each other"}, {3, ""}} {
		two := slices.Concat(one[:84], second, one[84:])
		binary.LittleEndian.PutUint16(two[44:], 2)
		for i := range uint32(2) {
			binary.LittleEndian.PutUint32(two[52+32*i+4:], 84+32)
			binary.LittleEndian.PutUint32(two[52+32*i+8:], 0x1000+i*apart.by)
			binary.LittleEndian.PutUint32(two[52+32*i+12:], 0x1000+i*apart.by)
		}
		_, err := readELF(string(two))
		if apart.err == "" {
			assert.NoError(t, err)
		} else {
			assert.ErrorContains(t, err, apart.err)
		}
	}
}
