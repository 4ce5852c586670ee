// The fixes of a receiver's log (NMEA 0183) as one track: where somebody walked. Only fixed
// solutions are taken, since others are decimetres off.
package interchange

import (
	"bytes"
	"errors"
	"fmt"
	"io"

	"merestone/internal/geodesy"
	"merestone/internal/nmea"
	"merestone/internal/quantity"
	"merestone/internal/words"
)

func (r *reading) log() error {
	if r.opt.Separation != nil || r.opt.Swapped || r.opt.Zone != nil {
		return fault(0, "it is a receiver's log, which says itself what its numbers are: --separation, --swap and --utm are for other files")
	}
	r.data.Format, r.data.Fixed = "receiver's log (NMEA 0183)", true
	fixes := nmea.NewReader(bytes.NewReader(r.text))
	walk := Path{Form: Track, Line: 1}
	all := 0
	for {
		fix, err := fixes.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return fault(0, "%v", err)
		}
		all++
		if fix.Quality != nmea.Fixed {
			continue
		}
		if err := r.point(0); err != nil {
			return err
		}
		p := Point{
			Line:      1,
			Latitude:  geodesy.Coordinate{Value: fix.Latitude, Resolution: 1},
			Longitude: geodesy.Coordinate{Value: fix.Longitude, Resolution: 1},
		}
		if fix.HasHeight {
			height := quantity.Length(fix.HeightMM) * quantity.Millimetre
			p.Height = &height
		}
		walk.Points = append(walk.Points, p)
	}
	note := func(format string, args ...any) { r.data.Notes = append(r.data.Notes, fmt.Sprintf(format, args...)) }
	if refusals := fixes.Counts().Refusals(); refusals != "" {
		note("sentences that are not read: %s", refusals)
	}
	if same := fixes.Counts().Remarks[nmea.SameTime]; same.Count > 0 {
		note("%s at the time of another (first in line %d): the track goes to and fro between two receivers, if there are two in the log", words.Count(int(same.Count), "fix", "fixes"), same.Line)
	}
	if len(walk.Points) == 0 {
		return fault(0, "it is a receiver's log, and none of its %s is a fixed solution", words.Count(all, "fix", "fixes"))
	}
	if others := all - len(walk.Points); others > 0 {
		note("%s of another quality than fixed: left out", words.Count(others, "fix", "fixes"))
	}
	note("minutes of the log are rounded to nine decimals of a degree, half to even; heights are above the ellipsoid, the log's altitude and separation together")
	return r.add(walk)
}
