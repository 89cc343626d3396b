package picture

import (
	"fmt"
	"math"
	"sort"
)

// layers is a picture divided into levels: level k is what is at least its
// threshold and less than the next.
type layers struct {
	levels     []Level
	tone       []float64 // for levels by tone: the lightness of every sample
	thresholds []float64 // between levels
	rims       *rims     // for levels by tone: the narrow ones along edges
	label      []uint8   // for levels by colour: the level of every sample
}

// field returns a field and the threshold above which level k and all lighter
// ones lie.
func (l *layers) field(k int) (field []float64, threshold float64) {
	if l.label == nil {
		return l.rims.field(k), l.thresholds[k-1]
	}
	field = make([]float64, len(l.label))
	for i, v := range l.label {
		if int(v) >= k {
			field[i] = 1
		}
	}
	return field, 0.5
}

// divide sets the levels. A picture with fewer tones or colours than levels
// gives fewer levels.
func divide(light []linear, g grid, o Options) *layers {
	l := &layers{tone: make([]float64, len(light))}
	for i, v := range light {
		l.tone[i] = v.lightness()
	}
	if o.Basis == Colour {
		l.byColour(light, o.Levels)
	} else {
		l.thresholds = toneThresholds(l.tone, o)
	}
	l.describe(light)
	return l
}

// describe fills in the mean lightness and colour of each level.
func (l *layers) describe(light []linear) {
	n := len(l.thresholds) + 1
	sums := make([]linear, n)
	counts := make([]float64, n)
	for i, v := range light {
		k := 0
		if l.label != nil {
			k = int(l.label[i])
		} else {
			k = sort.Search(len(l.thresholds), func(j int) bool { return l.thresholds[j] > l.tone[i] })
		}
		sums[k].add(v, 1)
		counts[k]++
	}
	l.levels = make([]Level, n)
	for k := range l.levels {
		var mean linear
		mean.add(sums[k], 1/math.Max(1, counts[k]))
		l.levels[k] = Level{Lightness: mean.lightness(), Colour: fmt.Sprintf("#%02x%02x%02x", toSRGB(mean.r), toSRGB(mean.g), toSRGB(mean.b))}
	}
}

// toneBins is the number of steps in which lightness is counted: eight to one
// L*, finer than 8-bit pixels.
const toneBins = 801

// toneThresholds returns the thresholds between levels of tone, rising. A flat
// picture has none.
func toneThresholds(tone []float64, o Options) []float64 {
	low, high := math.Inf(1), math.Inf(-1)
	histogram := make([]float64, toneBins)
	for _, v := range tone {
		low, high = math.Min(low, v), math.Max(high, v)
		histogram[max(0, min(toneBins-1, int(math.Round(v*8))))]++
	}
	if high-low < 0.5 { // half an L*: less than an eye can tell
		return nil
	}
	var out []float64
	if o.Division == Even {
		for k := 1; k < o.Levels; k++ {
			out = append(out, low+(high-low)*float64(k)/float64(o.Levels))
		}
		return out
	}
	means := bestLevels(histogram, o.Levels)
	for k := 1; k < len(means); k++ {
		out = append(out, (means[k-1]+means[k])/2/8)
	}
	return out
}

// bestLevels returns the means of the division of a histogram into at most k
// runs with the least sum of squared distances, rising. The optimum is exact:
// dynamic programming over the bins (Wang and Song, Ckmeans.1d.dp, The R
// Journal 3/2, 2011).
func bestLevels(histogram []float64, k int) []float64 {
	var at, weight []float64
	for i, w := range histogram {
		if w > 0 {
			at, weight = append(at, float64(i)), append(weight, w)
		}
	}
	n := len(at)
	k = min(k, n)
	// Prefix sums give the cost of any run at once.
	w0, w1, w2 := make([]float64, n+1), make([]float64, n+1), make([]float64, n+1)
	for i := range at {
		w0[i+1] = w0[i] + weight[i]
		w1[i+1] = w1[i] + weight[i]*at[i]
		w2[i+1] = w2[i] + weight[i]*at[i]*at[i]
	}
	cost := func(i, j int) float64 { // bins i to j−1
		w, m := w0[j]-w0[i], w1[j]-w1[i]
		return math.Max(0, (w2[j]-w2[i])-float64(m*m)/w)
	}
	best := make([]float64, n+1)
	cut := make([][]int, k)
	for j := 1; j <= n; j++ {
		best[j] = cost(0, j)
	}
	for c := 1; c < k; c++ {
		next := make([]float64, n+1)
		cut[c] = make([]int, n+1)
		for j := range next {
			next[j] = math.Inf(1)
		}
		for j := c + 1; j <= n; j++ {
			for i := c; i < j; i++ {
				if v := best[i] + cost(i, j); v < next[j] {
					next[j], cut[c][j] = v, i
				}
			}
		}
		best = next
	}
	means := make([]float64, k)
	j := n
	for c := k - 1; c >= 0; c-- {
		i := 0
		if c > 0 {
			i = cut[c][j]
		}
		means[c] = (w1[j] - w1[i]) / (w0[j] - w0[i])
		j = i
	}
	return means
}

// colourBins is the number of steps of each of red, green and blue (as sRGB)
// in which colours are counted.
const colourBins = 32

// colourRounds bounds the improvement of colour clusters; it settles long
// before.
const colourRounds = 60

// byColour divides the samples into clusters of colour (Lloyd's algorithm in
// Lab), numbered from the darkest. The start is fixed: the commonest colour,
// then always the one farthest from those chosen, weighed by how common it is.
func (l *layers) byColour(light []linear, k int) {
	type bin struct {
		lab    [3]float64
		weight float64
		owner  int
	}
	index := make([]int32, colourBins*colourBins*colourBins)
	of := make([]int32, len(light))
	var bins []bin
	for i, v := range light {
		cell := int(toSRGB(v.r))/8*colourBins*colourBins + int(toSRGB(v.g))/8*colourBins + int(toSRGB(v.b))/8
		if index[cell] == 0 {
			bins = append(bins, bin{})
			index[cell] = int32(len(bins))
		}
		b := &bins[index[cell]-1]
		lab := v.lab()
		for c := range lab {
			b.lab[c] += lab[c]
		}
		b.weight++
		of[i] = index[cell] - 1
	}
	for i := range bins {
		for c := range bins[i].lab {
			bins[i].lab[c] /= bins[i].weight
		}
	}
	distance := func(a, b [3]float64) float64 {
		x, y, z := a[0]-b[0], a[1]-b[1], a[2]-b[2]
		return float64(x*x) + float64(y*y) + float64(z*z)
	}
	var centres [][3]float64
	far := make([]float64, len(bins))
	for len(centres) < k {
		best, at := 0.0, -1
		for i := range bins {
			score := bins[i].weight
			if len(centres) > 0 {
				if d := distance(bins[i].lab, centres[len(centres)-1]); len(centres) == 1 || d < far[i] {
					far[i] = d
				}
				score *= far[i]
			}
			if score > best {
				best, at = score, i
			}
		}
		if at < 0 {
			break
		}
		centres = append(centres, bins[at].lab)
	}
	for range colourRounds {
		changed := false
		sums, weights := make([][3]float64, len(centres)), make([]float64, len(centres))
		for i := range bins {
			b := &bins[i]
			owner := 0
			for c := range centres {
				if distance(b.lab, centres[c]) < distance(b.lab, centres[owner]) {
					owner = c
				}
			}
			changed = changed || owner != b.owner
			b.owner = owner
			for c := range b.lab {
				sums[owner][c] += b.lab[c] * b.weight
			}
			weights[owner] += b.weight
		}
		for c := range centres {
			if weights[c] > 0 {
				for d := range centres[c] {
					centres[c][d] = sums[c][d] / weights[c]
				}
			}
		}
		if !changed {
			break
		}
	}
	order := make([]int, len(centres))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool { return centres[order[i]][0] < centres[order[j]][0] })
	rank := make([]uint8, len(centres))
	for i, c := range order {
		rank[c] = uint8(i)
	}
	l.label = make([]uint8, len(light))
	for i := range light {
		l.label[i] = rank[bins[of[i]].owner]
	}
	l.thresholds = make([]float64, len(centres)-1)
}
