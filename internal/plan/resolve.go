// Resolve: the one way from a written mission to a Plan. Each step fills in its
// part and reports what it cannot resolve; later steps work on what is there.
package plan

import (
	"fmt"
	"math"
	"time"

	"merestone/internal/board"
	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/geodesy"
	"merestone/internal/magnetic"
	"merestone/internal/motion"
	"merestone/internal/planar"
	"merestone/internal/words"
	"merestone/spec"
)

// UsualConfidence is that of the bounds in all reports when the mission does
// not say otherwise.
const UsualConfidence = 0.95

// Resolve gives a mission its meaning. The plan is nil when there is no local
// frame to resolve it in; it is not Complete when the findings hold errors.
// Defaults are those of the reference table in the README.
func Resolve(m *spec.Mission) (*Plan, []diag.Finding) {
	r := resolver{m: m, p: &Plan{Mission: m.Name, Identifier: words.Identifier(m.Name), Confidence: UsualConfidence}}
	if m.Confidence != nil {
		r.p.Confidence = m.Confidence.Fraction()
	}
	r.p.Source, r.p.ConfidenceSource = r.source("mission"), r.source("confidence")
	r.p.Site.Source, r.p.Route.Source = r.source("site"), r.source("route")
	r.p.Holds.Source, r.p.Holds.PathAt = r.source("holds"), r.source("drive_path")
	if !r.frame() {
		return nil, r.findings
	}
	if !r.marks() {
		return nil, r.findings // nothing is proved of places beyond the frame
	}
	r.base()
	r.receiver()
	r.setups()
	if !r.measuredMarks() {
		return nil, r.findings // nor of places that nobody knows
	}
	r.commissioning()
	r.rover()
	r.hardware()
	r.fence()
	r.overhead()
	r.domain()
	r.tapes()
	r.waypoints()
	r.slopes()
	r.conversion()
	r.errors()
	r.boardRover()
	r.boardFence()
	r.legs()
	r.boardLegs()
	r.boardHolds()
	r.unused()
	r.usual()
	r.fits()
	for _, f := range r.findings {
		if f.Severity == diag.Error {
			r.gap(string(f.Rule), "%s", f.Message())
		}
	}
	return r.p, r.findings
}

// resolver carries the state of one Resolve.
type resolver struct {
	m *spec.Mission
	p *Plan
	// byName finds marks. spec has already refused unknown names; that each is
	// looked for keeps a plan of an unsound mission from going on with a wrong mark.
	byName   map[string]int
	nets     nets       // of the marks that are measured from others
	speeds   []int64    // of the leg that ends at each waypoint
	topSpeed int64      // the highest of cruise and any leg
	fastest  int64      // the highest of any leg
	downhill []legSlope // of each leg
	findings []diag.Finding
}

func (r *resolver) source(path string) diag.Source {
	return diag.Source{At: r.m.Where(path), Path: path}
}

// fail records a finding of error severity about a part of the mission and what
// else the arguments name.
func (r *resolver) fail(rule diag.ID, about diag.Subject, path, remedy, format string, args ...any) {
	f := diag.New(r.m.Where(path), format, args...)
	f.Rule, f.Severity, f.Remedy = rule, diag.Error, remedy
	if len(f.About) == 0 || f.About[0] != about {
		f.About = append([]diag.Subject{about}, f.About...)
	}
	r.findings = append(r.findings, f)
}

// gap notes that a part of the plan is missing. Whoever notes one has said why in
// a finding, or leaves that to a rule of check.
func (r *resolver) gap(part, format string, args ...any) {
	r.p.Incomplete = append(r.p.Incomplete, Gap{Part: part, Reason: fmt.Sprintf(format, args...)})
}

// frame sets up the local frame at the site's origin.
func (r *resolver) frame() bool {
	site := r.m.Site
	origin := geodesy.Geodetic{
		Latitude:  site.Origin.Latitude.Value,
		Longitude: site.Origin.Longitude.Value,
		HeightM:   site.Origin.Height.Metres(),
	}
	frame, err := geodesy.NewFrame(origin)
	if err != nil { // the parser keeps everything but the poles away
		r.fail(rulePole, diag.The(diag.Site, ""), "site.origin", "choose an origin at the site, on land, away from the poles", "the local frame cannot be set up: %v", err)
		return false
	}
	r.p.Site.Origin, r.p.Site.Frame = origin, frame
	r.p.Site.Date = midnight(site.Date)
	r.p.Site.Magnetic.Field, r.p.Site.Magnetic.Err = magnetic.At(origin.Latitude.Degrees(), origin.Longitude.Degrees(), origin.HeightM, r.p.Site.Date)
	return true
}

// marks converts every mark to whole millimetres.
//
// It is false when a mark is too far away for the board's numbers: what would be
// found wrong with the rest may follow from that.
//
// A mark is converted at the origin's height, whatever its own: the board sees
// latitude and longitude only and holds the height at the origin's, and marks
// must be converted as the board converts fixes. A mark 50 m above the origin
// and 1 km away is so drawn 8 mm nearer than it is (d·Δh/R), and so is the
// rover when it stands on it. Taped distances use the marks' own heights.
func (r *resolver) marks() bool {
	r.byName = map[string]int{}
	longitudes := []geodesy.Nanodegree{r.p.Site.Origin.Longitude}
	var beyond []far
	for _, m := range r.m.Marks {
		path := m.Path
		mark := Mark{
			Source: r.source(path),
			Name:   m.Name,
			Geodetic: geodesy.Geodetic{
				Latitude: m.Latitude.Value, Longitude: m.Longitude.Value, HeightM: r.p.Site.Origin.HeightM,
			},
			Resolution: max(m.Latitude.Resolution, m.Longitude.Resolution),
			OwnStdMM:   or(m.Uncertainty, r.m.Receiver.Uncertainty.Fixed).Millimetres(),
		}
		mark.StdMM = mark.OwnStdMM
		mark.Measured = r.given(m)
		if mark.Measured.Form.FromOthers() {
			r.byName[m.Name] = len(r.p.Survey.Marks)
			r.p.Survey.Marks = append(r.p.Survey.Marks, mark) // placed once the others are
			continue
		}
		if mark.Measured.Form == InFrame {
			r.inFrame(&mark)
		}
		local := r.p.Site.Frame.ToLocal(mark.Geodetic)
		if m.Height != nil {
			mark.Geodetic.HeightM, mark.HasHeight = m.Height.Metres(), true
		}
		mark.Placed = mark.Geodetic
		mark.Point = planar.Point{E: millimetres(local.EastM), N: millimetres(local.NorthM)}
		// The far side of the Earth lies below the origin, too.
		if mark.Point.InRange() && local.UpM > -planar.MaxCoordinate/1000 {
			longitudes = append(longitudes, mark.Geodetic.Longitude)
		} else {
			beyond = append(beyond, far{diag.Subject{Kind: diag.Mark, Name: m.Name, Index: len(r.p.Survey.Marks)}, elementary.Hypot(local.EastM, local.NorthM)})
		}
		r.byName[m.Name] = len(r.p.Survey.Marks)
		r.p.Survey.Marks = append(r.p.Survey.Marks, mark)
	}
	whole := len(beyond) == 0
	beyond = r.exchanged(beyond)
	if len(beyond) <= fewBeyond {
		for _, b := range beyond {
			r.fail(ruleExtent, b.mark, r.p.Survey.Marks[b.mark.Index].Path, "split the site, or move the origin to its middle; check the mark for a digit lost",
				"%s is %.1f km from the origin; a site reaches at most %d km east, west, north and south of it",
				b.mark, b.metres/1000, planar.MaxCoordinate/1_000_000)
		}
	} else {
		var names []diag.Subject
		for _, b := range beyond {
			names = append(names, b.mark)
		}
		r.fail(ruleExtent, diag.The(diag.Site, ""), "site.origin", "check the origin: it is far from most of the site",
			"%d of %d marks are too far from the origin: %s; a site reaches at most %d km east, west, north and south of it",
			len(beyond), len(r.m.Marks), diag.Names(names, ", "), planar.MaxCoordinate/1_000_000)
	}
	if geodesy.CrossesAntimeridian(longitudes...) {
		r.fail(ruleAntimeridian, diag.The(diag.Site, ""), "site.origin", "keep the site to one side of that meridian: drives across it are not proved in this version",
			"the site lies across the meridian of 180 degrees, where longitudes jump from +180 to -180")
	}
	return whole
}

// far is a mark beyond what the board's numbers reach, and how far from the origin.
type far struct {
	mark   diag.Subject
	metres float64
}

// fewBeyond are so many marks too far away that each may be a slip of its own. Of
// more, the origin is the cause.
const fewBeyond = 3

func millimetres(m float64) int64 {
	return int64(math.Round(max(min(m, 1e9), -1e9) * 1000))
}

func (r *resolver) base() {
	b := r.m.Base
	base := Base{
		Source: r.source("base"), Mark: -1,
		Position: b.Position, Rotation: b.Rotation,
		AveragedForS: or(b.AveragedFor, 0).Seconds(),
		StdMM:        b.Uncertainty.Millimetres(),
	}
	if i, ok := r.byName[b.Mark]; ok {
		base.Mark = i
	}
	for n, name := range b.ControlMarks {
		if i, ok := r.byName[name]; ok {
			base.ControlMarks = append(base.ControlMarks, i)
			base.ControlAt = append(base.ControlAt, r.source(fmt.Sprintf("base.control_marks[%d]", n)))
		}
	}
	r.p.Survey.Base = base
}

func (r *resolver) receiver() {
	in := r.m.Receiver
	out := Receiver{
		Source:        r.source("receiver"),
		FixIntervalMS: in.FixRate.CeilPeriodMS(),
		LatencyMS:     in.Latency.CeilMS(),
		FixedStdMM:    in.Uncertainty.Fixed.Millimetres(),
		FloatStdMM:    or(in.Uncertainty.Float, 0).Millimetres(),
		Required:      in.Required,
	}
	out.StdMM = out.FixedStdMM
	if in.Required == board.QualityFloat {
		// A fix that is good enough may be of either kind: the worse counts.
		out.StdMM = max(out.FixedStdMM, out.FloatStdMM)
		if out.FloatStdMM == 0 {
			r.gap("receiver.uncertainty", "that of a float solution is not known") // the parser reports it
		}
	}
	out.StaleAfterMS = out.UsualStaleAfterMS()
	if in.StaleAfter != nil {
		out.StaleAfterMS = in.StaleAfter.MS()
	}
	r.p.Machine.Receiver = out
}

func (r *resolver) rover() {
	in := r.m.Rover
	antenna := or(in.Antenna, spec.Antenna{}) // above the middle
	out := Rover{
		Source:  r.source("rover"),
		WidthMM: in.Width.CeilMM(), LengthMM: in.Length.CeilMM(),
		CruiseMMPerS: in.Speed.Cruise.MMPerSecond(), MinimumMMPerS: in.Speed.Minimum.MMPerSecond(),
		TurnRadiusMM: in.TurnRadius.CeilMM(), CrossTrackMM: in.CrossTrack.CeilMM(), TurningCentreMM: or(in.TurningCentre, 0).MM(),
		MotorLagMS: or(in.MotorLag, 0).CeilMS(), HeadingStdDeg: or(in.Heading, 0).Degrees(), TiltDeg: or(in.Tilt, 0).Degrees(),
		AntennaForwardMM: antenna.Forward.MM(), AntennaRightMM: antenna.Right.MM(), AntennaHeightMM: antenna.Height.CeilMM(),
		HasCompass: in.Compass != nil, CompassFromAntennaMM: or(in.Compass, spec.Compass{}).FromAntenna.MM(),
	}
	// The speed that a coast was measured from is rounded down: the coast from a given
	// speed comes out longer so.
	// Those of the commissioning come behind, and count alike.
	out.Coast = append(coastOf(in.Coast), r.p.Commissioning.Coast...)
	r.p.Machine.Rover = out
	r.body()
}

func coastOf(runs []spec.Coast) motion.Coast {
	var coast motion.Coast
	for _, run := range runs {
		coast = append(coast, motion.Run{FromMMPerS: int64(run.From) / 1000, DistanceMM: run.Distance.CeilMM(), Fall: run.Downhill.Fraction()})
	}
	return coast
}

// midnight is that with which a day begins, UTC.
func midnight(d spec.Date) time.Time {
	return time.Date(d.Year, time.Month(d.Month), d.Day, 0, 0, 0, 0, time.UTC)
}

func (r *resolver) tapes() {
	for i, t := range r.m.Tape {
		from, ok1 := r.byName[t.From]
		to, ok2 := r.byName[t.To]
		if !ok1 || !ok2 {
			continue
		}
		a, b := r.p.Survey.Marks[from], r.p.Survey.Marks[to]
		places := 0.0
		if a.Measured.Form.FromOthers() || b.Measured.Form.FromOthers() {
			places = r.nets.net.Between(r.place(from), r.place(to))
		}
		rise := b.Placed.HeightM - a.Placed.HeightM
		ground := geodesy.GroundDistance(a.Placed, b.Placed, (a.Placed.HeightM+b.Placed.HeightM)/2)
		r.p.Survey.Tapes = append(r.p.Survey.Tapes, Tape{
			Source: r.source(fmt.Sprintf("tape[%d]", i)), From: from, To: to,
			MeasuredMM: t.Measured.Millimetres(), StdMM: t.Uncertainty.Millimetres(),
			SetupsStdMM: r.p.betweenStdMM(from, to), PlacesStdMM: places,
			GroundMM: ground * 1000, SlopeMM: elementary.Hypot(ground, rise) * 1000,
		})
	}
}
