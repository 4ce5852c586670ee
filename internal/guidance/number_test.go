package guidance

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// trueBearing is the bearing in centidegrees by the mathematical library.
func trueBearing(east, north int32) float64 {
	b := math.Atan2(float64(east), float64(north)) * 18000 / math.Pi
	if b < 0 {
		b += 36000
	}
	return b
}

func angleApart(a, b float64) float64 {
	d := math.Abs(a - b)
	return min(d, 36000-d)
}

func TestBearingOfCompassPoints(t *testing.T) {
	for _, c := range []struct {
		east, north int32
		want        uint32
	}{
		{0, 0, 0}, {0, 1, 0}, {1, 1, 4500}, {1, 0, 9000}, {1, -1, 13500}, {0, -1, 18000},
		{-1, -1, 22500}, {-1, 0, 27000}, {-1, 1, 31500}, {-1, math.MaxInt32, 0}, {math.MaxInt32, math.MaxInt32, 4500},
		{math.MaxInt32, -math.MaxInt32, 13500}, {500, 866, 3000}, {-20_000_000, 20_000_000, 31500},
	} {
		assert.Equal(t, c.want, BearingCdeg(c.east, c.north), "east %d, north %d", c.east, c.north)
	}
}

// The stated bound is 1 cdeg; the requirement is 2.
func TestBearingIsWithinItsBound(t *testing.T) {
	const bound = 1.0
	worst := 0.0
	try := func(east, north int32) {
		apart := angleApart(float64(BearingCdeg(east, north)), trueBearing(east, north))
		worst = max(worst, apart)
		if apart > bound {
			require.LessOrEqual(t, apart, bound, "east %d, north %d", east, north)
		}
	}
	// Every ratio that the polynomial can meet.
	for across := range int32(32769) {
		try(across, 32768)
		try(32768, -across)
	}
	// Small vectors, where ratios are coarse, and the sizes at which the
	// normalisation changes its shift.
	for east := int32(-300); east <= 300; east++ {
		for north := int32(-300); north <= 300; north++ {
			if east != 0 || north != 0 {
				try(east, north)
			}
		}
	}
	r := rand.New(rand.NewPCG(1, 1))
	for _, size := range []int32{1<<17 - 1, 1 << 17, 1<<18 - 1, 1 << 18, 1<<20 - 1, 1 << 20, 1<<24 - 1, 1 << 24, math.MaxInt32} {
		for range 20_000 {
			other := int32(r.Int64N(2*int64(size)+1) - int64(size))
			try(size, other)
			try(other, -size)
		}
	}
	t.Logf("worst error of a bearing %.3f cdeg", worst)
	assert.Greater(t, worst, 0.7, "the bound would be loose")
}

func TestTurnIsTheShortWay(t *testing.T) {
	for _, c := range []struct {
		bearing, heading uint32
		want             int32
	}{
		{0, 0, 0}, {100, 35900, 200}, {35900, 100, -200}, {18000, 0, -18000}, {0, 18000, -18000}, {17999, 0, 17999}, {35999, 0, -1},
	} {
		assert.Equal(t, c.want, TurnCdeg(c.bearing, c.heading), "bearing %d, heading %d", c.bearing, c.heading)
	}
}

// Never too large, exactly; at most 2^-13 of it and 2 mm too small.
func TestLengthIsWithinItsBound(t *testing.T) {
	worst := 0.0
	try := func(a, b uint32) {
		got := uint64(length(a, b))
		square := uint64(a)*uint64(a) + uint64(b)*uint64(b)
		exact := math.Sqrt(float64(square))
		if got*got > square {
			require.LessOrEqual(t, got*got, square, "a %d, b %d", a, b)
		}
		short := exact - float64(got)
		worst = max(worst, (short-2)/exact)
		if short >= exact/8192+2 {
			require.Less(t, short, exact/8192+2, "a %d, b %d", a, b)
		}
	}
	for b := range uint32(32769) {
		try(b, 32768)
		try(1<<28-1, b<<13)
	}
	for a := range uint32(500) {
		for b := range uint32(500) {
			try(a, b)
		}
	}
	r := rand.New(rand.NewPCG(2, 2))
	for range 500_000 {
		try(r.Uint32N(1<<28)>>r.Uint32N(28), r.Uint32N(1<<28)>>r.Uint32N(28))
	}
	t.Logf("worst relative shortfall beyond 2 mm: 2^%.2f", math.Log2(worst))
	assert.Greater(t, worst, 1.0/32768, "the bound would be loose")
}

func TestRatioIsWithinItsBound(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for range 500_000 {
		large := r.Uint32N(1<<31) >> r.Uint32N(31)
		small := uint32(r.Uint64N(uint64(large) + 1))
		got := float64(ratioQ15(small, large)) / 32768
		exact := 0.0
		if large > 0 {
			exact = float64(small) / float64(large)
		}
		if got > exact || got <= exact-1.0/16384 {
			require.Fail(t, "ratio out of bounds", "%d / %d: got %g, want %g", small, large, got, exact)
		}
	}
}

func TestAddUpToStopsAtItsLimit(t *testing.T) {
	assert.EqualValues(t, uint32(0xFFFFFFFF), addUpTo(0xFFFFFFFF, 1, 0xFFFFFFFF))
	assert.EqualValues(t, uint32(0xFFFFFFFF), addUpTo(0xFFFFFFF0, 0xFFFFFFFF, 0xFFFFFFFF))
	assert.EqualValues(t, 0xFFFE, addUpTo(0xFFF0, 0x20, 0xFFFE))
	assert.EqualValues(t, 7, addUpTo(3, 4, 0xFFFE))
}
