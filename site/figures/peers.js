// Times general libraries of the registry at the engine's work, for the tables
// of figures. One request per line (JSON), one answer per line: {ms, value}.
// What is handed over is made ready before the clock starts.
//
//   {"kind":"toolpath","file":…}                            → way gone in X and Y, mm
//   {"kind":"beads","lines":…,"width":mm,"face":rings}      → area under beads (inside the face, if there is one), mm²
//   {"kind":"lines","a":rings,"lines":…}                    → length of the lines inside, mm
//   {"kind":"zones","face":rings,"zones":[{"a":…,"lines":…}]} → the same, zone by zone
//   {"kind":"union","a":rings}                              → area, mm²
//   {"kind":"offset","a":rings,"d":mm,"tolerance":mm}       → area, mm²
"use strict";

const fs = require("node:fs");
const path = require("node:path");
const readline = require("node:readline");
const { createRequire } = require("node:module");
const load = createRequire(path.join(__dirname, "../test/package.json"));

const DECIMALS = 5; // of a mm: the lattice on which the polygons are worked

/** Returns the best time of several tries and the last result. */
function best(run, { runs, enoughMS, shortestMS }) {
  const began = performance.now();
  let ms = Infinity, value = 0;
  for (let t = 0; t < runs && (t === 0 || performance.now() - began < enoughMS); t++) {
    const from = performance.now();
    let n = 0;
    while (n === 0 || performance.now() - from < shortestMS) {
      value = run();
      n++;
    }
    ms = Math.min(ms, (performance.now() - from) / n);
  }
  return { ms, value };
}

function toolpath({ file }) {
  const Toolpath = load("gcode-toolpath");
  const text = fs.readFileSync(file, "latin1");
  return () => {
    let way = 0;
    const add = (_, a, b) => { way += Math.hypot(b.x - a.x, b.y - a.y); };
    new Toolpath({ addLine: add, addArcCurve: add }).loadFromStringSync(text);
    return way;
  };
}

async function main() {
  const c = await load("clipper2-wasm")();

  const paths = (rings) => {
    const out = new c.PathsD();
    for (const ring of rings || []) out.push_back(c.MakePathD(ring.flat()));
    return out;
  };
  const lengthOf = (all) => {
    let sum = 0;
    for (let i = 0; i < all.size(); i++) {
      const p = all.get(i);
      for (let k = 1; k < p.size(); k++) sum += Math.hypot(p.get(k).x - p.get(k - 1).x, p.get(k).y - p.get(k - 1).y);
    }
    return sum;
  };
  const cutLines = (lines, region) => {
    const work = new c.ClipperD(DECIMALS);
    work.AddOpenSubject(lines);
    work.AddClip(region);
    const closed = new c.PathsD(), inside = new c.PathsD();
    work.ExecutePath(c.ClipType.Intersection, c.FillRule.NonZero, closed, inside);
    const sum = lengthOf(inside);
    for (const o of [work, closed, inside]) o.delete();
    return sum;
  };
  const areaOf = (made) => {
    const area = c.AreaPathsD(made);
    made.delete();
    return area;
  };

  const ready = {
    toolpath,
    beads: ({ lines, width, face }) => {
      const all = paths(lines), inside = paths(face);
      return () => {
        const beads = c.InflatePathsD(all, width / 2, c.JoinType.Round, c.EndType.Round, 2, DECIMALS, 0.004);
        if (inside.size() === 0) return areaOf(beads);
        const cut = c.IntersectD(beads, inside, c.FillRule.NonZero, DECIMALS);
        beads.delete();
        return areaOf(cut);
      };
    },
    lines: ({ a, lines }) => {
      const region = paths(a), all = paths(lines);
      return () => cutLines(all, region);
    },
    zones: ({ face, zones }) => {
      const outline = paths(face);
      const all = zones.map(({ a, lines }) => [paths(a), paths(lines)]);
      return () => {
        let sum = 0;
        for (const [region, lines] of all) {
          const inside = c.IntersectD(region, outline, c.FillRule.NonZero, DECIMALS);
          sum += cutLines(lines, inside);
          inside.delete();
        }
        return sum;
      };
    },
    union: ({ a }) => {
      const all = paths(a);
      return () => areaOf(c.UnionSelfD(all, c.FillRule.NonZero, DECIMALS));
    },
    offset: ({ a, d, tolerance }) => {
      const all = paths(a);
      return () => areaOf(c.InflatePathsD(all, d, c.JoinType.Round, c.EndType.Polygon, 2, DECIMALS, tolerance));
    },
  };

  for await (const line of readline.createInterface({ input: process.stdin })) {
    let answer;
    try {
      const request = JSON.parse(line);
      answer = best(ready[request.kind](request), request);
    } catch (e) {
      answer = { error: String((e && e.message) || e) };
    }
    process.stdout.write(JSON.stringify(answer) + "\n");
  }
}

main().catch((e) => {
  console.error(e);
  process.exit(3);
});
