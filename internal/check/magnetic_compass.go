// Rule magnetic.compass: the compass is away from the antenna's magnet.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/words"
)

// compassRule: about a metre between antenna and compass cured strong
// deceptions by the antenna's magnet; common practice, no source.
func compassRule() Rule {
	return newRule("magnetic.compass", diag.Warning, "the compass is away from the antenna's magnet", func(v *view, report func(diag.Finding)) {
		const enoughMM = 1000
		d := v.Machine.Rover.CompassFromAntennaMM
		if !v.Machine.Rover.HasCompass || v.keeps(limit{diag.Warning, "compass from antenna", words.Millimetre}, diag.The(diag.Rover, ""), float64(d), enoughMM) {
			return
		}
		f := at(v.Machine.Rover.Source, "the compass is %s from the antenna, whose magnet can deceive it; about %s is enough by rule of thumb", words.MM(d), words.MM(enoughMM))
		f.About = []diag.Subject{diag.The(diag.Rover, "")}
		f.Remedy = "mount them apart, and compare the compass with the bearings of four legs a quarter turn apart: the error that a magnet on the rover makes swings once round with the heading"
		f.Numbers = []diag.Number{metre("distance", float64(d)), metre("enough", enoughMM)}
		report(f)
	})
}
