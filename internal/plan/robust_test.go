// Half-written missions are the daily fare of an editor: none may panic, and none
// may come out as a header.
package plan_test

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/gen"
	"merestone/internal/check"
	"merestone/internal/missiontest"
	"merestone/internal/plan"
	"merestone/spec"
)

// parts lists everything in a value that can be taken away: fields, what
// pointers point at, elements of lists.
func parts(v reflect.Value, found []reflect.Value) []reflect.Value {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			found = parts(v.Elem(), found)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Field(i); f.CanSet() {
				found = parts(f, append(found, f))
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			found = parts(v.Index(i), append(found, v.Index(i)))
		}
	}
	return found
}

// Any parts of a mission taken away, extreme numbers put in, lists cut short.
func TestMutilatedMissionsNeverPanic(t *testing.T) {
	text := yardText(t, edit{"  cross_track: 8 cm\n", "  cross_track: 8 cm\n  motor_lag: 100 ms\n  tilt: 4 deg\n  antenna: {forward: 30 cm, right: -40 cm, height: 55 cm}\n"},
		edit{"position: entered, uncertainty: 1 mm", "position: averaged, averaged_for: 4 h, uncertainty: 80 cm, control_marks: [A, C]"},
		added("P: {tapes: [{from: A, distance: 13 m, uncertainty: 2 cm}, {from: D, distance: 13 m, uncertainty: 2 cm}], side: right}"),
		added("Q: {from: P, towards: A, chainage: 1 m, uncertainty: 2 cm}"))
	rapid.Check(t, func(t *rapid.T) {
		m := missiontest.Parse(t, yardFile, text)
		for range rapid.IntRange(1, 6).Draw(t, "cuts") {
			all := parts(reflect.ValueOf(m).Elem(), nil)
			v := all[rapid.IntRange(0, len(all)-1).Draw(t, "part")]
			switch how := rapid.IntRange(0, 3).Draw(t, "how"); {
			case how == 0 && v.Kind() == reflect.Slice && v.Len() > 0:
				v.SetLen(rapid.IntRange(0, v.Len()-1).Draw(t, "length"))
			case how == 1 && v.CanInt():
				v.SetInt(rapid.SampledFrom([]int64{-1, 1, 1 << 31, 1 << 40, -1 << 40, 1 << 62}).Draw(t, "value"))
			case how == 2 && v.Kind() == reflect.String:
				v.SetString("nowhere")
			default:
				v.SetZero()
			}
		}
		resolveAll(t, m)
	})
}

func resolveAll(t require.TestingT, m *spec.Mission) {
	p, findings := plan.Resolve(m)
	if p == nil {
		require.NotEmpty(t, findings)
		_, err := gen.Files(nil, "test")
		require.Error(t, err)
		return
	}
	check.All(p)
	files, err := gen.Files(p, "test")
	if !p.Complete() {
		require.Error(t, err)
	}
	if err == nil {
		require.Len(t, files, 2)
		require.NoError(t, validate(p))
	}
}

func TestNothingWrittenAtAll(t *testing.T) {
	resolveAll(t, spec.Parse(yardFile, []byte("mission: nothing"), nil).Mission)
}
