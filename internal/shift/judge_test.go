// When a shift is refused, to the limit of each rule.
package shift

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/geodesy"
	"merestone/internal/missiontest"
	"merestone/internal/plan"
	"merestone/internal/quantity"
)

// fixes writes occupations of marks, each moved by so many millimetres.
type fixed struct {
	mark        string
	east, north float64
	std         string
}

func fixes(p *plan.Plan, list ...fixed) string {
	var out strings.Builder
	out.WriteString("name,latitude,longitude,uncertainty\n")
	for _, f := range list {
		for _, m := range p.Survey.Marks {
			if m.Name == f.mark {
				g := p.Site.Frame.AtHeight((float64(m.Point.E)+f.east)/1000, (float64(m.Point.N)+f.north)/1000, p.Site.Origin.HeightM)
				fmt.Fprintf(&out, "%s,%v,%v,%s\n", f.mark, decimal(g.Latitude), decimal(g.Longitude), f.std)
			}
		}
	}
	return out.String()
}

func decimal(n geodesy.Nanodegree) string { return fmt.Sprintf("%.9f", n.Degrees()) }

// said are the findings of a shift, "severity rule".
func said(r Result) []string {
	list := []string{}
	for _, f := range r.Findings {
		list = append(list, f.Severity.String()+" "+string(f.Rule))
	}
	return list
}

func judged(t *testing.T, p *plan.Plan, others bool, list ...fixed) []string {
	t.Helper()
	found, err := Find(p, Request{Name: "today.csv", Fixes: strings.NewReader(fixes(p, list...)), OtherMarks: others})
	require.NoError(t, err)
	assert.Equal(t, found.Refused(), diag.Worst(found.Findings) == diag.Error)
	return said(found)
}

// The grove's base has 0.8 m, its control marks 1 cm, its receiver 2 cm.
func TestJudgement(t *testing.T) {
	p := grove(t)
	entered := missiontest.Resolve(t, missiontest.Example(t, "running-track"))
	// k·hypot(sqrt(2)·800 mm, sqrt(500/2) mm) = 2769.6 mm.
	const bound = 2769.6
	for _, c := range []struct {
		name   string
		plan   *plan.Plan
		others bool
		fixes  []fixed
		want   []string
	}{
		{"all well", p, false, []fixed{{"K1", 300, -200, "2 cm"}, {"K2", 305, -195, "2 cm"}}, nil},
		{"a control mark not occupied, known well enough", p, false, []fixed{{"K2", 300, -200, "1 cm"}}, []string{"error shift.missing-mark", "warning shift.fit"}},
		{"and not", p, false, []fixed{{"K2", 300, -200, "2 cm"}}, []string{"error shift.missing-mark", "error shift.uncertainty", "warning shift.fit"}},
		{"a mark that is none", p, false, []fixed{{"K1", 0, 0, "2 cm"}, {"K2", 0, 0, "2 cm"}, {"P1", 0, 0, "2 cm"}}, []string{"error shift.other-mark"}},
		{"as was asked for", p, true, []fixed{{"K1", 0, 0, "2 cm"}, {"K2", 0, 0, "2 cm"}, {"P1", 0, 0, "2 cm"}}, nil},
		{"a trunk", p, true, []fixed{{"K1", 0, 0, "2 cm"}, {"K2", 0, 0, "2 cm"}, {"T11", 0, 0, "2 cm"}}, []string{"error shift.other-mark"}},
		{"the base", p, true, []fixed{{"K1", 0, 0, "2 cm"}, {"K2", 0, 0, "2 cm"}, {"BASE", 0, 0, "2 cm"}}, []string{"error shift.other-mark"}},
		{"known as proved", p, false, []fixed{{"K1", 0, 0, "20 mm"}, {"K2", 0, 0, "20 mm"}}, nil},
		{"a hair worse", p, false, []fixed{{"K1", 0, 0, "20.1 mm"}, {"K2", 0, 0, "20.1 mm"}}, []string{"error shift.uncertainty"}},
		{"as far as the base may be", p, false, []fixed{{"K1", -bound + 1, 0, "2 cm"}, {"K2", -bound + 1, 0, "2 cm"}}, nil},
		{"farther", p, false, []fixed{{"K1", -bound - 1, 0, "2 cm"}, {"K2", -bound - 1, 0, "2 cm"}}, []string{"error shift.bound"}},
		{"and along both axes", p, false, []fixed{{"K1", bound / math.Sqrt2, 2 + bound/math.Sqrt2, "2 cm"}, {"K2", bound / math.Sqrt2, 2 + bound/math.Sqrt2, "2 cm"}}, []string{"error shift.bound"}},
		// The line from K1 to K2 is (65.4, 60.1) m: along it 5.991 is reached at
		// 2·(d/2)²/500 = 5.991, d = 77.4 mm; across, 3.841 at d = 62.0 mm.
		{"just agreeing", p, false, []fixed{{"K1", 0, 0, "2 cm"}, {"K2", 76.5 * 0.7365, 76.5 * 0.6765, "2 cm"}}, nil},
		{"just not", p, false, []fixed{{"K1", 0, 0, "2 cm"}, {"K2", 78.5 * 0.7365, 78.5 * 0.6765, "2 cm"}}, []string{"error shift.fit"}},
		{"just turned", p, false, []fixed{{"K1", 0, 0, "2 cm"}, {"K2", -63 * 0.6765, 63 * 0.7365, "2 cm"}}, []string{"warning shift.rotation"}},
		{"just not turned", p, false, []fixed{{"K1", 0, 0, "2 cm"}, {"K2", -61 * 0.6765, 61 * 0.7365, "2 cm"}}, nil},
		// K1 has 10² + 10² mm². Of an error there K2 shows less than a tenth from
		// 9·200 mm² on, where it has 41.2 mm beside its own 10 mm.
		{"just checked", p, false, []fixed{{"K1", 0, 0, "10 mm"}, {"K2", 0, 0, "41.0 mm"}}, nil},
		{"not any more", p, false, []fixed{{"K1", 0, 0, "10 mm"}, {"K2", 0, 0, "41.5 mm"}}, []string{"warning shift.fit"}},
		{"not at all", p, false, []fixed{{"K1", 0, 0, "1 mm"}, {"K2", 0, 0, "900 m"}}, []string{"warning shift.fit"}},

		// A base with entered coordinates (1 cm, no control marks): sqrt(2)·10 mm per axis
		// are in its budgets, and k·hypot(14.14, s) is what it may be off by.
		{"entered, no control marks", entered, false, []fixed{{"T01", 0, 0, "5 mm"}}, []string{"error shift.other-mark", "warning shift.fit"}},
		{"entered, by marks that do", entered, true, []fixed{{"BASE", 0, 0, "5 mm"}, {"T01", 0, 0, "5 mm"}, {"T10", 0, 0, "5 mm"}, {"T20", 0, 0, "5 mm"}, {"T30", 0, 0, "5 mm"}}, []string{"error shift.other-mark"}},
		{"entered, all well", entered, true, []fixed{{"T01", 5, 5, "5 mm"}, {"T10", 5, 5, "5 mm"}, {"T20", 5, 5, "5 mm"}, {"T30", 5, 5, "5 mm"}}, nil},
		{"entered, and beyond", entered, true, []fixed{{"T01", 50, 5, "5 mm"}, {"T10", 50, 5, "5 mm"}, {"T20", 50, 5, "5 mm"}, {"T30", 50, 5, "5 mm"}}, []string{"error shift.bound"}},
	} {
		if c.want == nil {
			c.want = []string{}
		}
		assert.ElementsMatch(t, c.want, judged(t, c.plan, c.others, c.fixes...), c.name)
	}
}

// rotating is the grove where the mission asks for a rotation.
func rotating(t *testing.T) *plan.Plan {
	return missiontest.Resolve(t, missiontest.Example(t, "walnut-grove"), missiontest.Edit{"control_marks: [K1, K2]", "rotation: true\n  control_marks: [K1, K2]"})
}

func TestARotationIsUsedWhereItIsAskedForOnly(t *testing.T) {
	p := rotating(t)
	turned := []fixed{{"K1", 0, 0, "2 cm"}, {"K2", -300 * 0.6765, 300 * 0.7365, "2 cm"}} // 0.30 m over 88.8 m
	found, err := Find(p, Request{Name: "today.csv", Fixes: strings.NewReader(fixes(p, turned...))})
	require.NoError(t, err)
	assert.Equal(t, []string{"warning shift.rotation"}, said(found))
	assert.InDelta(t, -300.0/88_800, found.Solution.RotationRad, 2e-5)
	// K2 is north of east of K1 and came up to the left of where it was: the fixes are
	// turned towards north, and the shift turns them back.
	assert.Contains(t, found.Findings[0].Message(), "are turned by 0.19")
	assert.Contains(t, found.Findings[0].Message(), "deg from east towards north")
	assert.InDelta(t, found.PlannedMM, found.AchievedMM, 0.01, "as it was checked with, at the farthest place")
	assert.NotZero(t, found.Board.SineQ30)

	assert.Contains(t, judged(t, grove(t), false, turned...), "error shift.fit", "not asked for: the marks do not agree")
	assert.Contains(t, judged(t, p, false, turned[0]), "error shift.rotation", "a single mark tells none")
	assert.Greater(t, p.ShiftStdMM(), grove(t).ShiftStdMM(), "and it costs room")

	// Not significant, and used all the same.
	still, err := Find(p, Request{Name: "today.csv", Fixes: strings.NewReader(fixes(p, fixed{"K1", 0, 0, "2 cm"}, fixed{"K2", -10, 10, "2 cm"}))})
	require.NoError(t, err)
	assert.Empty(t, still.Findings)
	assert.True(t, still.Solution.Rotated)
}

// What is accepted holds: at the farthest corner of the fence the shift that the board
// gets is off by no more than the bound that the mission was checked with, as often as
// its confidence says. Errors are drawn for base, marks and fixes; days that are refused
// are counted, and are about those that the rules say.
func TestAcceptedShiftsAreAsGoodAsProved(t *testing.T) {
	for name, p := range map[string]*plan.Plan{"translation": grove(t), "rotation": rotating(t)} {
		t.Run(name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(5, 6))
			const days = 4000
			k := quantity.RadialFactor(p.Confidence)
			base, mark, receiver := p.SetupsStdMM(), 10.0, 20.0
			var corner point
			far := 0.0
			for _, v := range p.Fence.Boundary.Vertices {
				if d := math.Hypot(float64(v.E)-30_000, float64(v.N)-20_000); d > far {
					far, corner = d, point{float64(v.E), float64(v.N)}
				}
			}
			accepted, off, refused := 0, 0, map[diag.ID]int{}
			for range days {
				east, north := base*r.NormFloat64(), base*r.NormFloat64()
				var list []Occupation
				for _, m := range p.Survey.Base.ControlMarks {
					at := p.Survey.Marks[m]
					known := point{float64(at.Point.E), float64(at.Point.N)}
					truly := point{known.east + mark*r.NormFloat64(), known.north + mark*r.NormFloat64()}
					list = append(list, Occupation{
						Name: at.Name, KnownEastMM: known.east, KnownNorthMM: known.north, StdMM: math.Hypot(mark, receiver),
						TodayEastMM: truly.east + east + receiver*r.NormFloat64(), TodayNorthMM: truly.north + north + receiver*r.NormFloat64(),
					})
				}
				s, err := Fit(list, p.Confidence, Options{Rotation: p.Survey.Base.Rotation})
				require.NoError(t, err)
				j := newJudgement(p, "today.csv", []Mean{{Name: "K1", Line: 2}, {Name: "K2", Line: 3}})
				j.marks(false)
				j.fit(s)
				j.uncertainty(list, s)
				j.bound(s, forBoard(s))
				for _, f := range j.findings {
					refused[f.Rule]++
				}
				if len(j.findings) > 0 {
					continue
				}
				accepted++
				moved := point{corner.east + east, corner.north + north}.turn(s.RotationRad)
				if math.Hypot(moved.east+s.EastMM-corner.east, moved.north+s.NorthMM-corner.north) > k*p.ShiftStdMM() {
					off++
				}
			}
			assert.InDelta(t, 0.05, float64(refused[ruleFit])/days, 0.02, "one good day in twenty by the fit")
			assert.InDelta(t, 0.05, float64(refused[ruleBound])/days, 0.02, "and one by the bound")
			assert.Zero(t, refused[ruleUncertainty])
			assert.LessOrEqual(t, float64(off)/float64(accepted), 0.05+0.01)
			assert.Greater(t, float64(off), 0.0, "the bound is not idle")
		})
	}
}

// Any confidence that the language allows, from 50 % to 99.99 %.
func TestEveryConfidenceOfTheLanguage(t *testing.T) {
	for _, confidence := range []string{"50 %", "68.3 %", "95 %", "99.99 %"} {
		p := missiontest.Resolve(t, missiontest.Example(t, "walnut-grove"), missiontest.Edit{"confidence: 95 %", "confidence: " + confidence})
		found, err := Find(p, Request{Name: "today.csv", Fixes: strings.NewReader(fixes(p, fixed{"K1", 10, 0, "2 cm"}, fixed{"K2", 10, 0, "2 cm"}))})
		require.NoError(t, err, confidence)
		assert.False(t, found.Refused(), "%s: %v", confidence, said(found))
	}
}

// Fixes that scatter less than was stated do not make a shift better than it is.
func TestEstimatedVarianceIsNoWayAroundTheUncertainty(t *testing.T) {
	p := grove(t)
	text := fixes(p, fixed{"K1", 10, 0, "6 cm"}, fixed{"K2", 10.1, 0, "6 cm"})
	for _, estimate := range []bool{false, true} {
		found, err := Find(p, Request{Name: "today.csv", Fixes: strings.NewReader(text), EstimateVariance: estimate})
		require.NoError(t, err)
		assert.Equal(t, []string{"error shift.uncertainty"}, said(found), "%v", estimate)
	}
}
