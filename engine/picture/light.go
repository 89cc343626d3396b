package picture

import (
	"context"
	"math"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// grid is the raster of samples that outlines are drawn on: nx × ny cells of
// step mm, rows from the bottom; a sample stands in the middle of its cell.
type grid struct {
	nx, ny       int
	stepX, stepY float64 // mm
	step         float64 // mean of both, mm
	size         plane.Point
}

// newGrid chooses a raster no finer than the picture, than wanted, and than
// memory allows.
func newGrid(p Picture, o Options) grid {
	size := plane.Point{X: o.WidthMM, Y: o.WidthMM * float64(p.Height) / float64(p.Width)}
	step := math.Max(o.StepMM, math.Sqrt(size.X*size.Y/tol.PictureNodes))
	step = math.Max(step, size.X/float64(p.Width))
	cells := func(length float64, pixels int) int { return max(1, min(pixels, int(math.Round(length/step)))) }
	g := grid{nx: cells(size.X, p.Width), ny: cells(size.Y, p.Height), size: size}
	g.stepX, g.stepY = size.X/float64(g.nx), size.Y/float64(g.ny)
	g.step = (g.stepX + g.stepY) / 2
	return g
}

// linear is the linear light, 0 to 1, of a linear sRGB pixel.
type linear struct{ r, g, b float64 }

// fromSRGB is the linear light of each 8-bit value (IEC 61966-2-1).
var fromSRGB = func() (table [256]float64) {
	for i := range table {
		v := float64(i) / 255
		if v <= 0.04045 {
			table[i] = v / 12.92
		} else {
			table[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return table
}()

// toSRGB returns the 8-bit value of linear light.
func toSRGB(v float64) uint8 {
	v = math.Max(0, math.Min(1, v))
	if v <= 0.0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - 0.055
	}
	return uint8(math.Round(v * 255))
}

// sampleLight averages the linear light of the pixels of each cell over white
// paper, rows from the bottom; nil when cancelled. A pixel that two cells
// share counts to each by its part.
func sampleLight(ctx context.Context, p Picture, g grid) []linear {
	out := make([]linear, g.nx*g.ny)
	row := make([]linear, g.nx+1) // one more, for the empty part beyond the last cell
	acrossX, acrossY := parts(p.Width, g.nx), parts(p.Height, g.ny)
	for y := range p.Height {
		if y&63 == 0 && ctx.Err() != nil {
			return nil
		}
		clear(row)
		pixels := p.RGBA[4*p.Width*y : 4*p.Width*(y+1)]
		for x, part := range acrossX {
			a := float64(pixels[4*x+3]) / 255
			light := linear{
				fromSRGB[pixels[4*x]]*a + 1 - a,
				fromSRGB[pixels[4*x+1]]*a + 1 - a,
				fromSRGB[pixels[4*x+2]]*a + 1 - a,
			}
			row[part.cell].add(light, part.here)
			row[part.cell+1].add(light, part.beyond)
		}
		part := acrossY[y]
		into := out[(g.ny-1-part.cell)*g.nx:]
		for x := range g.nx {
			into[x].add(row[x], part.here)
		}
		if part.beyond > 0 {
			into = out[(g.ny-2-part.cell)*g.nx:]
			for x := range g.nx {
				into[x].add(row[x], part.beyond)
			}
		}
	}
	return out
}

// part says how much of a pixel lies in a cell and in the next one, in cells.
type part struct {
	cell         int
	here, beyond float64
}

// parts splits each of n pixels among at most two of fewer or equally many
// cells.
func parts(n, cells int) []part {
	out := make([]part, n)
	for i := range out {
		// Whole numbers throughout, so that the last pixel ends at the last
		// cell exactly.
		from, to := i*cells, (i+1)*cells
		cell := from / n
		edge := min((cell+1)*n, to)
		out[i] = part{cell, float64(edge-from) / float64(n), float64(to-edge) / float64(n)}
	}
	return out
}

func (l *linear) add(m linear, weight float64) {
	l.r += m.r * weight
	l.g += m.g * weight
	l.b += m.b * weight
}

// lightness returns L* (0 to 100) of linear light (CIE 15; luminance weights
// of IEC 61966-2-1).
func (l linear) lightness() float64 {
	return 116*labRoot(0.2126*l.r+0.7152*l.g+0.0722*l.b) - 16
}

// lab returns L*, a*, b* for the white of sRGB (CIE 15; matrix of
// IEC 61966-2-1).
func (l linear) lab() [3]float64 {
	x := labRoot((0.4124*l.r + 0.3576*l.g + 0.1805*l.b) / 0.9505)
	y := labRoot(0.2126*l.r + 0.7152*l.g + 0.0722*l.b)
	z := labRoot((0.0193*l.r + 0.1192*l.g + 0.9505*l.b) / 1.0890)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

func labRoot(t float64) float64 {
	if t > 216.0/24389 {
		return math.Cbrt(t)
	}
	return (24389.0/27*t + 16) / 116
}

// blur smooths a field with a Gaussian of the given standard deviation
// (samples), its kernel cut at three of them; the border is repeated. Below a
// tenth of a sample the field is returned as it is. nil when cancelled.
func blur(ctx context.Context, field []float64, g grid, deviation float64) []float64 {
	if deviation < 0.1 {
		return field
	}
	radius := min(int(math.Ceil(3*deviation)), 4*max(g.nx, g.ny))
	kernel := make([]float64, radius+1)
	sum := 0.0
	for i := range kernel {
		kernel[i] = math.Exp(-float64(i*i) / (2 * deviation * deviation))
		sum += kernel[i]
		if i > 0 {
			sum += kernel[i]
		}
	}
	for i := range kernel {
		kernel[i] /= sum
	}
	across := make([]float64, len(field))
	line := make([]float64, g.nx+2*radius)
	for y := range g.ny {
		if y&63 == 0 && ctx.Err() != nil {
			return nil
		}
		row := field[y*g.nx : (y+1)*g.nx]
		for i := range line {
			line[i] = row[max(0, min(g.nx-1, i-radius))]
		}
		for x := range g.nx {
			at := x + radius
			v := kernel[0] * line[at]
			for i := 1; i <= radius; i++ {
				v += kernel[i] * (line[at-i] + line[at+i])
			}
			across[y*g.nx+x] = v
		}
	}
	out := make([]float64, len(field))
	for y := range g.ny {
		if y&63 == 0 && ctx.Err() != nil {
			return nil
		}
		into := out[y*g.nx : (y+1)*g.nx]
		for i := -radius; i <= radius; i++ {
			weight := kernel[max(i, -i)]
			from := max(0, min(g.ny-1, y+i)) * g.nx
			for x := range into {
				into[x] += weight * across[from+x]
			}
		}
	}
	return out
}
