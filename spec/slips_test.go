package spec

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is advised for slips of the pen: it must not lead to another fault, and least of
// all to another number than was meant.
func TestAdviceForSlips(t *testing.T) {
	const marks = "marks:\n  F1: {latitude: 51.62, longitude: 25.91}\n  F2: {latitude: 51.63, longitude: 25.91}\n"
	for _, c := range []struct{ text, message, remedy string }{
		{"receiver: {latency: \"1,000 ms\"}", "is not a unit", "write 1000 ms if the comma groups the digits, or 1.000 ms if it is the decimal sign"},
		{"base: {averaged_for: \"1,000,000 ms\"}", "is not a unit", "write 1000000 ms if the comma groups the digits"},
		{"rover: {antenna: {right: \"-12,000 mm\"}}", "is not a unit", "write -12000 mm if the comma groups the digits, or -12.000 mm if it is the decimal sign"},
		{"receiver: {latency: \"-12,000 ms\"}", "is not a unit", "use one of h, min, ms, s"}, // what it may mean is out of range
		{"receiver: {latency: \"0,400 s\"}", "is not a unit", "write 0.400 s, with a decimal point"},
		{"receiver: {latency: \"1000,000 ms\"}", "is not a unit", "write 1000.000 ms, with a decimal point"},
		{"receiver: {latency: \"1,0005 s\"}", "is not a unit", "write 1.0005 s, with a decimal point"},
		{"receiver: {latency: 80\u00a0ms}", "is not a unit", "write 80 ms in plain characters: what stands here only looks like it"},
		{"receiver: {latency: “80 ms”}", "is not a duration", "write 80 ms in plain characters: what stands here only looks like it"},
		{"rover: {antenna: {right: −4 cm}}", "is not a length", "write -4 cm in plain characters: what stands here only looks like it"},
		{"receiver: {latency: 80}", "has no unit", "write 80 ms (units: h, min, ms, s)"}, // 80 s would be refused
		{"receiver: {latency: 20}", "has no unit", "write 20 s (units: h, min, ms, s)"},
		{"site: {origin: {height: 1,450.00 m}}", "stands within a number", "take it out"},
		{"holds: [{contact: N.O.}]", "must be one of", "write normally-open"},
		{"receiver:\n  latency:80 ms", "receiver should be a block of keys", "write latency: 80 ms, with a space after the colon"},
		{"receiver: {latency:80 ms}", "this is not a key with a value", "write KEY: VALUE, with a space after the colon"},
		{"tape:\n  {from: A, to: B}", "tape should be a list", "put a dash and a space before each entry"},
		{"geofence:\n  boundary: F1, F2, F3]", "should be a list", "write the entries in brackets, with commas between them: [F1, F2, F3]"},
		{"geofence:\n  boundary: (F1; F2; F3)", "should be a list", "write the entries in brackets, with commas between them: [F1, F2, F3]"},
		{"geofence:\n  boundary: {F1, F2, F3}", "should be a list", "write the entries in brackets, with commas between them: [F1, F2, F3]"},
		{"geofence:\n  boundary: F1 - F2", "should be a list", "write the entries in brackets, with commas between them: [F1, F2]"},
		{"geofence:\n  boundary: F1 -> F2 -> F3", "should be a list", "write the entries in brackets, with commas between them: [F1, F2, F3]"},
		{"rings:\n  - {widths: 3.1 m}", "should be a list", "write the entries in brackets, with commas between them: [3.1 m]"},
		{"geofence:\n  boundary: ''", "should be a list", "write the entries in brackets, with commas between them: [A, B]"},
		{marks + "geofence:\n  boundary: [F1, F2 F1, F2]", "there is no mark \"F2 F1\"", "put commas between them: F2, F1"},
		{marks + "geofence:\n  boundary: [F1, F2; F1]", "there is no mark \"F2; F1\"", "put commas between them: F2, F1"},
		{marks + "geofence:\n  boundary: [F1, \u00a0F2]", "there is no mark \"\\u00a0F2\"", "write F2 in plain characters: what stands here only looks like it"},
		{marks + "rows: [{name: F, count: 1}]\ngeofence:\n  boundary: [F]", "there is no mark \"F\"", "write its marks: F1, F2"},
		{marks + "geofence:\n  boundary: [F1, F2 X]", "there is no mark \"F2 X\"", "write its coordinates under marks, or in the marks_file"},
	} {
		remedy := ""
		for _, f := range Parse("m.yaml", []byte(c.text), nil).Findings {
			if assert.ObjectsAreEqual(c.remedy, f.Remedy) {
				remedy = f.Remedy
				require.Contains(t, f.Message(), c.message, c.text)
			}
		}
		assert.Equal(t, c.remedy, remedy, c.text)
	}
}
