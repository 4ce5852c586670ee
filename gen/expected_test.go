// What testdata/print.c must print of a mission, written from the plan's tables.
package gen_test

import (
	"fmt"
	"strings"

	"merestone/internal/guidance"
)

func expected(m guidance.Mission) string {
	var b strings.Builder
	c, r, f := m.Conversion, m.Rover, m.Fence
	fmt.Fprintf(&b, "%s %d %x %s %s\n", guidance.Magic, m.Record.Format, m.Record.Digest, m.Record.Mission, m.Record.Tool)
	fmt.Fprintln(&b, c.OriginLatitudeNdeg, c.OriginLongitudeNdeg, c.SouthNdeg, c.WestNdeg, c.LatitudeSpanNdeg, c.LongitudeSpanNdeg, c.SouthFromOriginNdeg, c.WestFromOriginNdeg)
	for _, v := range c.East {
		fmt.Fprintln(&b, "east", v)
	}
	for _, v := range c.North {
		fmt.Fprintln(&b, "north", v)
	}
	fmt.Fprintln(&b, c.EastShift, c.NorthShift, c.Degree, c.BoundUM)
	fmt.Fprintln(&b, r.CoastMM, r.CoastFromMMPerS, r.CoastSquareQ32, r.CoastLinearQ16, r.LatencyMS, r.FixIntervalMS, r.LoopMS, r.OutputDelayMS,
		r.StaleAfterMS, r.SettleMS, r.ResetPressMS, r.LookAheadMM, r.FenceAllowanceMM, r.StoppingShareQ8, r.MaxShiftMM, uint8(r.RequiredQuality))
	for _, l := range m.Legs {
		fmt.Fprintln(&b, "leg", l.StartEastMM, l.StartNorthMM, l.EndEastMM, l.EndNorthMM, l.UnitEastQ30, l.UnitNorthQ30, l.LengthMM, l.DwellMS,
			l.BearingCdeg, l.SpeedMMPerS, l.StartToleranceMM, l.EndToleranceMM, l.CrossTrackMM, l.JoinMM, bit(l.StopAtEnd))
	}
	for _, e := range f.Edges {
		fmt.Fprintln(&b, "edge", e.EastMM, e.NorthMM, e.UnitEastQ30, e.UnitNorthQ30, e.LengthMM)
	}
	for _, c := range f.Circles {
		fmt.Fprintln(&b, "circle", c.EastMM, c.NorthMM, c.RadiusMM)
	}
	for _, v := range f.Nodes {
		fmt.Fprintln(&b, "node", v)
	}
	for _, v := range f.Lists {
		fmt.Fprintln(&b, "list", v)
	}
	fmt.Fprintln(&b, f.WestMM, f.SouthMM, f.RootLog2, f.ListLog2, f.MarginUnitMM, f.ExactWithinMM, f.SlackMM)
	for _, h := range m.Holds {
		fmt.Fprintln(&b, "hold", h.Pin, h.DebounceMS, h.DiscrepancyMS, uint8(h.Kind), h.RunLevel, h.StopCategory, bit(h.Latched), bit(h.TwoChannels))
	}
	fmt.Fprintln(&b, "closed", bit(m.Closed))
	return b.String()
}

func bit(v bool) int {
	if v {
		return 1
	}
	return 0
}
