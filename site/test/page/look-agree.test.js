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
const servers = [];
async function sources() {
  const site = await hosted();
  const page = await (await fetch(site)).text();
  const [, worker] = page.match(/data-worker="([^"]+)"/);
  const [, wasm] = page.match(/data-wasm="([^"]+)"/);
  const server = createServer(async (incoming, outgoing) => {
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
  servers.push(server);
  await new Promise((done) => server.listen(0, "localhost", done));
  return `http://localhost:${server.address().port}/`;
}
after(() => { for (const server of servers) { server.closeAllConnections(); server.close(); } });

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

inBrowsers("a face seen from farther off shows the mean light of what lies under each pixel", async ({ session, t }) => {
  const { page } = await open(session, await sources());
  const worst = await page.evaluate(async () => {
    const { Engine } = await import("/js/engine.js");
    const { lightPainter } = await import("/js/ui/light-painter.js");
    const { sceneOf, linear } = await import("/js/state/scene.js");
    const engine = new Engine();
    const schema = await engine.hello();
    const sample = await engine.sample(schema.samples[0].id);
    await engine.openPiece(new File(sample.buffers, sample.name));
    await engine.lay({ sheenlay: 1, art: { generator: "tumbling-blocks" } });
    const map = await engine.view({ kind: "lay", maxPx: 600 });
    const canvas = document.createElement("canvas");
    const painter = await new Promise((done, fail) => {
      const made = lightPainter(canvas, { ready: () => done(made), lost: () => fail(new Error("no WebGL2")) });
    });
    const lays = new Uint8Array(map.buffers[0]);
    await painter.setMap({ ...map, pixels: lays });
    const scene = sceneOf({ surface: "silk", colour: "#cf6f2c", azimuth: 102, tilt: 16, below: false }, schema.surfaces, map.box);
    const reference = new Uint8Array((await engine.view({ kind: "lit", maxPx: 600, surface: "silk", lamp: scene.lampFromMiddle, eye: scene.eyeFromMiddle, colour: scene.colour, exposure: scene.exposure, below: false })).buffers[0]);
    const light = Array.from({ length: 256 }, (_, value) => linear(`#${value.toString(16).padStart(2, "0").repeat(3)}`)[0]); // IEC 61966-2-1
    const encoded = (one) => 255 * (one <= 0.0031308 ? 12.92 * one : 1.055 * one ** (1 / 2.4) - 0.055);
    const worst = {};
    for (const step of [2, 3]) {
      const [width, height] = [map.width, map.height].map((side) => Math.floor(side / step));
      const [x0, , , y1] = map.box;
      await painter.paintFinely({ x: x0 + (width * step * map.mmPerPx) / 2, y: y1 - (height * step * map.mmPerPx) / 2, scale: 1 / (step * map.mmPerPx), width, height, mirrored: false }, 1, scene);
      const shown = new Uint8Array(4 * width * height);
      canvas.getContext("webgl2").readPixels(0, 0, width, height, WebGL2RenderingContext.RGBA, WebGL2RenderingContext.UNSIGNED_BYTE, shown);
      worst[step] = 0;
      let compared = 0;
      for (let y = 0; y < height; y++) {
        for (let x = 0; x < width; x++) {
          const under = Array.from({ length: step * step }, (_, i) => 4 * ((y * step + Math.floor(i / step)) * map.width + x * step + (i % step)));
          if (under.some((at) => lays[at + 3] < 255 || lays[at + 2] === 0)) continue; // the rim, and gaps, where the bench shows through
          compared += 1;
          for (let k = 0; k < 3; k++) {
            const mean = under.reduce((sum, at) => sum + light[reference[at + k]], 0) / under.length;
            worst[step] = Math.max(worst[step], Math.abs(encoded(mean) - shown[4 * ((height - 1 - y) * width + x) + k]));
          }
        }
      }
      if (compared < 10_000) throw new Error(`only ${compared} pixels were compared`);
    }
    return worst;
  });
  for (const [step, off] of Object.entries(worst)) assert.ok(off <= 3, `${step} texels to a pixel: ${off.toFixed(1)} of 255`);
  t.diagnostic(`worst difference ${Object.values(worst).map((off) => off.toFixed(1)).join(" and ")} of 255`);
}, { only: ["chrome"] });
