// The judgement of a shift: whether the drive may rest on it. Errors keep it from the
// board.
//
// What it may leave uncertain is what the mission was checked with, at the farthest place
// of route and fence: internal/plan has the same formulae, from the same marks and the
// receiver's stated uncertainty. How far it may be is what the base lets expect: two
// set-ups of standard deviation u per axis differ by sqrt(2)·u, and what was measured
// has its own uncertainty s beside, so that
//
//	|shift| <= k·hypot(sqrt(2)·u, s),  k = sqrt(-2 ln(1 - p))
//
// with the mission's probability p (Rayleigh, as in internal/plan). Both this and the
// test of the fit refuse 1 - p of the days on which all is well.
package shift

import (
	"math"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/plan"
	"merestone/internal/quantity"
	"merestone/internal/words"
)

// judgement collects findings about one shift.
type judgement struct {
	p        *plan.Plan
	all      diag.Position // where to say what is of no mark alone
	means    []Mean        // what was occupied
	numbers  map[string]int
	places   map[string]diag.Position
	findings []diag.Finding
}

// newJudgement judges fixes in a file; of a mark, it points to where its first fix stands.
func newJudgement(p *plan.Plan, file string, means []Mean) *judgement {
	j := &judgement{p: p, all: diag.Position{File: file}, means: means, numbers: map[string]int{}, places: map[string]diag.Position{}}
	for i, m := range p.Survey.Marks {
		j.numbers[m.Name] = i
	}
	for _, m := range means {
		j.places[m.Name] = diag.Position{File: file}
		if m.Line > 0 {
			j.places[m.Name] = diag.Position{File: file, Line: m.Line, Column: 1, Width: 1}
		}
	}
	return j
}

func (j *judgement) whole() diag.Position         { return j.all }
func (j *judgement) of(mark string) diag.Position { return j.places[mark] }

func (j *judgement) mark(name string) diag.Subject { return j.p.Subject(diag.Mark, j.numbers[name]) }

// occupied are all marks.
func (j *judgement) occupied() []diag.Subject {
	var list []diag.Subject
	for _, m := range j.means {
		list = append(list, j.mark(m.Name))
	}
	return list
}

func (j *judgement) tell(rule diag.ID, severity diag.Severity, f diag.Finding, remedy string, numbers ...diag.Number) {
	f.Rule, f.Severity, f.Remedy, f.Numbers = rule, severity, remedy, numbers
	if len(f.About) == 0 {
		f.About = j.occupied()
	}
	j.findings = append(j.findings, f)
}

func metre(name string, mm float64) diag.Number {
	return diag.Number{Name: name, Value: mm / 1000, Unit: "m"}
}

// upMM is millimetres rounded up.
func upMM(mm float64) words.MM { return words.MM(math.Ceil(min(mm, 1e12))) }

// marks judges which marks were occupied.
func (j *judgement) marks(others bool) {
	base := j.p.Survey.Base
	control := map[int]bool{}
	var missing []diag.Subject
	var listed diag.Position // of the first that is missing
	for i, m := range base.ControlMarks {
		if _, there := j.places[j.p.Survey.Marks[m].Name]; !there && !control[m] {
			if missing == nil {
				listed = base.ControlAt[i].At
			}
			missing = append(missing, j.p.Subject(diag.Mark, m))
		}
		control[m] = true
	}
	if n := len(missing); n > 0 {
		noun := "control mark"
		if n > 1 {
			noun = "control marks"
		}
		f := diag.New(j.whole(), "there is no fix on the %s %s", noun, diag.Names(missing, ", "))
		f.Related = []diag.Related{{At: listed, Message: "listed as a control mark"}}
		j.tell(ruleMissing, diag.Error, f, "occupy it, too; or take it out of base.control_marks, and see whether the mission holds without")
	}
	centres := j.p.Fence.RoundCentres()
	for _, m := range j.means {
		number := j.numbers[m.Name]
		mark := j.mark(m.Name)
		obstacle, centre := centres[number]
		switch {
		case control[number]:
		case centre:
			j.tell(ruleOther, diag.Error, diag.New(j.of(m.Name), "%s is the centre of %s, where the rover cannot have been put", mark, j.p.Subject(diag.Obstacle, obstacle)), "look which mark it was")
		case number == base.Mark:
			j.tell(ruleOther, diag.Error, diag.New(j.of(m.Name), "%s is the mark of the base itself, which says of no shift", mark), "take its fixes out, and occupy the control marks")
		case !others:
			j.tell(ruleOther, diag.Error, diag.New(j.of(m.Name), "%s is no control mark of the mission", mark), "look whether it was mistaken for one; if it was meant, run again with --other-marks")
		}
	}
}

// fit judges whether the marks agree.
func (j *judgement) fit(s Solution) {
	percent := words.Percent(s.Confidence)
	switch {
	case s.ModelTest.Rejected:
		f := diag.New(j.whole(), "the marks %s do not agree on a shift: their residuals, weighted and squared, sum up to %.2f, and %.2f is allowed at %s", diag.Names(j.occupied(), ", "), s.ModelTest.Statistic, s.ModelTest.Critical, percent)
		remedy := "occupy all of them again: one was taken for another, was disturbed, or had a bad fix"
		if s.Outlier != "" {
			f.At = j.of(s.Outlier)
			f.Add("; %s fits worst", j.mark(s.Outlier))
			remedy = "occupy " + s.Outlier + " again"
			if also := otherSuspects(s.Residuals, s.Outlier); len(also) > 0 {
				remedy += ", and then " + joinNames(also) + " if it still does not fit"
			}
		}
		j.tell(ruleFit, diag.Error, f, remedy, diag.Number{Name: "statistic", Value: s.ModelTest.Statistic, Unit: "1"}, diag.Number{Name: "critical", Value: s.ModelTest.Critical, Unit: "1"})
	case len(s.Residuals) == 1:
		j.tell(ruleFit, diag.Warning, diag.New(j.of(s.Residuals[0].Name), "nothing checks the shift by %s alone: were it taken for another mark, the whole mission would be elsewhere", j.mark(s.Residuals[0].Name)), "occupy a second mark, far off, and list it under base.control_marks")
	default:
		for _, r := range s.Residuals {
			if r.Redundancy >= checkedFrom {
				continue
			}
			f := diag.New(j.of(r.Name), "of an error at %s %.1f %% shows in how the marks agree: the others are too uncertain to check it", j.mark(r.Name), 100*r.Redundancy)
			j.tell(ruleFit, diag.Warning, f, "occupy the others for longer, under open sky: two marks check each other only where both are known well", diag.Number{Name: "redundancy", Value: r.Redundancy, Unit: "1"})
		}
	}
}

// checkedFrom is the redundancy of a mark from which on the others are taken to check it:
// of two marks it has less where the other is three times as uncertain. Common practice
// of surveying nets, from memory.
const checkedFrom = 0.1

// uncertainty judges how well the shift is known.
func (j *judgement) uncertainty(occupied []Occupation, s Solution) {
	p := j.p
	achieved := farthestStdMM(p, occupied, s)
	reserved := p.ShiftStdMM()
	factor := quantity.RadialFactor(p.Confidence)
	// Where the plan leans on a shift, its budgets have what the board adds to one.
	need, have := float64(factor*achieved)+plan.ShiftRoundingMM(s.Rotated), float64(factor*reserved)
	if p.Survey.Base.LeansOnShift() {
		have += plan.ShiftRoundingMM(p.Survey.Base.Rotation)
	}
	const hair = 0.01 // mm, of sums in another order
	if need <= have+hair {
		return
	}
	f := diag.New(j.whole(), "the shift by %s is known to %.1f mm per axis at the farthest place of route and fence, and the mission was checked with %.1f mm", diag.Names(j.occupied(), ", "), achieved, reserved)
	if over := float64(need - have); achieved <= reserved {
		f.Add("; rounded to what the board takes that is %.1f mm more (%s)", over, words.Percent(p.Confidence))
	}
	j.tell(ruleUncertainty, diag.Error, f, "occupy the marks for longer, under open sky, and all of them; or state in the mission what can be had (receiver.uncertainty, base.control_marks)",
		metre("achieved", achieved), metre("checked with", reserved))
}

// farthestStdMM is one standard deviation per axis of a shift at the farthest place of
// route and fence: by the formula and the coordinates with which the mission was checked.
// Marks that scatter less than was stated do not make it less.
func farthestStdMM(p *plan.Plan, occupied []Occupation, s Solution) float64 {
	var list []plan.Control
	for _, o := range occupied {
		list = append(list, plan.Control{EastMM: o.KnownEastMM, NorthMM: o.KnownNorthMM, StdMM: o.StdMM})
	}
	return max(s.Scale, 1) * p.FarthestStdMM(list, s.Rotated)
}

// bound judges how far the shift is, and whether the board takes it.
func (j *judgement) bound(s Solution, b Board) {
	p := j.p
	moved := elementary.Hypot(s.MovedEastMM, s.MovedNorthMM)
	bound := float64(quantity.RadialFactor(p.Confidence) * elementary.Hypot(p.SetupsStdMM(), s.CentroidStdMM/s.Scale))
	numbers := []diag.Number{metre("shift", moved), metre("bound", bound)}
	const remedy = "look whether the base stands where it should and has the coordinates that it should, and the marks are the mission's; else base.uncertainty is too small"
	switch limit := int64(p.Board.Tables.Rover.MaxShiftMM); {
	case moved > bound:
		j.tell(ruleBound, diag.Error, diag.New(j.whole(), "the shift by %s is %s, and two set-ups of the base let expect %s at most (%s, %s each)", diag.Names(j.occupied(), ", "),
			upMM(moved), upMM(bound), words.Percent(p.Confidence), upMM(p.Survey.Base.StdMM)), remedy, numbers...)
	case !b.taken(p):
		j.tell(ruleBound, diag.Error, diag.New(j.whole(), "the shift by %s is %d mm east and %d mm north with a rotation of %.4f deg, about the site's origin; the board takes %d mm and 1 deg at most", diag.Names(j.occupied(), ", "),
			b.EastMM, b.NorthMM, s.RotationRad*180/math.Pi, limit), remedy, numbers...)
	}
}

// rotation judges whether the fixes are turned as the mission has it.
func (j *judgement) rotation(occupied []Occupation, s Solution) {
	asked := j.p.Survey.Base.Rotation
	switch {
	case asked && !s.RotationTest.Made:
		f := diag.New(j.whole(), "the marks %s tell no rotation, which the mission asks for", diag.Names(j.occupied(), ", "))
		j.tell(ruleRotation, diag.Error, f, "occupy two marks or more, far apart; or take base.rotation out of the mission")
	case s.RotationTest.Rejected:
		f := diag.New(j.whole(), "the fixes on %s are turned by %.4f deg from east towards north (%.1f times its standard deviation) against the mission", diag.Names(j.occupied(), ", "),
			-s.RotationTestedRad*180/math.Pi, math.Abs(s.RotationTestedRad)/s.RotationTestedStdRad)
		if asked {
			f.Add(", and the shift turns them back")
		} else {
			f.Add(", and the shift leaves that")
		}
		remedy := "a base moves all fixes alike and turns nothing: look for a mark taken for another one, or coordinates of another frame"
		if names := rotationHingesOn(occupied, judge{confidence: s.Confidence}); len(names) > 0 {
			remedy = "suspect " + joinNames(names) + ", without which the rest agrees; a base moves all fixes alike and turns nothing"
		}
		j.tell(ruleRotation, diag.Warning, f, remedy, diag.Number{Name: "rotation", Value: s.RotationTestedRad, Unit: "rad"}, diag.Number{Name: "standard deviation", Value: s.RotationTestedStdRad, Unit: "rad"})
	}
}

// occupations passes on what is doubtful about the fixes of a mark.
func (j *judgement) occupations(warnings []Warning) {
	for _, w := range warnings {
		f := diag.New(j.of(w.Mark), "%s: %s", j.mark(w.Mark), w.Text)
		j.tell(ruleOccupation, diag.Warning, f, "occupy it for longer, and again at another hour; state the receiver's uncertainty in the column uncertainty")
	}
}
