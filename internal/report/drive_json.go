// How long the drive takes, as an object for programs.
package report

import (
	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/words"
)

// Drive is the member of `merestone check --format json --full`.
func Drive(p *plan.Plan) diag.Member {
	d := p.Duration()
	out := driveShape{
		DistanceM: plan.Metres(d.TotalMM), TotalS: inSeconds(d.TotalMS()), TravelS: inSeconds(d.TravelMS), StopS: inSeconds(d.StopMS), DwellS: inSeconds(d.DwellMS),
		LeftOut: leftOutShape{Turns: d.Turns, TurnDeg: d.TurnDeg}, Legs: make([]legTimeShape, len(d.Legs)),
	}
	for i, one := range d.Legs {
		l := p.Route.Legs[i]
		out.Legs[i] = legTimeShape{Leg: l.ID, LengthM: words.Round(l.LengthMM/1000, 3), TravelS: inSeconds(one.TravelMS), StopS: inSeconds(one.StopMS), DwellS: inSeconds(one.DwellMS), UntilS: inSeconds(one.UntilMS)}
	}
	return diag.Member{Name: "drive", Value: out}
}

func inSeconds(ms int64) float64 { return float64(ms) / 1000 }

type driveShape struct {
	DistanceM float64        `json:"distance_m"`
	TotalS    float64        `json:"total_s"`
	TravelS   float64        `json:"travel_s"`
	StopS     float64        `json:"stop_s"`
	DwellS    float64        `json:"dwell_s"`
	LeftOut   leftOutShape   `json:"left_out"`
	Legs      []legTimeShape `json:"legs"`
}

type leftOutShape struct {
	Turns   int     `json:"turns_on_the_spot"`
	TurnDeg float64 `json:"turns_deg"`
}

type legTimeShape struct {
	Leg     string  `json:"leg"`
	LengthM float64 `json:"length_m"`
	TravelS float64 `json:"travel_s"`
	StopS   float64 `json:"stop_s"`
	DwellS  float64 `json:"dwell_s"`
	UntilS  float64 `json:"until_s"`
}
