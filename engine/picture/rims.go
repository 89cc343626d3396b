package picture

import (
	"context"
	"math"
	"slices"
	"sort"

	"sheenlay/engine/tol"
)

// Between a dark and a light part of a picture lies an edge that is never quite
// sharp, along which the levels between the two make rims too narrow to be laid.
// rims lets the two meet half way instead.
type rims struct {
	g          grid
	tone       []float64
	thresholds []float64
	label      []uint8 // the level of every sample
	broad      []bool  // the sample lies in a part of its level wider than a rim
	// low and high are the levels that meet at a sample of a rim, equal elsewhere.
	low, high []uint8
}

// findRims looks for rims among levels of tone. It returns nil when ctx ends.
func findRims(ctx context.Context, tone []float64, thresholds []float64, g grid) *rims {
	n := len(tone)
	r := &rims{g: g, tone: tone, thresholds: thresholds, label: make([]uint8, n), low: make([]uint8, n), high: make([]uint8, n)}
	for i, v := range tone {
		r.label[i] = uint8(sort.Search(len(thresholds), func(k int) bool { return thresholds[k] > v }))
	}
	if len(thresholds) < 2 {
		return r
	}
	if r.broad = r.broadSamples(ctx); r.broad == nil {
		return nil
	}
	near := g.around(tol.PictureRim)
	for y := range g.ny {
		if ctx.Err() != nil {
			return nil
		}
		for x := range g.nx {
			if i := y*g.nx + x; !r.broad[i] {
				r.low[i], r.high[i] = r.sides(x, y, near)
			}
		}
	}
	r.spread()
	return r
}

// offset is the way from a sample to another one, in samples and in mm.
type offset struct {
	x, y int
	mm   float64
}

// around returns the offsets up to a radius (mm), nearest first.
func (g grid) around(radius float64) []offset {
	var out []offset
	nx, ny := int(radius/g.stepX), int(radius/g.stepY)
	for y := -ny; y <= ny; y++ {
		for x := -nx; x <= nx; x++ {
			if d := math.Hypot(float64(x)*g.stepX, float64(y)*g.stepY); d <= radius {
				out = append(out, offset{x, y, d})
			}
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].mm < out[b].mm })
	return out
}

// at returns the index of the sample by an offset from (x, y); false outside the
// picture.
func (g grid) at(x, y int, o offset) (int, bool) {
	x, y = x+o.x, y+o.y
	return y*g.nx + x, x >= 0 && y >= 0 && x < g.nx && y < g.ny
}

// broadSamples opens every level by half a rim: a sample is broad that lies within
// half a rim of one of its level about which there is as much room.
func (r *rims) broadSamples(ctx context.Context) []bool {
	disc := r.g.around(tol.PictureRim / 2)
	// Within half a rim of another level, which begins a sample beyond those that
	// are stamped.
	edge, less := make([]bool, len(r.label)), r.g.around(tol.PictureRim/2-r.g.step)
	stamp := func(x, y int) {
		for _, o := range less {
			if i, ok := r.g.at(x, y, o); ok {
				edge[i] = true
			}
		}
	}
	for y := range r.g.ny {
		if ctx.Err() != nil {
			return nil
		}
		for x := range r.g.nx {
			i := y*r.g.nx + x
			right, up := x+1 < r.g.nx && r.label[i] != r.label[i+1], y+1 < r.g.ny && r.label[i] != r.label[i+r.g.nx]
			if right || up {
				stamp(x, y)
			}
			if right {
				stamp(x+1, y)
			}
			if up {
				stamp(x, y+1)
			}
		}
	}
	out := make([]bool, len(r.label))
	for i, own := range r.label {
		out[i] = !edge[i]
		for k := 0; k < len(disc) && !out[i]; k++ {
			at, ok := r.g.at(i%r.g.nx, i/r.g.nx, disc[k])
			out[i] = ok && !edge[at] && r.label[at] == own
		}
	}
	return out
}

// sides returns the levels of the nearest broad parts that are darker and lighter
// than a sample, if both lie so near that it is part of a rim.
func (r *rims) sides(x, y int, near []offset) (low, high uint8) {
	own := r.label[y*r.g.nx+x]
	toLow, toHigh := math.Inf(1), math.Inf(1)
	for _, o := range near {
		i, ok := r.g.at(x, y, o)
		switch {
		case !ok || !r.broad[i]:
		case r.label[i] < own && math.IsInf(toLow, 1):
			toLow, low = o.mm, r.label[i]
		case r.label[i] > own && math.IsInf(toHigh, 1):
			toHigh, high = o.mm, r.label[i]
		}
	}
	if toLow+toHigh > tol.PictureRim {
		return 0, 0
	}
	return low, high
}

// spread lets the samples beside a rim belong to it too, so that all outlines
// that meet there run the same way.
func (r *rims) spread() {
	beside := r.g.around(1.5 * r.g.step)
	low, high := slices.Clone(r.low), slices.Clone(r.high)
	for i := range r.label {
		if low[i] == high[i] {
			continue
		}
		for _, o := range beside {
			k, ok := r.g.at(i%r.g.nx, i/r.g.nx, o)
			if ok && r.low[k] == r.high[k] && r.label[k] >= low[i] && r.label[k] <= high[i] {
				r.low[k], r.high[k] = low[i], high[i]
			}
		}
	}
}

// field returns the tone by which level k is outlined at its threshold: where it is
// part of a rim, shifted so that the outline runs half way between the two
// thresholds that are farthest apart there.
func (r *rims) field(k int) []float64 {
	out := slices.Clone(r.tone)
	for i, low := range r.low {
		if high := r.high[i]; int(low) < k && k <= int(high) {
			out[i] += r.thresholds[k-1] - (r.thresholds[low]+r.thresholds[high-1])/2
		}
	}
	return out
}
