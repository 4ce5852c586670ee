package guidance

// The model of instructions against counts on the emulated Cortex-M3: random inputs, and
// a search uphill in the places where the model says that it is worst. No input takes
// more than the model says; and it says little more than the worst that was found.

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// costMissions are missions of every kind: those of missions_test.go, and the orchard with
// other fences.
func costMissions(t testing.TB) map[string]*Mission {
	all := map[string]*Mission{}
	for _, k := range sketches() {
		all[k.name] = k.mission(t)
	}
	with := func(k fenceSketch) {
		m := orchard().mission(t)
		var err error
		m.Fence, _, err = BuildFence(region(k.boundary), regions(k.rings), k.circles, k.reach)
		require.NoError(t, err)
		all[k.name] = m
	}
	with(fenceSketch{"yard", square(0, 0, 12_000), nil, grid(1, 1, 900), 1900})
	for _, k := range crowded() {
		switch k.name {
		case "1,000 vertices", "120 posts", "250 posts", "250 posts on a circle of 1.5 m", "comb", "300 overlapping rings",
			"60 wedges that meet in a point", "posts beside a huge circle":
			with(k.fenceSketch)
		}
	}
	return all
}

func TestNoSearchTakesMoreInstructionsThanTheModelSays(t *testing.T) {
	const mostOver = 1.15 // of the worst margin found
	missions := costMissions(t)
	for _, name := range slices.Sorted(maps.Keys(missions)) {
		t.Run(name, func(t *testing.T) {
			m := missions[name]
			says := m.Instructions()
			_, worst := m.Fence.worstZones(100)
			folder := writeC(t, m)
			var places strings.Builder
			for _, z := range worst {
				fmt.Fprintf(&places, "    { %d, %d, %du },\n", z.part.corner.E, z.part.corner.N, z.part.log2)
			}
			text := "typedef struct {\n    int32_t west_mm;\n    int32_t south_mm;\n    uint32_t log2;\n} worst_place_t;\n\n" +
				"static const worst_place_t worst_places[] = {\n" + places.String() + "};\n"
			require.NoError(t, os.WriteFile(filepath.Join(folder, "worst.h"), []byte(text), 0o644))
			boards[0].build(t, folder, "-std=c99", "-O2", "-o", "cost.elf", "cost.c")
			found := readCounts(t, boards[0].run(t, folder, "cost.elf", "-icount", "shift=8"))
			t.Logf("says %+v, found %v", says, found)

			assert.LessOrEqual(t, found["fix"].worst, says.Conversion)
			assert.LessOrEqual(t, found["margin"].worst, says.Margin)
			assert.LessOrEqual(t, found["step"].worst, says.Step)
			assert.LessOrEqual(t, float64(says.Margin), mostOver*float64(found["margin"].worst))
			assert.LessOrEqual(t, float64(says.Step), mostOver*float64(found["step"].worst))
		})
	}
}

// A point's ways are those that the twin takes: what the model says of it is never more
// than of the places around it.
func TestAPlaceCostsNoLessThanItsPoints(t *testing.T) {
	for name, m := range costMissions(t) {
		f := &m.Fence
		_, worst := f.worstZones(50)
		for _, z := range worst {
			for step := range 200 {
				at := cell{corner: z.part.corner}
				side := int(z.part.side())
				at.corner.E += int64(step * 7919 % side)
				at.corner.N += int64(step * 104_729 % side)
				point := f.zone(at, z.corner, z.list, z.depth)
				require.LessOrEqual(t, point.instructions, z.instructions, "%s: %v in %v", name, at.corner, z.part)
			}
		}
	}
}
