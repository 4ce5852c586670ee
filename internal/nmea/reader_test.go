// Facts: what is sent, which fixes come of it, and what is counted.
package nmea

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/logtest"
)

// fixesOf reads a log to its end.
func fixesOf(t require.TestingT, r *Reader) (fixes []Fix) {
	for {
		f, err := r.Next()
		if errors.Is(err, io.EOF) {
			return fixes
		}
		require.NoError(t, err)
		fixes = append(fixes, f)
	}
}

// said is a fix in one line.
func said(f Fix) string {
	out := f.At.Format("2006-01-02 15:04:05.999")
	if !f.Dated {
		out = "undated " + out
	}
	out += fmt.Sprintf(" q%d %d %d", f.Quality, f.Latitude, f.Longitude)
	if f.HasHeight {
		out += fmt.Sprintf(" %d mm", f.HeightMM)
	}
	if f.EastStdMM+f.NorthStdMM+f.UpStdMM > 0 {
		out += fmt.Sprintf(" σ %g %g %g", f.EastStdMM, f.NorthStdMM, f.UpStdMM)
	}
	if f.Satellites >= 0 {
		out += fmt.Sprintf(" %d satellites", f.Satellites)
	}
	if f.HDOP > 0 {
		out += fmt.Sprintf(" hdop %g", f.HDOP)
	}
	if f.Age >= 0 {
		out += fmt.Sprintf(" age %v", f.Age)
	}
	return out
}

// counted is what was there, by name, and the line of the first.
func counted(c Counts) map[string]string {
	out := map[string]string{}
	for _, row := range c.Rows() {
		out[row[0]] = row[1] + " from " + row[2]
	}
	return out
}

// line is a sentence with its checksum and its end.
func line(body string) string { return logtest.Sentence(body) + "\r\n" }

const (
	place = "4518.072,N,00607.404,E"
	tail  = ",12,0.7,412.6,M,47.0,M,1.0,0001"
	there = " 45301200000 6123400000 459600 mm 12 satellites hdop 0.7 age 1s"
	gga   = "GNGGA,080000.20," + place + ",4" + tail
	rmc   = "GNRMC,080000.20,A," + place + ",0.0,,100526,,,R"
	gst   = "GNGST,080000.20,0.6,0.02,0.01,0,0.02,0.01,0.03"
	zda   = "GNZDA,080000.20,10,05,2026,00,00"
)

func TestWhatComesOfALog(t *testing.T) {
	const at = "2026-05-10 08:00:00.2 q4" + there
	full := at[:strings.Index(at, " 12 sat")] + " σ 10 20 30" + at[strings.Index(at, " 12 sat"):]
	for _, c := range []struct {
		fact, log string
		fixes     []string
		counts    map[string]string // "GGA 1 from 1" and so on, but for what goes without saying
	}{
		{"an epoch", line(rmc) + line(gga) + line(gst) + line(zda), []string{full}, map[string]string{"RMC": "1 from 1", "GGA": "1 from 2", "GST": "1 from 3", "ZDA": "1 from 4"}},
		{"GST and the day after GGA, other talkers", line(gga) + strings.ReplaceAll(line("GPGST"+gst[5:])+line("GLRMC"+rmc[5:]), "\r", ""), []string{full}, map[string]string{"GGA": "1 from 1", "GST": "1 from 2", "RMC": "1 from 3"}},
		{"no line ends at all", logtest.Sentence(gga) + logtest.Sentence(gst) + logtest.Sentence(zda), []string{full}, map[string]string{"GGA": "1 from 1", "GST": "1 from 1", "ZDA": "1 from 1"}},
		{"carriage returns alone", logtest.Sentence(gga) + "\r" + logtest.Sentence(gst) + "\r" + logtest.Sentence(zda), []string{full}, map[string]string{"GGA": "1 from 1", "GST": "1 from 2", "ZDA": "1 from 3"}},
		{"GST of an epoch before, and times written with other decimals", line(gga) + line("GNGGA,080000.4,"+place+",4"+tail) + line(strings.Replace(gst, "00.20", "00.2", 1)) + line(zda),
			[]string{full, "2026-05-10 08:00:00.4 q4" + there}, map[string]string{"GGA": "2 from 1", "GST": "1 from 3", "ZDA": "1 from 4"}},
		{"byte order mark", "\xef\xbb\xbf" + line(zda) + line(gga), []string{at}, map[string]string{"GGA": "1 from 2", "ZDA": "1 from 1"}},
		{"small letters in the checksum", "$GPGGA,123520,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*4d\r\n",
			[]string{"undated 1970-01-01 12:35:20 q1 48117300000 11516666667 592300 mm 8 satellites hdop 0.9"}, map[string]string{"GGA": "1 from 1", "remark: fixes without a day": "1 from 1"}},
		{"time stamps of a logging program", "2026-05-10T10:00:00,123 rx: " + line(zda) + "[1] " + line(gga) + "closed\n", []string{at},
			map[string]string{"GGA": "1 from 2", "ZDA": "1 from 1", "remark: sentences with text before them on the line": "2 from 1", "remark: other text": "1 from 3"}},
		{"makers' own, encapsulated, others", line(zda) + line("PXYZ,GGA,1") + "!" + line("AIVDM,1,1,,A,0,0")[1:] + line("GPGSV,1,1,00") + line("GNGSA,A,1,,,,,,,,,,,,,99.9,99.9,99.9") + "Hello!\n", nil,
			map[string]string{"ZDA": "1 from 1", "makers' own ($P)": "1 from 2", "encapsulated (!)": "1 from 3", "other kinds": "1 from 4", "GSA": "1 from 5", "remark: other text": "1 from 6"}},

		{"doubled sentence", line(zda) + line(gga) + line(gga), []string{at}, map[string]string{"ZDA": "1 from 1", "GGA": "1 from 2", "refused: there twice": "1 from 3"}},
		{"a whole epoch twice", line(zda) + line(gga) + line(gst) + line(zda) + line(gga) + line(gst), []string{full},
			map[string]string{"ZDA": "1 from 1", "GGA": "1 from 2", "GST": "1 from 3", "refused: there twice": "3 from 4"}},
		{"two places at one time are two fixes", line(zda) + line(gga) + line(strings.Replace(gga, "8.072,N", "8.072,S", 1)), []string{at, strings.Replace(at, " 45", " -45", 1)},
			map[string]string{"ZDA": "1 from 1", "GGA": "2 from 2", "remark: fixes at the time of another": "1 from 3"}},
		{"without a checksum", line(zda) + "$" + gga + "\r\n", nil, map[string]string{"ZDA": "1 from 1", "refused: without a checksum, or cut off at the line's end": "1 from 2"}},
		{"wrong checksum", line(zda) + strings.Replace(line(gga), "4518", "4519", 1), nil, map[string]string{"ZDA": "1 from 1", "refused: with a wrong checksum": "1 from 2"}},
		{"half a checksum", line(zda) + line(gga)[:len(gga)+3] + "\r\n" + line(gga), []string{at}, map[string]string{"ZDA": "1 from 1", "refused: cut short": "1 from 2", "GGA": "1 from 3"}},
		{"run into by the next", line(zda) + line(gst)[:20] + line(gga), []string{at}, map[string]string{"ZDA": "1 from 1", "refused: run into by the next": "1 from 2", "GGA": "1 from 2"}},
		{"a binary frame within", line(zda) + line(gst)[:20] + "\xb5\x62\x01$\xff" + line(gga), []string{at},
			map[string]string{"ZDA": "1 from 1", "refused: cut short": "1 from 2", "refused: $ without an address": "1 from 2", "GGA": "1 from 2", "remark: runs of bytes that are no text": "2 from 2"}},
		{"NUL bytes between", line(zda) + strings.Repeat("\x00", 70_000) + line(gga), []string{at}, map[string]string{"ZDA": "1 from 1", "remark: runs of NUL bytes": "1 from 2", "GGA": "1 from 2"}},
		{"over-long, then a good one", line(zda) + line("GPTXT,"+strings.Repeat("x", 251)) + line(gga), []string{at}, map[string]string{"ZDA": "1 from 1", "refused: too long": "1 from 2", "GGA": "1 from 3"}},
		{"the longest", line(zda) + line("GPTXT,"+strings.Repeat("x", 250)), nil, map[string]string{"ZDA": "1 from 1", "other kinds": "1 from 2"}},
		{"a log that ends within a sentence", line(zda) + "$" + gga, nil, map[string]string{"ZDA": "1 from 1", "refused: cut short": "1 from 2"}},
		{"dollars", line(zda) + "cost: 5 $\n$$" + line(gga)[1:], []string{at}, map[string]string{"ZDA": "1 from 1", "refused: $ without an address": "2 from 2", "GGA": "1 from 3"}},
		{"nothing", "", nil, map[string]string{}},

		{"RMC says another mode, GGA is taken", line(strings.Replace(rmc, ",R", ",D", 1)) + line(gga), []string{at}, map[string]string{"RMC": "1 from 1", "GGA": "1 from 2", "remark: RMC whose mode is not the quality of GGA (GGA is taken)": "1 from 1"}},
		{"a published GST with another ellipse", line(zda) + "$GPGST,172814.0,0.006,0.023,0.020,273.6,0.023,0.020,0.031*6A\r\n", nil, map[string]string{"ZDA": "1 from 1", "GST": "1 from 2", "remark: GST whose ellipse contradicts its own sigmas (not used)": "1 from 2"}},
		{"the same with its sigmas the other way round", line(zda) + line("GPGST,172814.0,0.006,0.023,0.020,273.6,0.020,0.023,0.031"), nil, map[string]string{"ZDA": "1 from 1", "GST": "1 from 2"}},
		{"no time", line(zda) + line("GNGGA,,,,,,0,,,,,,,,"), nil, map[string]string{"ZDA": "1 from 1", "GGA": "1 from 2", "remark: GGA without a time (no fix)": "1 from 2"}},
		{"nothing says the day", line(gga), []string{"undated 1970-01-01 08:00:00.2 q4" + there}, map[string]string{"GGA": "1 from 1", "remark: fixes without a day": "1 from 1"}},
	} {
		for name, cut := range map[string]func(io.Reader) io.Reader{"at once": func(r io.Reader) io.Reader { return r }, "byte by byte": iotest.OneByteReader, "with its error": iotest.DataErrReader} {
			r := NewReader(cut(strings.NewReader(c.log)))
			var got []string
			for _, f := range fixesOf(t, r) {
				got = append(got, said(f))
			}
			assert.Equal(t, c.fixes, got, "%s, %s", c.fact, name)
			assert.Equal(t, c.counts, counted(r.Counts()), "%s, %s", c.fact, name)
		}
	}
}

// Each field at and beyond its limits, in a sentence with a right checksum.
func TestFieldsOfEachKind(t *testing.T) {
	const sound, malformed, out = "", "of another form", "with a value out of range"
	for _, c := range []struct{ fact, body, why string }{
		{"sound", gga, sound},
		{"latitude 91", "GNGGA,080000,9100.0,N,00607.404,E,4" + tail, out},
		{"longitude 181", "GNGGA,080000,4518.072,N,18100.0,E,4" + tail, out},
		{"60 minutes", "GNGGA,080000,4560.0,N,00607.404,E,4" + tail, out},
		{"no position with a quality", "GNGGA,080000,,,,,4" + tail, malformed},
		{"a position is not asked for without", "GNGGA,080000,xyz,,,,0" + tail, sound},
		{"quality 9", "GNGGA,080000," + place + ",9" + tail, out},
		{"quality of two digits", "GNGGA,080000," + place + ",14" + tail, malformed},
		{"no quality", "GNGGA,080000," + place, malformed},
		{"ends after the quality", "GNGGA,080000," + place + ",4", sound},
		{"satellites of a letter", "GNGGA,080000," + place + ",4,x,0.7,412.6,M,47.0,M,1.0,0001", malformed},
		{"a negative HDOP", "GNGGA,080000," + place + ",4,12,-0.7,412.6,M,47.0,M,1.0,0001", malformed},
		{"altitude in feet", "GNGGA,080000," + place + ",4,12,0.7,412.6,F,47.0,M,1.0,0001", malformed},
		{"altitude of a thousand kilometres", "GNGGA,080000," + place + ",4,12,0.7,1000000,M,47.0,M,1.0,0001", out},
		{"altitude with an exponent", "GNGGA,080000," + place + ",4,12,0.7,4e2,M,47.0,M,1.0,0001", malformed},
		{"age of a letter", "GNGGA,080000," + place + ",4,12,0.7,412.6,M,47.0,M,x,0001", malformed},
		{"hour 24", "GNGGA,240000," + place + ",4" + tail, out},
		{"minute 60", "GNGGA,086000," + place + ",4" + tail, out},
		{"second 61", "GNGGA,235961," + place + ",4" + tail, out},
		{"second 60 within a day", "GNGGA,080060," + place + ",4" + tail, out},
		{"a leap second", "GNGGA,235960.99," + place + ",4" + tail, sound},
		{"time of five digits", "GNGGA,80000," + place + ",4" + tail, malformed},
		{"time with a point too early", "GNGGA,0800.5," + place + ",4" + tail, malformed},
		{"time with two points", "GNGGA,080000.2.0," + place + ",4" + tail, malformed},
		{"GST", gst, sound},
		{"empty GST", "GNGST,080000,,,,,,,", sound},
		{"GST of letters", "GNGST,080000,,,,,x,,", malformed},
		{"negative sigma", "GNGST,080000,,,,,-0.1,,", malformed},
		{"direction 361", "GNGST,080000,,,,361,,,", out},
		{"RMC", rmc, sound},
		{"RMC that knows nothing", "GNRMC,,V,,,,,,,,,,N", sound},
		{"RMC of status X", strings.Replace(rmc, ",A,", ",X,", 1), malformed},
		{"RMC at latitude 91", strings.Replace(rmc, "4518.072", "9118.072", 1), out},
		{"RMC on the 30th of February", strings.Replace(rmc, "100526", "300226", 1), out},
		{"RMC on the 29th of February in a leap year", strings.Replace(rmc, "100526", "290228", 1), sound},
		{"RMC in month 13", strings.Replace(rmc, "100526", "101326", 1), out},
		{"RMC with five digits of date", strings.Replace(rmc, "100526", "10526", 1), malformed},
		{"ZDA", zda, sound},
		{"ZDA that does not know the day", "GNZDA,080000,,,,,", sound},
		{"ZDA of day 0", "GNZDA,080000,00,05,2026,00,00", out},
		{"ZDA of the 31st of June", "GNZDA,080000,31,06,2026,00,00", out},
		{"ZDA before GPS", "GNZDA,080000,31,12,1979,00,00", out},
		{"ZDA of a year of two digits", "GNZDA,080000,10,05,26,00,00", malformed},
		{"ZDA with a month alone", "GNZDA,080000,,05,,00,00", malformed},
	} {
		r := NewReader(strings.NewReader(line(c.body)))
		fixesOf(t, r)
		got := ""
		for i, n := range r.Counts().Refused {
			got += strings.Repeat(Refusal(i).String(), int(n.Count))
		}
		assert.Equal(t, c.why, got, c.fact)
		assert.Equal(t, Tally{1, 1}, sum(r.Counts()), c.fact)
	}
}

// sum of all sentences.
func sum(c Counts) Tally {
	var out Tally
	for _, one := range append(c.Taken[:], c.Refused[:]...) {
		out.Count += one.Count
		out.Line = max(out.Line, one.Line)
	}
	return out
}

func TestHeights(t *testing.T) {
	for _, c := range []struct {
		altitude, separation string
		mm                   int64
		has                  bool
	}{
		{"412.6", "47.0", 459_600, true},
		{"-10.0005", "0", -10_000, true}, // a tie goes to the even one
		{"-10.0015", "0", -10_002, true},
		{"0.0005", "0.001", 2, true},
		{"0.0005", "0.0005", 1, true}, // the sum is rounded, not what it is of
		{"0.0004999999999", "0", 0, true},
		{"999999.999", "-47.5", 999_952_499, true},
		{"412.6", "", 0, false},
		{"", "47.0", 0, false},
		{"", "", 0, false},
	} {
		r := NewReader(strings.NewReader(line("GNGGA,080000," + place + ",4,12,0.7," + c.altitude + ",M," + c.separation + ",M,,")))
		f := fixesOf(t, r)
		require.Len(t, f, 1)
		assert.Equal(t, []any{c.mm, c.has}, []any{f[0].HeightMM, f[0].HasHeight}, "%+v", c)
	}
}

// days are the sentences of times of day, each with what else says a day.
func TestDays(t *testing.T) {
	epoch := func(at, date string) string {
		text := line("GNGGA," + at + "," + place + ",4")
		switch len(date) {
		case 6:
			text += line("GNRMC," + at + ",A," + place + ",,," + date + ",,")
		case 8:
			text += line("GNZDA," + at + "," + date[:2] + "," + date[2:4] + "," + date[4:] + ",,")
		}
		return text
	}
	const (
		jumps, backwards, disagree, undated = "remark: jumps of the day", "remark: fixes older than the one before", "remark: RMC and ZDA with different days (ZDA is taken)", "remark: fixes without a day"
	)
	for _, c := range []struct {
		fact    string
		log     string
		want    []string
		remarks map[string]string
	}{
		{"midnight, a day said once", epoch("235959.8", "311226") + epoch("000000.0", "") + epoch("120000", "") + epoch("235959", ""), []string{"2026-12-31 23:59:59.8", "2027-01-01 00:00:00", "2027-01-01 12:00:00", "2027-01-01 23:59:59"}, nil},
		{"midnight, every day said", epoch("235959.8", "280224") + epoch("000000.0", "290224") + epoch("000000.2", "290224"), []string{"2024-02-28 23:59:59.8", "2024-02-29 00:00:00", "2024-02-29 00:00:00.2"}, nil},
		{"no day before midnight, said after it", epoch("235959", "") + epoch("000000", "") + epoch("000001", "010127"), []string{"2026-12-31 23:59:59", "2027-01-01 00:00:00", "2027-01-01 00:00:01"}, nil},
		{"no day at all", epoch("235959", "") + epoch("000000", ""), []string{"undated 1970-01-01 23:59:59", "undated 1970-01-02 00:00:00"}, map[string]string{undated: "2 from 1"}},
		{"a leap second", epoch("235959.8", "31122016") + epoch("235960.0", "31122016") + epoch("235960.8", "31122016") + epoch("000000.0", "01012017"),
			[]string{"2016-12-31 23:59:59.8", "2017-01-01 00:00:00", "2017-01-01 00:00:00.8", "2017-01-01 00:00:00"}, nil},
		{"a gap of eleven hours over midnight", epoch("200000", "100526") + epoch("070000", ""), []string{"2026-05-10 20:00:00", "2026-05-11 07:00:00"}, nil},
		{"a gap of two days", epoch("200000", "100526") + epoch("200001", "130526"), []string{"2026-05-10 20:00:00", "2026-05-13 20:00:01"}, map[string]string{jumps: "1 from 3"}},
		{"backwards by a minute", epoch("080100", "100526") + epoch("080000", "") + epoch("080001", ""), []string{"2026-05-10 08:01:00", "2026-05-10 08:00:00", "2026-05-10 08:00:01"}, map[string]string{backwards: "1 from 3"}},
		{"two digits of the year: 80 is 1980, 79 is 2079", epoch("000000", "060180") + epoch("000001", "311279"), []string{"1980-01-06 00:00:00", "2079-12-31 00:00:01"}, map[string]string{jumps: "1 from 3"}},
		{"ZDA's century", epoch("000000", "06012080"), []string{"2080-01-06 00:00:00"}, nil},
		{"RMC 1024 weeks behind ZDA", epoch("080000.0", "240906") + line("GNZDA,080000.0,10,05,2026,,") + epoch("080000.2", "240906") + epoch("080000.4", ""),
			[]string{"2026-05-10 08:00:00", "2026-05-10 08:00:00.2", "2026-05-10 08:00:00.4"}, map[string]string{disagree: "1 from 1"}},
		{"RMC 1024 weeks behind, and nothing else", epoch("080000.0", "240906"), []string{"2006-09-24 08:00:00"}, nil},
		{"RMC that has no fix does not say the day", line("GNRMC,080000,V,,,,,,,060180,,") + epoch("080000", "") + epoch("080001", "100526"), []string{"2026-05-10 08:00:00", "2026-05-10 08:00:01"}, nil},
	} {
		r := NewReader(strings.NewReader(c.log))
		var got []string
		for _, f := range fixesOf(t, r) {
			got = append(got, strings.Split(said(f), " q")[0])
		}
		assert.Equal(t, c.want, got, c.fact)
		counts := counted(r.Counts())
		maps.DeleteFunc(counts, func(name, _ string) bool { return !strings.HasPrefix(name, "remark") })
		if len(c.remarks) == 0 {
			assert.Empty(t, counts, c.fact)
			continue
		}
		assert.Equal(t, c.remarks, counts, c.fact)
	}
}

// Fixes wait for a day, a bounded number of them.
func TestFixesWaitForADay(t *testing.T) {
	from := time.Date(2026, 5, 10, 23, 55, 0, 0, time.UTC)
	for _, c := range []struct{ undated, dated int }{{100, 100}, {heldFixes - 10, 20}, {heldFixes + 100, 50}} {
		log := logtest.Log{Latitude: 45_301_200_000, Longitude: 6_123_400_000, From: from, Fixes: c.undated + c.dated, Order: []string{"GGA", "RMC"},
			Leaves: func(i int) []string {
				if i < c.undated {
					return []string{"RMC"}
				}
				return nil
			}}
		r := NewReader(bytes.NewReader(log.Text()))
		fixes := fixesOf(t, r)
		require.Len(t, fixes, c.undated+c.dated)
		lost := 0
		for i, f := range fixes {
			at := from.Add(time.Duration(i) * 200 * time.Millisecond)
			if !f.Dated {
				require.Equal(t, i, lost, "they are the first")
				lost++
				at = at.AddDate(1970-2026, 0, 0).AddDate(0, 1-5, 1-10)
			}
			require.Equal(t, at, f.At, "fix %d", i)
		}
		assert.Equal(t, int64(lost), r.Counts().Remarks[Undated].Count)
		// The epochs that are still open when the first day is said are not given out yet.
		assert.LessOrEqual(t, lost, max(0, c.undated+openEpochs-heldFixes))
		assert.GreaterOrEqual(t, lost, max(0, c.undated-openEpochs-heldFixes))
	}
}

// A log whose reading fails gives what came before, and then the error.
func TestReadingFails(t *testing.T) {
	for _, c := range []struct {
		fact string
		tail io.Reader
		want error
	}{
		{"an error", iotest.ErrReader(errors.New("worn out")), errors.New("worn out")},
		{"nothing for ever", endless{}, io.ErrNoProgress},
	} {
		r := NewReader(io.MultiReader(strings.NewReader(line(zda)+line(gga)), c.tail))
		f, err := r.Next()
		require.NoError(t, err, c.fact)
		assert.Equal(t, "2026-05-10 08:00:00.2 q4"+there, said(f))
		for range 2 {
			_, err = r.Next()
			assert.Equal(t, c.want, err, c.fact)
		}
	}
}

type endless struct{}

func (endless) Read([]byte) (int, error) { return 0, nil }
