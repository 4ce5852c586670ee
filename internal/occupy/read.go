// The fixes of a log: which are kept, and what is counted of the others. Memory is bounded:
// of a longer log every second fix is kept, then every fourth, and so on, evenly over all of
// it; what is counted is counted of all.
package occupy

import (
	"errors"
	"io"
	"slices"
	"time"

	"merestone/internal/elementary"
	"merestone/internal/geodesy"
	"merestone/internal/nmea"
	"merestone/internal/source"
	"merestone/internal/words"
)

// Log is what was read of a log.
type Log struct {
	Name   string
	Digest string // SHA-256 of its bytes, in hexadecimal
	Counts nmea.Counts
	// Fixes are counted in the part of the day that was asked for, Qualities by their
	// quality.
	Fixes     int64
	Qualities [qualities]int64
	// Every is which fixes are kept of those that are accepted: 1 all, 2 every second.
	Every int64
	// EndsEarly says that the log is packed and its end is missing.
	EndsEarly bool
	// AtOnce are accepted fixes of the time of another, Elsewhere those of them that are at
	// another place, the first of them at ElsewhereAt.
	AtOnce, Elsewhere int64
	ElsewhereAt       time.Time
	// Older are accepted fixes that are older than one before them, beside those at once: parts
	// leaves them out.
	Older int64
	fixes []fix
}

// recent are how many times are looked through for that of a fix: a logger that collects what
// two receivers write may have a few epochs of the one before those of the other.
const recent = 8

// qualities is how many there are.
const qualities = nmea.Simulated + 1

// mostFixes is how many fixes of a log are kept, 10 MB of them.
const mostFixes = 1 << 17

// fix is a fix that may be used.
type fix struct {
	at                       time.Time
	latitude, longitude      geodesy.Nanodegree
	heightMM                 int64
	eastStd, northStd, upStd float32
	hdop                     float32
	age                      time.Duration
	satellites               int16
	hasHeight, dated         bool
	quality                  nmea.Quality
}

// ReadLog reads a log to its end, or to where one that is packed breaks off. Its errors are
// those of reading.
func ReadLog(name string, fixes Fixes, o Options) (*Log, error) {
	l := &Log{Name: name, Every: 1}
	accepted := int64(0)
	var firsts [recent]nmea.Fix // of their times
	var latest time.Time
	for {
		f, err := fixes.Next()
		if errors.Is(err, io.EOF) {
			return l, nil
		}
		var early source.EndsEarly
		if errors.As(err, &early) {
			l.EndsEarly = true
			return l, nil
		}
		if err != nil {
			return nil, err
		}
		if !o.within(f.At) {
			continue
		}
		l.Fixes++
		if f.Quality < qualities {
			l.Qualities[f.Quality]++
		}
		if !slices.Contains(o.Accept, f.Quality) {
			continue
		}
		if i := slices.IndexFunc(firsts[:min(accepted-l.AtOnce, recent)], func(one nmea.Fix) bool { return one.At.Equal(f.At) }); i >= 0 {
			l.AtOnce++
			if distanceMM(firsts[i], f) > stillMM {
				if l.Elsewhere == 0 {
					l.ElsewhereAt = f.At
				}
				l.Elsewhere++
			}
		} else {
			firsts[(accepted-l.AtOnce)%recent] = f
			if f.At.Before(latest) {
				l.Older++
			} else {
				latest = f.At
			}
		}
		if accepted%l.Every == 0 {
			l.keep(f)
		}
		accepted++
	}
}

// distanceMM is that of two fixes on a sphere, which is good to half a percent.
func distanceMM(a, b nmea.Fix) float64 {
	const radiusMM = 6.371e9
	_, cos := elementary.Sincos(a.Latitude.Radians())
	return radiusMM * elementary.Hypot((a.Latitude-b.Latitude).Radians(), cos*(a.Longitude-b.Longitude).Radians())
}

// others are the fixes of qualities that are not accepted, in words.
func (l *Log) others(accept []nmea.Quality) []string {
	var parts []string
	for q, n := range l.Qualities {
		if name := QualityName(nmea.Quality(q)); n > 0 && !slices.Contains(accept, nmea.Quality(q)) {
			parts = append(parts, words.Count(int(n), name+" fix", name+" fixes"))
		}
	}
	return parts
}

// accepted is how many fixes are of qualities that are accepted.
func (l *Log) accepted(accept []nmea.Quality) (n int64) {
	for _, q := range accept {
		n += l.Qualities[q]
	}
	return n
}

// within says whether a fix is in the part of the day that is asked for.
func (o Options) within(at time.Time) bool {
	if o.From == o.Until {
		return true
	}
	at = at.UTC()
	midnight := time.Date(at.Year(), at.Month(), at.Day(), 0, 0, 0, 0, time.UTC)
	since := at.Sub(midnight)
	if o.From < o.Until {
		return since >= o.From && since <= o.Until
	}
	return since >= o.From || since <= o.Until
}

// keep keeps a fix, and thins out what is kept where there is no room.
func (l *Log) keep(f nmea.Fix) {
	if len(l.fixes) == mostFixes {
		for i := range mostFixes / 2 {
			l.fixes[i] = l.fixes[2*i]
		}
		l.fixes = l.fixes[:mostFixes/2]
		l.Every *= 2
	}
	l.fixes = append(l.fixes, fix{
		at: f.At, latitude: f.Latitude, longitude: f.Longitude, heightMM: f.HeightMM,
		eastStd: float32(f.EastStdMM), northStd: float32(f.NorthStdMM), upStd: float32(f.UpStdMM),
		hdop: float32(f.HDOP), age: f.Age, satellites: int16(min(max(f.Satellites, -1), 1000)),
		hasHeight: f.HasHeight, dated: f.Dated, quality: f.Quality,
	})
}

// parts are the stays on the mark: a gap of more than apart ends one. A fix that is older
// than the one before is left out.
func (l *Log) parts() [][]fix {
	var parts [][]fix
	var part []fix
	for _, f := range l.fixes {
		if n := len(part); n > 0 {
			switch since := f.at.Sub(part[n-1].at); {
			case since <= 0:
				continue
			case since > apart:
				parts = append(parts, part)
				part = nil
			}
		}
		part = append(part, f)
	}
	if len(part) > 0 {
		parts = append(parts, part)
	}
	return parts
}
