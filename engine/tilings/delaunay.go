package tilings

import "math/big"

// lattice2 is a place on a whole-number grid; the triangulation decides every
// question about such places exactly.
type lattice2 struct{ x, y int64 }

// mesh is a Delaunay triangulation, built point by point with flips (Lawson,
// Software for C¹ surface interpolation, 1977; from memory).
type mesh struct {
	points []lattice2
	// tri[t] are the corners counter-clockwise; across[t][k] is the triangle
	// beyond the side opposite corner k, or -1.
	tri    [][3]int32
	across [][3]int32
	last   int32 // where the next search starts
}

// newMesh starts with the square from (lo, lo) to (hi, hi) as two triangles;
// its corners are points 0 to 3.
func newMesh(lo, hi int64) *mesh {
	return &mesh{
		points: []lattice2{{lo, lo}, {hi, lo}, {hi, hi}, {lo, hi}},
		tri:    [][3]int32{{0, 1, 2}, {0, 2, 3}},
		across: [][3]int32{{-1, 1, -1}, {-1, -1, 0}},
	}
}

// left is positive when c lies left of ab, zero on its line. Coordinates stay
// below 2³⁰, so the products fit.
func left(a, b, c lattice2) int64 {
	return (b.x-a.x)*(c.y-a.y) - (c.x-a.x)*(b.y-a.y)
}

// inCircle reports whether d lies strictly inside the circle through a, b, c
// (counter-clockwise). Floating point decides the clear cases; its error is
// below 2⁻⁵⁰ of the sum of magnitudes, whole numbers decide the rest.
func inCircle(a, b, c, d lattice2) bool {
	ax, ay := a.x-d.x, a.y-d.y
	bx, by := b.x-d.x, b.y-d.y
	cx, cy := c.x-d.x, c.y-d.y
	al, bl, cl := ax*ax+ay*ay, bx*bx+by*by, cx*cx+cy*cy
	ab, bc, ca := ax*by-bx*ay, bx*cy-cx*by, cx*ay-ax*cy
	p, q, r := float64(al)*float64(bc), float64(bl)*float64(ca), float64(cl)*float64(ab)
	sum := p + q + r
	bound := (abs(p) + abs(q) + abs(r)) * 1e-14
	if sum > bound {
		return true
	}
	if sum < -bound {
		return false
	}
	total := new(big.Int).Mul(big.NewInt(al), big.NewInt(bc))
	total.Add(total, new(big.Int).Mul(big.NewInt(bl), big.NewInt(ca)))
	total.Add(total, new(big.Int).Mul(big.NewInt(cl), big.NewInt(ab)))
	return total.Sign() > 0
}

func abs(v float64) float64 {
	if v < 0 {
		return -v
	}
	return v
}

// add inserts p, strictly inside the square; false when it is there already.
func (m *mesh) add(p lattice2) bool {
	t := m.find(p)
	for k := 0; k < 3; k++ {
		if m.points[m.tri[t][k]] == p {
			return false
		}
	}
	n := int32(len(m.points))
	m.points = append(m.points, p)
	for k := 0; k < 3; k++ {
		a, b := m.tri[t][(k+1)%3], m.tri[t][(k+2)%3]
		if left(m.points[a], m.points[b], p) == 0 {
			m.splitSide(t, k, n)
			return true
		}
	}
	m.splitInside(t, n)
	return true
}

// find walks from the last triangle towards p. Exact tests on a Delaunay mesh
// cannot run in circles.
func (m *mesh) find(p lattice2) int32 {
	t := m.last
walk:
	for {
		for k := 0; k < 3; k++ {
			a, b := m.points[m.tri[t][(k+1)%3]], m.points[m.tri[t][(k+2)%3]]
			if left(a, b, p) < 0 {
				t = m.across[t][k]
				continue walk
			}
		}
		m.last = t
		return t
	}
}

// set writes a triangle and makes its neighbours point back at it.
func (m *mesh) set(t int32, corners, across [3]int32) {
	m.tri[t], m.across[t] = corners, across
	for k := 0; k < 3; k++ {
		if n := across[k]; n >= 0 {
			a, b := corners[(k+1)%3], corners[(k+2)%3]
			for s := 0; s < 3; s++ {
				if m.tri[n][(s+1)%3] == b && m.tri[n][(s+2)%3] == a {
					m.across[n][s] = t
				}
			}
		}
	}
}

func (m *mesh) grow() int32 {
	m.tri = append(m.tri, [3]int32{-1, -1, -1})
	m.across = append(m.across, [3]int32{-1, -1, -1})
	return int32(len(m.tri) - 1)
}

// splitInside cuts triangle t into three about point n.
func (m *mesh) splitInside(t, n int32) {
	c, x := m.tri[t], m.across[t]
	t1, t2 := m.grow(), m.grow()
	m.set(t, [3]int32{n, c[0], c[1]}, [3]int32{x[2], t1, t2})
	m.set(t1, [3]int32{n, c[1], c[2]}, [3]int32{x[0], t2, t})
	m.set(t2, [3]int32{n, c[2], c[0]}, [3]int32{x[1], t, t1})
	m.legalise(t, n)
	m.legalise(t1, n)
	m.legalise(t2, n)
}

// splitSide cuts the triangles on both sides of side k of t at point n.
func (m *mesh) splitSide(t int32, k int, n int32) {
	o, a, b := m.tri[t][k], m.tri[t][(k+1)%3], m.tri[t][(k+2)%3]
	xa, xb := m.across[t][(k+1)%3], m.across[t][(k+2)%3]
	u := m.across[t][k]
	t2 := m.grow()
	if u < 0 {
		m.set(t, [3]int32{n, o, a}, [3]int32{xb, -1, t2})
		m.set(t2, [3]int32{n, b, o}, [3]int32{xa, t, -1})
		m.legalise(t, n)
		m.legalise(t2, n)
		return
	}
	s := 0
	for m.tri[u][(s+1)%3] != b {
		s++
	}
	p := m.tri[u][s]
	ya, yb := m.across[u][(s+1)%3], m.across[u][(s+2)%3] // beyond a–p, beyond p–b
	u2 := m.grow()
	m.set(t, [3]int32{n, o, a}, [3]int32{xb, u, t2})
	m.set(t2, [3]int32{n, b, o}, [3]int32{xa, t, u2})
	m.set(u, [3]int32{n, a, p}, [3]int32{ya, u2, t})
	m.set(u2, [3]int32{n, p, b}, [3]int32{yb, t2, u})
	for _, f := range [4]int32{t, t2, u, u2} {
		m.legalise(f, n)
	}
}

// legalise flips the side of t opposite to point n while the point beyond lies
// in the circle.
func (m *mesh) legalise(t, n int32) {
	k := 0
	for m.tri[t][k] != n {
		k++
	}
	u := m.across[t][k]
	if u < 0 {
		return
	}
	a, b := m.tri[t][(k+1)%3], m.tri[t][(k+2)%3]
	s := 0
	for m.tri[u][(s+1)%3] != b {
		s++
	}
	p := m.tri[u][s]
	if !inCircle(m.points[n], m.points[a], m.points[b], m.points[p]) {
		return
	}
	xa, xb := m.across[t][(k+1)%3], m.across[t][(k+2)%3]
	ya, yb := m.across[u][(s+1)%3], m.across[u][(s+2)%3]
	// t becomes n, a, p and u becomes n, p, b.
	m.set(t, [3]int32{n, a, p}, [3]int32{ya, u, xb})
	m.set(u, [3]int32{n, p, b}, [3]int32{yb, xa, t})
	m.legalise(t, n)
	m.legalise(u, n)
}
