// Package version holds the one version number of the tool, which the command
// line prints and every generated header carries.
package version

// Tool is the version of merestone, by semantic versioning 2.0.0. It changes
// when the mission language, a check or a byte of the generated headers does.
const Tool = "0.1.0"
