// The shader and the engine shade by one formula: on test scenes every pixel of
// the face agrees within 2 of 255. Measured in the browser's own WebGL2, with
// the modules that the page is built from.

import assert from "node:assert/strict";
import { createReadStream } from "node:fs";
import { createServer } from "node:http";
import { extname, join, normalize } from "node:path";
import { after } from "node:test";
import { hosted, inBrowsers, open, root } from "../harness.js";

/** Serves the source modules beside the built engine. */
let server = null;
async function sources() {
  const site = await hosted();
  const page = await (await fetch(site)).text();
  const [, worker] = page.match(/data-worker="([^"]+)"/);
  const [, wasm] = page.match(/data-wasm="([^"]+)"/);
  server = createServer(async (incoming, outgoing) => {
    const path = normalize(new URL(incoming.url, site).pathname);
    if (path === "/") {
      outgoing.setHeader("content-type", "text/html");
      outgoing.end(`<!doctype html><meta id="engine" data-worker="${worker}" data-wasm="${wasm}">`);
    } else if (path.startsWith("/engine/")) {
      const answer = await fetch(new URL(path, site));
      outgoing.setHeader("content-type", answer.headers.get("content-type"));
      outgoing.end(Buffer.from(await answer.arrayBuffer()));
    } else {
      outgoing.setHeader("content-type", extname(path) === ".js" ? "text/javascript" : "text/plain");
      createReadStream(join(root, "site", path)).on("error", () => outgoing.writeHead(404).end()).pipe(outgoing);
    }
  });
  await new Promise((done) => server.listen(0, "localhost", done));
  return `http://localhost:${server.address().port}/`;
}
after(() => { server?.closeAllConnections(); server?.close(); });

inBrowsers("shader and engine agree within 2 of 255 on every surface, lamp and side", async ({ session, t }) => {
  const { page } = await open(session, await sources());
  const rows = await page.evaluate(async () => {
    const { Engine } = await import("/js/engine.js");
    const { lightPainter } = await import("/js/ui/light-painter.js");
    const { sceneOf } = await import("/js/state/scene.js");
    const engine = new Engine();
    const schema = await engine.hello();
    const sample = await engine.sample(schema.samples[0].id);
    await engine.openPiece(new File(sample.buffers, sample.name));
    const canvas = document.createElement("canvas");
    const painter = await new Promise((done, fail) => {
      const made = lightPainter(canvas, { ready: () => done(made), lost: () => fail(new Error("no WebGL2")) });
    });
    const rows = [];
    // Straight zones, and a field whose lay turns from place to place.
    for (const generator of ["tumbling-blocks", "wood-grain"]) {
      await engine.lay({ sheenlay: 1, art: { generator } });
      const map = await engine.view({ kind: "lay", maxPx: 300 });
      const lays = new Uint8Array(map.buffers[0]);
      await painter.setMap({ ...map, pixels: lays });
      canvas.width = map.width;
      canvas.height = map.height;
      const gl = canvas.getContext("webgl2");
      for (const below of [false, true]) {
        for (const surface of schema.surfaces) {
          for (const [azimuth, tilt, colour] of [[102, 16, "#3d62b5"], [40, 35, "#f4f0e4"], [0, 0, "#a01830"]]) {
            const scene = sceneOf({ surface: surface.id, colour, azimuth, tilt, below }, schema.surfaces, map.box);
            const view = { x: (map.box[0] + map.box[2]) / 2, y: (map.box[1] + map.box[3]) / 2, scale: 1 / map.mmPerPx, width: map.width, height: map.height, mirrored: below };
            await painter.paintFinely(view, 1, scene);
            const shader = new Uint8Array(4 * map.width * map.height);
            gl.readPixels(0, 0, map.width, map.height, gl.RGBA, gl.UNSIGNED_BYTE, shader);
            const answer = await engine.view({ kind: "lit", maxPx: 300, surface: surface.id, lamp: scene.lampFromMiddle.map((one, axis) => (axis === 0 && below ? -one : one)), eye: scene.eyeFromMiddle, colour: scene.colour, exposure: scene.exposure, below });
            const reference = new Uint8Array(answer.buffers[0]);
            let worst = 0, faces = 0, brightest = 0;
            for (let y = 0; y < map.height; y++) {
              for (let x = 0; x < map.width; x++) {
                const onMap = below ? map.width - 1 - x : x;
                if (lays[4 * (y * map.width + onMap) + 3] < 255) continue;
                faces += 1;
                const at = 4 * ((map.height - 1 - y) * map.width + x); // rows from below in WebGL
                for (let k = 0; k < 3; k++) {
                  const wanted = reference[4 * (y * map.width + x) + k];
                  worst = Math.max(worst, Math.abs(shader[at + k] - wanted));
                  brightest = Math.max(brightest, wanted);
                }
              }
            }
            rows.push({ scene: `${generator}, ${surface.id}, ${below ? "below" : "above"}, lamp ${azimuth}°/${tilt}°, ${colour}`, worst, faces, brightest });
          }
        }
      }
    }
    return rows;
  });
  assert.ok(rows.length >= 2 * 2 * 5 * 3, `${rows.length} scenes`);
  for (const row of rows) {
    assert.ok(row.faces > 30_000 && row.brightest > 20, `${row.scene}: ${row.faces} pixels, brightest ${row.brightest}`);
    assert.ok(row.worst <= 2, `${row.scene}: ${row.worst} of 255`);
  }
  t.diagnostic(`${rows.length} scenes, worst difference ${Math.max(...rows.map((row) => row.worst))} of 255`);
}, { only: ["chrome"] });
