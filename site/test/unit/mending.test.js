// Every finding that the page leads on from is one that the engine gives, and
// every setting that it leads to is a field of the job.

import assert from "node:assert/strict";
import { readFile, readdir } from "node:fs/promises";
import { test } from "node:test";
import { BOTH_LAYERS, MENDED_BY, mending } from "../../js/state/mending.js";

const engine = new URL("../../../engine/", import.meta.url);

async function sources(folder) {
  const names = (await readdir(folder, { recursive: true })).filter((name) => name.endsWith(".go") && !name.endsWith("_test.go"));
  return (await Promise.all(names.map((name) => readFile(new URL(name, folder), "utf8")))).join("\n");
}

test("codes and settings of the table stand in the engine's own sources", async () => {
  const all = await sources(engine);
  const table = await readFile(new URL("job/table.go", engine), "utf8");
  const machine = await readFile(new URL("machine/fields.go", engine), "utf8");
  for (const [code, path] of Object.entries(MENDED_BY)) {
    assert.ok(all.includes(`"${code}"`), `no finding ${code}`);
    const [section, name] = path.split(".");
    const known = path === BOTH_LAYERS || table.includes(`"${path}"`) || (section === "machine" && machine.includes(`"${name}"`));
    assert.ok(known, `${code} leads to ${path}, which is no field`);
  }
});

test("a finding's own setting comes first, a setting that is no field is left out", () => {
  const fields = [{ path: "bead.widthMM", label: "Line width" }, { path: "art.params", label: "Pattern parameters" }];
  for (const [name, finding, want] of [
    ["nothing known", { code: "layers-raft" }, null],
    ["its own", { code: "bead-too-wide", places: [{ file: "job", element: "bead.widthMM" }] }, { path: "bead.widthMM", words: "Set “line width”" }],
    ["by its code", { code: "tilings-too-many", places: [] }, { path: "art.params", words: "Set “pattern parameters”" }],
    ["its own is none", { code: "generators-param-range", places: [{ file: "job", element: "size" }] }, { path: "art.params", words: "Set “pattern parameters”" }],
    ["a field that this engine has not", { code: "lettering-thin", places: [] }, null],
    ["a way of looking", { code: "footprint-no-piece", places: [] }, { path: BOTH_LAYERS, words: "Look at both layers" }],
  ]) assert.deepEqual(mending(finding, fields), want, name);
});
