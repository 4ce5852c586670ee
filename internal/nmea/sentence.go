// What stands in each kind of sentence. Fields that a receiver leaves out at the end are
// as if they were empty. The forms are from memory.
package nmea

import (
	"math"
	"time"

	"merestone/internal/elementary"
	"merestone/internal/geodesy"
)

// maxFields are more than any of the kinds has; further ones are not looked at.
const maxFields = 24

// fields are what stands between the commas, the address first.
type fields [maxFields][]byte

func (f *fields) split(body []byte) {
	*f = fields{}
	begin, n := 0, 0
	for i, c := range body {
		if c == ',' {
			f[n] = body[begin:i]
			begin = i + 1
			if n++; n == maxFields {
				return
			}
		}
	}
	f[n] = body[begin:]
}

// kindOf goes by the address: two characters of the talker, any, and three of the kind.
// No talker begins with P.
func kindOf(s sentence) Kind {
	switch {
	case s.encapsulated:
		return Encapsulated
	case s.body[0] == 'P':
		return Proprietary
	case len(s.body) < 5 || len(s.body) > 5 && s.body[5] != ',':
		return Other
	}
	switch string(s.body[2:5]) {
	case "GGA":
		return GGA
	case "GST":
		return GST
	case "RMC":
		return RMC
	case "ZDA":
		return ZDA
	case "GSA":
		return GSA
	}
	return Other
}

// letter is the letter of a field that has one and nothing else; 0 for all others.
func letter(field []byte) byte {
	if len(field) != 1 {
		return 0
	}
	return field[0]
}

// position reads latitude, N or S, longitude, E or W.
func position(f [][]byte) (latitude, longitude geodesy.Nanodegree, v verdict) {
	latitude, formA, rangeA := geodesy.PackedLatitude(f[0], letter(f[1]))
	longitude, formB, rangeB := geodesy.PackedLongitude(f[2], letter(f[3]))
	switch {
	case !formA || !formB:
		return 0, 0, Malformed
	case !rangeA || !rangeB:
		return 0, 0, OutOfRange
	}
	return latitude, longitude, taken
}

// readGGA reads time, latitude, N or S, longitude, E or W, quality, satellites, HDOP,
// altitude, M, separation, M, age of corrections, station.
func readGGA(f *fields) (fix Fix, v verdict) {
	fix = Fix{Satellites: -1, Age: -1}
	quality, form := digits(f[6], 1, 1)
	if form != taken {
		return Fix{}, form
	}
	if quality > int64(Simulated) {
		return Fix{}, OutOfRange
	}
	fix.Quality = Quality(quality)
	if fix.Quality != NoFix {
		if fix.Latitude, fix.Longitude, v = position(f[2:6]); v != taken {
			return Fix{}, v
		}
	}
	if len(f[7]) > 0 {
		satellites, v := digits(f[7], 1, 3)
		if v != taken {
			return Fix{}, v
		}
		fix.Satellites = int(satellites)
	}
	dop, v := optional(f[8])
	if v != taken {
		return Fix{}, v
	}
	fix.HDOP = float64(dop) / billion
	if fix.HeightMM, fix.HasHeight, v = height(f[9:13]); v != taken {
		return Fix{}, v
	}
	if len(f[13]) > 0 {
		age, v := decimal(f[13])
		if v != taken {
			return Fix{}, v
		}
		fix.Age = time.Duration(age)
	}
	return fix, taken
}

// height adds altitude above the geoid and the geoid's separation from the ellipsoid,
// each in metres, and rounds the sum once, half to even. It is there if both are.
func height(f [][]byte) (mm int64, has bool, v verdict) {
	var sum int64
	both := true
	for i := 0; i < 4; i += 2 {
		if len(f[i]) == 0 {
			both = false
			continue
		}
		metres, v := signed(f[i])
		if v == taken && letter(f[i+1]) != 'M' {
			v = Malformed
		}
		if v != taken {
			return 0, false, v
		}
		sum += metres
	}
	if !both {
		return 0, false, taken
	}
	const million = 1_000_000 // nanometres in a millimetre
	mm, rest := sum/million, sum%million
	if rest < 0 {
		mm, rest = mm-1, rest+million
	}
	if rest > million/2 || rest == million/2 && mm%2 != 0 {
		mm++
	}
	return mm, true, taken
}

// deviations are what GST says of one fix, in millimetres, and whether the ellipse that
// it gives, too, is another one.
type deviations struct {
	east, north, up float64
	doubtful        bool
}

// readGST reads time, the scatter of ranges, the ellipse (semi-major axis, semi-minor
// axis, its direction from true north in degrees), and one standard deviation of
// latitude, longitude and altitude in metres.
func readGST(f *fields) (d deviations, v verdict) {
	var n [8]int64 // by field, from the third
	for i := 2; i <= 8; i++ {
		if n[i-1], v = optional(f[i]); v != taken {
			return deviations{}, v
		}
	}
	const perMM = billion / 1000
	d.north, d.east, d.up = float64(n[5])/perMM, float64(n[6])/perMM, float64(n[7])/perMM
	if n[4] > 360*billion {
		return deviations{}, OutOfRange
	}
	if len(f[3]) > 0 && len(f[4]) > 0 && len(f[5]) > 0 && len(f[6]) > 0 && len(f[7]) > 0 {
		unit := max(unitOf(f[3]), unitOf(f[4]), unitOf(f[6]), unitOf(f[7])) / perMM
		const radians = math.Pi / 180 / billion
		d.doubtful = d.contradict(float64(n[2])/perMM, float64(n[3])/perMM, float64(n[4])*radians, unit, unitOf(f[5])*radians)
	}
	return d, taken
}

// contradict says whether an ellipse is another one. That with the semi-axes a and b which
// is turned by θ from north has, north and east,
//
//	σn² = a² cos²θ + b² sin²θ,   σe² = a² sin²θ + b² cos²θ.
//
// As each of the five numbers is rounded to its last digit, σn and σe may differ from
// what the sentence says by half a unit for each of a or b and of what is said, and by
// a·δ for the half unit δ of the direction: |dσn/dθ| = (a²-b²)|sin θ cos θ|/σn ≤ a.
func (d deviations) contradict(a, b, turned, unit, turnedUnit float64) bool {
	sin, cos := elementary.Sincos(turned)
	const hair = 1e-6 // mm, of binary numbers
	slack := unit + float64(a*turnedUnit/2) + hair
	return math.Abs(elementary.Hypot(a*cos, b*sin)-d.north) > slack || math.Abs(elementary.Hypot(a*sin, b*cos)-d.east) > slack
}

// unitOf is the worth of the last digit that was written, in units of 1e-9.
func unitOf(field []byte) float64 {
	unit, point := float64(billion), false
	for _, c := range field {
		if point {
			unit /= 10
		}
		point = point || c == '.'
	}
	return unit
}

// recommended is what RMC says: the day (or that it does not), and its mode.
type recommended struct {
	day    int64
	hasDay bool
	mode   byte // 0: none
}

// readRMC reads time, status, latitude, N or S, longitude, E or W, speed, course, date as
// ddmmyy, magnetic variation, E or W, mode. The day counts only where the status is A: a
// receiver that has not found it yet says one that is long past.
func readRMC(f *fields) (r recommended, v verdict) {
	status := letter(f[2])
	if status != 'A' && status != 'V' {
		return recommended{}, Malformed
	}
	if len(f[3])+len(f[4])+len(f[5])+len(f[6]) > 0 {
		if _, _, v := position(f[3:7]); v != taken {
			return recommended{}, v
		}
	}
	r.mode = letter(f[12])
	if len(f[9]) == 0 {
		return r, taken
	}
	date, v := digits(f[9], 6, 6)
	if v != taken {
		return recommended{}, v
	}
	r.day, v = daysSince1970(century(date%100), date/100%100, date/10_000)
	r.hasDay = status == 'A'
	return r, v
}

// readZDA reads time, day, month, year of four digits, local zone.
func readZDA(f *fields) (days int64, hasDay bool, v verdict) {
	if len(f[2])+len(f[3])+len(f[4]) == 0 {
		return 0, false, taken
	}
	dayOfMonth, a := digits(f[2], 1, 2)
	month, b := digits(f[3], 1, 2)
	year, c := digits(f[4], 4, 4)
	if v = firstFault(a, b, c); v != taken {
		return 0, false, v
	}
	days, v = daysSince1970(year, month, dayOfMonth)
	return days, true, v
}

// modeOf is the mode with which RMC says a quality of GGA.
func modeOf(q Quality) byte {
	return [...]byte{NoFix: 'N', Single: 'A', Differential: 'D', PPS: 'P', Fixed: 'R', Float: 'F', Estimated: 'E', Manual: 'M', Simulated: 'S'}[q]
}
