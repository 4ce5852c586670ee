// Dates: the model counts time in decimal years, and knows only those from
// 2025.0 up to 2030.0.
package magnetic

import (
	"fmt"
	"time"
)

// The model's validity as decimal years: from the first, up to but not with the
// second, so the last valid day is 31 December 2029.
const (
	validFromYear  = 2025.0
	validUntilYear = 2030.0
)

// DateError is the error of a date that the model does not cover.
type DateError struct {
	Date time.Time
}

// Error says which dates are covered.
func (e *DateError) Error() string {
	return fmt.Sprintf("%s is outside the validity of the World Magnetic Model 2025 (2025-01-01 to 2029-12-31)",
		e.Date.UTC().Format(time.DateOnly))
}

// decimalYear counts a moment in years: the whole year, plus the time since its
// start as a fraction of that year's own length, 365 or 366 days. This is the
// model's convention, so the start of 1 July is 2026.4959 but 2028.4973.
func decimalYear(date time.Time) float64 {
	date = date.UTC()
	start := time.Date(date.Year(), time.January, 1, 0, 0, 0, 0, time.UTC)
	end := time.Date(date.Year()+1, time.January, 1, 0, 0, 0, 0, time.UTC)
	return float64(date.Year()) + date.Sub(start).Seconds()/end.Sub(start).Seconds()
}
