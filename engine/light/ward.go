// Package light shades a face by the direction of its lines: the engine's
// reference for what the page draws on the graphics card, and the picture
// itself where there is none.
//
// What glitters on a printed face is plain reflection: every bead is a groove
// or a ridge along its lay, and grooves throw light across themselves. The
// pitch of the lines, some 0.4 mm, is far too coarse for colours of diffraction
// (grating equation d(sin θi + sin θm) = mλ: the first order of 550 nm stands
// 0.08° off the mirror direction), so no rainbow is drawn.
//
// The frame of all vectors: X and Y lie in the face as it is seen, Z points to
// the viewer. Lengths are mm.
package light

import "math"

// Vector is a direction or a place in the frame of the view.
type Vector struct{ X, Y, Z float64 }

func (a Vector) dot(b Vector) float64 {
	return float64(a.X*b.X) + float64(a.Y*b.Y) + float64(a.Z*b.Z)
}

func (a Vector) sub(b Vector) Vector { return Vector{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }

func (a Vector) unit() Vector {
	n := math.Sqrt(a.dot(a))
	if n == 0 {
		return Vector{Z: 1}
	}
	return Vector{a.X / n, a.Y / n, a.Z / n}
}

// Surface holds the parameters of the anisotropic model of Ward, Measuring and
// Modeling Anisotropic Reflection, SIGGRAPH 1992 (Computer Graphics 26(2),
// 265–272): shares of light reflected diffusely and specularly, and the
// standard deviations of the surface slope along and across the lines.
type Surface struct {
	ID       string  `json:"id"`
	Name     string  `json:"name"`
	Diffuse  float64 `json:"diffuse"`  // ρd
	Specular float64 `json:"specular"` // ρs
	Along    float64 `json:"along"`    // αx, slope along the lay
	Across   float64 `json:"across"`   // αy, slope across the lay
	Tint     float64 `json:"tint"`     // share of the filament's colour in the highlight, 0..1
	Through  bool    `json:"through"`  // seen against a lamp behind it: the lamp's Z counts backwards from the face
	Source   string  `json:"source"`   // where the numbers come from
}

// Surfaces returns the surfaces offered, the default first. Where no published
// measurement of printed plastic is known the numbers are our own choice
// between published ones, and say so.
func Surfaces() []Surface {
	return []Surface{
		{"smooth", "Smooth plate", .20, .12, .050, .16, .25, false, "slopes of rolled brass, Ward 1992, table of parameters; shares our own choice for plastic"},
		{"textured", "Textured plate", .30, .045, .13, .20, .35, false, "along: ivory computer plastic, Ward 1992; the rest our own choice"},
		{"silk", "Silk filament", .12, .26, .050, .16, .75, false, "slopes of rolled brass, Ward 1992; shares our own choice"},
		{"matt", "Matt filament", .45, .020, .16, .26, .60, false, "our own choice"},
		{"through", "Against a lamp", .10, .20, .060, .22, .85, true, "our own choice: the lobe of the same model about the straight way through"},
	}
}

// RolledBrass is a published surface, for checks (Ward 1992).
func RolledBrass() Surface {
	return Surface{ID: "brass", Name: "Rolled brass", Diffuse: .10, Specular: .33, Along: .050, Across: .16, Tint: 1}
}

// Lobe returns Ward's specular lobe without ρs, 1/sr, for light from l to the
// eye at v (unit vectors away from the surface) on lines of the given lay
// (radians in the frame of the view). Zero when either lies below the face.
//
//	exp[−tan²δ (cos²φ/αx² + sin²φ/αy²)] / (4π αx αy √(cosθi cosθr))
//
// δ is the angle of the half vector to the normal and φ its azimuth from the
// lay.
func Lobe(s Surface, lay float64, l, v Vector) float64 {
	if l.Z <= 0 || v.Z <= 0 {
		return 0
	}
	h := Vector{l.X + v.X, l.Y + v.Y, l.Z + v.Z}
	sin, cos := math.Sincos(lay)
	along := (float64(h.X*cos) + float64(h.Y*sin)) / (s.Along * h.Z)
	across := (float64(h.Y*cos) - float64(h.X*sin)) / (s.Across * h.Z)
	return math.Exp(-(float64(along*along) + float64(across*across))) /
		(4 * math.Pi * s.Along * s.Across * math.Sqrt(l.Z*v.Z))
}

// Scene is lamp, eye and plastic.
type Scene struct {
	Surface  Surface
	Lamp     Vector     // place of the lamp relative to the middle of the face
	Eye      Vector     // place of the eye, likewise
	Colour   [3]float64 // filament, linear light, 0..1
	Exposure float64    // factor on all light; DefaultExposure shows the range well
	Below    bool       // seen from below: the bed's X runs to the left
}

// DefaultExposure brings a white diffuse face under an upright lamp to about
// half of full light.
const DefaultExposure = 2.2

// groundLight is the share of light that comes from everywhere, so that lines
// turned away do not vanish. Our own choice.
const groundLight = 0.10

// Reflected returns the light, linear and per colour, that reaches the eye from
// a place p (Z = 0) whose lines have the given lay (radians, frame of the
// view). cover is the share of the place that bears material.
func (sc Scene) Reflected(p Vector, lay, cover float64) [3]float64 {
	s := sc.Surface
	l, v := sc.Lamp.sub(p).unit(), sc.Eye.sub(p).unit()
	lobe := s.Specular * Lobe(s, lay, l, v)
	cos := math.Max(l.Z, 0)
	var out [3]float64
	for i, c := range sc.Colour {
		diffuse := s.Diffuse / math.Pi * c
		tint := 1 + s.Tint*(c-1)
		light := float64(cos*(diffuse+float64(lobe*tint))) + float64(groundLight*diffuse*math.Pi)
		out[i] = sc.Exposure * cover * light
	}
	return out
}

// Encode turns linear light into an 8-bit sRGB value (IEC 61966-2-1), rounding
// to nearest and saturating.
func Encode(light float64) uint8 {
	var e float64
	switch {
	case !(light > 0):
		e = 0
	case light >= 1:
		e = 1
	case light <= 0.0031308:
		e = 12.92 * light
	default:
		e = 1.055*math.Pow(light, 1/2.4) - 0.055
	}
	return uint8(e*255 + 0.5)
}

// Decode is the inverse of Encode for a value 0..255, to linear light.
func Decode(value uint8) float64 {
	e := float64(value) / 255
	if e <= 0.04045 {
		return e / 12.92
	}
	return math.Pow((e+0.055)/1.055, 2.4)
}
