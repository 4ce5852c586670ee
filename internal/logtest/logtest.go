// Package logtest makes whole receivers' logs for tests, from a seed: a receiver that
// stands still and says where it is, in NMEA 0183, with errors that are correlated in time
// as those of real ones are.
//
// Errors are first-order Gauss-Markov processes, one an axis, by their exact step,
//
//	x ← φ x + w,   φ = e^(-dt/T),   var w = s² (1 - φ²),
//
// started in their stationary law, with the standard deviation s and the time constant T;
// and white noise on top. damage.go breaks logs.
package logtest

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"merestone/internal/elementary"
	"merestone/internal/geodesy"
)

// Log says what log to make. What is zero is as the comment says.
type Log struct {
	Seed                uint64
	Latitude, Longitude geodesy.Nanodegree
	HeightM             float64 // above the ellipsoid
	SeparationM         float64 // of the geoid from the ellipsoid
	From                time.Time
	Every               time.Duration // from fix to fix; 200 ms
	Fixes               int
	StdMM               [3]float64    // s, east, north and up
	TimeConstant        time.Duration // T; zero: white
	WhiteMM             float64       // standard deviation of the noise on top
	// OffsetMM is added to the place at a time after the first fix, such as a drift or a
	// wrong fix that lasts; nil: nothing.
	OffsetMM func(after time.Duration) (east, north, up float64)
	Quality  func(i int) int       // of GGA; nil: 4
	Talker   func(i int) string    // nil: GN
	Prefix   func(i int) string    // of every line of an epoch; nil: none
	Order    []string              // the sentences of an epoch; RMC, GGA, GST, GSA, ZDA
	Leaves   func(i int) []string  // kinds that an epoch does not have; nil: none
	TimeText func(at Epoch) string // the field of the time; nil: hhmmss.ss
	Decimals int                   // of a minute; 8
	LineEnd  string                // \r\n
}

// Epoch is one fix as it was made. Field texts are as they stand in the sentences.
type Epoch struct {
	Index                  int
	At                     time.Time
	EastMM, NorthMM, UpMM  float64 // from the place of the log
	Quality                int
	Time                   string
	Latitude, Longitude    string // ddmm.mmmm
	NorthSouth, EastWest   string
	Satellites             string
	HDOP                   string
	Altitude, Separation   string
	Age                    string
	LatitudeStd, LongitStd string // metres, of GST
	AltitudeStd            string
	Text                   string // all lines
}

// Epochs makes the log, fix by fix.
func (l Log) Epochs() []Epoch {
	if l.Every == 0 {
		l.Every = 200 * time.Millisecond
	}
	if l.Order == nil {
		l.Order = []string{"RMC", "GGA", "GST", "GSA", "ZDA"}
	}
	if l.Decimals == 0 {
		l.Decimals = 8
	}
	if l.LineEnd == "" {
		l.LineEnd = "\r\n"
	}
	random := rand.New(rand.NewPCG(l.Seed, 0x6d657265))
	phi := 0.0
	if l.TimeConstant > 0 {
		phi = elementary.Exp(-l.Every.Seconds() / l.TimeConstant.Seconds())
	}
	var state [3]float64
	for k := range state {
		state[k] = l.StdMM[k] * random.NormFloat64()
	}
	north := 1e9 * 180 / math.Pi / (1000 * (geodesy.MeridianRadius(l.Latitude) + l.HeightM)) // nanodegrees in a millimetre
	east := 1e9 * 180 / math.Pi / (1000 * (geodesy.PrimeVerticalRadius(l.Latitude) + l.HeightM) * elementary.Cos(l.Latitude.Radians()))

	epochs := make([]Epoch, l.Fixes)
	for i := range epochs {
		e := Epoch{Index: i, At: l.From.Add(time.Duration(i) * l.Every), Quality: 4}
		if l.Quality != nil {
			e.Quality = l.Quality(i)
		}
		if i > 0 {
			for k := range state {
				state[k] = float64(phi*state[k]) + float64(l.StdMM[k]*math.Sqrt(1-float64(phi*phi))*random.NormFloat64())
			}
		}
		here := state
		for k := range here {
			here[k] += float64(l.WhiteMM * random.NormFloat64())
		}
		if l.OffsetMM != nil {
			a, b, c := l.OffsetMM(e.At.Sub(l.From))
			here[0], here[1], here[2] = here[0]+a, here[1]+b, here[2]+c
		}
		e.EastMM, e.NorthMM, e.UpMM = here[0], here[1], here[2]
		e.Latitude, e.NorthSouth = packed(float64(l.Latitude)+float64(north*e.NorthMM), 2, l.Decimals, "NS")
		e.Longitude, e.EastWest = packed(float64(l.Longitude)+float64(east*e.EastMM), 3, l.Decimals, "EW")
		e.Altitude = fmt.Sprintf("%.4f", l.HeightM-l.SeparationM+e.UpMM/1000)
		e.Separation = fmt.Sprintf("%.4f", l.SeparationM)
		e.Satellites, e.HDOP = fmt.Sprintf("%02d", 14+random.IntN(12)), fmt.Sprintf("%.2f", 0.5+float64(0.4*random.Float64()))
		e.Age = fmt.Sprintf("%.1f", float64(1+random.IntN(20))/10)
		total := func(k int) string {
			return fmt.Sprintf("%.4f", elementary.Hypot(l.StdMM[k], l.WhiteMM)*(0.9+float64(0.2*random.Float64()))/1000)
		}
		e.LongitStd, e.LatitudeStd, e.AltitudeStd = total(0), total(1), total(2)
		e.Time = e.At.Format("150405.00")
		if l.TimeText != nil {
			e.Time = l.TimeText(e)
		}
		e.Text = l.text(e)
		epochs[i] = e
	}
	return epochs
}

// Text is the whole log.
func (l Log) Text() []byte {
	var all bytes.Buffer
	for _, e := range l.Epochs() {
		all.WriteString(e.Text)
	}
	return all.Bytes()
}

// text is the lines of one epoch.
func (l Log) text(e Epoch) string {
	talker, prefix := "GN", ""
	if l.Talker != nil {
		talker = l.Talker(e.Index)
	}
	if l.Prefix != nil {
		prefix = l.Prefix(e.Index)
	}
	left := map[string]bool{}
	if l.Leaves != nil {
		for _, kind := range l.Leaves(e.Index) {
			left[kind] = true
		}
	}
	var lines string
	for _, kind := range l.Order {
		if !left[kind] {
			lines += prefix + Sentence(talker+kind+","+body(kind, e)) + l.LineEnd
		}
	}
	return lines
}

// body is what stands behind the address of a sentence.
func body(kind string, e Epoch) string {
	switch kind {
	case "GGA":
		if e.Quality == 0 {
			return e.Time + ",,,,,0,00,99.99,,,,,,"
		}
		return fmt.Sprintf("%s,%s,%s,%s,%s,%d,%s,%s,%s,M,%s,M,%s,0042", e.Time, e.Latitude, e.NorthSouth, e.Longitude, e.EastWest,
			e.Quality, e.Satellites, e.HDOP, e.Altitude, e.Separation, e.Age)
	case "GST":
		major, minor, turned := e.LatitudeStd, e.LongitStd, "0.0"
		if major < minor { // of the same length: as numbers
			major, minor, turned = minor, major, "90.0"
		}
		return fmt.Sprintf("%s,0.61,%s,%s,%s,%s,%s,%s", e.Time, major, minor, turned, e.LatitudeStd, e.LongitStd, e.AltitudeStd)
	case "RMC":
		if e.Quality == 0 {
			return fmt.Sprintf("%s,V,,,,,,,%s,,,N,V", e.Time, e.At.Format("020106"))
		}
		return fmt.Sprintf("%s,A,%s,%s,%s,%s,0.01,,%s,,,%c,V", e.Time, e.Latitude, e.NorthSouth, e.Longitude, e.EastWest,
			e.At.Format("020106"), "NADPRFEMS"[e.Quality])
	case "GSA":
		return "A,3,02,05,07,13,15,18,21,27,30,,,,1.18,0.62,1.00,1"
	case "ZDA":
		return e.Time + e.At.Format(",02,01,2006") + ",00,00"
	}
	return kind // no sentence that a reader knows
}

// Sentence puts "$" and the checksum around the body of a sentence.
func Sentence(body string) string {
	var sum byte
	for i := range len(body) {
		sum ^= body[i]
	}
	return fmt.Sprintf("$%s*%02X", body, sum)
}

// packed writes nanodegrees as degrees and minutes in one number, and its letter.
func packed(nanodegrees float64, degreeDigits, decimals int, letters string) (number, letter string) {
	letter = letters[:1]
	if nanodegrees < 0 {
		nanodegrees, letter = -nanodegrees, letters[1:]
	}
	units := math.Pow10(decimals)
	minutes := math.Round(nanodegrees * 60 / 1e9 * units) // in units of the last decimal
	degrees := math.Floor(minutes / (60 * units))
	minutes -= float64(degrees * 60 * units)
	return fmt.Sprintf("%0*.0f%02.0f.%0*.0f", degreeDigits, degrees, math.Floor(minutes/units), decimals, math.Mod(minutes, units)), letter
}
