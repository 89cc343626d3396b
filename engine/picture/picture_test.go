package picture

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand"
	"sort"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/internal/limits"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// paint makes a picture from the grey (0 to 255) at pixel centres, in shares
// of the width from the lower left corner; 5 × 5 samples per pixel.
func paint(width, height int, grey func(x, y float64) float64) Picture {
	p := Picture{Width: width, Height: height, RGBA: make([]byte, 4*width*height)}
	for j := range height {
		for i := range width {
			sum := 0.0
			for k := range 25 {
				x := (float64(i) + (float64(k%5)+0.5)/5) / float64(width)
				y := (float64(height-1-j) + (float64(k/5)+0.5)/5) / float64(width)
				sum += grey(x, y)
			}
			v := byte(math.Round(sum / 25))
			copy(p.RGBA[4*(j*width+i):], []byte{v, v, v, 255})
		}
	}
	return p
}

func disc(cx, cy, r float64, inside, outside float64) func(x, y float64) float64 {
	return func(x, y float64) float64 {
		if math.Hypot(x-cx, y-cy) < r {
			return inside
		}
		return outside
	}
}

func trace(t *testing.T, p Picture, o Options) Traced {
	t.Helper()
	out := Trace(context.Background(), p, o, nil)
	for k, z := range out.Pattern.Zones {
		for _, r := range z.Region {
			for _, q := range r {
				require.True(t, q.X >= -1e-6 && q.Y >= -1e-6 && q.X <= out.SizeMM.X+1e-6 && q.Y <= out.SizeMM.Y+1e-6, "zone %d", k)
			}
		}
	}
	return out
}

// A disc of 30 mm: area πr² and centre, whatever the resolution. Seen against
// the tolerance of the outline along the perimeter.
func TestDisc(t *testing.T) {
	for _, width := range []int{100, 333, 700} {
		p := paint(width, width, disc(0.4, 0.45, 0.3, 255, 0))
		out := trace(t, p, Options{WidthMM: 100, Levels: 2, SmoothMM: -1})
		require.Len(t, out.Pattern.Zones, 2, "width %d", width)
		region := out.Pattern.Zones[1].Region
		require.Len(t, region, 1)
		assert.InDelta(t, math.Pi*900, region.Area(), 2*math.Pi*30*tol.PictureOutline, "width %d", width)
		centre := region.Bounds().Centre()
		assert.InDelta(t, 40, centre.X, 0.1, "width %d", width)
		assert.InDelta(t, 45, centre.Y, 0.1, "width %d: rows of a picture run downwards", width)
		assert.InDelta(t, 1e4, out.Levels[0].AreaMM2+out.Levels[1].AreaMM2, 1e-6)
		assert.InDelta(t, 0, out.Levels[0].Lightness, 3)
		assert.InDelta(t, 100, out.Levels[1].Lightness, 3)
		assert.True(t, out.Pattern.ReadsOneWay)
	}
}

// A blurred edge of curvature 1/r moves inwards by σ²/2r at half height, to
// the first order (heat equation; derived).
func TestBlurMovesCurvedEdges(t *testing.T) {
	p := paint(500, 500, disc(0.5, 0.5, 0.2, 255, 0))
	const deviation, r = 3.0, 20.0
	out := trace(t, p, Options{WidthMM: 100, Levels: 2, SmoothMM: deviation})
	got := math.Sqrt(out.Pattern.Zones[1].Region.Area() / math.Pi)
	assert.InDelta(t, r-deviation*deviation/(2*r), got, 0.06)
}

func TestRing(t *testing.T) {
	p := paint(400, 300, func(x, y float64) float64 {
		if r := math.Hypot(x-0.5, y-0.375); r > 0.15 && r < 0.3 {
			return 200
		}
		return 10
	})
	out := trace(t, p, Options{WidthMM: 80, Levels: 2, SmoothMM: -1})
	assert.InDelta(t, 60, out.SizeMM.Y, 1e-9)
	region := out.Pattern.Zones[1].Region
	require.Len(t, region, 2)
	assert.Positive(t, region[0].Area())
	assert.Negative(t, region[1].Area())
	assert.InDelta(t, math.Pi*(24*24-12*12), region.Area(), 2*math.Pi*36*tol.PictureOutline)
}

// greyOf returns the 8-bit grey of a lightness L* (inverse of CIE 15 and
// IEC 61966-2-1).
func greyOf(lightness float64) float64 {
	f := (lightness + 16) / 116
	y := f * f * f
	if lightness <= 8 {
		y = lightness * 27 / 24389
	}
	if y <= 0.0031308 {
		return 255 * 12.92 * y
	}
	return 255 * (1.055*math.Pow(y, 1/2.4) - 0.055)
}

// A ramp of lightness from left to right: borders stand at known places, each
// level is a strip, and each zone lies within the one painted before.
func TestRamp(t *testing.T) {
	p := paint(600, 200, func(x, _ float64) float64 { return greyOf(100 * x) })
	for levels := MinLevels; levels <= MaxLevels; levels++ {
		out := trace(t, p, Options{WidthMM: 120, Levels: levels, FromDegrees: 10, ToDegrees: 80})
		require.Len(t, out.Pattern.Zones, levels)
		for k, z := range out.Pattern.Zones {
			b := z.Region.Bounds()
			assert.InDelta(t, 120*float64(k)/float64(levels), b.Min.X, 0.4, "level %d of %d", k, levels)
			assert.InDelta(t, 120, b.Max.X, 1e-6)
			assert.InDelta(t, 40, b.Size().Y, 1e-6)
			assert.InDelta(t, (10+70*float64(k)/float64(levels-1))*math.Pi/180, z.Lay.Angle, 1e-12)
			assert.Equal(t, k, z.Kind)
			assert.InDelta(t, 120*40/float64(levels), out.Levels[k].AreaMM2, 40)
		}
	}
}

// Lightness of grey pixels (CIE 15 with IEC 61966-2-1; the figures for 119
// and 188 as commonly tabulated: memory).
func TestLightness(t *testing.T) {
	for grey, want := range map[int]float64{0: 0, 119: 50.03, 188: 76.19, 255: 100} {
		v := fromSRGB[grey]
		assert.InDelta(t, want, linear{v, v, v}.lightness(), 0.1, "grey %d", grey)
		assert.Equal(t, uint8(grey), toSRGB(v))
	}
	// Lab of the sRGB primaries (as commonly tabulated for D65: memory).
	for _, c := range []struct {
		light linear
		want  [3]float64
	}{
		{linear{1, 0, 0}, [3]float64{53.24, 80.09, 67.20}},
		{linear{0, 1, 0}, [3]float64{87.73, -86.18, 83.18}},
		{linear{0, 0, 1}, [3]float64{32.30, 79.19, -107.86}},
	} {
		for i, v := range c.light.lab() {
			assert.InDelta(t, c.want[i], v, 0.1)
		}
	}
}

// The best division of a small histogram against trying all. Seed 1.
func TestBestLevelsIsOptimal(t *testing.T) {
	random := rand.New(rand.NewSource(1))
	spread := func(histogram []float64, means []float64) float64 {
		sum := 0.0
		for i, w := range histogram {
			best := math.Inf(1)
			for _, m := range means {
				best = math.Min(best, (float64(i)-m)*(float64(i)-m))
			}
			sum += w * best
		}
		return sum
	}
	for range 300 {
		histogram := make([]float64, 9)
		for i := range histogram {
			histogram[i] = float64(random.Intn(4))
		}
		histogram[random.Intn(9)] = 2
		got := bestLevels(histogram, 3)
		best := math.Inf(1)
		for a := 1; a < 9; a++ {
			for b := a; b < 9; b++ {
				var means []float64
				for _, run := range [][2]int{{0, a}, {a, b}, {b, 9}} {
					w, m := 0.0, 0.0
					for i := run[0]; i < run[1]; i++ {
						w, m = w+histogram[i], m+histogram[i]*float64(i)
					}
					if w > 0 {
						means = append(means, m/w)
					}
				}
				best = math.Min(best, spread(histogram, means))
			}
		}
		require.InDelta(t, best, spread(histogram, got), 1e-9, "seed 1: %v", histogram)
		require.True(t, sort.Float64sAreSorted(got))
	}
}

func TestClustersFindTones(t *testing.T) {
	p := paint(200, 200, func(x, y float64) float64 {
		switch {
		case x < 0.5:
			return 20
		case y < 0.5:
			return 40
		}
		return 230
	})
	out := trace(t, p, Options{Levels: 3, Division: Clusters})
	require.Len(t, out.Levels, 3)
	assert.InDelta(t, 5000, out.Levels[0].AreaMM2, 60)
	assert.InDelta(t, 2500, out.Levels[1].AreaMM2, 60)
	assert.InDelta(t, 2500, out.Levels[2].AreaMM2, 60)
	assert.Equal(t, "#e6e6e6", out.Levels[2].Colour)
}

// Four quarters of colour whose lightness alone would not part them.
func TestColours(t *testing.T) {
	p := Picture{Width: 100, Height: 100}
	for y := range 100 {
		for x := range 100 {
			c := [4]byte{200, 60, 60, 255}
			switch {
			case x < 50 && y < 50:
				c = [4]byte{30, 30, 120, 255}
			case x < 50:
				c = [4]byte{60, 140, 60, 255}
			case y < 50:
				c = [4]byte{250, 240, 200, 255}
			}
			p.RGBA = append(p.RGBA, c[:]...)
		}
	}
	out := trace(t, p, Options{Levels: 4, Basis: Colour})
	require.Len(t, out.Levels, 4)
	for k, want := range []string{"#1e1e78", "#c83c3c", "#3c8c3c", "#faf0c8"} {
		assert.Equal(t, want, out.Levels[k].Colour)
		assert.InDelta(t, 2500, out.Levels[k].AreaMM2, 40)
	}
	again := trace(t, p, Options{Levels: 4, Basis: Colour})
	assert.Equal(t, out, again, "the same picture gives the same zones")
	few := trace(t, p, Options{Levels: 8, Basis: Colour})
	assert.Len(t, few.Levels, 4)
	assert.True(t, few.Findings.Has("picture-few-levels"))
}

func TestSpecksAreMerged(t *testing.T) {
	dots := func(x, y float64) float64 {
		if math.Hypot(x-0.5, y-0.5) < 0.2 && math.Hypot(x-0.5, y-0.5) > 0.008 || math.Hypot(x-0.1, y-0.1) < 0.008 {
			return 255
		}
		return 0
	}
	out := trace(t, paint(500, 500, dots), Options{Levels: 2, SmoothMM: -1})
	require.Len(t, out.Pattern.Zones[1].Region, 1)
	require.True(t, out.Findings.Has("picture-specks"))
	assert.Equal(t, 2.0, out.Findings[0].Value)
	out = trace(t, paint(500, 500, dots), Options{Levels: 2, SmoothMM: -1, SpeckMM2: -1})
	assert.Len(t, out.Pattern.Zones[1].Region, 3)
}

func TestFlatAndTransparentPictures(t *testing.T) {
	flat := trace(t, paint(50, 50, func(x, y float64) float64 { return 90 }), Options{})
	require.Len(t, flat.Pattern.Zones, 1)
	assert.InDelta(t, 1e4, flat.Pattern.Zones[0].Region.Area(), 1e-9)
	assert.True(t, flat.Findings.Has("picture-few-levels"))

	clear := Picture{Width: 10, Height: 10, RGBA: make([]byte, 400)}
	assert.Equal(t, "#ffffff", trace(t, clear, Options{}).Levels[0].Colour, "nothing lies on white paper")

	one := Picture{Width: 1, Height: 1, RGBA: []byte{1, 2, 3, 255}}
	assert.Len(t, trace(t, one, Options{}).Pattern.Zones, 1)
}

func TestBadPictures(t *testing.T) {
	for name, p := range map[string]Picture{
		"no pixels":   {},
		"too few":     {Width: 10, Height: 10, RGBA: make([]byte, 399)},
		"too many":    {Width: 1 << 20, Height: 1 << 20},
		"negative":    {Width: -1, Height: -1},
		"very narrow": {Width: 1, Height: 1000, RGBA: make([]byte, 4000)},
	} {
		out := Trace(context.Background(), p, Options{}, nil)
		assert.Empty(t, out.Pattern.Zones, name)
		assert.Equal(t, finding.Stop, out.Findings.Worst(), name)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	out := Trace(ctx, paint(20, 20, disc(.5, .5, .2, 9, 90)), Options{}, nil)
	assert.True(t, out.Findings.Has("picture-cancelled"))
}

func TestOptionsAreHeldToTheirLimits(t *testing.T) {
	p := paint(60, 60, disc(.5, .5, .3, 255, 0))
	for _, o := range []Options{
		{Levels: 100}, {Levels: -3}, {WidthMM: math.Inf(1)}, {WidthMM: math.NaN(), StepMM: math.NaN(), SmoothMM: math.NaN(), SpeckMM2: math.NaN()},
		{StepMM: 1e-300}, {StepMM: 1e300}, {SmoothMM: 1e300}, {FromDegrees: math.NaN()}, {FromDegrees: math.Inf(1), ToDegrees: math.Inf(1)}, {WidthMM: 1e-3},
	} {
		out := trace(t, p, o)
		assert.NotEmpty(t, out.Pattern.Zones, "%+v", o)
	}
}

func TestDecode(t *testing.T) {
	img := image.NewRGBA(image.Rect(5, 5, 25, 15))
	for y := 5; y < 15; y++ {
		for x := 5; x < 25; x++ {
			img.Set(x, y, color.NRGBA{R: 200, G: 100, B: 50, A: 128})
		}
	}
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, img))
	p, found := Decode(b.Bytes())
	require.Empty(t, found)
	assert.Equal(t, []int{20, 10}, []int{p.Width, p.Height})
	assert.InDelta(t, 200, float64(p.RGBA[0]), 1)
	assert.Equal(t, byte(128), p.RGBA[3])

	_, found = Decode(b.Bytes()[:b.Len()-20])
	assert.True(t, found.Has("picture-damaged"))

	var j bytes.Buffer
	require.NoError(t, jpeg.Encode(&j, img, nil))
	p, found = Decode(j.Bytes())
	require.Empty(t, found)
	assert.Equal(t, 20, p.Width)

	// The header of a PNG of 2³⁰ pixels each way.
	huge := append([]byte(nil), b.Bytes()...)
	copy(huge[16:], []byte{0x40, 0, 0, 0, 0x40, 0, 0, 0})
	_, found = Decode(huge)
	require.Len(t, found, 1)
	assert.Contains(t, []string{"picture-too-large", "picture-unknown"}, found[0].Code)

	for _, bad := range [][]byte{nil, []byte("<svg/>"), {0xff, 0xd8}} {
		_, found = Decode(bad)
		require.Len(t, found, 1)
		assert.NotEmpty(t, found[0].Remedy)
	}
}

// Rings of any field and threshold: every sample above it is inside and every
// other outside, and rising thresholds lie within one another. Values repeat,
// so that saddles and thresholds equal to samples come up. Seed 9.
func TestContoursPartSamples(t *testing.T) {
	random := rand.New(rand.NewSource(9))
	for round := range 400 {
		g := grid{nx: 1 + random.Intn(7), ny: 1 + random.Intn(7), stepX: 1, stepY: 1, step: 1}
		g.size = plane.Point{X: float64(g.nx), Y: float64(g.ny)}
		field := make([]float64, g.nx*g.ny)
		for i := range field {
			field[i] = float64(random.Intn(4))
		}
		last := math.Inf(1)
		for _, threshold := range []float64{0.5, 1, 1.5, 2, 2.5} {
			region := plane.Region(contours(field, g, threshold))
			for i, v := range field {
				p := plane.Point{X: float64(i%g.nx) + 0.5, Y: float64(i/g.nx) + 0.5}
				require.Equal(t, v >= threshold, region.Contains(p), "seed 9, round %d, threshold %v, sample %d", round, threshold, i)
			}
			area := region.Area()
			require.LessOrEqual(t, area, last+1e-9, "seed 9, round %d", round)
			last = area
		}
	}
}

func FuzzTrace(f *testing.F) {
	var b bytes.Buffer
	if png.Encode(&b, image.NewGray(image.Rect(0, 0, 9, 7))) == nil {
		f.Add(b.Bytes(), 4, 0.4, 100.0, true)
	}
	f.Add([]byte{3, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12}, 3, -1.0, 10.0, false)
	f.Fuzz(func(t *testing.T, data []byte, levels int, smooth, width float64, colour bool) {
		limits.Reader(t, func() {
			if config, _, err := image.DecodeConfig(bytes.NewReader(data)); err == nil && config.Width*config.Height > 1<<16 {
				return
			}
			p, found := Decode(data)
			if found.Worst() == finding.Stop && len(data) > 1 {
				// Any other bytes are pixels of a small picture.
				p = Picture{Width: 1 + int(data[0])%16}
				p.Height = (len(data) - 1) / 4 / p.Width
				p.RGBA = data[1 : 1+4*p.Width*p.Height]
			}
			o := Options{Levels: levels, SmoothMM: smooth, WidthMM: width}
			if colour {
				o.Basis = Colour
			}
			out := Trace(context.Background(), p, o, nil)
			if out.Findings.Worst() == finding.Stop {
				return
			}
			seen := 0.0
			for _, l := range out.Levels {
				seen += l.AreaMM2
			}
			if whole := out.SizeMM.X * out.SizeMM.Y; math.Abs(seen-whole) > 1e-6*whole {
				t.Fatalf("levels cover %v of %v", seen, whole)
			}
		})
	})
}

func BenchmarkTrace(b *testing.B) {
	for _, width := range []int{100, 300, 1000, 3000} {
		p := paint(width, width, func(x, y float64) float64 { return 127 + 100*math.Sin(20*x)*math.Cos(15*y) })
		b.Run(fmt.Sprintf("width=%d", width), func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				if out := Trace(context.Background(), p, Options{Levels: 4, WidthMM: 200}, nil); len(out.Pattern.Zones) != 4 {
					b.Fatal(len(out.Pattern.Zones))
				}
			}
		})
	}
}
