package thread_test

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"sheenlay/engine/coverage"
	"sheenlay/engine/fill"
	"sheenlay/engine/fill/near"
	"sheenlay/engine/finding"
	"sheenlay/engine/generators"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
	"sheenlay/engine/strand"
	"sheenlay/engine/thread"
)

const lineWidth = 0.42

func circle(x, y, r float64, n int) plane.Ring {
	ring := make(plane.Ring, n)
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		ring[i] = plane.Point{X: x + r*c, Y: y + r*s}
	}
	return ring
}

func rectangle(x0, y0, x1, y1 float64) plane.Ring {
	return plane.Ring{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

func disc(d float64) plane.Region { return plane.Region{circle(0, 0, d/2, 180)} }

func ring(outer, inner float64) plane.Region {
	return plane.Region{circle(0, 0, outer/2, 180), circle(0, 0, inner/2, 120).Reversed()}
}

func star(outer, inner float64, tips int) plane.Region {
	r := make(plane.Ring, 2*tips)
	for i := range r {
		radius := outer
		if i%2 == 1 {
			radius = inner
		}
		s, c := math.Sincos(math.Pi * (float64(i)/float64(tips) + 0.5))
		r[i] = plane.Point{X: radius * c, Y: radius * s}
	}
	return plane.Region{r}
}

// letterA is a capital with a counter, 60 mm high.
func letterA() plane.Region {
	return plane.Region{
		{{X: -26, Y: -30}, {X: -12.5, Y: -30}, {X: -8, Y: -17}, {X: 8, Y: -17}, {X: 12.5, Y: -30},
			{X: 26, Y: -30}, {X: 7, Y: 30}, {X: -7, Y: 30}},
		plane.Ring{{X: -5, Y: -7}, {X: 5, Y: -7}, {X: 0, Y: 12}}.Reversed(),
	}
}

// plate is a square with holes of diameter d.
func plate(size float64, holes int, d float64) plane.Region {
	g := plane.Region{rectangle(-size/2, -size/2, size/2, size/2)}
	nx := int(math.Ceil(math.Sqrt(float64(holes))))
	for i := range holes {
		ny := (holes + nx - 1) / nx
		x := (float64(i%nx)+0.5)/float64(nx)*size - size/2
		y := (float64(i/nx)+0.5)/float64(ny)*size - size/2
		g = append(g, circle(x, y, d/2, 64).Reversed())
	}
	return g
}

type outline struct {
	name string
	face plane.Region
}

func outlines() []outline {
	return []outline{
		{"disc 60", disc(60)}, {"ring 60/30", ring(60, 30)}, {"star", star(40, 18, 5)},
		{"letter", letterA()}, {"plate 12 holes", plate(100, 12, 8)},
	}
}

func request(face plane.Region, p pattern.Pattern) fill.Request {
	return fill.Request{
		Face: face, Pattern: p, WidthMM: lineWidth, MinWidthMM: 0.30, MaxWidthMM: 0.55,
		Threader: thread.New(),
	}
}

func lay(t testing.TB, face plane.Region, p pattern.Pattern) fill.Result {
	t.Helper()
	res, err := fill.Fill(context.Background(), request(face, p))
	require.NoError(t, err)
	return res
}

func build(t testing.TB, id string, params map[string]float64, face plane.Region) pattern.Pattern {
	t.Helper()
	g, err := generators.ByID(id)
	require.NoError(t, err)
	p, err := g.Build(g.WithSpacing(params, lineWidth), 1, face.Bounds())
	require.NoError(t, err)
	return p
}

// figures are the shares of one face, percent.
type figures struct {
	coverage.Result
	deep, anywhere float64 // share of the bead's length within 3° of the lay
	separate       int
	left           float64
}

func (f figures) String() string {
	return fmt.Sprintf("covered %6.2f  double %5.2f  spilled %5.2f  open %5.2f  deep %6.2f  anywhere %6.2f  separate %d left %.2f mm²",
		f.Covered.Percent, f.Double.Percent, f.Spilled.Percent, f.Open.Percent, f.deep, f.anywhere, f.separate, f.left)
}

func measured(face plane.Region, p pattern.Pattern, res fill.Result) figures {
	f := figures{Result: coverage.Measure(context.Background(), coverage.Job{Face: face, Strands: res.Strands, LineMM: lineWidth})}
	f.deep, f.anywhere = layShares(face, p, res.Strands, 3)
	for _, x := range res.Findings {
		switch {
		case x.Code == "fill-separate-stroke":
			f.separate++
		case x.Unit == "mm²" && x.Level <= finding.Note:
			f.left += x.Value
		}
	}
	return f
}

// layShares samples the beads every 0.1 mm and compares their direction with
// the lay of the zone they are in: deeper than two widths, and anywhere.
func layShares(face plane.Region, p pattern.Pattern, strands []strand.Strand, degrees float64) (deep, anywhere float64) {
	grid := near.New(face.Bounds(), 1)
	border := func(g plane.Region) {
		for _, r := range g {
			for i, a := range r {
				grid.Add(a, r[(i+1)%len(r)])
			}
		}
	}
	border(face)
	boxes := make([]plane.Box, len(p.Zones))
	for i, z := range p.Zones {
		if boxes[i] = z.Region.Bounds(); boxes[i].Intersects(face.Bounds()) {
			border(z.Region)
		}
	}
	layAt := func(q plane.Point) pattern.Lay {
		for k := len(boxes) - 1; k >= 0; k-- {
			if boxes[k].Contains(q) && p.Zones[k].Region.Contains(q) {
				return p.Zones[k].Lay
			}
		}
		return p.Ground
	}
	limit := math.Sin(degrees * math.Pi / 180)
	var all, good, allDeep, goodDeep float64
	for _, s := range strands {
		for i := range s.Width {
			a, b := s.Points[i], s.Points[i+1]
			d := b.Sub(a)
			n := int(d.Norm()/0.1) + 1
			part := d.Norm() / float64(n)
			for k := range n {
				q := a.Lerp(b, (float64(k)+0.5)/float64(n))
				lay := layAt(q)
				sin, cos := math.Sincos(lay.Angle)
				along := plane.Point{X: cos, Y: sin}
				if lay.Field != nil {
					along = pattern.Slope(lay.Field, q).Unit().Left()
				}
				ok := math.Abs(d.Cross(along)) <= limit*d.Norm()
				all += part
				if ok {
					good += part
				}
				isDeep := true
				grid.Near(q, q, 2*lineWidth, func(id int) bool {
					_, _, dist := grid.Segment(id).Closest(q)
					isDeep = dist > 2*lineWidth
					return isDeep
				})
				if isDeep {
					allDeep += part
					if ok {
						goodDeep += part
					}
				}
			}
		}
	}
	return 100 * goodDeep / max(allDeep, 1e-9), 100 * good / max(all, 1e-9)
}

// picture draws strands for a look by eye when THREAD_PICTURES names a folder,
// THREAD_WINDOW a part of the face.
func picture(t testing.TB, name string, face plane.Region, strands []strand.Strand) {
	dir := os.Getenv("THREAD_PICTURES")
	if dir == "" {
		return
	}
	const scale = 45.0
	box := face.Bounds().Grow(1)
	if window := os.Getenv("THREAD_WINDOW"); window != "" {
		_, err := fmt.Sscanf(window, "%g,%g,%g,%g", &box.Min.X, &box.Min.Y, &box.Max.X, &box.Max.Y)
		require.NoError(t, err)
	}
	w, h := int(box.Size().X*scale), int(box.Size().Y*scale)
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	over := make([]uint8, w*h)
	draw := func(a, b plane.Point, r float64, f func(at, x, y int)) {
		for j := int((box.Max.Y - max(a.Y, b.Y) - r) * scale); j <= int((box.Max.Y-min(a.Y, b.Y)+r)*scale)+1; j++ {
			s := scan.Capsule(a, b, r, box.Max.Y-(float64(j)+0.5)/scale)
			for x := int((s.Lo - box.Min.X) * scale); s.Lo < s.Hi && x <= int((s.Hi-box.Min.X)*scale); x++ {
				if x >= 0 && j >= 0 && x < w && j < h {
					f(j*w+x, x, j)
				}
			}
		}
	}
	for _, s := range strands {
		for i := range s.Width {
			draw(s.Points[i], s.Points[i+1], s.Width[i]/2, func(at, x, y int) {
				over[at] = 1
				img.SetRGBA(x, y, color.RGBA{190, 205, 225, 255})
			})
		}
	}
	for _, s := range strands {
		for i := range s.Width {
			c := color.RGBA{30, 30, 60, 255}
			if s.Zone[i] == strand.Connector {
				c = color.RGBA{200, 0, 120, 255}
			}
			draw(s.Points[i], s.Points[i+1], 0.06, func(_, x, y int) { img.SetRGBA(x, y, c) })
		}
	}
	f, err := os.Create(dir + "/" + name + ".png")
	require.NoError(t, err)
	require.NoError(t, png.Encode(f, img))
	require.NoError(t, f.Close())
}
