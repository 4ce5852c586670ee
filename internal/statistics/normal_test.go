package statistics

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/tooltest"
)

func TestEllipseFactor(t *testing.T) {
	for n, want := range map[float64]float64{5: 5.05, 10: 3.17, 20: 2.74, 30: 2.63, 100: 2.50, 1e9: math.Sqrt(-2 * math.Log(0.05))} {
		assert.InDelta(t, want, EllipseFactor(n, 0.95), 0.005, n)
	}
}

// SciPy has both distributions in full. Debian's Python is asked, which has it as a package.
func TestBesideSciPy(t *testing.T) {
	type pair struct{ n, p float64 }
	ellipses := []pair{{2.5, 0.95}, {5, 0.95}, {15, 0.95}, {15.7, 0.5}, {400, 0.99}}
	shifts := []pair{{0.95, 0.8}, {0.95, 0.95}, {0.99, 0.9}, {0.5, 0.999}}
	script := []string{"from scipy.stats import f, ncx2, chi2", "from scipy.optimize import brentq"}
	for _, c := range ellipses {
		script = append(script, fmt.Sprintf("print((2*(%[1]g-1)/(%[1]g-2)*f.ppf(%[2]g, 2, %[1]g-2))**0.5)", c.n, c.p))
	}
	for _, c := range shifts {
		script = append(script, fmt.Sprintf("print(brentq(lambda l: ncx2.sf(chi2.ppf(%g, 2), 2, l) - %g, 1e-6, 200, xtol=1e-13)**0.5)", c.n, c.p))
	}
	said := strings.Fields(tooltest.Output(t, strings.Join(script, "\n"), "/usr/bin/python3", "-"))
	for i, c := range ellipses {
		assert.InEpsilon(t, tooltest.Floats(t, said[i])[0], EllipseFactor(c.n, c.p), 1e-9, c)
	}
	for i, c := range shifts {
		assert.InEpsilon(t, tooltest.Floats(t, said[len(ellipses)+i])[0], SmallestShift(c.n, c.p), 1e-8, c)
	}
}
