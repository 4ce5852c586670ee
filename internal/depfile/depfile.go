// Package depfile writes which files something was made of, for the build that
// ordered it: a rule in the syntax of Make, as compilers write it, which Make, Ninja,
// CMake and Meson read.
//
//	gen/mission.stamp: \
//	  grove/mission.yaml \
//	  grove/trees.csv
//
//	grove/mission.yaml:
//
//	grove/trees.csv:
//
// The rules without sources, one for each source, let Make go on where a source is
// gone: without one it would stop, and not even ask the tool what it is made of now.
//
// These readers do not agree on every character, and most of what they disagree on
// they take for something else without a word: a source that is lost in that way
// leaves old headers in a firmware. So a name is written where GNU Make and Ninja are
// known to read the same (depfile_test.go asks them), and refused where they are not.
// CMake, which reads the rule and hands it on to one of them, takes $ and # for something
// else, and a colon too: then it makes the headers in every build, or stops. Nothing is
// lost by it, so these are written.
package depfile

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"unicode/utf8"
)

// Rule is the text that says that the targets were made of the sources. Names are
// those that the build uses, since readers compare them as they are written.
func Rule(targets, sources []string) ([]byte, error) {
	var out strings.Builder
	for i, target := range targets {
		// As a target % makes a pattern, and no escape for it means the same to all.
		if strings.Contains(target, "%") {
			return nil, fmt.Errorf("%q is a name that Make and Ninja do not read the same: the character '%%'; choose another", target)
		}
		name, err := escaped(target)
		if err != nil {
			return nil, err
		}
		if i > 0 {
			out.WriteByte(' ')
		}
		out.WriteString(name)
	}
	out.WriteByte(':')
	var gone strings.Builder
	for _, source := range sources {
		name, err := escaped(source)
		if err != nil {
			return nil, err
		}
		out.WriteString(" \\\n  " + name)
		if !strings.Contains(source, "%") { // which would make a pattern: Make stops where that one is gone
			gone.WriteString("\n" + name + ":\n")
		}
	}
	return []byte(out.String() + "\n" + gone.String()), nil
}

// plain are the characters beside letters and digits that every reader takes as they
// are; those above ASCII are, too.
const plain = "!+,-./@_{}~"

// escaped is a name as it stands in a rule.
func escaped(name string) (string, error) {
	written, drive := filepath.ToSlash(name), ""
	if len(filepath.VolumeName(name)) == 2 { // the colon of Windows' C:/ is taken as it is
		drive, written = written[:2], written[2:]
	}
	fault := nameFault(written)
	if !utf8.ValidString(written) {
		fault = errors.New("it is not UTF-8")
	}
	if fault != nil {
		return "", fmt.Errorf("%q is a name that Make and Ninja do not read the same: %w; choose another", name, fault)
	}
	return drive + strings.NewReplacer("$", "$$", " ", `\ `, "#", `\#`, ":", `\:`).Replace(written), nil
}

// nameFault is what in a name readers take in different ways.
func nameFault(name string) error {
	for _, c := range name {
		switch {
		case c >= 0x80 || 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || '0' <= c && c <= '9':
		case strings.ContainsRune(plain, c), strings.ContainsRune("$ #:%()", c):
		default:
			return fmt.Errorf("the character %q", c)
		}
	}
	switch {
	case name == "":
		return errors.New("it is empty")
	case name[0] == '~':
		return errors.New("a ~ at its beginning")
	case name[0] == ' ' || name[len(name)-1] == ' ':
		return errors.New("a space at its beginning or end")
	case name[len(name)-1] == ':':
		return errors.New("a colon at its end")
	case name[len(name)-1] == ')': // Make takes a(b) for the member b of the archive a
		return errors.New("a closing bracket at its end")
	}
	return nil
}
