package guidance

// Writes a Mission as C, for the tests alone: every value, in the order of the
// members. What users get is written by the data header's template.

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"merestone/internal/geodesy"
	"merestone/templates"
)

type cWriter struct{ strings.Builder }

func (w *cWriter) printf(format string, args ...any) { fmt.Fprintf(w, format, args...) }

// row is one struct as an initialiser.
func (w *cWriter) row(table any) { w.printf("    { %s },\n", strings.Join(Values(table), ", ")) }

func list[T uint8 | uint16](values []T) string {
	var parts []string
	for _, v := range values {
		parts = append(parts, fmt.Sprintf("%du", v))
	}
	return "{ " + strings.Join(parts, ", ") + " }"
}

func cMission(m *Mission) string {
	w := &cWriter{}
	w.printf("#include \"merestone_guidance.h\"\n\n")
	w.printf("static const mere_leg_t test_legs[] = {\n")
	for _, l := range m.Legs {
		w.row(l)
	}
	w.printf("};\n\nstatic const mere_edge_t test_edges[] = {\n")
	for _, e := range m.Fence.Edges {
		w.row(e)
	}
	w.printf("};\n\n")
	circles, holds := "0", "0"
	if len(m.Fence.Circles) > 0 {
		circles = "test_circles"
		w.printf("static const mere_circle_t test_circles[] = {\n")
		for _, c := range m.Fence.Circles {
			w.row(c)
		}
		w.printf("};\n\n")
	}
	w.printf("static const uint16_t test_nodes[] = %s;\n\n", list(m.Fence.Nodes))
	w.printf("static const uint16_t test_lists[] = %s;\n\n", list(m.Fence.Lists))
	if len(m.Holds) > 0 {
		holds = "test_holds"
		w.printf("static const mere_hold_t test_holds[] = {\n")
		for _, h := range m.Holds {
			w.row(h)
		}
		w.printf("};\n\n")
	}
	f := &m.Fence
	w.printf("static const mere_mission_t test_mission = {\n")
	w.printf("    { \"%s\", %du, { 0u, 0u, 0u }, %s, \"%s\", \"%s\" },\n", Magic, m.Record.Format, list(m.Record.Digest[:]), m.Record.Mission, m.Record.Tool)
	w.row(m.Conversion)
	w.row(m.Rover)
	w.printf("    test_legs,\n")
	w.printf("    { test_edges, %s, test_nodes, test_lists, %d, %d, %du, %du, %du, %du, %du, %du, %du, %du, %du, %du },\n", circles, f.WestMM, f.SouthMM,
		len(f.Edges), len(f.Circles), len(f.Nodes), len(f.Lists), f.RootLog2, f.ListLog2, f.MarginUnitMM, f.ExactWithinMM, f.SlackMM, f.LimitMM)
	w.printf("    %s,\n    %du, %du, %du\n};\n\n", holds, m.LegCount(), len(m.Holds), map[bool]int{true: 1}[m.Closed])
	w.printf("#define MISSION test_mission\n")
	north, east := ndegPerMM(m)
	w.printf("#define NDEG_PER_MM_NORTH_Q16 %d\n#define NDEG_PER_MM_EAST_Q16 %d\n", north, east)
	return w.String()
}

// ndegPerMM are roughly the nanodegrees in a millimetre, times 2^16, for the
// vectors' simulated receiver.
func ndegPerMM(m *Mission) (north, east int64) {
	latitude := geodesy.Nanodegree(m.Conversion.OriginLatitudeNdeg)
	perMetre := 180e9 / math.Pi * 65536 / 1000
	north = int64(perMetre / geodesy.MeridianRadius(latitude))
	east = int64(perMetre / (geodesy.PrimeVerticalRadius(latitude) * math.Cos(latitude.Radians())))
	return north, east
}

// writeC puts both headers and the C sources of testdata into a folder.
func writeC(t testing.TB, m *Mission) string {
	t.Helper()
	folder := t.TempDir()
	header, err := templates.Files.ReadFile("merestone_guidance.h")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "merestone_guidance.h"), header, 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "mission.h"), []byte(cMission(m)), 0o644))
	sources, err := filepath.Glob("testdata/*.[ch]")
	require.NoError(t, err)
	scripts, err := filepath.Glob("testdata/*.ld")
	require.NoError(t, err)
	for _, source := range append(sources, scripts...) {
		text, err := os.ReadFile(source)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(folder, filepath.Base(source)), text, 0o644))
	}
	return folder
}
