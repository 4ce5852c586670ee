// Where each key of a mission was written. Plain paths name the places, such as
// "route.waypoints[2].speed" or "marks.A.latitude", so that the mission types
// stay free of positions and any later stage can point to the source.
package spec

import (
	"strings"

	"merestone/internal/diag"
)

// Places maps paths to positions in the source.
type Places map[string]diag.Position

// Where is the position of a path, or of the nearest enclosing path that was
// written: a key that was left to its default is pointed to by its block. The
// empty path is the file.
func (m *Mission) Where(path string) diag.Position {
	for {
		if at, ok := m.places[path]; ok {
			return at
		}
		if path == "" {
			return diag.Position{}
		}
		path = parent(path)
	}
}

// Written reports whether a key was written in the file, and not left to what is
// usual.
func (m *Mission) Written(path string) bool {
	_, ok := m.places[path]
	return ok
}

// Uses are the paths of all that names a mark, in the order written.
func (m *Mission) Uses(mark string) (paths []string) {
	for _, r := range m.references {
		if r.name == mark {
			paths = append(paths, r.path)
		}
	}
	return paths
}

// parent cuts the last step, "[i]" or ".key", off a path. Names of marks hold
// neither dots nor brackets.
func parent(path string) string {
	return path[:max(strings.LastIndexAny(path, ".["), 0)]
}
