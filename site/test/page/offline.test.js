// Working without a net, and updates that never break open work.

import assert from "node:assert/strict";
import { cp, mkdtemp, readFile, readdir, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { choose, downloaded, hosted, inBrowsers, linkOf, listen, openPatterns, openReady, press, ready, relaid, root, savedCopy, serve, takePattern, until } from "../harness.js";

const source = process.env.SHEENLAY_DIST ?? join(root, "dist");

inBrowsers("after one visit the page works with the server down, and said once that it would; links and the copy to keep work too", async ({ session }) => {
  const gate = await listen(await hosted());
  const { page } = await openReady(session, gate.address);
  await until(page, () => /Ready to work offline/.test(document.getElementById("toast").textContent));
  await until(page, () => navigator.serviceWorker.controller !== null);
  await openPatterns(page);
  await relaid(page, () => takePattern(page, 7));
  const wanted = await page.$eval('.clause[data-section="art"]', (one) => one.textContent);
  const link = await linkOf(page);
  await until(page, () => /"generator"/.test(localStorage.getItem("sheenlay.1.job"))); // kept, so that nothing is written after this
  await page.evaluate(() => localStorage.removeItem("sheenlay.1.job"));
  await page.close();
  await gate.stop();

  const { page: again } = await openReady(session, link, { fresh: false });
  await until(again, () => /Take it over/.test(document.querySelector("dialog")?.textContent));
  await relaid(again, () => press(again, "Take it over", "dialog"));
  assert.equal(await again.$eval('.clause[data-section="art"]', (one) => one.textContent), wanted);
  assert.doesNotMatch(await again.$eval("#toast", (one) => one.textContent), /Ready to work offline/, "it is said once");
  await again.click('.clause[data-section="machine"]');
  await until(again, () => document.querySelector(".card"));
  await choose(again, "Keep a copy");
  const copy = await downloaded(session);
  assert.ok(copy.bytes.equals(await readFile(savedCopy())), "without a net the copy is the one of this version");
});

/** The same site with another page script: a newer version. */
async function newer() {
  const folder = await mkdtemp(join(tmpdir(), "sheenlay-newer-"));
  await cp(source, folder, { recursive: true });
  const [hash] = await readdir(join(folder, "v"));
  const next = "0123456789ab";
  await cp(join(folder, "v", hash), join(folder, "v", next), { recursive: true });
  await rm(join(folder, "v", hash), { recursive: true });
  for (const name of ["index.html", "sw.js"]) {
    const text = (await readFile(join(folder, name), "utf8")).replaceAll(hash, next).replace(/"sheenlay-[0-9a-f]+"/, '"sheenlay-newer"');
    await writeFile(join(folder, name), text);
  }
  return { folder, next };
}

inBrowsers("an update is offered, not forced: open work stays, parts not fetched yet still come, then the newer version is used", async ({ session }) => {
  const gate = await listen(await hosted());
  const { folder, next } = await newer();
  const server = await serve(folder);
  try {
    const { page } = await openReady(session, gate.address);
    await page.evaluate(() => navigator.serviceWorker.ready);
    await until(page, () => navigator.serviceWorker.controller !== null);
    await openPatterns(page);
    await relaid(page, () => takePattern(page, 4));
    const work = await page.$eval('.clause[data-section="art"]', (one) => one.textContent);
    await until(page, () => JSON.parse(localStorage.getItem("sheenlay.1.job"))?.job.art?.generator);
    await page.evaluate(() => { globalThis.openWork = true; });
    gate.upstream = server.address;
    await page.evaluate(async () => { await (await navigator.serviceWorker.getRegistration()).update(); });
    await until(page, () => /newer version/.test(document.getElementById("toast").textContent));
    assert.equal(await page.evaluate(() => globalThis.openWork), true, "no reload by itself");
    await page.click('.clause[data-section="bead"]');
    await until(page, () => document.querySelector('.card[data-section="bead"]'));
    await press(page, "Use it", "#toast");
    await until(page, (next) => document.getElementById("engine")?.dataset.version === next, next);
    await ready(page);
    assert.equal(await page.$eval('.clause[data-section="art"]', (one) => one.textContent), work, "the job is there in the newer version");
    const loaded = await page.evaluate(() => [...document.querySelectorAll('script[src], link[rel="stylesheet"]')].map((one) => one.src ?? one.href));
    for (const address of loaded) assert.ok(address.includes(`/v/${next}/`), `${address} is of the newer version`);
  } finally {
    server.stop();
    await gate.stop();
    await rm(folder, { recursive: true, force: true });
  }
});
