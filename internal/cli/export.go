// merestone export: a mission as a drawing for other programs.
package cli

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"merestone/gen"
	"merestone/internal/diag"
	"merestone/internal/export"
	"merestone/internal/words"
)

func (a app) exportCommand() *cobra.Command {
	var format, out string
	c := &cobra.Command{
		Use:   "export MISSION --format FORMAT [-o FILE]",
		Short: "draw a mission for maps and other programs",
		Long: `Writes the mission file MISSION (- for standard input) as a drawing: its
marks, route, boundary and obstacles, the room that each leg needs free of
the fence (standoff), and where the drive is cut before a stop.

The formats:

  geojson  RFC 7946, with heights, which are above the ellipsoid there
  gpx      GPX 1.1: marks and cuts as waypoints, rings as closed tracks
  kml      KML 2.2, a folder for each kind
  csv      the marks alone, as a marks_file has them
  dxf      release 12: metres east and north of the origin, a layer for each
           kind
  wkt      a table with a geometry as well-known text in each row

Coordinates are exact: they read back, by 'merestone import', to the same
millimetres. Circles and standoffs are polygons around what they stand for,
never within it. What a format has no place for is told on standard error.
The digest of the plan and the cautions stand in each file.

Of a refused mission marks, route and fence are drawn, for what is wrong to
be seen, and the file says that it is refused; standoffs and cuts are not,
since nothing is proved of them. One that cannot be read far enough to have
a plan is not drawn.

Without -o, or with -o -, the drawing goes to standard output. FILE ends in
the name of the format (json will do for geojson, csv and txt for wkt), and
is replaced only where it is such a drawing, from which the mission was not
read.`,
		Annotations: map[string]string{exitNote: `0   drawn
1   the mission is refused: the drawing says so, or there is none
2   bad usage, or a file that cannot be read or written`},
		Example: `  merestone export mission.yaml --format geojson -o mission.geojson
  merestone export mission.yaml --format kml | less`,
		Args:              oneMission(),
		ValidArgsFunction: completeFiles(missionEndings()),
		PreRunE: func(_ *cobra.Command, args []string) error {
			return exportFault(format, out)
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.export(args[0], format, out) },
	}
	c.Flags().StringVar(&format, "format", "", "`FORMAT` is geojson, gpx, kml, csv, dxf or wkt")
	mustCompleteFlag(c, "format", cobra.FixedCompletions(export.Formats(), cobra.ShellCompDirectiveNoFileComp))
	c.Flags().StringVarP(&out, "output", "o", "", "write to `FILE`; - for standard output")
	return c
}

// exportFault says in what way the command line asks for what cannot be. The ending is
// looked at since -o mission.yaml by mistake would replace the mission.
func exportFault(format, out string) error {
	endings := []string{"." + format}
	switch format {
	case "geojson":
		endings = append(endings, ".json")
	case "wkt":
		endings = append(endings, ".csv", ".txt")
	}
	switch {
	case format == "":
		return fmt.Errorf("--format is missing: %s", words.And(export.Formats()))
	case !slices.Contains(export.Formats(), format):
		return fmt.Errorf("there is no format %q; the formats are %s", format, words.And(export.Formats()))
	case out != "" && out != "-" && !slices.Contains(endings, strings.ToLower(filepath.Ext(out))):
		return fmt.Errorf("-o names a drawing, so it must end in %s, but is %q", endings[0], out)
	}
	return nil
}

func (a app) export(path, format, out string) error {
	mission, err := a.load(path)
	if err != nil {
		return err
	}
	refused := mission.Refused()
	if refused {
		if err := diag.WriteText(a.err, mission.Findings, mission.Sources, a.errOn); err != nil {
			return err
		}
		if mission.Plan == nil {
			return a.refused(mission, "there is nothing to draw")
		}
	}
	drawing, err := export.Of(mission.Plan, refused)
	if err != nil {
		return fmt.Errorf("%s: %w", mission.Name, err)
	}
	text, lost, err := export.Write(drawing, format)
	if err != nil {
		return fmt.Errorf("cannot draw %s: %w", mission.Name, err)
	}
	for _, what := range lost {
		if err := say(a.err, "%s: %s", format, what); err != nil {
			return err
		}
	}
	if out == "" || out == "-" {
		_, err = a.data.Write(text)
	} else if err = cmp.Or(notRead(out, mission.Files()), own(out, "drawing of "+tool, export.IsDrawing)); err == nil {
		_, err = a.place(filepath.Dir(out), []gen.File{{Name: filepath.Base(out), Data: text}})
	}
	if err != nil {
		return err
	}
	if refused {
		return a.refused(mission, "it is drawn without what was not proved")
	}
	return nil
}
