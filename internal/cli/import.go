// merestone import: what other programs know of a site, as marks, a route and rings.
package cli

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"merestone/internal/diag"
	"merestone/internal/geodesy"
	"merestone/internal/insert"
	"merestone/internal/interchange"
	"merestone/internal/plan"
	"merestone/internal/quantity"
	"merestone/internal/source"
	"merestone/internal/words"
	"merestone/spec"
)

// importFlags are what the command line says beside the file.
type importFlags struct {
	as, only, zone, separation, uncertainty, into string
	within, offset, gap                           string
	ellipsoidal, swap, dry                        bool
}

func (a app) importCommand() *cobra.Command {
	var f importFlags
	c := &cobra.Command{
		Use:   "import FILE [--as USE] [--only NAME] [--into MISSION [--dry-run]]",
		Short: "take marks, a route or rings from other programs' files",
		Long: `Reads FILE (- for standard input) and prints what it holds as lines of a
mission: marks, and a route, a boundary and obstacles made of them. What is
read is told by what is in the file:

  a table (CSV)  named points; columns by their names, separated by commas,
                 semicolons, tabs, bars or blanks; decimal points or commas
  GeoJSON        RFC 7946: points, lines, polygons
  GPX 1.1        waypoints, routes, tracks
  KML 2.2        placemarks with points, lines, polygons
  NMEA 0183      a receiver's log: its fixed solutions, as one track

Any of them may be packed by gzip.

Before it, standard error gets what was found and everything that was
assumed, left out or rounded, and what became of names that a mission cannot
have. Coordinates go from their digits to nanodegrees exactly.

Points become marks. Lines and polygons become what --as says: the boundary,
obstacles, the route, or marks alone; a route of GPX is the route, and what
'merestone export' wrote is read back as what it was. --only NAME takes one
line or polygon alone. A corner on a mark of the file is that mark. Marks
without an uncertainty of their own get what --uncertainty says, if it does.

Heights of a mission are above the ellipsoid. Those above the sea (GPX, KML)
and those of which nobody says above what are left out, unless --separation
says how high the geoid is above the ellipsoid there, or --ellipsoidal that
they are above the ellipsoid whatever the format says.

Metres of a map grid are refused unless they are of the UTM grid on WGS 84
and --utm says the zone: 33N, or 33S south of the equator. Other grids and
other datums are not converted here.

--within LENGTH thins lines and polygons: a track walked along an edge is
made a ring of few corners, a boundary inside of what was walked and an
obstacle outside, by what the fixes do not know (--uncertainty, or of a log
receiver.uncertainty.fixed of the mission; at its confidence, 95 % without
--into); how much ground that gives up is told. --offset says how far from
the edge, on the safe side, the antenna was carried, --gap how far apart the
ends of a ring may be.

With --into MISSION the lines are entered into that file, with its comments
and order kept; the changes are shown first, and with --dry-run only shown.
Names that the mission has already are numbered. Corners of its boundary
that are gaps, and nothing else, are filled by those of a new boundary.

FILE has at most 64 MB and 250,000 points; archives (KMZ), other encodings
than UTF-8, and XML with a document type are refused. docs/interchange.md
says what is read of each format.`,
		Annotations: map[string]string{exitNote: `0   taken
2   bad usage, or a file that cannot be read, or not be taken as it is`},
		Example: `  merestone import points.csv > marks.yaml
  merestone import field.kml --as boundary --into mission.yaml --dry-run
  merestone import walk.nmea --as route --within 10cm --uncertainty 2cm
  merestone import grid.csv --utm 33N --separation "47.20 m"`,
		Args:              arguments(1, 1, "FILE is missing: a table, GeoJSON, GPX, KML or a log, or - for standard input", "one file at a time, but there are %d: %q"),
		ValidArgsFunction: completeFiles([]string{"csv", "txt", "geojson", "json", "gpx", "kml", "nmea", "gz"}),
		PreRunE: func(c *cobra.Command, _ []string) error {
			if f.within == "" && (c.Flags().Changed("offset") || c.Flags().Changed("gap")) {
				return errors.New("--offset and --gap go with --within")
			}
			return f.fault()
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.importFile(args[0], f) },
	}
	c.Flags().StringVar(&f.as, "as", "", "`USE` of lines: boundary, obstacle, route, marks")
	mustCompleteFlag(c, "as", cobra.FixedCompletions(interchange.Uses(), cobra.ShellCompDirectiveNoFileComp))
	c.Flags().StringVar(&f.only, "only", "", "take the line or polygon called `NAME` alone")
	c.Flags().StringVar(&f.zone, "utm", "", "places are metres of this `ZONE` of UTM on WGS 84")
	c.Flags().StringVar(&f.separation, "separation", "", "heights are above the sea, it is `HEIGHT` high")
	c.Flags().BoolVar(&f.ellipsoidal, "ellipsoidal", false, "heights are above the ellipsoid")
	c.Flags().BoolVar(&f.swap, "swap", false, "latitude and longitude are in each other's place")
	c.Flags().StringVar(&f.uncertainty, "uncertainty", "", "`LENGTH` is that of marks without their own")
	c.Flags().StringVar(&f.within, "within", "", "thin lines and polygons, within `LENGTH` of them")
	c.Flags().StringVar(&f.offset, "offset", "0 m", "antenna `LENGTH` from the edge")
	c.Flags().StringVar(&f.gap, "gap", "2 m", "ends of a ring `LENGTH` apart")
	c.Flags().StringVar(&f.into, "into", "", "enter it into the file `MISSION`")
	c.Flags().BoolVar(&f.dry, "dry-run", false, "with --into: show the changes, and make none")
	return c
}

// fault says in what way the command line asks for what cannot be.
func (f importFlags) fault() error {
	_, err := f.options()
	switch {
	case err != nil:
		return err
	case f.as != "" && !slices.Contains(interchange.Uses(), f.as):
		return fmt.Errorf("--as says what lines and polygons are: %s, but is %q", words.And(interchange.Uses()), f.as)
	case f.ellipsoidal && f.separation != "":
		return errors.New("--ellipsoidal says that heights are above the ellipsoid, --separation that they are above the sea: say one of them")
	case f.dry && f.into == "":
		return errors.New("--dry-run goes with --into")
	case f.into == "-":
		return errors.New("standard input has no file that could be changed; name the file")
	}
	return nil
}

// said are the flags as what they say.
type said struct {
	interchange.Options
	uncertainty *quantity.Length // to be written for marks without their own
	walk        *interchange.Walk
}

// options reads the flags.
func (f importFlags) options() (s said, err error) {
	s.Ellipsoidal, s.Swapped = f.ellipsoidal, f.swap
	if f.zone != "" {
		zone, err := geodesy.ParseZone(f.zone)
		if err != nil {
			return s, fmt.Errorf("--utm: %w", err)
		}
		s.Zone = &zone
	}
	var within, offset, gap *quantity.Length
	for _, l := range []struct {
		flag, text string
		to         **quantity.Length
	}{
		{"--separation", f.separation, &s.Separation}, {"--uncertainty", f.uncertainty, &s.uncertainty},
		{"--within", f.within, &within}, {"--offset", f.offset, &offset}, {"--gap", f.gap, &gap},
	} {
		if l.text == "" {
			continue
		}
		value, err := quantity.Parse(l.text, quantity.Length(0).Dimension())
		if err != nil {
			return s, fmt.Errorf("%s: %w", l.flag, err)
		}
		if length := quantity.Length(value); l.flag == "--separation" || length >= 0 {
			*l.to = &length
			continue
		}
		return s, fmt.Errorf("%s is a length, and not below zero", l.flag)
	}
	if s.uncertainty != nil && *s.uncertainty == 0 {
		return s, errors.New("--uncertainty is one standard deviation, and above zero")
	}
	// The geoid is from 107 m below WGS 84 to 86 m above it (EGM2008, from memory). What lies
	// beyond that with some room is another number, such as a height.
	if s.Separation != nil && (s.Separation.Metres() > 150 || s.Separation.Metres() < -150) {
		return s, errors.New("--separation is how high the geoid is above the ellipsoid: from -110 to 90 m everywhere")
	}
	if within != nil {
		s.walk = &interchange.Walk{Within: *within, Factor: quantity.RadialFactor(plan.UsualConfidence)}
		if offset != nil {
			s.walk.Off = *offset
		}
		if gap != nil {
			s.walk.Gap = *gap
		}
	}
	return s, nil
}

func (a app) importFile(path string, f importFlags) error {
	o, err := f.options()
	if err != nil {
		return err
	}
	text, name, err := a.contents(path)
	if err != nil {
		return err
	}
	data, err := interchange.Read(text, o.Options)
	if err != nil {
		return within(name, err)
	}
	request := interchange.Request{As: interchange.Use(f.as), Only: f.only, Walk: o.walk}
	if f.into != "" {
		fixed, err := a.known(f.into, &request)
		if err != nil {
			return err
		}
		if o.uncertainty == nil && o.walk != nil && data.Fixed && fixed > 0 {
			o.uncertainty = &fixed
			data.Notes = append(data.Notes, fmt.Sprintf("fixes are uncertain by %s, as receiver.uncertainty.fixed of %s", fixed, f.into))
		}
	}
	// A route keeps within the tolerance of its track, whatever the fixes do not know.
	if o.walk != nil && (o.uncertainty != nil || request.As != interchange.AsRoute) {
		switch {
		case o.uncertainty != nil:
		case f.into != "" && data.Fixed:
			return fmt.Errorf("--within needs --uncertainty, by which a ring is to stay on the safe side of what was walked: %s has no receiver.uncertainty.fixed that says it", f.into)
		default:
			return errors.New("--within needs --uncertainty, by which a ring is to stay on the safe side of what was walked; of a log, --into MISSION says it, too")
		}
		o.walk.StdMM = o.uncertainty.Millimetres()
	}
	taken, err := interchange.Take(data, request)
	if err != nil {
		return within(name, err)
	}
	for _, line := range importReport(name, data, taken) {
		if err := say(a.err, "%s", line); err != nil {
			return err
		}
	}
	if f.into == "" {
		_, err = io.WriteString(a.data, taken.YAML(o.uncertainty))
		return err
	}
	if taken.Closed {
		if err := say(a.err, "  the route leads back to its beginning: that is not entered; write closed: true in route"); err != nil {
			return err
		}
	}
	return a.enter(f.into, changeOf(taken, o.uncertainty), f.dry)
}

// within is an error in a file, with its line as all places are written.
func within(name string, err error) error {
	var at *interchange.Fault
	if errors.As(err, &at) && at.Line > 0 {
		return fmt.Errorf("%s:%d: %s", name, at.Line, at.Message)
	}
	return fmt.Errorf("%s: %w", name, err)
}

// contents reads a file that is no mission, as far as is needed to see that it is too large.
func (a app) contents(path string) (text []byte, name string, err error) {
	if name = path; path == "-" {
		name = "<stdin>"
	}
	file, err := source.OpenData(path, a.in)
	if err != nil {
		return nil, "", err
	}
	defer file.Close()
	text, err = io.ReadAll(io.LimitReader(file, interchange.MaxBytes+1))
	return text, name, err
}

// known tells a request what the mission has already: its marks, its origin and its confidence.
// fixed is the uncertainty of its receiver's fixed solutions, zero where that is not known.
func (a app) known(path string, q *interchange.Request) (fixed quantity.Length, err error) {
	found, err := source.File(path, a.in)
	if err != nil {
		return 0, err
	}
	q.Corners = true // what is entered are rings
	parsed := spec.Parse(found.Path, found.Text, found.Open)
	m := parsed.Mission
	if m == nil {
		return 0, nil // entering says why
	}
	gaps := map[diag.Position]bool{} // their lines
	for _, f := range parsed.Findings {
		if f.Rule == "spec.gap" {
			gaps[diag.Position{File: f.At.File, Line: f.At.Line}] = true
		}
	}
	for _, mark := range m.Marks {
		open := q.As == interchange.AsBoundary && openCorner(m, mark, gaps)
		q.Has = append(q.Has, interchange.Known{Name: mark.Name, Surveyed: mark.Measured == nil && !open, Open: open, Latitude: mark.Latitude.Value, Longitude: mark.Longitude.Value})
	}
	if q.Walk != nil {
		origin := m.Site.Origin
		q.Walk.Origin = geodesy.Geodetic{Latitude: origin.Latitude.Value, Longitude: origin.Longitude.Value, HeightM: origin.Height.Metres()}
		if m.Confidence != nil {
			q.Walk.Factor = quantity.RadialFactor(m.Confidence.Fraction())
		}
	}
	return m.Receiver.Uncertainty.Fixed, nil
}

// openCorner says whether a mark is what a new boundary is for: a corner of the one that is there,
// of which nothing is known yet, and of nothing else. A gap that is a waypoint, too, or the middle
// of an obstacle, is a point of its own: that of whichever corner comes first is not meant.
func openCorner(m *spec.Mission, mark spec.Mark, gaps map[diag.Position]bool) bool {
	known := mark.Latitude.Resolution > 0 || mark.Longitude.Resolution > 0 || mark.Height != nil || mark.Uncertainty != nil || mark.Setup != "" || mark.SameAs != "" || mark.Measured != nil
	if known || !slices.Contains(m.Geofence.Boundary, mark.Name) {
		return false
	}
	for _, use := range m.Uses(mark.Name) {
		if !strings.HasPrefix(use, "geofence.boundary[") {
			return false
		}
	}
	at := m.Where(mark.Path + ".latitude") // of the mark, where all of it is left open
	return gaps[diag.Position{File: at.File, Line: at.Line}]
}

// importReport is what a person is to see before anything is taken.
func importReport(name string, data interchange.Data, taken interchange.Taken) []string {
	lines := []string{fmt.Sprintf("%s: %s: %s, %s", name, data.Format, words.Plural(len(data.Points), "point"), words.Count(len(data.Paths), "line or polygon", "lines and polygons"))}
	for _, note := range slices.Concat(data.Notes, taken.Notes) {
		lines = append(lines, "  "+note)
	}
	lines = append(lines, "  "+taken.Extent())
	const most = 20
	for i, r := range taken.Renamed {
		if i == most {
			lines = append(lines, fmt.Sprintf("  and %d more that are called otherwise than in the file", len(taken.Renamed)-most))
			break
		}
		switch {
		case r.From != "":
			lines = append(lines, fmt.Sprintf("  %q in line %d is called %q", r.From, r.Line, r.To))
		case r.Count == 1:
			lines = append(lines, fmt.Sprintf("  what has no name in line %d is called %q", r.Line, r.To))
		default:
			lines = append(lines, fmt.Sprintf("  %d without a name from line %d on are called %q to %q", r.Count, r.Line, r.To, r.Last))
		}
	}
	var what []string
	for _, part := range []struct {
		n     int
		words string
	}{
		{len(taken.Marks), words.Plural(len(taken.Marks), "mark")},
		{len(taken.Route), fmt.Sprintf("a route of %s", words.Plural(len(taken.Route), "waypoint"))},
		{len(taken.Boundary), fmt.Sprintf("a boundary of %s", words.Plural(len(taken.Boundary), "corner"))},
		{len(taken.Obstacles), words.Plural(len(taken.Obstacles), "obstacle")},
	} {
		if part.n > 0 {
			what = append(what, part.words)
		}
	}
	if len(what) == 0 {
		what = []string{"nothing that is new"}
	}
	return append(lines, "  taken: "+words.And(what))
}

// changeOf is what was taken, as it is entered into a mission.
func changeOf(taken interchange.Taken, uncertainty *quantity.Length) insert.Change {
	change := insert.Change{Boundary: taken.Boundary, Route: taken.Route}
	for _, m := range taken.Marks {
		mark := insert.Mark{Name: m.Name}
		for _, k := range m.Keys(uncertainty) {
			mark.Keys = append(mark.Keys, insert.Key{Name: k.Name, Text: k.Text})
		}
		change.Marks = append(change.Marks, mark)
	}
	for _, o := range taken.Obstacles {
		change.Obstacles = append(change.Obstacles, insert.Obstacle{Name: o.Name, Ring: o.Ring})
	}
	return change
}
