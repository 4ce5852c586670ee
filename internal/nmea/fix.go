// Package nmea reads receivers' logs: NMEA 0183 sentences into fixes.
//
//	fix.go       what a receiver says of one instant
//	reader.go    from bytes to fixes: epochs, and in which order they are given out
//	scan.go      from bytes to sentences: where one begins and ends, and its checksum
//	sentence.go  what stands in each kind of sentence
//	field.go     one field: times, dates, decimal numbers
//	clock.go     which day it is, across midnight and before anything has said so
//	counts.go    what was taken, what was refused and why, what was odd
//
// The forms of the sentences are from memory of IEC 61162-1, and checked beside two other
// readers in the tests. Places, heights and times are read in integers; nothing is kept but
// a window of fixed size, so that a log may be of any length.
package nmea

import (
	"time"

	"merestone/internal/geodesy"
)

// Quality is the quality indicator of GGA. It is a code, not an order of merit.
type Quality uint8

// The qualities.
const (
	NoFix Quality = iota
	Single
	Differential
	PPS
	Fixed
	Float
	Estimated
	Manual
	Simulated
)

// Fix is what a receiver says of one instant: a GGA with the sentences of the same time
// of day.
type Fix struct {
	At      time.Time // UTC. Where nothing has said the day (Dated is false) days count from 1970-01-01
	Dated   bool
	Quality Quality
	// Latitude and Longitude are zero with NoFix.
	Latitude, Longitude geodesy.Nanodegree
	HeightMM            int64 // above the ellipsoid: altitude and separation; only where HasHeight
	HasHeight           bool
	// EastStdMM, NorthStdMM and UpStdMM are of GST, the receiver's own model; 0: not said.
	EastStdMM, NorthStdMM, UpStdMM float64
	Satellites                     int           // in use; -1: not said
	HDOP                           float64       // 0: not said
	Age                            time.Duration // of the corrections; negative: not said
}
