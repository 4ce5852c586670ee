package geodesy

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestMeantCoordinates(t *testing.T) {
	for _, c := range []struct{ text, latitude, longitude string }{
		// The same place as people, maps and receivers write it.
		{"52 06.0019412 N", "52°06.0019412'N!", ""},
		{"52° 06.0019412' N", "52°06.0019412'N!", ""},
		{"N 52 06.0019412", "52°06.0019412'N!", ""},
		{"N52°06.0019412'", "52°06.0019412'N!", ""},
		{"52º06.0019412’N", "52°06.0019412'N!", ""},
		{"52°06,0019412'N", "52°06.0019412'N!", ""},
		{"5206.0019412N", "52°06.0019412'N!", ""},
		{"5206.0019412,N", "52°06.0019412'N!", ""},
		{"5206.0019412", "52°06.0019412'N", "52°06.0019412'E"},
		{"-5206.0019412", "52°06.0019412'S", "52°06.0019412'W"},
		{"00607.404E", "", "006°07.404'E!"},
		{"0607.404E", "", "06°07.404'E"},
		{"607.404E", "", ""}, // six degrees seven minutes, or a number that is wrong
		{"52 06 00.1165 N", "52°06'00.1165\"N!", ""},
		{"52:06:00.1165N", "52°06'00.1165\"N!", ""},
		{"52d06m00.1165s N", "52°06'00.1165\"N!", ""},
		{"520600.1165N", "52°06'00.1165\"N!", ""},
		{"0060724.24E", "", "006°07'24.24\"E!"},
		{"52°06'00.1165''N", "52°06'00.1165\"N!", ""},
		{"52.1000324 N", "52.1000324°N!", ""},
		{"S 33.5", "33.5°S!", ""},
		{"33.5s", "33.5°S", ""},
		{"52°06.0019412'n", "52°06.0019412'N!", ""},
		{"52,1000324", "52.1000324!", "52.1000324!"},
		{"−33,5", "-33.5!", "-33.5!"},
		{" 52.1", "52.1!", "52.1!"},
		{"52.1°", "52.1!", "52.1!"},
		{"52°06.5'", "52°06.5'N", "52°06.5'E"},
		// What is no place, or no one place.
		{"52 66.5 N", "", ""},
		{"91 00.5 N", "", ""},
		{"-52 06.5 N", "", ""},
		{"52.5 06.5 N", "", ""},
		{"1,234,567", "", ""},
		{"", "", ""},
		{"N", "", ""},
		{"north", "", ""},
	} {
		t.Run(c.text, func(t *testing.T) {
			for _, axis := range []struct {
				want  string
				meant func(string) []Meaning
				parse func(string) (Coordinate, error)
			}{{c.latitude, MeantLatitude, ParseLatitude}, {c.longitude, MeantLongitude, ParseLongitude}} {
				got := ""
				for _, m := range axis.meant(c.text) {
					got += m.Text
					if m.Certain {
						got += "!"
					}
					_, err := axis.parse(m.Text)
					assert.NoError(t, err)
				}
				assert.Equal(t, axis.want, got)
			}
		})
	}
}

// However the same degrees, minutes and seconds are written, they mean the same angle.
func TestMeantIsTheSameAngle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		degrees, minutes := rapid.IntRange(0, 89).Draw(t, "degrees"), rapid.IntRange(0, 59).Draw(t, "minutes")
		seconds := fmt.Sprintf("%02d.%04d", rapid.IntRange(0, 59).Draw(t, "seconds"), rapid.IntRange(0, 9999).Draw(t, "fraction"))
		letter := rapid.SampledFrom([]string{"N", "S"}).Draw(t, "letter")
		want, err := ParseLatitude(fmt.Sprintf(`%02d°%02d'%s"%s`, degrees, minutes, seconds, letter))
		require.NoError(t, err)
		format := rapid.SampledFrom([]string{"%02d %02d %s %s", "%d° %d' %s\" %s", "%02d:%02d:%s%s", "%02d%02d%s%s", "%dd%dm%ss%s", "%02dº%02d’%s”%s"}).Draw(t, "format")
		text := fmt.Sprintf(format, degrees, minutes, seconds, letter)
		if rapid.Bool().Draw(t, "comma") {
			text = strings.Replace(text, ".", ",", 1)
		}
		meant := MeantLatitude(text)
		require.Len(t, meant, 1, text)
		got, err := ParseLatitude(meant[0].Text)
		require.NoError(t, err)
		assert.Equal(t, want, got)
		assert.True(t, meant[0].Certain)
	})
}

// Nothing that is read is given another meaning, and nothing panics.
func TestMeantOfAnything(t *testing.T) {
	pieces := []string{"5", "52", "06", ".", ",", " ", "-", "°", "'", "\"", "N", "s", "E", ":", "d", "00", "\u00a0", "é"}
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(pieces), 0, 9).Draw(t, "text"), "")
		for _, m := range MeantLatitude(text) {
			got, err := ParseLatitude(m.Text)
			require.NoError(t, err)
			if read, err := ParseLatitude(text); err == nil {
				require.Equal(t, read.Value, got.Value, text)
			}
		}
	})
}
