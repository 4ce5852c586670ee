// What commands enter into a mission: marks from logs, rings and routes from other files.
package cli

import "merestone/internal/insert"

// enter shows what is to be entered into a mission file, and puts it there unless it is only
// to be shown. Nothing is written where any of it is in the way of something, or where the
// file was changed meanwhile.
func (a app) enter(path string, change insert.Change, dry bool) error {
	found, err := a.changeable(path)
	if err != nil {
		return err
	}
	files, err := insert.Into(found, change)
	if err != nil {
		return err
	}
	done, err := a.change(path, files, dry)
	if err != nil {
		return err
	}
	if len(files) == 0 {
		done = "it says all of this already"
	}
	return say(a.out, "%s: %s", found.Name, done)
}
