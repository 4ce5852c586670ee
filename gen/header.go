// What the template of the data header is filled in with: every number written
// out and every table aligned. The tables of the board are in rows.go.
package gen

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"merestone/internal/geodesy"
	"merestone/internal/guidance"
	"merestone/internal/plan"
	"merestone/internal/words"
)

// header is the data of templates/mission.h.tmpl.
type header struct {
	ID, Guard    string // begins the C identifiers; the include guard
	Board        guidance.Mission
	Summary      []string
	KeepAway     string // the distance to keep
	Frame        []string
	MarkTable    []string
	LegTable     []string
	HoldTable    []string
	CostTable    []string
	Legs         []string
	Edges        []string
	Circles      []string
	Nodes, Lists []string
	Holds        []string
	HoldIndices  []string
	// LegNames, WaypointNames and Figures are the lines of enumerations.
	LegNames, WaypointNames, Figures []string
	Digest                           []string
	Conversion                       []string
	Rover                            []string
	Closed                           int
	LegCount                         int
	// CoastUnit and DwellUnit are those of the legs' coasts and dwells.
	CoastUnit, DwellUnit string

	SizeLeg, SizeEdge, SizeCircle, SizeHold int
}

func newHeader(p *plan.Plan, board guidance.Mission) header {
	h := header{
		ID: p.Identifier, Guard: strings.ToUpper(p.Identifier) + "_MISSION_H",
		Board:     board,
		LegCount:  board.LegCount(),
		Summary:   summaryLines(p),
		KeepAway:  fmt.Sprint(words.MM(p.KeepAway().TotalMM)),
		Frame:     frameLines(p, board),
		MarkTable: markTable(p), LegTable: legTable(p), CostTable: costTable(board),
		Legs: legRows(p, board), Edges: edgeRows(p, board), Circles: circleRows(p, board),
		Nodes: cells(board.Fence.Nodes, "%5du", 12), Lists: cells(board.Fence.Lists, "%5du", 12),
		Digest:     cells(board.Record.Digest[:], "0x%02Xu", 8),
		Conversion: memberLines(board.Conversion), Rover: memberLines(board.Rover),
		SizeLeg: guidance.Size(guidance.Leg{}), SizeEdge: guidance.Size(guidance.Edge{}), SizeCircle: guidance.Size(guidance.FenceCircle{}), SizeHold: guidance.Size(guidance.Hold{}),
	}
	h.CoastUnit, h.DwellUnit = unit(board.Rover.CoastUnitMM, "mm"), unit(board.Rover.DwellUnitMS, "ms")
	h.LegNames, h.WaypointNames = enumLines(p.Identifier+"_leg", legNames(p)), enumLines(p.Identifier+"_waypoint", waypointNames(p))
	h.Figures = enumLines(p.Identifier+"_figure", constants(p))
	h.Holds, h.HoldIndices = holdRows(p, board)
	h.HoldTable = holdTable(p)
	if board.Closed {
		h.Closed = 1
	}
	return h
}

// unit is a multiple of one, in words.
func unit(n uint16, of string) string {
	if n == 1 {
		return of
	}
	return fmt.Sprintf("%d %s", n, of)
}

// nineDecimals writes degrees with every digit that they hold, so that points
// stand under points.
func nineDecimals(n geodesy.Nanodegree) string {
	const degree = 1_000_000_000
	sign, v := "", int64(n)
	if v < 0 {
		sign, v = "-", -v
	}
	return fmt.Sprintf("%s%d.%09d", sign, v/degree, v%degree)
}

// ascii keeps the header in the basic character set of every compiler.
func ascii(s string) string {
	return strings.NewReplacer("–", "-", "°", "d").Replace(s)
}

func summaryLines(p *plan.Plan) []string {
	total := 0.0
	for _, l := range p.Route.Legs {
		total += l.LengthMM
	}
	kind := "Open"
	if p.Route.Closed {
		kind = "Closed"
	}
	return []string{
		fmt.Sprintf("%s route of %d legs, %.2f m in all; boundary of %d marks, %d obstacles.", kind, len(p.Route.Legs), total/1000, len(p.Fence.Boundary.Marks), len(p.Fence.Obstacles)),
		fmt.Sprintf("Rover %.2f m wide, %.2f m long.", plan.Metres(p.Machine.Rover.WidthMM), plan.Metres(p.Machine.Rover.LengthMM)),
		fmt.Sprintf("Ground that falls or rises by up to %.1f %%, longest coast %.2f m from %.2f m/s.", 100*p.Route.Slope.Steepest, plan.Metres(p.LongestCoastMM()), plan.Metres(p.TopSpeedMMPerS())),
		fmt.Sprintf("Bounds of positions hold at %g %%, at one instant, unless called proved.", p.Confidence*100),
		baseLine(p),
	}
}

// baseLine says what is made of the base's set-up.
func baseLine(p *plan.Plan) string {
	b := p.Survey.Base
	switch {
	case b.LeansOnShift():
		return fmt.Sprintf("No start without a site shift of the day, known to %.1f mm per axis at the farthest place.", p.ShiftStdMM())
	case b.Averaged():
		return fmt.Sprintf("The base averages its position; a shift of %.2f m is kept from the fence.", p.BaseShiftMM()/1000)
	default:
		return fmt.Sprintf("Base %s; what stands between two of its set-ups, up to %.3f m, is in every bound.", b.Position, p.BaseShiftMM()/1000)
	}
}

// movedLines tell which marks were moved with their set-ups.
func movedLines(p *plan.Plan) []string {
	var lines []string
	for _, s := range p.Survey.Setups {
		if !s.Tied || s.StdMM == 0 {
			continue
		}
		name := "Set-up " + s.Name
		if s.Name == "" {
			name = "The set-up without a name"
		}
		lines = append(lines, fmt.Sprintf("%s: moved by %+.3f m east, %+.3f m north, known to %.3f m per axis.", name, s.EastMM/1000, s.NorthMM/1000, s.StdMM/1000))
	}
	return lines
}

// measuredLines tell on which of the marks no antenna stood, and how well they are known
// at worst.
func measuredLines(p *plan.Plan, used map[int]bool) []string {
	var names []string
	worst := 0.0
	for i, m := range p.Survey.Marks {
		if used[i] && m.Measured.Form.FromOthers() {
			names = append(names, m.Name)
			worst = max(worst, m.StdMM)
		}
	}
	if len(names) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("Measured from other marks, known to %.3f m at worst: %s.", worst/1000, words.Few(words.Runs(names), ", "))}
}

func frameLines(p *plan.Plan, board guidance.Mission) []string {
	lines := []string{
		fmt.Sprintf("WGS 84 origin %s, %s, height %.2f m above the ellipsoid", nineDecimals(p.Site.Origin.Latitude), nineDecimals(p.Site.Origin.Longitude), p.Site.Origin.HeightM),
		fmt.Sprintf("(%s %s).", ascii(geodesy.FormatLatitudeDMS(p.Site.Origin.Latitude)), ascii(geodesy.FormatLongitudeDMS(p.Site.Origin.Longitude))),
		"East and north in millimetres, in the plane that touches the ellipsoid's",
		"parallel surface there (IOGP Guidance Note 7-2, method 9837). Rounding to",
		"whole millimetres moves a mark by at most 0.71 mm.",
		fmt.Sprintf("The board converts fixes to within %.3f mm (proved) from %.1f m to %.1f m east", float64(board.Conversion.BoundUM)/1000, plan.Metres(p.Board.Domain.WestMM), plan.Metres(p.Board.Domain.EastMM)),
		fmt.Sprintf("and from %.1f m to %.1f m north of the origin, at the origin's height.", plan.Metres(p.Board.Domain.SouthMM), plan.Metres(p.Board.Domain.NorthMM)),
	}
	if p.Site.Magnetic.Err == nil {
		d, side := p.Site.Magnetic.Field.DeclinationDeg, "east"
		if d < 0 {
			side = "west"
		}
		lines = append(lines, fmt.Sprintf("Magnetic declination on %s: %.2f deg %s (World Magnetic Model 2025).", p.Site.Date.Format("2006-01-02"), math.Abs(d), side))
	}
	return lines
}

func markTable(p *plan.Plan) []string {
	used := map[int]bool{}
	for _, w := range p.Route.Waypoints {
		used[w.Mark] = true
	}
	for _, m := range p.Fence.Boundary.Marks {
		used[m.Number] = true
	}
	for _, m := range p.Survey.Base.ControlMarks {
		used[m] = true
	}
	rows := [][]string{{"mark", "latitude deg", "longitude deg", "east mm", "north mm"}}
	for i, m := range p.Survey.Marks {
		if used[i] {
			rows = append(rows, []string{m.Name, nineDecimals(m.Placed.Latitude), nineDecimals(m.Placed.Longitude), fmt.Sprint(m.Point.E), fmt.Sprint(m.Point.N)})
		}
	}
	return slices.Concat(words.Columns(rows), movedLines(p), measuredLines(p, used))
}

func legTable(p *plan.Plan) []string {
	rows := [][]string{{"leg", "length\nm", "true\ndeg", "magnetic\ndeg", "fall\n%", "speed\nm/s", "expected\ncoast m", "cut\nm", "tolerance\nm", "standoff m\nstart/line"}}
	for _, l := range p.Route.Legs {
		compass, cut, fall := "-", "-", "-"
		if l.HasSlope {
			fall = fmt.Sprintf("%.1f", 100*l.Downhill)
		}
		if p.Site.Magnetic.Err == nil {
			compass = fmt.Sprintf("%.1f", p.Site.Magnetic.Field.MagneticBearingDeg(l.TrueAzimuthDeg))
		}
		if p.Route.Waypoints[l.To].Stops {
			cut = fmt.Sprintf("%.2f", plan.Metres(l.CutMM))
		}
		rows = append(rows, []string{ascii(l.Name), fmt.Sprintf("%.2f", l.LengthMM/1000), fmt.Sprintf("%.1f", l.TrueAzimuthDeg), compass, fall,
			fmt.Sprintf("%.2f", plan.Metres(l.SpeedMMPerS)), fmt.Sprintf("%.2f", l.CoastMM/1000), cut, fmt.Sprintf("%.2f", plan.Metres(p.Route.Waypoints[l.To].ToleranceMM)), standoff(l)})
	}
	return words.Table(rows, headerColumns)
}

// holdTable is the wiring as it was judged, and what its faults do, in short.
func holdTable(p *plan.Plan) []string {
	if p.Holds.FaultsErr != nil || len(p.Holds.List) == 0 {
		return nil
	}
	keep := p.KeepAway()
	var lines []string
	for _, line := range p.Holds.Faults.Brief(textWidth) {
		lines = append(lines, ascii(line))
	}
	lines = append(lines,
		"",
		fmt.Sprintf("From letting go to the drive without power: %d ms at most. Distance to keep:", p.Board.Timing.HoldMS),
		fmt.Sprintf("%s; the rover goes %s in the holder's %d ms, %s until it is without", words.MM(keep.TotalMM), words.MM(keep.HolderMM), int64(plan.HolderMS), words.MM(keep.ReactionMM)),
		fmt.Sprintf("power and %s of longest coast (%d ms at most); who walks goes %s meanwhile.", words.MM(keep.CoastMM), keep.RestMS, words.MM(keep.WalkMM)))
	return append(lines, commissioned(p)...)
}

// commissioned says whether the machine was tried.
func commissioned(p *plan.Plan) []string {
	c := p.Commissioning
	if !c.Said {
		return []string{"No record says that this machine was tried."}
	}
	passed, steps := p.PassedSteps()
	return []string{
		fmt.Sprintf("By the mission's record, %d of the %d steps of the written test were passed on", passed, steps),
		fmt.Sprintf("%s; it is to be done again by %s.", c.Date.Format(time.DateOnly), c.RepeatBy.Format(time.DateOnly)),
	}
}

// textWidth is where running text of the header is broken, headerColumns how wide its
// tables may be behind the star of their lines.
const (
	textWidth     = 84
	headerColumns = 97
)

// standoff is that of a leg along its line, and at its start where that is more.
func standoff(l plan.Leg) string {
	along := fmt.Sprintf("%.2f", plan.Metres(l.Line.TotalMM))
	if !l.Join.Needed {
		return along
	}
	return fmt.Sprintf("%.2f/%s", plan.Metres(l.Join.TotalMM), along)
}
