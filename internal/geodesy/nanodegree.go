// Package geodesy holds what merestone knows of the figure of the Earth: the
// WGS 84 ellipsoid, angles kept as exact integers, the local east-north-up
// frame of a site, and distances along the ground.
//
// It imports nothing else of merestone but elementary functions. Angles that were written
// by a person are Nanodegree (exact); angles that were computed are float64
// radians; lengths are float64 metres. Heights are ellipsoidal heights, that
// is, above WGS 84 and not above sea level.
//
// This file: the exact angle.
package geodesy

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"merestone/internal/elementary"
)

// Nanodegree is an angle in units of 1e-9 degree. It is an integer so that a
// coordinate goes from the mission file to the board without a rounding that
// nobody asked for: a decimal such as 45.3012 has no exact binary fraction, but
// it is exactly 45301200000 nanodegrees. One nanodegree of latitude is about
// 0.11 mm on the ground (6.4e6 m · 1e-9 · π/180).
type Nanodegree int64

// Degree is one degree.
const Degree Nanodegree = 1_000_000_000

const (
	quarterTurn = 90 * Degree
	halfTurn    = 180 * Degree
	fullTurn    = 360 * Degree
)

// radiansPerNanodegree is π / 180e9, rounded once by the compiler.
const radiansPerNanodegree = math.Pi / 180e9

// Degrees gives the angle in degrees, rounded once to the nearest float64.
// For angles within a full turn the rounding is below 3e-14 degree (3 nm).
func (n Nanodegree) Degrees() float64 { return float64(n) / 1e9 }

// Radians gives the angle in radians with a relative error of at most 2^-52:
// one rounding in the constant and one in the product, the conversion of n
// itself being exact for |n| < 2^53 (9 million degrees).
func (n Nanodegree) Radians() float64 { return float64(float64(n) * radiansPerNanodegree) }

// String writes the angle as exact decimal degrees, with as many decimals as
// the value needs and no more: "45.3012", "-6.1", "0".
func (n Nanodegree) String() string {
	magnitude := n.magnitude()
	whole, fraction := magnitude/uint64(Degree), magnitude%uint64(Degree)
	text := strconv.FormatUint(whole, 10)
	if fraction != 0 {
		digits := strconv.FormatUint(fraction+uint64(Degree), 10)[1:] // the 1 keeps the leading zeros
		text += "." + strings.TrimRight(digits, "0")
	}
	if n < 0 {
		text = "-" + text
	}
	return text
}

// magnitude is |n|, also for the most negative value.
func (n Nanodegree) magnitude() uint64 {
	if n < 0 {
		return -uint64(n)
	}
	return uint64(n)
}

// sinCos gives sine and cosine of a latitude with a relative error of a few
// units in the last place for both, poles included. The angle is first reduced
// in exact integers: above 45° the cosine is the sine of the colatitude, so
// that the cosine of 89.99° does not inherit the absolute rounding of π/2
// (which would move a point near the pole by nanometres, and leave cos 90° at
// 6e-17 rather than zero).
func (n Nanodegree) sinCos() (sin, cos float64) {
	if n > quarterTurn/2 {
		cos, sin = elementary.Sincos((quarterTurn - n).Radians())
		return sin, cos
	}
	if n < -quarterTurn/2 {
		cos, sin = elementary.Sincos((quarterTurn + n).Radians())
		return -sin, cos
	}
	return elementary.Sincos(n.Radians())
}

// wrapTurn brings an angle into (-180°, 180°].
func wrapTurn(n Nanodegree) Nanodegree {
	n %= fullTurn
	if n > halfTurn {
		n -= fullTurn
	}
	if n <= -halfTurn {
		n += fullTurn
	}
	return n
}

// CrossesAntimeridian reports whether longitudes of one site are written on
// both sides of the ±180° meridian, so that subtracting or comparing them as
// plain numbers would go wrong: some two of them differ by more than 180°.
// It supposes that the site is less than half a turn wide. A site that only
// touches the meridian counts if its points are written with both signs
// (180 and -179.99). A Frame takes the short way round and needs no such
// check; it is for callers that want to say so, or to refuse it by name.
func CrossesAntimeridian(longitudes ...Nanodegree) bool {
	return len(longitudes) > 0 && slices.Max(longitudes)-slices.Min(longitudes) > halfTurn
}
