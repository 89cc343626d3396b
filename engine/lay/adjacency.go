package lay

import (
	"cmp"
	"math"
	"slices"

	"sheenlay/engine/finding"
	"sheenlay/engine/internal/sorting"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// rasterPixels is the number of pixels Adjacency uses by itself. Reason: 20,000
// zones then have 200 pixels each, and the raster takes a tenth of a second.
const rasterPixels = 4 << 20

// Adjacency returns which zones border on each other, and along how many mm.
// Zones may overlap: the later lies above, and only visible parts count, inside
// face (even-odd; an empty face means everywhere). Borders are counted on a
// raster of pixelMM (0: chosen by the size of the face), so their lengths are
// good to about a tenth for straight borders and a quarter for bent ones.
// Contact shorter than tol.SharedBorder or four pixels is no border. Zones
// without a visible pixel have no borders. A face too large for pixelMM is
// refused with a finding.
func Adjacency(zones []pattern.Zone, face plane.Region, pixelMM float64) (Graph, error) {
	g := Graph{N: len(zones)}
	box := plane.EmptyBox()
	for _, z := range zones {
		box = box.Union(z.Region.Bounds())
	}
	if bounds := face.Bounds(); len(face) > 0 {
		box.Min.X, box.Min.Y = math.Max(box.Min.X, bounds.Min.X), math.Max(box.Min.Y, bounds.Min.Y)
		box.Max.X, box.Max.Y = math.Min(box.Max.X, bounds.Max.X), math.Min(box.Max.Y, bounds.Max.Y)
	}
	if box.Empty() {
		return g, nil
	}
	if !box.Min.Finite() || !box.Max.Finite() {
		return g, finding.Finding{
			Code: "lay-zones", Level: finding.Stop,
			Text:   "A zone has a corner that is no place.",
			Remedy: "Check the drawing for coordinates that are not numbers.",
		}
	}
	if pixelMM == 0 {
		size := box.Size()
		pixelMM = math.Max(math.Sqrt(size.X*size.Y/rasterPixels), 0.01)
	}
	p := pattern.Pattern{Zones: zones}
	if len(face) > 0 {
		// What lies outside is painted over with one more zone.
		wide := box.Grow(2 * pixelMM)
		frame := plane.Ring{wide.Min, {X: wide.Max.X, Y: wide.Min.Y}, wide.Max, {X: wide.Min.X, Y: wide.Max.Y}}
		p.Zones = append(slices.Clone(zones), pattern.Zone{Region: append(plane.Region{frame}, face...)})
	}
	// Only the index is read: fields would cost a slope per pixel.
	p.Zones = slices.Clone(p.Zones)
	for i := range p.Zones {
		p.Zones[i].Lay = pattern.Lay{}
	}
	r, err := p.Index(box, pixelMM)
	if err != nil {
		return g, err
	}
	g.Edges = borders(r, len(zones))
	return g, nil
}

// borders counts, for each pair of zones, the pixel sides between them: n
// upright and m lying ones make a straight border of √(n² + m²) pixels.
func borders(r *pattern.Raster, zones int) []Edge {
	type sides struct{ upright, lying int32 }
	found := map[uint64]int{}
	var keys []uint64
	var counts []sides
	lastKey, lastAt := ^uint64(0), 0
	at := func(a, b int32) int {
		if a > b {
			a, b = b, a
		}
		key := uint64(a)<<32 | uint64(uint32(b))
		if key == lastKey {
			return lastAt
		}
		k, ok := found[key]
		if !ok {
			k = len(keys)
			found[key] = k
			keys = append(keys, key)
			counts = append(counts, sides{})
		}
		lastKey, lastAt = key, k
		return k
	}
	limit := int32(zones)
	inside := func(z int32) bool { return z >= 0 && z < limit }
	for j := 0; j < r.H; j++ {
		row := r.Zone[j*r.W : (j+1)*r.W]
		for i := 1; i < len(row); i++ {
			if row[i] != row[i-1] && inside(row[i]) && inside(row[i-1]) {
				counts[at(row[i-1], row[i])].upright++
			}
		}
		if j == 0 {
			continue
		}
		below := r.Zone[(j-1)*r.W : j*r.W]
		for i, z := range row {
			if z != below[i] && inside(z) && inside(below[i]) {
				counts[at(below[i], z)].lying++
			}
		}
	}
	least := math.Max(tol.SharedBorder, 4*r.PixelMM)
	var out []Edge
	for k, c := range counts {
		length := r.PixelMM * math.Hypot(float64(c.upright), float64(c.lying))
		if length >= least {
			out = append(out, Edge{A: int(keys[k] >> 32), B: int(uint32(keys[k])), Length: length})
		}
	}
	sorting.By(out, func(a, b Edge) int { return cmp.Or(cmp.Compare(a.A, b.A), cmp.Compare(a.B, b.B)) })
	return out
}
