// Declination and compass.
package check

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/magnetic"
	"merestone/internal/plan"
)

func TestDeclination(t *testing.T) {
	const rule = "magnetic.declination"
	p := yard(t)
	f := one(t, p, rule)
	assert.Equal(t, "note: magnetic declination 7.95 deg east on 2026-06-15, standard deviation 0.39 deg, changing by +0.10 deg a year (World Magnetic Model 2025)", f.Severity.String()+": "+f.Message())
	assert.Equal(t, p.Site.Magnetic.Field.DeclinationDeg, number(t, f, "declination"))

	at := func(horizontal float64) *plan.Plan {
		p := yard(t)
		p.Site.Magnetic.Field.HorizontalNT, p.Site.Magnetic.Field.DeclinationDeg = horizontal, -3.14
		return p
	}
	f = one(t, at(6000), rule)
	assert.Equal(t, "note", f.Severity.String())
	assert.Contains(t, f.Message(), "3.14 deg west")
	f = one(t, at(5999), rule)
	assert.Equal(t, "warning", f.Severity.String())
	assert.Contains(t, f.Message(), "; the horizontal field is only 5999 nT, near a magnetic pole")

	p = yard(t)
	_, p.Site.Magnetic.Err = magnetic.At(51, 25, 168, time.Date(2030, 1, 1, 0, 0, 0, 0, time.UTC))
	require.Error(t, p.Site.Magnetic.Err)
	f = one(t, p, rule)
	assert.Equal(t, "note", f.Severity.String(), "no compass: nobody needs it")
	assert.Equal(t, "no magnetic declination: "+p.Site.Magnetic.Err.Error(), f.Message())
	p.Machine.Rover.HasCompass, p.Machine.Rover.CompassFromAntennaMM = true, 1000
	f = one(t, p, rule)
	assert.Equal(t, "error", f.Severity.String())
	assert.Equal(t, "no magnetic declination: "+p.Site.Magnetic.Err.Error(), f.Message())
	assert.Equal(t, "correct site.date; for later years use a version of merestone with the model of those years", f.Remedy)
	// The places that the parser and the frame let through are within the model.
	for _, height := range []float64{-1000, 10_000} {
		_, err := magnetic.At(-90, 180, height, p.Site.Date)
		require.NoError(t, err)
	}
}

func TestCompass(t *testing.T) {
	with := func(mm int64) []string {
		p := yard(t)
		p.Machine.Rover.HasCompass, p.Machine.Rover.CompassFromAntennaMM = true, mm
		return messages(p, "magnetic.compass")
	}
	assert.Empty(t, messages(yard(t), "magnetic.compass"), "no compass")
	assert.Len(t, with(0), 1)
	assert.Empty(t, with(1000))
	assert.Equal(t, []string{"warning: the compass is 0.999 m from the antenna, whose magnet can deceive it; about 1.00 m is enough by rule of thumb"}, with(999))
}
