// That every loop of the guidance header ends, and so every function: the same for every
// mission. Each loop has a comment "loop variant" with what becomes less in each round;
// that it does, and is not negative before, are formulas for a prover. So is that each
// function comes to its end if those that it calls do; there is no recursion, or Eva would
// have said so. Undefined behaviour is not looked at here: that is Eva's.
package prove

import (
	"context"
	"fmt"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"

	"merestone/gen"
)

const (
	loopsText = "/* The guidance header alone, for the proof that its loops end. */\n#include \"" + gen.GuidanceHeader + "\"\n"
	// why3File is where why3 is to note the provers that it finds: in the folder, and not
	// among the user's settings.
	why3File = "why3.conf"
)

// provers are those that were tried; any one of them is enough.
func provers() []string { return []string{"z3", "cvc4"} }

// loopsArguments are the analyser's; the names of the provers follow.
func loopsArguments() []string {
	return []string{"-machdep", "gcc_x86_32", loopsFile, "-wp", "-wp-definitions-terminate", "-wp-prop=@variant,@invariant,@terminates", "-wp-timeout", "20", "-wp-prover"}
}

var (
	provedPattern = regexp.MustCompile(`(?m)^\[wp\] Proved goals: +(\d+) / (\d+)`)
	failedPattern = regexp.MustCompile(`(?m)^\[wp\] \[(?:Failed|Timeout|Unknown|Stepout)\w*\] Goal (?:typed_)?(\w+)`)
)

// loops proves that every loop ends, where there is a prover.
func (c Case) loops(ctx context.Context, took *time.Duration, program, folder string, r *Report) error {
	why3, err := exec.LookPath("why3")
	if err != nil {
		r.NoProver = "why3"
		return nil
	}
	var found []string
	for _, name := range provers() {
		if _, err := exec.LookPath(name); err == nil {
			found = append(found, name)
		}
	}
	if len(found) == 0 {
		r.NoProver = strings.Join(provers(), " or ")
		return nil
	}
	if err := removeOld(filepath.Join(folder, why3File)); err != nil { // why3 would keep a copy
		return err
	}
	if _, err := run(ctx, took, why3, folder, "-C", why3File, "config", "detect"); err != nil {
		return err
	}
	printed, err := run(ctx, took, program, folder, append(loopsArguments(), strings.Join(found, ","))...)
	if err != nil {
		return err
	}
	m := provedPattern.FindStringSubmatch(printed)
	if m == nil {
		return fmt.Errorf("%s did not say whether loops end; it said: %s", analyser, complaint(printed))
	}
	for _, f := range failedPattern.FindAllStringSubmatch(printed, -1) {
		r.Lacking = append(r.Lacking, "that every loop ends: "+f[1]+" was not proved")
	}
	if r.Loops, err = strconv.Atoi(m[1]); err != nil {
		return fmt.Errorf("%s proved %s formulas: %w", analyser, m[1], err)
	}
	if m[1] != m[2] && len(r.Lacking) == 0 {
		r.Lacking = append(r.Lacking, fmt.Sprintf("that every loop ends: of %s formulas %s were proved", m[2], m[1]))
	}
	return nil
}
