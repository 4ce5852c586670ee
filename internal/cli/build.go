// What a build hears of what was written: a depfile, which says of which files, and a
// stamp, which says when. Without the first a changed marks_file would not make new
// headers; without the second, headers that need no change, and are therefore left
// alone, would look old for ever.
//
// The order is what a run that is killed leaves behind: the depfile first, then the
// headers, then the stamp. Where it ends before the last of them, the next build finds the
// target of the depfile missing or older than the mission, and begins again. A refusal
// writes none of them.
package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"merestone/internal/depfile"
	"merestone/internal/place"
	"merestone/internal/version"
)

// build is what the command line says of it.
type build struct {
	depfile, stamp string
	began          time.Time // before anything was read
	rule           []byte    // what the depfile says
}

// buildFlags gives a command the flags --depfile and --stamp.
func buildFlags(c *cobra.Command, b *build) {
	c.Flags().StringVar(&b.depfile, "depfile", "", "write what was read into `FILE`, as a rule for Make")
	c.Flags().StringVar(&b.stamp, "stamp", "", "write `FILE` last, with the time of the start")
	for flag, ending := range map[string]string{"depfile": "d", "stamp": "stamp"} {
		mustCompleteFlag(c, flag, cobra.FixedCompletions([]string{ending}, cobra.ShellCompDirectiveFilterFileExt))
	}
}

// fault says in what way the command line asks for what cannot be. Endings are asked for
// so that a name given by mistake replaces no source; and an empty name, as of a variable
// that a build file misspells, must not pass for a flag that is not given.
func (b build) fault(c *cobra.Command, output string, inputs ...string) error {
	if !c.Flags().Changed("depfile") && !c.Flags().Changed("stamp") {
		return nil
	}
	if output == "" || output == "-" {
		return errors.New("--depfile and --stamp go with headers that are written: -o names where to")
	}
	for _, f := range []struct{ flag, file, ending string }{{"depfile", b.depfile, ".d"}, {"stamp", b.stamp, ".stamp"}} {
		if c.Flags().Changed(f.flag) && filepath.Ext(f.file) != f.ending {
			return fmt.Errorf("--%s names a file whose name ends in %s, but is %q", f.flag, f.ending, f.file)
		}
	}
	for _, input := range inputs {
		if b.depfile != "" && input == "-" {
			return errors.New("--depfile names what was read, and standard input has no name: give the file")
		}
	}
	return nil
}

// of makes the depfile's rule, before anything is written: that what was written, or the
// stamp where there is one, was made of what was read.
func (b *build) of(headers, sources []string) error {
	if b.depfile == "" && b.stamp == "" {
		return nil
	}
	for _, source := range sources {
		info, err := os.Stat(source)
		if b.depfile != "" && (err != nil || !info.Mode().IsRegular()) {
			return fmt.Errorf("--depfile names what was read, and %q is no file that a build could look at", source)
		}
	}
	if err := cmp.Or(notRead(b.depfile, sources), notRead(b.stamp, sources)); err != nil {
		return err
	}
	if b.depfile == "" {
		return nil
	}
	targets := headers
	if b.stamp != "" {
		targets = []string{b.stamp}
	}
	rule, err := depfile.Rule(targets, sources)
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", b.depfile, err)
	}
	b.rule = rule
	return nil
}

// beneath is the name of a file in a folder as a build would write it: the folder as it
// was given, since readers of a depfile do not all see that a/../b is b.
func beneath(folder, name string) string {
	return strings.TrimSuffix(filepath.ToSlash(folder), "/") + "/" + name
}

// before writes the depfile, when all is ready to be written.
func (b build) before() error {
	if b.depfile == "" {
		return nil
	}
	return untilDone("nothing was written", "no header was written", func(ctx context.Context) error {
		_, err := place.Files(ctx, filepath.Dir(b.depfile), []place.File{{Name: filepath.Base(b.depfile), Data: b.rule}})
		return err
	})
}

// done writes the stamp, when all else is said and done.
func (b build) done() error {
	if b.stamp == "" {
		return nil
	}
	return untilDone("no stamp was written", "all was written already", func(ctx context.Context) error {
		return place.Stamp(ctx, b.stamp, []byte("written last by "+tool+" "+version.Tool+"\n"), b.began)
	})
}
