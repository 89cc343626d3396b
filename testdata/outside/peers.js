// Runs independent libraries from the registry for the tests in engine/outside.
// One request per line (JSON), one answer per line. No code is shared with the
// engine; what is done here is only to hand over and hand back.
//
//   {"kind":"gcode","text":…}                      → [[x0,y0,z0,x1,y1,z1,cx,cy],…] of moves (cx, cy null on lines)
//   {"kind":"polygons","op":…,"a":rings,"b":rings} → area, mm²
//   {"kind":"offset","a":rings,"d":mm,"close":mm,"tolerance":mm} → area, mm²
//   {"kind":"closing","a":rings,"d":mm,"tolerance":mm} → area of the union grown by d and shrunk again, mm²
//   {"kind":"lines","a":rings,"lines":[[x,y,x,y],…]} → total length inside, mm
//   {"kind":"path","d":…,"shares":[…]}             → {"length":…,"points":[[x,y],…]}
"use strict";

const path = require("node:path");
const readline = require("node:readline");
const { createRequire } = require("node:module");
const load = createRequire(path.join(__dirname, "../../site/test/package.json"));

const DECIMALS = 7; // of a mm, the lattice on which the polygons are worked

function gcode({ text }) {
  const Toolpath = load("gcode-toolpath");
  const moves = [];
  const add = (from, to, centre) =>
    moves.push([from.x, from.y, from.z, to.x, to.y, to.z, centre ? centre.x : null, centre ? centre.y : null]);
  new Toolpath({ addLine: (_, a, b) => add(a, b), addArcCurve: (_, a, b, c) => add(a, b, c) }).loadFromStringSync(text);
  return moves;
}

async function main() {
  const clipper = await load("clipper2-wasm")();
  const { FillRule, JoinType, EndType, ClipType } = clipper;

  const paths = (rings) => {
    const out = new clipper.PathsD();
    for (const ring of rings) out.push_back(clipper.MakePathD(ring.flat()));
    return out;
  };
  const booleans = { union: "UnionD", intersect: "IntersectD", subtract: "DifferenceD", xor: "XorD" };
  const answer = {
    gcode,
    polygons: ({ op, a, b }) => clipper.AreaPathsD(clipper[booleans[op]](paths(a), paths(b || []), FillRule.NonZero, DECIMALS)),
    offset: ({ a, d, close, tolerance }) => {
      // Slits and slivers of a few lattice steps between shapes that touch are
      // closed, or taken off, first: both engines are to see the same shape.
      const first = d > 0 ? -close : close;
      const shape = clipper.InflatePathsD(paths(a), first, JoinType.Miter, EndType.Polygon, 60, DECIMALS, tolerance);
      return clipper.AreaPathsD(clipper.InflatePathsD(shape, d - first, JoinType.Round, EndType.Polygon, 2, DECIMALS, tolerance));
    },
    closing: ({ a, d, tolerance }) => {
      const whole = clipper.UnionD(paths(a), paths([]), FillRule.NonZero, DECIMALS);
      const grown = clipper.InflatePathsD(whole, d, JoinType.Round, EndType.Polygon, 2, DECIMALS, tolerance);
      return clipper.AreaPathsD(clipper.InflatePathsD(grown, -d, JoinType.Round, EndType.Polygon, 2, DECIMALS, tolerance));
    },
    lines: ({ a, lines }) => {
      const work = new clipper.ClipperD(DECIMALS);
      const open = paths(lines);
      work.AddOpenSubject(open);
      work.AddClip(paths(a));
      const closed = new clipper.PathsD();
      const inside = new clipper.PathsD();
      work.ExecutePath(ClipType.Intersection, FillRule.NonZero, closed, inside);
      let sum = 0;
      for (let i = 0; i < inside.size(); i++) {
        const p = inside.get(i);
        for (let k = 1; k < p.size(); k++) sum += Math.hypot(p.get(k).x - p.get(k - 1).x, p.get(k).y - p.get(k - 1).y);
      }
      return sum;
    },
    path: ({ d, shares }) => {
      const { svgPathProperties } = load("svg-path-properties");
      const p = new svgPathProperties(d);
      const length = p.getTotalLength();
      return { length, points: shares.map((s) => p.getPointAtLength(s * length)).map(({ x, y }) => [x, y]) };
    },
  };
  for await (const line of readline.createInterface({ input: process.stdin })) {
    let out;
    try {
      const request = JSON.parse(line);
      out = { value: answer[request.kind](request) };
    } catch (e) {
      out = { error: String((e && e.message) || e) };
    }
    process.stdout.write(JSON.stringify(out) + "\n");
  }
}

main().catch((e) => {
  console.error(e);
  process.exit(3);
});
