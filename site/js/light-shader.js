// How a face shines, once for every pixel. The engine holds the same formula
// as its reference; both must agree within 2 of 255.
//
// Ward, Measuring and Modeling Anisotropic Reflection, SIGGRAPH 1992:
//   f = rd/pi + rs * exp(-tan^2 d (cos^2 p / ax^2 + sin^2 p / ay^2))
//             / (4 pi ax ay sqrt(cos i cos r))
// with the half vector at angle d from the normal and p from the lay. ax is
// the roughness along the lines, ay across them.
//
// light = exposure * cover * (cos i * (colour * rd / pi + tint * rs * lobe) + ground * colour * rd)
// tint  = 1 + share * (colour - 1), the filament's colour in the highlight
// pixel = sRGB(light), saturating (IEC 61966-2-1)
// A translucent face is lit from behind: the lamp's mirror image in the plane of
// the face takes the lamp's place, so the formula stays the same.
//
// Where a pixel holds several texels it shows the mean of their light, as the
// eye would see it from so far: the edges of zones stay smooth, and gaps and
// turns of the line come together instead of making a grid of dots.

export const VERTEX = `#version 300 es
in vec2 corner;
void main() { gl_Position = vec4(corner, 0.0, 1.0); }`;

export const FRAGMENT = `#version 300 es
precision highp float;
precision highp int;
uniform sampler2D lay;      // R,G: lay angle mod pi, 16 bit; B: cover; A: on the face
uniform vec2 mapSize;       // texels
uniform vec4 mapBox;        // bed mm: x0, y0, x1, y1; row 0 is y1
uniform vec2 viewCentre;    // bed mm
uniform vec2 viewSize;      // device pixels
uniform float viewScale;    // device pixels per mm
uniform float side;         // -1 when seen from below
uniform vec3 lamp;          // bed mm
uniform vec3 eye;           // bed mm
uniform vec3 colour;        // filament, linear
uniform vec4 surface;       // rd, rs, ax, ay
uniform float tint;         // share of the filament's colour in the highlight
uniform float exposure;     // factor on all light
uniform float ground;       // light from everywhere
uniform bool quick;         // nearest texel only, while something moves
out vec4 pixel;

const float PI = 3.14159265358979;
const float MINIFIED = 1.2; // texels to a pixel from which their mean is taken
const int MOST_TAPS = 5;    // to a side of a pixel

vec3 shade(vec4 texel, vec2 place) {
  float hi = floor(texel.r * 255.0 + 0.5);
  float lo = floor(texel.g * 255.0 + 0.5);
  float angle = (hi * 256.0 + lo) / 65536.0 * PI;
  vec3 along = vec3(cos(angle), sin(angle), 0.0);
  vec3 across = vec3(-along.y, along.x, 0.0);
  vec3 l = normalize(lamp - vec3(place, 0.0));
  vec3 v = normalize(eye - vec3(place, 0.0));
  float cosI = max(l.z, 1e-4);
  float cosR = max(v.z, 1e-4);
  vec3 half_ = normalize(l + v);
  float x = dot(half_, along) / surface.z;
  float y = dot(half_, across) / surface.w;
  float lobe = exp(-(x * x + y * y) / (half_.z * half_.z))
             / (4.0 * PI * surface.z * surface.w * sqrt(cosI * cosR));
  vec3 lit = cosI * (colour * surface.x / PI + (1.0 + tint * (colour - 1.0)) * surface.y * lobe)
           + ground * colour * surface.x;
  return exposure * texel.b * lit;
}

vec3 encoded(vec3 light) {
  vec3 shown = clamp(light, 0.0, 1.0);
  vec3 low = shown * 12.92;
  vec3 high = 1.055 * pow(shown, vec3(1.0 / 2.4)) - 0.055;
  return mix(high, low, vec3(lessThanEqual(shown, vec3(0.0031308))));
}

vec4 fetched(ivec2 at) {
  ivec2 last = ivec2(mapSize) - 1;
  if (at.x < 0 || at.y < 0 || at.x > last.x || at.y > last.y) return vec4(0.0);
  return texelFetch(lay, at, 0);
}

// Off the face only what is covered shows; on it a gap stays dark.
float shownOf(vec4 texel) {
  return texel.b == 0.0 ? 0.0 : texel.a > 0.5 ? 1.0 : texel.b;
}

vec4 one(vec4 texel, vec2 place) {
  float shown = shownOf(texel);
  return shown == 0.0 ? vec4(0.0) : vec4(encoded(shade(texel, place)) * shown, shown);
}

// The mean light of the texels under one pixel, weighed evenly; texels of one
// lay in a row are shaded once.
vec4 mean(vec2 texel, vec2 across, vec2 place) {
  int n = int(min(float(MOST_TAPS), ceil(max(abs(across.x), abs(across.y)) - 0.05)));
  vec3 sum = vec3(0.0), light = vec3(0.0);
  vec2 shaded = vec2(-1.0);
  float shown = 0.0;
  for (int row = 0; row < n; row++) {
    for (int column = 0; column < n; column++) {
      vec2 part = (vec2(column, row) + 0.5) / float(n) - 0.5;
      vec4 one = fetched(ivec2(floor(texel + part * across + 0.5)));
      float weight = shownOf(one);
      if (weight == 0.0) continue;
      if (one.rg != shaded) {
        shaded = one.rg;
        light = shade(vec4(one.rg, 1.0, 1.0), place);
      }
      sum += clamp(light * one.b, 0.0, 1.0) * weight;
      shown += weight;
    }
  }
  return shown == 0.0 ? vec4(0.0) : vec4(encoded(sum / shown), 1.0) * (shown / float(n * n));
}

void main() {
  vec2 off = gl_FragCoord.xy - viewSize * 0.5;
  vec2 place = viewCentre + vec2(side * off.x, off.y) / viewScale;
  vec2 mm = (mapBox.zw - mapBox.xy) / mapSize;
  vec2 texel = vec2((place.x - mapBox.x) / mm.x, (mapBox.w - place.y) / mm.y) - 0.5;
  if (quick) { pixel = one(fetched(ivec2(floor(texel + 0.5))), place); return; }
  vec2 across = vec2(side, -1.0) / (viewScale * mm); // one pixel, in texels
  if (abs(across.x) > MINIFIED) { pixel = mean(texel, across, place); return; }
  ivec2 at = ivec2(floor(texel));
  vec2 part = texel - floor(texel);
  vec4 a = fetched(at), b = fetched(at + ivec2(1, 0)), c = fetched(at + ivec2(0, 1)), d = fetched(at + ivec2(1, 1));
  // Inside a zone all four are the same, and one is enough.
  if (a == b && a == c && a == d) { pixel = one(a, place); return; }
  pixel = one(a, place) * (1.0 - part.x) * (1.0 - part.y)
        + one(b, place) * part.x * (1.0 - part.y)
        + one(c, place) * (1.0 - part.x) * part.y
        + one(d, place) * part.x * part.y;
}`;
