// Writes what the long tests measured as a page of the docs: node figures.js FILE

import { readFile } from "node:fs/promises";
import { cpus, loadavg, totalmem } from "node:os";

const rows = (await readFile(process.argv[2], "utf8")).trim().split("\n").filter(Boolean).map((line) => JSON.parse(line));
const names = { chrome: "Chromium", firefox: "Firefox" };
const shown = (value) => (Math.abs(value) >= 100 ? value.toFixed(0) : value.toFixed(2));
const wanted = ({ atMost, atLeast, unit }) => (atMost !== undefined ? `at most ${atMost} ${unit}` : atLeast !== undefined ? `at least ${atLeast} ${unit}` : "").trim();
const kept = ({ value, atMost, atLeast, judged }) => (atMost === undefined && atLeast === undefined ? "" : !judged ? "not judged" : value > atMost || value < atLeast ? "**no**" : "yes");

const lines = rows.sort((a, b) => a.check - b.check).map((row) => `| ${row.check} | ${row.what} | ${names[row.browser]} | ${shown(row.value)} ${row.unit} | ${wanted(row)} | ${kept(row)} |`);
const [core] = cpus();
console.log(`# Figures of the page in browsers

Written by \`make test-long\` on ${new Date().toISOString().slice(0, 10)}: ${cpus().length} processors (${core.model.trim()}), ${Math.round(totalmem() / 1e9)} GB, browsers headless and without a graphics card. Mean load of the machine while it was measured: ${loadavg()[2].toFixed(1)}, with that of the browsers themselves. A time over its limit is not judged where other work kept one process from 80 % of a processor. The number in front is that of the check in [which test shows which check](browser-checks.md).

| check | figure | browser | measured | wanted | kept |
|---|---|---|---:|---|---|
${lines.join("\n")}`);
