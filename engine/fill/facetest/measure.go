package facetest

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"

	"sheenlay/engine/fill/near"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
	"sheenlay/engine/strand"
)

// Figures are the shares of one face, percent.
type Figures struct {
	Covered, Double, Spill, Gap float64 // of the face's area
	Deep, Anywhere              float64 // of the bead's length
	Shortest, Length            float64 // mm
}

func (f Figures) String() string {
	return fmt.Sprintf("covered %.2f double %.2f spill %.2f gap %.2f deep %.2f anywhere %.2f shortest %.3f length %.0f",
		f.Covered, f.Double, f.Spill, f.Gap, f.Deep, f.Anywhere, f.Shortest, f.Length)
}

// measureTurn turns the raster against the pattern: an aligned one is biased.
const measureTurn = 0.0937

// Measure takes the Figures on a raster with the given pixel (mm): covered is
// within half the width, double is covered by two stretches more than 1 mm
// apart along the path, gap is farther than 0.05 mm from any bead.
func Measure(face plane.Region, p pattern.Pattern, strands []strand.Strand, width, pixel float64) Figures {
	frame := scan.NewFrame(measureTurn)
	box := plane.EmptyBox()
	for _, r := range face {
		for _, q := range r {
			box = box.Include(frame.In(q))
		}
	}
	box = box.Grow(1)
	w, h := int(box.Size().X/pixel)+1, int(box.Size().Y/pixel)+1
	state := make([]uint8, w*h) // 1 covered, 2 double, 4 within 0.05 mm
	last := make([]float32, w*h)
	arc := 0.0
	f := Figures{Shortest: math.Inf(1)}
	stamp := func(a, b plane.Point, r float64, near bool) {
		y0, y1 := int((min(a.Y, b.Y)-r-box.Min.Y)/pixel), int((max(a.Y, b.Y)+r-box.Min.Y)/pixel)+1
		d := b.Sub(a)
		n := d.Norm()
		for j := max(y0, 0); j <= min(y1, h-1); j++ {
			y := box.Min.Y + (float64(j)+0.5)*pixel
			s := scan.Capsule(a, b, r, y)
			if s.Lo > s.Hi {
				continue
			}
			i0, i1 := int(math.Ceil((s.Lo-box.Min.X)/pixel-0.5)), int(math.Floor((s.Hi-box.Min.X)/pixel-0.5))
			for i := max(i0, 0); i <= min(i1, w-1); i++ {
				at := j*w + i
				if near {
					state[at] |= 4
					continue
				}
				x := box.Min.X + (float64(i)+0.5)*pixel
				pos := float32(arc + min(max(plane.Point{X: x - a.X, Y: y - a.Y}.Dot(d)/n, 0), n))
				if state[at]&1 != 0 {
					if pos-last[at] > 1 {
						state[at] |= 2
					}
				}
				state[at] |= 1
				last[at] = max(last[at], pos)
			}
		}
	}
	for _, s := range strands {
		for i := range s.Width {
			a, b := frame.In(s.Points[i]), frame.In(s.Points[i+1])
			stamp(a, b, s.Width[i]/2, false)
			stamp(a, b, s.Width[i]/2+0.05, true)
			arc += a.Dist(b)
			f.Shortest = min(f.Shortest, a.Dist(b))
		}
		arc += 10
		f.Length += s.Length()
	}
	turned := make(plane.Region, len(face))
	for i, r := range face {
		for _, q := range r {
			turned[i] = append(turned[i], frame.In(q))
		}
	}
	rows := scan.Cut(turned, scan.NewFrame(0), box.Min.Y+0.5*pixel, pixel)
	var total, covered, double, spill, gap int
	for j := range h {
		spans := rows.Row(j)
		k := 0
		for i := range w {
			x := box.Min.X + (float64(i)+0.5)*pixel
			for k < len(spans) && spans[k].Hi <= x {
				k++
			}
			v := state[j*w+i]
			if k < len(spans) && spans[k].Lo <= x {
				total++
				if v&1 != 0 {
					covered++
				}
				if v&2 != 0 {
					double++
				}
				if v&4 == 0 {
					gap++
				}
			} else if v&1 != 0 {
				spill++
			}
		}
	}
	pc := func(n int) float64 { return 100 * float64(n) / float64(total) }
	f.Covered, f.Double, f.Spill, f.Gap = pc(covered), pc(double), pc(spill), pc(gap)
	f.Deep, f.Anywhere = LayShares(face, p, strands, width, 1)
	return f
}

// LayShares samples the beads every 0.1 mm and returns the percentage of their
// length that runs within so many degrees of the lay of the zone it is in:
// deeper than two widths, and anywhere.
func LayShares(face plane.Region, p pattern.Pattern, strands []strand.Strand, width, degrees float64) (deep, anywhere float64) {
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
	index := map[[2]int][]int{}
	for i, b := range boxes {
		if !b.Intersects(face.Bounds()) {
			continue
		}
		for y := int(math.Floor(b.Min.Y / 4)); y <= int(math.Floor(b.Max.Y/4)); y++ {
			for x := int(math.Floor(b.Min.X / 4)); x <= int(math.Floor(b.Max.X/4)); x++ {
				index[[2]int{x, y}] = append(index[[2]int{x, y}], i)
			}
		}
	}
	layAt := func(q plane.Point) pattern.Lay {
		list := index[[2]int{int(math.Floor(q.X / 4)), int(math.Floor(q.Y / 4))}]
		for k := len(list) - 1; k >= 0; k-- {
			if boxes[list[k]].Contains(q) && p.Zones[list[k]].Region.Contains(q) {
				return p.Zones[list[k]].Lay
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
				grid.Near(q, q, 2*width, func(id int) bool {
					_, _, dist := grid.Segment(id).Closest(q)
					isDeep = dist > 2*width
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

// Picture draws strands for a look by eye; used from a debugging run only.
func Picture(path string, box plane.Box, strands []strand.Strand, scale float64) error {
	w, h := int(box.Size().X*scale), int(box.Size().Y*scale)
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	last := make([]int32, w*h)
	id := int32(0)
	arc := 0.0
	for _, s := range strands {
		for i := range s.Width {
			id++
			a, b := s.Points[i], s.Points[i+1]
			arc += a.Dist(b)
			r := s.Width[i] / 2
			hue := 0.5 + 0.5*math.Sin(arc/40)
			for pass, rad := range [2]float64{r, 0.06} {
				for j := int((box.Max.Y - max(a.Y, b.Y) - rad) * scale); j <= int((box.Max.Y-min(a.Y, b.Y)+rad)*scale)+1; j++ {
					y := box.Max.Y - (float64(j)+0.5)/scale
					sp := scan.Capsule(a, b, rad, y)
					for x := int((sp.Lo - box.Min.X) * scale); sp.Lo < sp.Hi && x <= int((sp.Hi-box.Min.X)*scale); x++ {
						if x < 0 || j < 0 || x >= w || j >= h {
							continue
						}
						c := color.RGBA{uint8(120 + 100*hue), 200, uint8(220 - 100*hue), 255}
						if l := last[j*w+x]; pass == 0 && l > 0 && id-l > 6 {
							c = color.RGBA{230, 90, 90, 255}
						}
						if pass == 1 {
							c = color.RGBA{30, 30, 60, 255}
							if s.Zone[i] < 0 {
								c = color.RGBA{200, 0, 120, 255}
							}
						} else {
							last[j*w+x] = id
						}
						img.SetRGBA(x, j, c)
					}
				}
			}
		}
	}
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	return png.Encode(f, img)
}
