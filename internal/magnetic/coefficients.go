// The model's numbers: WMM.COF in the layout in which the model is published,
// one line for each degree n and order m with the Gauss coefficients g and h in
// nanotesla and their change in nanotesla a year. README.md names the source.
package magnetic

import (
	_ "embed" // WMM.COF
	"fmt"
	"strconv"
	"strings"
)

// degree is the model's highest degree and order.
const degree = 12

//go:embed WMM.COF
var coefficientFile string

// gauss holds one number for each degree n and order m, at [n][m].
type gauss [degree + 1][degree + 1]float64

// model is the main field at the epoch (g, h) and its yearly change.
type model struct {
	epochYear  float64
	g, h       gauss
	gDot, hDot gauss
}

// embeddedModel reads the coefficient file that is compiled in.
func embeddedModel() (model, error) {
	return parseModel(coefficientFile)
}

// parseModel reads a coefficient file. It wants every degree and order up to 12
// once and in order, and the closing line of nines, so that a cut or damaged
// file cannot pass for a model.
func parseModel(text string) (model, error) {
	var m model
	lines := strings.Split(text, "\n")
	header := strings.Fields(lines[0])
	if len(header) < 2 || header[1] != "WMM-2025" {
		return model{}, fmt.Errorf("magnetic model, line 1: %q is not the header of WMM-2025", lines[0])
	}
	epoch, err := strconv.ParseFloat(header[0], 64)
	if err != nil || epoch != validFromYear {
		return model{}, fmt.Errorf("magnetic model, line 1: epoch %q, want %.1f", header[0], validFromYear)
	}
	m.epochYear = epoch

	line := 1
	for n := 1; n <= degree; n++ {
		for order := 0; order <= n; order++ {
			if line >= len(lines) {
				return model{}, fmt.Errorf("magnetic model ends before degree %d, order %d", n, order)
			}
			values, err := parseRow(lines[line], n, order)
			if err != nil {
				return model{}, fmt.Errorf("magnetic model, line %d: %w", line+1, err)
			}
			m.g[n][order], m.h[n][order] = values[0], values[1]
			m.gDot[n][order], m.hDot[n][order] = values[2], values[3]
			line++
		}
	}
	if line >= len(lines) || !strings.HasPrefix(lines[line], "9999") {
		return model{}, fmt.Errorf("magnetic model, line %d: want the closing line of nines", line+1)
	}
	return m, nil
}

// parseRow reads "n m g h gDot hDot" and checks that it is the row of the
// degree and order that is due.
func parseRow(row string, n, order int) (values [4]float64, err error) {
	fields := strings.Fields(row)
	if len(fields) != 6 || fields[0] != strconv.Itoa(n) || fields[1] != strconv.Itoa(order) {
		return values, fmt.Errorf("%q is not six numbers beginning with %d %d", row, n, order)
	}
	for i := range values {
		if values[i], err = strconv.ParseFloat(fields[i+2], 64); err != nil {
			return values, err
		}
	}
	return values, nil
}

// at returns the Gauss coefficients of a decimal year: they change linearly from
// the epoch on. WMM technical report, section 1.2.
func (m model) at(year float64) (g, h gauss) {
	years := year - m.epochYear
	for n := 1; n <= degree; n++ {
		for order := 0; order <= n; order++ {
			g[n][order] = m.g[n][order] + float64(years*m.gDot[n][order])
			h[n][order] = m.h[n][order] + float64(years*m.hDot[n][order])
		}
	}
	return g, h
}
