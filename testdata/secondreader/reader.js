// A second, small reader of G-code. It shares no code with the engine and was
// written from the same outside rules (NISTIR 6556 for G0 to G3, G20, G21, G90
// to G92; common practice for E, M82, M83, G10, G11, checksums), so that a
// mistake in the engine's reading cannot hide in its own proof.
//
// judge(original, finished, job) returns the list of clauses of the join that
// fail; an empty list means the join is right. Run with node, it answers
// framed requests on standard input; see serve.
"use strict";

const INCH = 25.4;

/** Returns the machine before the first line. */
function newMachine() {
  return {
    x: 0, y: 0, z: 0, offset: { X: 0, Y: 0, Z: 0 }, e: 0, eOffset: 0, drawn: 0, byCommand: false, feed: 0, motion: "G1", unit: 1,
    relative: false, relativeE: false, eChosen: false, plane: "G17", centres: "G91.1", tool: 0, work: "G54", settings: new Map(), number: null,
  };
}

/** Cuts one line into a command with its words; null for an empty line. */
function readLine(text) {
  let s = text.replace(/^\uFEFF/, "").replace(/^\u00EF\u00BB\u00BF/, "").replace(/\r$/, "");
  let number = null, badSum = false;
  const semicolon = s.indexOf(";");
  if (semicolon >= 0) s = s.slice(0, semicolon);
  const star = s.lastIndexOf("*");
  if (star >= 0) {
    let sum = 0;
    for (let i = 0; i < star; i++) sum ^= s.charCodeAt(i) & 255;
    badSum = sum !== Number(s.slice(star + 1).trim());
    s = s.slice(0, star);
  }
  s = s.replace(/\([^)]*\)/g, " ").trim();
  const lead = /^[Nn](\d+)\s*/.exec(s);
  if (lead) {
    number = Number(lead[1]);
    s = s.slice(lead[0].length);
  }
  if (s === "") return number === null && !badSum ? null : { number, badSum, name: "", words: {}, text: "" };
  const plain = s.toUpperCase();
  if (/^[A-Z_]{2}/.test(plain) || /^M117\b/.test(plain)) return { number, badSum, name: "OTHER", words: {}, text: s };
  const words = {}, codes = [];
  for (const m of plain.replace(/\s+/g, "").matchAll(/([A-Z])([-+]?(?:\d+\.?\d*|\.\d+))?/g)) {
    if (m[1] === "G" || m[1] === "M" || (m[1] === "T" && codes.length === 0)) codes.push(m[1] + Number(m[2]));
    else words[m[1]] = m[2] === undefined ? 0 : Number(m[2]);
  }
  return { number, badSum, name: codes[0] || "", codes, words, text: s };
}

const MOTION = new Set(["G0", "G1", "G2", "G3"]);
const SILENT = new Set([...MOTION, "G10", "G11", "G17", "G18", "G19", "G20", "G21", "G90", "G91", "G90.1", "G91.1", "G92", "M82", "M83", "M110"]);

/** Carries out a line; returns the move it makes, or null. */
function step(m, l) {
  const w = l.words;
  switch (l.name) {
    case "G17": case "G18": case "G19": m.plane = l.name; return null;
    case "G20": m.unit = INCH; return null;
    case "G21": m.unit = 1; return null;
    case "G90": m.relative = false; if (!m.eChosen) m.relativeE = false; return null;
    case "G91": m.relative = true; if (!m.eChosen) m.relativeE = true; return null;
    case "G90.1": case "G91.1": m.centres = l.name; return null;
    case "M82": m.relativeE = false; m.eChosen = true; return null;
    case "M83": m.relativeE = true; m.eChosen = true; return null;
    case "G10": if (!("L" in w) && !("P" in w)) m.byCommand = true; return null;
    case "G11": m.byCommand = false; return null;
    case "G28": m.x = m.y = m.z = 0; return null;
    case "G92":
      for (const a of ["X", "Y", "Z"]) if (a in w) m.offset[a] = m[a.toLowerCase()] - w[a] * m.unit;
      if ("E" in w) m.e = w.E * m.unit;
      return null;
  }
  if (/^T\d/.test(l.name)) { m.tool = Number(l.name.slice(1)); return null; }
  if (MOTION.has(l.name)) m.motion = l.name;
  else if (l.name !== "" || Object.keys(w).length === 0) {
    if (l.name !== "M117" && l.name !== "M73" && l.name !== "M110" && l.name !== "OTHER") {
      if (l.name === "M107") m.settings.set("M106 S", 0);
      else for (const k of Object.keys(w)) m.settings.set((l.name === "M109" ? "M104" : l.name === "M190" ? "M140" : l.name) + " " + k, w[k]);
    }
    return null;
  }
  if ("F" in w) m.feed = w.F * m.unit;
  const from = { x: m.x, y: m.y, z: m.z };
  for (const a of ["X", "Y", "Z"]) {
    if (!(a in w)) continue;
    const k = a.toLowerCase();
    m[k] = m.relative ? m[k] + w[a] * m.unit : w[a] * m.unit + m.offset[a];
  }
  let fed = 0;
  if ("E" in w) {
    fed = m.relativeE ? w.E * m.unit : w.E * m.unit - m.e;
    m.e += fed;
  }
  let length = Math.hypot(m.x - from.x, m.y - from.y), arc = null;
  if (m.motion === "G2" || m.motion === "G3") {
    const places = m.centres === "G90.1";
    const cx = (places ? m.offset.X : from.x) + (w.I || 0) * m.unit, cy = (places ? m.offset.Y : from.y) + (w.J || 0) * m.unit;
    const a0 = Math.atan2(from.y - cy, from.x - cx), a1 = Math.atan2(m.y - cy, m.x - cx);
    let sweep = m.motion === "G3" ? a1 - a0 : a0 - a1;
    while (sweep <= 1e-9) sweep += 2 * Math.PI;
    arc = { cx, cy, r: Math.hypot(from.x - cx, from.y - cy), a0, sweep: m.motion === "G3" ? sweep : -sweep };
    length = sweep * arc.r;
  }
  const drawnBefore = m.drawn;
  m.drawn = Math.max(0, m.drawn - fed);
  const out = Math.max(0, fed - drawnBefore); // leaves the nozzle
  return { from, length, arc, fed, out, drawnBefore, feed: m.feed, x: m.x, y: m.y, z: m.z };
}

/** Follows bytes line by line; visit(line, move, machine, offset) sees each. */
function follow(m, bytes, from, to, visit) {
  let at = from;
  while (at < to) {
    let end = bytes.indexOf(10, at);
    if (end < 0 || end > to) end = to;
    const l = readLine(bytes.latin1Slice(at, end));
    const move = l ? step(m, l) : null;
    if (visit && l) visit(l, move, m, at);
    at = end + 1;
  }
}

const near = (a, b, by) => Math.abs(a - b) <= by;

function compareStates(a, b, say) {
  for (const k of ["x", "y", "z"]) if (!near(a[k], b[k], 0.0006)) say(`state ${k}: ${a[k]} is not ${b[k]}`);
  for (const k of ["X", "Y", "Z"]) if (!near(a.offset[k], b.offset[k], 0.0006)) say(`state offset ${k}`);
  if (!near(a.e, b.e, 2e-5)) say(`state e: ${a.e} is not ${b.e}`);
  if (!near(a.drawn, b.drawn, 3e-5)) say(`state retraction: ${a.drawn} is not ${b.drawn}`);
  if (!near(a.feed, b.feed, 1e-6 * Math.abs(b.feed))) say(`state feed: ${a.feed} is not ${b.feed}`);
  for (const k of ["byCommand", "unit", "relative", "relativeE", "eChosen", "plane", "centres", "motion", "tool"]) {
    if (a[k] !== b[k]) say(`state ${k}: ${a[k]} is not ${b[k]}`);
  }
  const keys = new Set([...a.settings.keys(), ...b.settings.keys()]);
  for (const k of keys) if (a.settings.get(k) !== b.settings.get(k)) say(`setting ${k}: ${a.settings.get(k)} is not ${b.settings.get(k)}`);
}

/** Returns the place at a share of a move's way. */
function along(move, share) {
  if (!move.arc) return { x: move.from.x + (move.x - move.from.x) * share, y: move.from.y + (move.y - move.from.y) * share };
  const a = move.arc.a0 + move.arc.sweep * share;
  return { x: move.arc.cx + move.arc.r * Math.cos(a), y: move.arc.cy + move.arc.r * Math.sin(a) };
}

/** Distance from p to the straight line from a to b. */
function distance(p, a, b) {
  const dx = b.x - a.x, dy = b.y - a.y, square = dx * dx + dy * dy;
  const t = square === 0 ? 0 : Math.min(1, Math.max(0, ((p.x - a.x) * dx + (p.y - a.y) * dy) / square));
  return Math.hypot(p.x - a.x - dx * t, p.y - a.y - dy * t);
}

/**
 * Follows beads along the points that were asked. Each move has to end at one
 * of them, and where it passes over others on its way, it and they have to lie
 * within reach of each other.
 */
function follower(beads, reach, say) {
  let bead = 0, at = 0;
  const place = (k) => ({ x: beads[bead][2 * k], y: beads[bead][2 * k + 1] });
  const count = () => beads[bead].length / 2;
  const met = (p, q) => near(p.x, q.x, 0.0006) && near(p.y, q.y, 0.0006);
  return (move, text) => {
    if (bead < 0) return;
    // The last point of a bead begins nothing.
    while (bead < beads.length && (at === count() - 1 || !met(place(at), move.from))) {
      at++;
      if (at === count()) { bead++; at = 0; }
    }
    if (bead === beads.length) { say("bead where none was asked: " + text); bead = -1; return; }
    const first = at;
    do at++; while (at < count() && !met(place(at), move));
    if (at === count()) { say("bead ends where none was asked: " + text); bead = -1; return; }
    for (let k = first; k < at; k++) {
      if (!move.arc && k > first && !met(place(k), move.from)) say("a point was left out: " + text);
      if (move.arc && k > first && Math.abs(Math.hypot(place(k).x - move.arc.cx, place(k).y - move.arc.cy) - move.arc.r) > reach.point) say("arc leaves its points: " + text);
    }
    for (let i = 1; move.arc && i < 64; i++) {
      const p = along(move, i / 64);
      let least = Infinity;
      for (let k = first; k < at; k++) least = Math.min(least, distance(p, place(k), place(k + 1)));
      if (least > reach.chord) { say(`arc leaves its way by ${least}: ` + text); break; }
    }
  };
}

const kept = (l) => l.name !== "" && !SILENT.has(l.name);
// A command counts as the same whatever its case and blanks.
const essence = (text) => text.toUpperCase().replace(/\s+/g, "");

/**
 * Judges a join.
 * job: { blocks: [{ from, to (cut of the original), start, end (place in the
 * finished file), z, eMM (asked), beads (optional: the points asked, a list
 * [x, y, x, y …] for each bead) }], arcs: { point, chord } (how far an arc may
 * leave points and chords), bed: [x0, y0, x1, y1], perMM (of the
 * piece), short (longest low travel), lift, added: [commands the last block may
 * add] }
 */
function judge(original, finished, job) {
  const wrong = [];
  const say = (text) => wrong.length < 20 && wrong.push(text);
  const a = newMachine(), b = newMachine();
  let from = 0, at = 0;
  job.blocks.forEach((block, i) => {
    if (block.from - from !== block.start - at || original.compare(finished, at, block.start, from, block.from) !== 0) say("head changed");
    follow(a, original, from, block.from);
    follow(b, finished, at, block.start);
    judgeBlock(original, finished, a, b, block, job, i === job.blocks.length - 1 ? job.added || [] : [], say);
    compareStates(b, a, say);
    from = block.to;
    at = block.end;
  });
  if (original.compare(finished, at, finished.length, from, original.length) !== 0) say("tail changed");
  judgeNumbers(finished, say);
  return wrong;
}

/** Judges one block; both machines stand at its start and are left at its end. */
function judgeBlock(original, finished, a, b, block, job, allowed, say) {
  const commands = [], own = [];
  let height = Infinity;
  follow(a, original, block.from, block.to, (l, move) => {
    if (kept(l)) commands.push(essence(l.text));
    if (move && move.out > 0 && move.length > 0) height = Math.min(height, move.z);
  });
  if (!near(height, block.z, 0.002)) say(`layer lies at ${height}, not ${block.z}`);
  const added = allowed.map(essence);
  let sum = 0, inside = true;
  const followed = block.beads ? follower(block.beads, job.arcs || { point: 0.0006, chord: 0.0006 }, say) : () => {};
  follow(b, finished, block.start, block.end, (l, move, m) => {
    if (l.badSum) say("checksum: " + l.text);
    if (kept(l) && !added.includes(essence(l.text))) own.push(essence(l.text));
    if (!move) return;
    for (const t of l.text.matchAll(/([A-Z])([-+]?)(\d*)\.?(\d*)/g)) {
      const digits = t[4].length;
      if (("XYZIJ".includes(t[1]) && digits > 3) || (t[1] === "E" && digits > 5)) say("digits: " + l.text);
      if (t[2] === "-" && Number(t[3] + "." + t[4]) === 0) say("minus nought: " + l.text);
    }
    const [x0, y0, x1, y1] = job.bed;
    for (let i = 1, n = move.arc ? 64 : 1; i <= n; i++) {
      const p = i === n ? move : along(move, i / n);
      inside = inside && p.x >= x0 - 0.001 && p.x <= x1 + 0.001 && p.y >= y0 - 0.001 && p.y <= y1 + 0.001;
    }
    // NISTIR 6556, 3.5.3.2: the radii at start and end agree within 0.002 mm.
    if (move.arc && !near(Math.hypot(move.x - move.arc.cx, move.y - move.arc.cy), move.arc.r, 0.002 + 1e-9)) say("arc with two radii: " + l.text);
    // The next block's height is reached from below.
    if (move.z < height - 0.002 && move.length > 0) say(`below the layer at ${move.z}`);
    if (move.out > 1e-4 && move.length > 0) {
      if (m.byCommand || move.drawnBefore > 3e-5) say("bead while retracted: " + l.text);
      if (!near(move.z, block.z, 0.002)) say(`bead at ${move.z}`);
      if (move.length > 0.1 && move.out / move.length > 5 * job.perMM) say("jump of E: " + l.text);
      const hot = m.settings.get("M104 S");
      if (hot !== undefined && hot > 0 && hot < 170) say("cold");
      sum += move.out;
    }
    if (move.fed > 0 && move.length > 0) followed(move, l.text);
    if (move.out > 0.05 && move.length === 0) say("blob: " + l.text);
    if (move.fed === 0 && move.length > job.short && near(move.z, block.z, 0.002) && job.lift > 0) say(`low travel of ${move.length}: ` + l.text);
  });
  if (!inside) say("off the bed");
  if (!near(sum, block.eMM, 1e-4 * block.eMM + 1e-4)) say(`feeds ${sum}, asked ${block.eMM}`);
  if (commands.join("\n") !== own.join("\n")) say(`commands ${JSON.stringify(own)} are not ${JSON.stringify(commands)}`);
}

/** Checks that the line numbers of a whole file run on, or are set by M110. */
function judgeNumbers(finished, say) {
  let last = null;
  follow(newMachine(), finished, 0, finished.length, (l) => {
    if (l.number === null) return;
    if (l.badSum) say("checksum of N" + l.number);
    if (/^M110/i.test(l.text)) last = "N" in l.words ? l.words.N : l.number;
    else {
      if (last !== null && l.number !== last + 1) say(`N${l.number} after N${last}`);
      last = l.number;
    }
  });
}

/** Answers frames on standard input: a line of JSON { job, original, finished } with lengths, then the bytes. */
function serve() {
  let have = Buffer.alloc(0);
  const parts = [];
  let size = 0, head = null, need = 0;
  process.stdin.on("data", (chunk) => {
    parts.push(chunk);
    size += chunk.length;
    for (;;) {
      if (head === null) {
        have = parts.length === 1 ? parts[0] : Buffer.concat(parts);
        parts.length = 0;
        parts.push(have);
        const end = have.indexOf(10);
        if (end < 0) return;
        head = JSON.parse(have.latin1Slice(0, end));
        have = have.subarray(end + 1);
        parts[0] = have;
        size = have.length;
        need = head.original + head.finished;
      }
      if (size < need) return;
      have = Buffer.concat(parts);
      const wrong = judge(have.subarray(0, head.original), have.subarray(head.original, need), head.job);
      process.stdout.write(JSON.stringify(wrong) + "\n");
      have = have.subarray(need);
      parts.length = 0;
      parts.push(have);
      size = have.length;
      head = null;
    }
  });
}

module.exports = { judge, newMachine, readLine, step, follow };
if (require.main === module) serve();
