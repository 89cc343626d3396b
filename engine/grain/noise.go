package grain

import "math"

// Hash mixes a seed and two whole numbers into 64 well-spread bits: the
// finaliser of splitmix64 (Steele, Lea, Flood, OOPSLA 2014; constants from
// memory) over an odd-multiplier sum. The same on every machine.
func Hash(seed uint64, i, j int) uint64 {
	z := seed*0x9E3779B97F4A7C15 + uint64(int64(i))*0xD1B54A32D192ED03 + uint64(int64(j))*0x8CB92BA72F3D8DD7
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return z ^ z>>31
}

// Draw returns Hash as a number in [0, 1).
func Draw(seed uint64, i, j int) float64 { return float64(Hash(seed, i, j)>>11) / (1 << 53) }

// gradientNoise returns smooth noise of feature size 1 at (x, y), within ±1,
// zero at whole places: Perlin's gradient noise with the fifth-degree fade
// (Perlin, Improving noise, SIGGRAPH 2002; from memory). Products are rounded
// one by one so that no machine fuses them.
func gradientNoise(seed uint64, x, y float64) float64 {
	fx, fy := math.Floor(x), math.Floor(y)
	i, j := int(fx), int(fy)
	x, y = x-fx, y-fy
	dot := func(di, dj int) float64 {
		g := directions[Hash(seed, i+di, j+dj)&63]
		return float64(g[0]*(x-float64(di))) + float64(g[1]*(y-float64(dj)))
	}
	u, v := fade(x), fade(y)
	a, b := dot(0, 0), dot(0, 1)
	a += float64(u * (dot(1, 0) - a))
	b += float64(u * (dot(1, 1) - b))
	return 1.4 * (a + float64(v*(b-a)))
}

// directions are 64 unit vectors, evenly spread.
var directions = func() (d [64][2]float64) {
	for k := range d {
		d[k][1], d[k][0] = math.Sincos(2 * math.Pi * (float64(k) + 0.5) / 64)
	}
	return d
}()

func fade(t float64) float64 {
	return float64(t*t) * t * (float64(t*(float64(t*6)-15)) + 10)
}

// octaves sums three scales of noise, each half as large and half as strong.
func octaves(seed uint64, x, y float64) float64 {
	sum := gradientNoise(seed, x, y)
	sum += 0.5 * gradientNoise(seed+1, 2*x, 2*y)
	return (sum + 0.25*gradientNoise(seed+2, 4*x, 4*y)) / 1.75
}
