// The sentence reader of the firmware example, built for the host under the
// address and undefined-behaviour sanitizers: facts from the standard's form of
// a sentence, angles against rational arithmetic, and bytes that are no sentence.
package firmware_test

import (
	"bytes"
	"fmt"
	"math/big"
	"math/rand"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// buildReader gives a program that turns bytes into lines, one for each event.
func buildReader(t *testing.T) string { return buildForHost(t, "nmea_events", "nmea") }

// buildForHost gives a program of testdata with a part of the rover's, under the
// sanitizers.
func buildForHost(t *testing.T, name, part string) string {
	t.Helper()
	program := filepath.Join(t.TempDir(), name)
	args := append([]string{"-std=c99", "-O1", "-g", "-fsanitize=address,undefined", "-fno-sanitize-recover=all"}, strict...)
	command(t, "gcc", append(args, "-Irover", "testdata/"+name+".c", "rover/"+part+".c", "-o", program)...)
	return program
}

func events(t *testing.T, program, text string) []string {
	t.Helper()
	cmd := exec.Command(program)
	cmd.Stdin = strings.NewReader(text)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	require.NoErrorf(t, cmd.Run(), "%s", errs.String())
	return strings.FieldsFunc(out.String(), func(r rune) bool { return r == '\n' })
}

// sum puts "$" and the checksum around a sentence.
func sum(body string) string {
	var all byte
	for i := range len(body) {
		all ^= body[i]
	}
	return fmt.Sprintf("$%s*%02X\r\n", body, all)
}

// ggaForm is a GGA sentence that may be used, between "$" and "*": no ninetieth
// degree in it, which random damage does not bring about.
var ggaForm = regexp.MustCompile(`^[ -~]{2}GGA,(([01]\d|2[0-3])[0-5]\d([0-5]\d|60)(\.\d*)?)?,([0-8]\d[0-5]\d(\.\d*)?,[NS],(0\d\d|1[0-7]\d)[0-5]\d(\.\d*)?,[EW],[1-9](,[ -~]*)?$|[ -+\--~]*,[ -+\--~]*,[ -+\--~]*,[ -+\--~]*,0(,[ -~]*)?$)`)

const rest = ",12,0.7,412.6,M,47.0,M,1.0,0001"

// One build serves all facts.
func TestReader(t *testing.T) {
	program := buildReader(t)
	t.Run("sentences", func(t *testing.T) { sentences(t, program) })
	t.Run("angles are exact to the last digit", func(t *testing.T) { exactAngles(t, program) })
	t.Run("damaged sentences", func(t *testing.T) { damagedSentences(t, program) })
}

func sentences(t *testing.T, program string) {
	for _, c := range []struct {
		fact, sent string
		want       []string
	}{
		// The sentence that introductions to the standard print, with its checksum
		// (from memory). 7.038 minutes are 0.1173 degrees.
		{"a published sentence", "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\r\n", []string{"fix 48117300000 11516666667 quality 1 at 45319000"}},
		{"lower-case checksum", "$GPGGA,123520,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*4d\r\n", []string{"fix 48117300000 11516666667 quality 1 at 45320000"}},
		{"north and east", sum("GNGGA,120000.20,4518.0720000,N,00607.4040000,E,4" + rest), []string{"fix 45301200000 6123400000 quality 4 at 43200200"}},
		{"south and west", sum("GPGGA,000000,3352.5000000,S,15112.2500000,W,5" + rest), []string{"fix -33875000000 -151204166667 quality 5 at 0"}},
		{"another talker, the equator, a line feed alone", strings.TrimSuffix(sum("GAGGA,235959.999,0000.0000,N,00000.0000,E,1,0,,,M,,M,,"), "\r\n") + "\n", []string{"fix 0 0 quality 1 at 86399999"}},
		{"minutes without decimals", sum("GNGGA,010203,1530,N,07545,E,2" + rest), []string{"fix 15500000000 75750000000 quality 2 at 3723000"}},
		{"a point without decimals", sum("GNGGA,010203.,1530.,N,07545.,E,2" + rest), []string{"fix 15500000000 75750000000 quality 2 at 3723000"}},
		{"more decimals than a nanodegree has", sum("GNGGA,010203,0000.0000000299999999,N,00000.0000000300000000,W,4" + rest), []string{"fix 0 0 quality 4 at 3723000"}},
		{"a tie goes to the even one", sum("GNGGA,010203,4134.50180243,N,00000.00000009,W,4" + rest), []string{"fix 41575030040 -2 quality 4 at 3723000"}},
		{"the least bit more is no tie", sum("GNGGA,010203,4134.502430000000001,N,00000.0000000300000001,W,4" + rest), []string{"fix 41575040500 -1 quality 4 at 3723000"}},
		{"the pole and the date line", sum("GNGGA,010203,9000.0,S,18000.0,W,4" + rest), []string{"fix -90000000000 -180000000000 quality 4 at 3723000"}},
		{"no position, quality 0", sum("GNGGA,010203.00,,,,,0,00,99.9,,M,,M,,"), []string{"fix 0 0 quality 0 at 3723000"}},
		{"no time", sum("GNGGA,,1530.0,N,07545.0,E,4" + rest), []string{"fix 15500000000 75750000000 quality 4 without time"}},
		{"two together", sum("GNGGA,010203,1530,N,07545,E,4"+rest) + sum("GNGGA,010204,1530,N,07545,E,4"+rest), []string{"fix 15500000000 75750000000 quality 4 at 3723000", "fix 15500000000 75750000000 quality 4 at 3724000"}},
		{"another sentence", sum("GNRMC,010203,A,1530.0,N,07545.0,E,0.0,0.0,010126,,,A"), []string{"other"}},
		{"the day", sum("GNZDA,120000.00,10,05,2026,00,00"), []string{"day 20260510"}},
		{"the day alone, local zone left out", sum("GPZDA,235959,31,12,2031"), []string{"day 20311231"}},
		{"the day is not known yet", sum("GNZDA,120000.00,,,,00,00") + sum("GNZDA,,,,,00,00"), []string{"other", "other"}},
		{"a day that is long past is none", sum("GNZDA,120000.00,06,01,1980,00,00") + sum("GNZDA,120000.00,31,12,2024,00,00") + sum("GNZDA,120000.00,01,01,2025,00,00"), []string{"other", "other", "day 20250101"}},
		{"a maker's own sentence", sum("PXYZ,GGA,1530.0,N,07545.0,E,4"), []string{"other"}},

		{"wrong checksum", "$GNGGA,010203,1530,N,07545,E,4,12*00\r\n", []string{"refused"}},
		{"one digit changed", strings.Replace(sum("GNGGA,010203,1530,N,07545,E,4"+rest), "1530", "1531", 1), []string{"refused"}},
		{"no checksum", "$GNGGA,010203,1530,N,07545,E,4,12\r\n", []string{"refused"}},
		{"half a checksum", "$GNGGA,010203,1530,N,07545,E,4,12*5\r\n", []string{"refused"}},
		{"checksum with a letter beyond F", "$GNGGA*G0\r\n", []string{"refused"}},
		{"bytes after the checksum", strings.Replace(sum("GNGGA,010203,1530,N,07545,E,4"+rest), "\r\n", "x\r\n", 1), []string{"refused"}},
		{"nothing between", "$\r\n", []string{"refused"}},
		{"ends after the address", sum("GNGGA"), []string{"refused"}},
		{"ends before the quality", sum("GNGGA,010203,1530,N,07545,E"), []string{"refused"}},
		{"quality of two digits", sum("GNGGA,010203,1530,N,07545,E,14" + rest), []string{"refused"}},
		{"quality of a letter", sum("GNGGA,010203,1530,N,07545,E,R" + rest), []string{"refused"}},
		{"quality, but no position", sum("GNGGA,010203,,,,,4" + rest), []string{"refused"}},
		{"60 minutes", sum("GNGGA,010203,1560.0,N,07545.0,E,4" + rest), []string{"refused"}},
		{"91 degrees north", sum("GNGGA,010203,9100.0,N,07545.0,E,4" + rest), []string{"refused"}},
		{"beyond the pole", sum("GNGGA,010203,9000.0000001,N,07545.0,E,4" + rest), []string{"refused"}},
		{"beyond the pole by less than is rounded", sum("GNGGA,010203,9000.00000000000001,N,07545.0,E,4" + rest), []string{"refused"}},
		{"181 degrees east", sum("GNGGA,010203,1530.0,N,18100.0,E,4" + rest), []string{"refused"}},
		{"beyond the date line", sum("GNGGA,010203,1530.0,N,18000.0000001,E,4" + rest), []string{"refused"}},
		{"three digits of degrees for a latitude", sum("GNGGA,010203,01530.0,N,07545.0,E,4" + rest), []string{"refused"}},
		{"two digits of degrees for a longitude", sum("GNGGA,010203,1530.0,N,7545.0,E,4" + rest), []string{"refused"}},
		{"a sign", sum("GNGGA,010203,-530.0,N,07545.0,E,4" + rest), []string{"refused"}},
		{"a space", sum("GNGGA,010203,1530.0 ,N,07545.0,E,4" + rest), []string{"refused"}},
		{"an exponent", sum("GNGGA,010203,1530.0e1,N,07545.0,E,4" + rest), []string{"refused"}},
		{"two points", sum("GNGGA,010203,1530.0.0,N,07545.0,E,4" + rest), []string{"refused"}},
		{"a letter beyond the ninth decimal", sum("GNGGA,010203,1530.0000000000x,N,07545.0,E,4" + rest), []string{"refused"}},
		{"N and E swapped", sum("GNGGA,010203,1530.0,E,07545.0,N,4" + rest), []string{"refused"}},
		{"no letter", sum("GNGGA,010203,1530.0,,07545.0,E,4" + rest), []string{"refused"}},
		{"month 13", sum("GNZDA,120000.00,10,13,2026,00,00"), []string{"refused"}},
		{"month 0", sum("GNZDA,120000.00,10,00,2026,00,00"), []string{"refused"}},
		{"the 32nd", sum("GNZDA,120000.00,32,05,2026,00,00"), []string{"refused"}},
		{"day 0", sum("GNZDA,120000.00,00,05,2026,00,00"), []string{"refused"}},
		{"a year of two digits", sum("GNZDA,120000.00,10,05,26,00,00"), []string{"refused"}},
		{"a year of five digits", sum("GNZDA,120000.00,10,05,20260,00,00"), []string{"refused"}},
		{"a month alone", sum("GNZDA,120000.00,,05,,00,00"), []string{"refused"}},
		{"hour 24 of a day", sum("GNZDA,240000.00,10,05,2026,00,00"), []string{"refused"}},
		{"hour 24", sum("GNGGA,240000,1530.0,N,07545.0,E,4" + rest), []string{"refused"}},
		{"time of five digits", sum("GNGGA,10203,1530.0,N,07545.0,E,4" + rest), []string{"refused"}},
		{"cut short by the next", "$GNGGA,010203,1530.0" + sum("GNGGA,010203,1530,N,07545,E,4"+rest), []string{"refused", "fix 15500000000 75750000000 quality 4 at 3723000"}},
		{"over-long, then a good one", sum("GNGGA,010203,1530."+strings.Repeat("0", 100)+",N,07545,E,4"+rest) + sum("GNGGA,010203,1530,N,07545,E,4"+rest), []string{"refused", "fix 15500000000 75750000000 quality 4 at 3723000"}},
		{"the longest", sum("GNGGA,010203,1530." + strings.Repeat("0", 120-len("GNGGA,010203,1530.,N,07545,E,4*00")) + ",N,07545,E,4"), []string{"fix 15500000000 75750000000 quality 4 at 3723000"}},
		{"one byte longer", sum("GNGGA,010203,1530." + strings.Repeat("0", 121-len("GNGGA,010203,1530.,N,07545,E,4*00")) + ",N,07545,E,4"), []string{"refused"}},
		{"a byte that is no text", "$GNGGA,01\x0003\r\n", []string{"refused"}},
		{"a byte above 127", "$GNGGA,01\xff03\r\n", []string{"refused"}},
		{"no sentence at all", "hello\r\n\r\n*00,,,\n", []string{}},
		{"an unfinished sentence", "$GNGGA,010203,1530.0", []string{}},
	} {
		assert.Equal(t, c.want, events(t, program, c.sent), c.fact)
	}
}

// nanodegrees of degrees and minutes by rational arithmetic: to the nearest, a tie going
// to the even one.
func nanodegrees(t *testing.T, degrees int64, minutes string) int64 {
	t.Helper()
	m, ok := new(big.Rat).SetString(minutes)
	require.True(t, ok)
	angle := new(big.Rat).Add(new(big.Rat).SetInt64(degrees), m.Quo(m, big.NewRat(60, 1)))
	angle.Mul(angle, big.NewRat(1_000_000_000, 1))
	below, rest := new(big.Int).QuoRem(angle.Num(), angle.Denom(), new(big.Int))
	size := below.Int64()
	if half := rest.Lsh(rest, 1).Cmp(angle.Denom()); half > 0 || half == 0 && size%2 == 1 {
		size++
	}
	return size
}

func exactAngles(t *testing.T, program string) {
	random := rand.New(rand.NewSource(1))
	var text strings.Builder
	var want []string
	for i := range 20_000 {
		decimals := func() string {
			digits := make([]byte, random.Intn(13))
			for k := range digits {
				digits[k] = byte('0' + random.Intn(10))
			}
			if i%4 == 0 && len(digits) >= 9 { // near halves of a nanodegree
				copy(digits[7:], "30"[:min(2, len(digits)-7)])
			}
			return string(digits)
		}
		lat, lon := random.Int63n(90), random.Int63n(180)
		latMinutes := fmt.Sprintf("%02d.%s", random.Intn(60), decimals())
		lonMinutes := fmt.Sprintf("%02d.%s", random.Intn(60), decimals())
		text.WriteString(sum(fmt.Sprintf("GNGGA,000001,%02d%s,%c,%03d%s,%c,4", lat, latMinutes, "NS"[i%2], lon, lonMinutes, "EW"[i/2%2])))
		a, b := nanodegrees(t, lat, latMinutes), nanodegrees(t, lon, lonMinutes)
		if i%2 == 1 {
			a = -a
		}
		if i/2%2 == 1 {
			b = -b
		}
		want = append(want, fmt.Sprintf("fix %d %d quality 4 at 1000", a, b))
	}
	assert.Equal(t, want, events(t, program, text.String()))
}

// A sentence with bytes changed, lost and added is never taken for another one
// unless its checksum is right, and nothing makes the sanitizers speak.
func damagedSentences(t *testing.T, program string) {
	random := rand.New(rand.NewSource(2))
	good := sum("GNGGA,120000.20,4518.0720000,N,00607.4040000,E,4" + rest)
	var text strings.Builder
	const count = 50_000
	for range count {
		bytes := []byte(good)
		for range 1 + random.Intn(3) {
			at := random.Intn(len(bytes))
			switch random.Intn(3) {
			case 0:
				bytes[at] = byte(random.Intn(256))
			case 1:
				bytes = append(bytes[:at], bytes[at+1:]...)
			default:
				bytes = append(bytes[:at+1], bytes[at:]...)
			}
		}
		text.Write(bytes)
	}
	noise := make([]byte, 1<<20)
	random.Read(noise)
	text.Write(noise)
	got := events(t, program, text.String())
	fixes := 0
	for _, e := range got {
		if strings.HasPrefix(e, "fix") {
			fixes++
		}
	}
	assert.Equal(t, soundFixes(text.String()), fixes)
	assert.Greater(t, len(got), count/2)
}

// soundFixes counts by another way: every "$" up to the next end of line, with a
// right checksum, GGA and fields of the right form.
func soundFixes(text string) int {
	n := 0
	for _, line := range strings.FieldsFunc(text, func(r rune) bool { return r == '\r' || r == '\n' }) {
		at := strings.LastIndexByte(line, '$')
		if at < 0 {
			continue
		}
		body, _, found := strings.Cut(line[at+1:], "*")
		if found && len(line)-at-1 <= 120 && strings.EqualFold(strings.TrimSpace(sum(body)), line[at:]) && ggaForm.MatchString(body) {
			n++
		}
	}
	return n
}
