// Package prove has the code that a board runs proved by an outside analyser of C:
// that with the tables of a mission no sum overflows and nothing is read or written
// where it must not be, whatever a firmware hands over and in whatever order.
//
// The analyser is Frama-C. Its plug-in Eva follows all values of a program at once, by
// abstract interpretation: it proves the absence of undefined behaviour, or else raises
// an alarm, which may be false. What this package adds is the program around the header,
// templates/prove.c.tmpl, the options, and the reading of the report: nothing passes that
// was not analysed. Its plug-in WP proves that every loop of the header ends, by
// deduction, with a prover of formulas where one is there.
//
//	prove.go    the files of a proof, and the analyser's options
//	run.go      running it
//	report.go   what it has found, and whether it has looked at everything
//	loops.go    that every loop ends
package prove

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"strings"
	"text/template"

	"merestone/gen"
	"merestone/internal/guidance"
	"merestone/internal/plan"
	"merestone/templates"
)

// The files of a proof beside the two headers, and the report that the analyser writes.
const (
	Harness    = "prove.c"
	Script     = "prove.sh"
	loopsFile  = "loops.c"
	reportFile = "prove.csv"
)

// Case is all that the analyser is given for one mission.
type Case struct {
	Files   []gen.File // the headers, the harness, the loops' file and the script
	Options []Option

	public   []string // functions that a firmware calls: each must be looked at
	own      []string // functions of the harness: all of each
	promises int      // assertions of the harness
}

// Option is one of the analyser's, and why it is given.
type Option struct {
	Args []string
	Why  string
}

// New is the case of a mission. Tool names the program's version.
func New(p *plan.Plan, tool string) (Case, error) {
	headers, err := gen.Files(p, tool)
	if err != nil {
		return Case{}, err
	}
	return newCase(headers, p.Mission, p.Identifier, p.Board.Tables)
}

// newCase is the case of headers, the mission's first.
func newCase(headers []gen.File, mission, identifier string, board guidance.Mission) (Case, error) {
	harness, err := render(map[string]any{
		"Mission": mission, "Header": headers[0].Name, "Tables": identifier + "_mission", "Areas": areas(board.Fence),
	})
	if err != nil {
		return Case{}, err
	}
	c := Case{Options: options(board), promises: bytes.Count(harness, []byte("/*@ assert "))}
	for _, m := range listedPattern.FindAllSubmatch(headers[1].Data, -1) {
		c.public = append(c.public, string(m[1]))
	}
	for _, m := range definedPattern.FindAllSubmatch(harness, -1) {
		c.own = append(c.own, string(m[1]))
	}
	c.Files = append(headers, gen.File{Name: Harness, Data: harness}, gen.File{Name: loopsFile, Data: []byte(loopsText)}, gen.File{Name: Script, Data: c.script()})
	return c, nil
}

// Called is how many functions of the header the harness calls by their names.
func (c Case) Called() int { return len(c.public) }

var (
	// listedPattern is a function in the contents list of the guidance header.
	listedPattern = regexp.MustCompile(`(?m)^ \* {8}(mere_\w+) {2,}\S`)
	// definedPattern is a function that the harness defines.
	definedPattern = regexp.MustCompile(`(?m)^(?:static )?(?:const )?\w+ \*?(\w+)\([^;]*\)\n\{`)
)

func render(data any) ([]byte, error) {
	t, err := template.ParseFS(templates.Files, "prove.c.tmpl")
	if err != nil {
		return nil, fmt.Errorf("the harness's template: %w", err)
	}
	var out bytes.Buffer
	if err := t.Execute(&out, data); err != nil {
		return nil, fmt.Errorf("the harness's template: %w", err)
	}
	return out.Bytes(), nil
}

// area is a rectangle of points, both ends included, that lies within the fence's root
// square or on one side of it.
type area struct {
	Name                     string
	Within                   bool
	West, East, South, North bound
}

// bound is a number as C writes it: there is no literal for the least one.
type bound int64

func (b bound) String() string {
	if b == math.MinInt32 {
		return "INT32_MIN"
	}
	return fmt.Sprint(int64(b))
}

// areas are all points that there are. Outside of the root square they are cut at 0,
// too: the header subtracts in unsigned numbers, and what is in one area must not pass
// from their least to their greatest.
func areas(f guidance.FenceTable) []area {
	side := int64(1) << f.RootLog2
	west, south := int64(f.WestMM), int64(f.SouthMM)
	east, north := west+side-1, south+side-1
	var list []area
	add := func(name string, within bool, w, e, s, n int64) {
		if w <= e && s <= n {
			list = append(list, area{name, within, bound(w), bound(e), bound(s), bound(n)})
		}
	}
	const least, most = math.MinInt32, math.MaxInt32
	for _, half := range [][2]int64{{least, -1}, {0, most}} {
		sign := map[bool]string{true: "negative", false: "positive"}[half[0] < 0]
		add("west_"+sign, false, half[0], min(half[1], west-1), least, most)
		add("east_"+sign, false, max(half[0], east+1), half[1], least, most)
		add("south_"+sign, false, west, east, half[0], min(half[1], south-1))
		add("north_"+sign, false, west, east, max(half[0], north+1), half[1])
	}
	add("within", true, west, east, south, north)
	return list
}

// options are the analyser's. Those that trade time for precision were found by trying:
// with them the examples raise no alarm. None of them can hide one.
func options(board guidance.Mission) []Option {
	words := max(1000, 2*len(board.Fence.Nodes))
	entries := max(64, len(board.Legs), len(board.Holds))
	opt := func(why string, args ...string) Option { return Option{args, why} }
	return []Option{
		opt("int, long and pointers of 32 bits, two's complement", "-machdep", "gcc_x86_32"),
		opt("a signed sum that overflows is an alarm", "-warn-signed-overflow"),
		opt("so is a conversion to a signed type that does not hold the value", "-warn-signed-downcast"),
		opt("so is a pointer beyond its object, before anything is read there", "-warn-invalid-pointer"),
		opt("the analysis: values, what is equal to what, and what stands where", "-eva", "-eva-domains", "cvalue,equality,symbolic-locations"),
		opt("loops are followed round by round: the longest list has 255 entries", "-eva-auto-loop-unroll", "256"),
		opt("so many ways through a function are kept apart ...", "-eva-slevel", "20"),
		opt("... and of the fence's search each word of it by itself", "-eva-slevel-function", fmt.Sprintf("mere_fence_margin:%d,mere_list_margin:0", words), "-eva-split-limit", fmt.Sprint(words)),
		opt("entries of a table that are told apart", "-eva-plevel", fmt.Sprint(entries)),
		opt("values that are told apart, and parts that a range is cut into", "-eva-ilevel", "16", "-eva-subdivide-non-linear", "40"),
		opt("rounds of an endless loop before its ranges are widened", "-eva-widening-delay", "2"),
		opt("print what was looked at, and no values", "-eva-no-print", "-eva-no-show-progress", "-eva-msg-key=-initial-state", "-metrics", "-metrics-eva-cover"),
		opt("the file, and then the report", Harness, "-then", "-report-csv", reportFile),
	}
}

// arguments are the options in a row.
func (c Case) arguments() []string {
	var list []string
	for _, o := range c.Options {
		list = append(list, o.Args...)
	}
	return list
}

// script runs the analyser by hand, with each option and why.
func (c Case) script() []byte {
	var out strings.Builder
	fmt.Fprintf(&out, `#!/bin/sh
# Runs the analyser on %s, as 'merestone prove' does. It prints a summary, and
# writes every property with its status to %s: there is no alarm where all are
# valid. The options, and why each is given:
#
`, Harness, reportFile)
	for _, o := range c.Options {
		fmt.Fprintf(&out, "#   %s\n#       %s\n", strings.Join(o.Args, " "), o.Why)
	}
	fmt.Fprintf(&out, "set -eu\ncd \"$(dirname \"$0\")\"\nrm -f %s\n%s", reportFile, analyser)
	for _, o := range c.Options {
		out.WriteString(" \\\n    " + strings.Join(o.Args, " "))
	}
	fmt.Fprintf(&out, `

# That every loop ends: by z3 or cvc4, which why3 calls (Debian: apt-get install why3 z3).
provers=
for prover in %s; do
    if command -v "$prover" >/dev/null && command -v why3 >/dev/null; then
        provers="$provers${provers:+,}$prover"
    fi
done
if [ -z "$provers" ]; then
    echo "that loops end is not proved: there is no why3 here, or no prover"
    exit 0
fi
rm -f %[2]s
why3 -C %[2]s config detect
WHY3CONFIG=%[2]s %[3]s %[4]s "$provers"
`, strings.Join(provers(), " "), why3File, analyser, strings.Join(loopsArguments(), " "))
	return []byte(out.String())
}
