package guidance

// The limits that the C header's overflow arguments rest on, checked for a whole
// mission. Each test names the argument that it serves.

import (
	"errors"
	"fmt"
	"strings"

	"merestone/internal/board"
	"merestone/internal/planar"
)

// Validate checks everything that the board takes for granted. A mission it
// accepts cannot make the board's arithmetic overflow or read beyond a table,
// whatever the inputs. All errors come joined.
func (m *Mission) Validate() error {
	errs := []error{m.Record.check(), m.Rover.Check(), checkHolds(m.Holds)}
	if _, err := m.Conversion.trace(); err != nil {
		errs = append(errs, err)
	}
	if s := m.Conversion.EastShift; s < 1 || s > 31 {
		errs = append(errs, fmt.Errorf("conversion: east shift %d", s))
	}
	if s := m.Conversion.NorthShift; s < 1 || s > 31 {
		errs = append(errs, fmt.Errorf("conversion: north shift %d", s))
	}
	errs = append(errs, m.checkLegs())
	errs = append(errs, m.Fence.check())
	return errors.Join(errs...)
}

func (r *Record) check() error {
	switch {
	case r.Format != RecordFormat:
		return fmt.Errorf("record: format %d, it must be %d", r.Format, RecordFormat)
	case len(r.Mission) >= board.MissionNameSize || strings.ContainsRune(r.Mission, 0):
		return fmt.Errorf("record: the mission's name must have less than %d bytes, none of them zero", board.MissionNameSize)
	case len(r.Tool) >= board.ToolSize || strings.ContainsRune(r.Tool, 0):
		return fmt.Errorf("record: the tool's version must have less than %d bytes, none of them zero", board.ToolSize)
	}
	return nil
}

// Check names the member that makes no sense or is beyond what the board's arithmetic
// was proved for.
func (r *Rover) Check() error {
	reaction := int(r.LatencyMS) + int(r.StaleAfterMS) + int(r.LoopMS) + int(r.OutputDelayMS)
	switch {
	case r.CoastTopMMPerS == 0:
		return errors.New("rover: a coast from 0 mm/s")
	case r.CoastTopSquareQ32 > maxCoastSquareQ32 || r.CoastTopLinearQ16 > 1<<30: // mere_stopping_mm
		return errors.New("rover: the coast is too long")
	case r.LoopMS == 0:
		return errors.New("rover: a loop time of 0 ms would stop the drive at once")
	case r.FixIntervalMS == 0 || r.StaleAfterMS < r.FixIntervalMS:
		return fmt.Errorf("rover: fixes come every %d ms and would be stale after %d ms", r.FixIntervalMS, r.StaleAfterMS)
	case reaction > board.MaxMS: // mere_travel_mm multiplies it with a speed of up to 65535
		return fmt.Errorf("rover: latency, staleness, loop and output delay add up to %d ms, more than %d", reaction, board.MaxMS)
	case r.ResetPressMS > 60_000: // mere_press counts up to 65534
		return fmt.Errorf("rover: a reset press of %d ms is longer than a minute", r.ResetPressMS)
	case r.ReleaseMS > board.MaxHoldMS: // mere_contact_stops counts up to 65535
		return fmt.Errorf("rover: a release of %d ms is longer than a minute", r.ReleaseMS)
	case r.CoastUnitMM == 0 || r.CoastUnitMM > maxCoastUnitMM: // mere_coast_mm multiplies with it
		return fmt.Errorf("rover: a unit of %d mm for coasts", r.CoastUnitMM)
	case r.DwellUnitMS == 0:
		return errors.New("rover: no unit for dwells")
	case r.LookAheadMM == 0:
		return errors.New("rover: no look-ahead to steer by")
	case r.MaxShiftMM > board.MaxShiftMM:
		return fmt.Errorf("rover: a site shift of up to %d mm, more than %d", r.MaxShiftMM, board.MaxShiftMM)
	case r.RequiredQuality < board.QualityStandalone || r.RequiredQuality > board.QualityFixed:
		return fmt.Errorf("rover: required quality %d", r.RequiredQuality)
	}
	return nil
}

// checkLegs checks the table of legs and the waypoint that closes it.
func (m *Mission) checkLegs() error {
	n := len(m.Legs) - 1
	if n < 1 || n > board.MaxLegs {
		return fmt.Errorf("%d legs; it must be 1 to %d", max(n, 0), board.MaxLegs)
	}
	var errs []error
	for i := range n {
		if err := m.Legs[i].check(m.Legs[i+1], &m.Rover); err != nil {
			errs = append(errs, fmt.Errorf("leg %d: %w", i+1, err))
		}
	}
	first, last := m.Legs[0], m.Legs[n]
	if last.Dwell == PassThrough {
		errs = append(errs, errors.New("the last leg does not stop at its end"))
	}
	if want := (Leg{EastMM: last.EastMM, NorthMM: last.NorthMM, ToleranceMM: last.ToleranceMM, Dwell: last.Dwell}); last != want {
		errs = append(errs, errors.New("the last waypoint's entry is that of a leg"))
	}
	if m.Closed && (first.EastMM != last.EastMM || first.NorthMM != last.NorthMM) {
		errs = append(errs, errors.New("a closed route ends where it does not start"))
	}
	return errors.Join(errs...)
}

func (l *Leg) check(next Leg, r *Rover) error {
	want, err := NewLeg(planar.Point{E: int64(l.EastMM), N: int64(l.NorthMM)}, planar.Point{E: int64(next.EastMM), N: int64(next.NorthMM)})
	switch {
	case err != nil:
		return err
	case l.UnitEastQ30 != want.UnitEastQ30 || l.UnitNorthQ30 != want.UnitNorthQ30:
		return errors.New("the direction does not belong to its ends")
	case l.SpeedMMPerS == 0 || l.SpeedMMPerS > board.MaxSpeedMMPerS: // mere_coast_square divides by it
		return fmt.Errorf("a speed of %d mm/s; it must be 1 to %d", l.SpeedMMPerS, board.MaxSpeedMMPerS)
	case l.JoinCrossMM < r.CrossTrackMM:
		return errors.New("less allowed before the line is joined than after")
	}
	return nil
}

func checkHolds(holds []Hold) error {
	if len(holds) > board.MaxHolds {
		return fmt.Errorf("%d hold contacts, more than %d", len(holds), board.MaxHolds)
	}
	for i, h := range holds {
		var err error
		switch {
		case h.Kind > board.Interlock:
			err = fmt.Errorf("kind %d", h.Kind)
		case h.RunLevel > 1:
			err = fmt.Errorf("run level %d", h.RunLevel)
		case h.Kind == board.EmergencyStop && !h.Latched:
			err = errors.New("an emergency stop that is not latched")
		case h.DebounceMS > board.MaxHoldMS || h.FilterMS > board.MaxHoldMS || h.DiscrepancyMS > board.MaxHoldMS: // mere_count_up counts to 65533
			err = errors.New("a debounce, filter or discrepancy time of more than a minute")
		case h.TwoChannels && (i%2 != 0 || i+1 == len(holds)):
			err = errors.New("the first of two channels at an odd index, or without a second")
		case h.TwoChannels && (holds[i+1].Kind != h.Kind || holds[i+1].Latched != h.Latched):
			err = errors.New("two channels that differ in kind or latching")
		case h.TwoChannels && h.DiscrepancyMS == 0:
			err = errors.New("two channels without a discrepancy time")
		}
		if err != nil {
			return fmt.Errorf("hold contact %d (pin %d): %w", i+1, h.Pin, err)
		}
	}
	return nil
}
