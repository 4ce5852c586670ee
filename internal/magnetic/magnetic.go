// Package magnetic gives the direction of the earth's magnetic field, so that a
// true bearing can be turned into the magnetic one that a compass shows.
//
// The field is that of the World Magnetic Model 2025 (WMM2025), made by the US
// National Centers for Environmental Information and the British Geological
// Survey and valid from 2025.0 to 2030.0. This file is the package's surface:
// ask At for a place and a date, get a Field. coefficients.go reads the model's
// numbers (WMM.COF, see README.md for where they come from), synthesis.go sums
// the spherical harmonics, year.go turns a date into a decimal year.
//
// The model is of the field that the earth's core makes. Magnetic rock, steel,
// power cables and antenna magnets near the compass are not in it, and can each
// turn a needle by far more than the uncertainty given here.
package magnetic

import (
	"fmt"
	"math"
	"time"

	"merestone/internal/elementary"
)

// The horizontal field, in nanotesla, below which the makers of the model warn
// against the compass: WMM2025 technical report, section 1.8 (the figures were
// read in several public implementations that cite the report, not in the
// report itself).
const (
	BlackoutHorizontalNT = 2000 // below: declination inaccurate, compass unreliable
	CautionHorizontalNT  = 6000 // below, down to blackout: compass may err
)

// The heights that the model covers, above the WGS 84 ellipsoid: WMM2025
// technical report, as quoted in public documentation of implementations.
const (
	minHeightM = -1_000
	maxHeightM = 850_000
)

// The model's error of declination, one standard deviation in degrees:
//
//	sqrt(0.26² + (5417/H)²), H in nT
//
// WMM2025 technical report, section 3.4, equation 43 (read in several public
// implementations that cite it and agree, not in the report itself; WMM2020 had
// 5625). It covers the error of the coefficients, of their forecast to 2030, and
// an average of the field of rocks and of disturbances, which the model leaves
// out. It says nothing of iron near the compass.
const (
	declinationErrorDeg = 0.26
	declinationErrorNT  = 5417
)

// Field is the magnetic field at one place and date.
type Field struct {
	// DeclinationDeg is the angle from true to magnetic north, positive when
	// magnetic north lies east, -180 to 180 degrees.
	DeclinationDeg float64
	// InclinationDeg is the angle of the field below the horizontal, positive
	// down, -90 to 90 degrees.
	InclinationDeg float64
	// HorizontalNT is the strength of the horizontal part, which turns the
	// compass needle; TotalNT that of the whole field. Nanotesla.
	HorizontalNT, TotalNT float64
	// DeclinationUncertaintyDeg is one standard deviation of DeclinationDeg by
	// the model's own error formula, at most 180 degrees.
	DeclinationUncertaintyDeg float64
	// AnnualChangeDeg is how much DeclinationDeg grows in a year, in degrees.
	AnnualChangeDeg float64
}

// At returns the field at a geodetic position on WGS 84 (latitude -90 to 90 and
// longitude -180 to 360 degrees, height -1 to 850 km above the ellipsoid, given
// in metres) at a date, which is read in UTC.
//
// It returns a *DateError for a date outside the model's validity, and a plain
// error for a position that is not finite or outside those limits.
func At(latitudeDeg, longitudeDeg, heightM float64, date time.Time) (Field, error) {
	year := decimalYear(date)
	if year < validFromYear || year >= validUntilYear {
		return Field{}, &DateError{Date: date}
	}
	return atYear(latitudeDeg, longitudeDeg, heightM, year)
}

// atYear is At for a decimal year, as the model's published test values give it.
func atYear(latitudeDeg, longitudeDeg, heightM, year float64) (Field, error) {
	for _, input := range []struct {
		name, unit      string
		value, min, max float64
	}{
		{"latitude", "deg", latitudeDeg, -90, 90},
		{"longitude", "deg", longitudeDeg, -180, 360},
		{"height", "m", heightM, minHeightM, maxHeightM},
	} {
		// Written so that a NaN, which compares false with everything, is refused.
		if !(input.value >= input.min && input.value <= input.max) {
			return Field{}, fmt.Errorf("%s %v %s is not between %v and %v %s",
				input.name, input.value, input.unit, input.min, input.max, input.unit)
		}
	}
	model, err := embeddedModel()
	if err != nil {
		return Field{}, err
	}
	now, rate := model.field(latitudeDeg*math.Pi/180, longitudeDeg*math.Pi/180, heightM, year)
	return elements(now, rate), nil
}

// elements turns the field vector and its yearly change into the angles and
// strengths of a Field: WMM technical report, section 1.2.
func elements(now, rate vector) Field {
	horizontal := elementary.Hypot(now.north, now.east)
	uncertainty := elementary.Hypot(declinationErrorDeg, declinationErrorNT/horizontal)
	field := Field{
		DeclinationDeg:            elementary.Atan2(now.east, now.north) * 180 / math.Pi,
		InclinationDeg:            elementary.Atan2(now.down, horizontal) * 180 / math.Pi,
		HorizontalNT:              horizontal,
		TotalNT:                   elementary.Hypot(horizontal, now.down),
		DeclinationUncertaintyDeg: math.Min(uncertainty, 180),
	}
	// On a magnetic pole the needle points anywhere; a rate would be 0/0.
	if horizontal > 0 {
		field.AnnualChangeDeg = (float64(now.north*rate.east) - float64(now.east*rate.north)) /
			(horizontal * horizontal) * 180 / math.Pi
	}
	return field
}

// MagneticBearingDeg is the bearing that a compass shows along a true bearing,
// both in degrees clockwise from north: true minus declination, 0 or more and
// less than 360.
func (f Field) MagneticBearingDeg(trueBearingDeg float64) float64 {
	bearing := math.Mod(trueBearingDeg-f.DeclinationDeg, 360)
	if bearing < 0 {
		bearing += 360
	}
	// A negative bearing smaller than a float's spacing at 360 rounds up to it.
	if bearing >= 360 {
		bearing = 0
	}
	return bearing
}

// Zone says how far a compass can be trusted.
type Zone int

// The zones, by horizontal field.
const (
	Reliable Zone = iota // CautionHorizontalNT and above
	Caution              // BlackoutHorizontalNT up to CautionHorizontalNT
	Blackout             // below BlackoutHorizontalNT
)

// String returns "reliable", "caution" or "blackout".
func (z Zone) String() string {
	switch z {
	case Reliable:
		return "reliable"
	case Caution:
		return "caution"
	case Blackout:
		return "blackout"
	}
	return fmt.Sprintf("Zone(%d)", int(z))
}

// Zone returns the zone that the field's horizontal strength falls in.
func (f Field) Zone() Zone {
	switch {
	case f.HorizontalNT < BlackoutHorizontalNT:
		return Blackout
	case f.HorizontalNT < CautionHorizontalNT:
		return Caution
	}
	return Reliable
}
