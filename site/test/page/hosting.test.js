// What the site sends, what the page may do, and that nothing leaves it.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { test } from "node:test";
import { pathToFileURL } from "node:url";
import { dropPiece, hosted, inBrowsers, listen, openPatterns, openReady, openWithWorker, relaid, root, save, savedCopy, serveChanged, takePattern, tellWorker, testdata, until, withInWorker } from "../harness.js";

test("every kind of file is served with the headers of netlify.toml and its own type", async () => {
  const address = await hosted();
  const page = await (await fetch(address)).text();
  const worker = page.match(/data-worker="([^"]+)"/)[1];
  const wasm = page.match(/data-wasm="([^"]+)"/)[1];
  const script = page.match(/<script type="module" src="([^"]+)"/)[1];
  for (const [path, type, policy, caching] of [
    ["/", "text/html", /^default-src 'none'; script-src 'self'; worker-src 'self'(?!.*wasm).*connect-src 'none'.*frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types app$/, /no-cache/],
    ["/index.html", "text/html", /connect-src 'none'/, /no-cache/],
    ["/sw.js", "text/javascript", /^default-src 'none'; connect-src 'self'/, /no-cache/],
    [worker, "text/javascript", /^default-src 'none'; script-src 'wasm-unsafe-eval'; connect-src 'self'/, /immutable/],
    [wasm, "application/wasm", /wasm-unsafe-eval/, /immutable/],
    [script, "text/javascript", null, /immutable/],
    ["/docs/help.html", "text/html", /trusted-types 'none'/, /no-cache/],
    ["/manifest.webmanifest", "application/manifest+json", null, null],
    ["/icons/mark-192.png", "image/png", null, null],
    ["/icons/mark-512.png", "image/png", null, null],
  ]) {
    const { status, headers } = await fetch(new URL(path, address));
    assert.equal(status, 200, path);
    assert.ok(headers.get("content-type").startsWith(type), `${path} is ${headers.get("content-type")}`);
    if (policy) assert.match(headers.get("content-security-policy"), policy, path);
    if (caching) assert.match(headers.get("cache-control"), caching, path);
    assert.equal(headers.get("x-content-type-options"), "nosniff", path);
    assert.equal(headers.get("referrer-policy"), "no-referrer", path);
    assert.equal(headers.get("cross-origin-opener-policy"), "same-origin", path);
    assert.equal(headers.get("cross-origin-resource-policy"), "same-origin", path);
    assert.match(headers.get("permissions-policy"), /camera=\(\)/, path);
  }
});

inBrowsers("after load a whole job makes no request, and neither fragment nor file name reaches the server", async ({ session }) => {
  const gate = await listen(await hosted());
  try {
    const { page } = await openReady(session, `${gate.address}#secret-fragment`);
    // From here on the parts that are fetched when first used lie in the browser.
    await until(page, () => navigator.serviceWorker.controller !== null);
    const before = gate.log.length;
    await openPatterns(page);
    await relaid(page, () => takePattern(page, 3));
    await dropPiece(page, "private-name.gcode", await testdata("sliced/shelf-tag.gcode"));
    await save(page, session);
    // The browser itself may look for a newer service worker at any time.
    assert.deepEqual(gate.log.slice(before).map(({ url }) => url).filter((url) => url !== "/sw.js"), []);
    for (const { url, headers, method } of gate.log) {
      assert.equal(method, "GET");
      assert.doesNotMatch(url, /secret|private-name/);
      // When it looks for a newer service worker, one browser names the old one.
      if (url !== "/sw.js") assert.equal(headers.referer, undefined, url);
    }
  } finally {
    await gate.stop();
  }
});

const homes = [["hosted page", hosted], ["saved copy", async () => pathToFileURL(savedCopy()).href]];

for (const [what, where] of homes) inBrowsers(`the ${what} cannot send anything anywhere`, async ({ session }) => {
  const foreign = await listen("http://localhost:1/");
  try {
    const { page } = await openReady(session, await where());
    await page.evaluate(async (to) => {
      const tries = [
        () => fetch(`${to}fetch`), () => navigator.sendBeacon(`${to}beacon`, "x"),
        () => new WebSocket(to.replace("http", "ws")), () => new EventSource(`${to}events`),
        () => { const request = new XMLHttpRequest(); request.open("POST", `${to}xhr`); request.send("x"); },
        () => { new Image().src = `${to}image`; },
        () => { const link = document.createElement("link"); link.rel = "stylesheet"; link.href = `${to}style`; document.head.append(link); },
        () => { const link = document.createElement("link"); link.rel = "prefetch"; link.href = `${to}prefetch`; document.head.append(link); },
        () => { const frame = document.createElement("iframe"); frame.src = `${to}frame`; document.body.append(frame); },
        () => { const form = document.createElement("form"); form.method = "post"; form.action = `${to}form`; form.target = "_blank"; document.body.append(form); form.submit(); },
        () => new FontFace("x", `url(${to}font)`).load(), () => import(`${to}module.js`),
      ];
      for (const one of tries) {
        try { await Promise.race([one(), new Promise((done) => setTimeout(done, 100))]); } catch { /* refused, as wanted */ }
      }
    }, foreign.address);
    assert.deepEqual(foreign.log.map(({ url }) => url), []);
  } finally {
    await foreign.stop();
  }
});

// Run inside the worker: each way out, and text made into code.
const outOfTheWorker = `
  const made = [];
  for (const one of [() => eval("made.push(1)"), () => new Function("made", "made.push(1)")(made)]) { try { one(); } catch { /* refused, as wanted */ } }
  for (const one of [
    () => fetch(to + "fetch"), () => importScripts(to + "script"), () => import(to + "module.js"), () => new WebSocket(to.replace("http", "ws")), () => new EventSource(to + "events"),
    () => { const request = new XMLHttpRequest(); request.open("POST", to + "xhr"); request.send("x"); }, () => new Worker(to + "worker"),
    () => new FontFace("x", "url(" + to + "font)").load(),
  ]) {
    try { await Promise.race([one(), new Promise((done) => setTimeout(done, 200))]); } catch { /* refused, as wanted */ }
  }
  postMessage({ told: made.length });
`;

inBrowsers("nor can its worker, hosted or in a saved copy, or make code of text", async ({ session }) => {
  const foreign = await listen("http://localhost:1/");
  const site = await serveChanged((folder) => withInWorker(folder, outOfTheWorker));
  try {
    for (const address of [site.address, pathToFileURL(join(site.folder, "sheenlay.html")).href]) {
      const { page } = await openWithWorker(session, address);
      assert.equal(await tellWorker(page, "send anything", foreign.address), 0, "no code of text");
      assert.deepEqual(foreign.log.map(({ url }) => url), [], address);
    }
  } finally {
    await site.stop();
    await foreign.stop();
  }
});

for (const [what, where] of homes) inBrowsers(`Trusted Types refuse markup, foreign worker addresses and code made of text in the ${what}`, async ({ session }) => {
  const { page } = await openReady(session, await where());
  const outcome = await page.evaluate(() => [
    () => { document.createElement("div").innerHTML = "x"; },
    () => new Worker("x"),
    () => trustedTypes.createPolicy("other", {}),
  ].map((one) => { try { one(); return "allowed"; } catch { return "refused"; } }));
  assert.deepEqual(outcome, ["refused", "refused", "refused"]);
  // A driver's own code may make code of text, what runs in a task of the page may not.
  const later = await page.evaluate(() => new Promise((done) => setTimeout(() => done([
    () => (0, eval)("1"),
    () => new Function("return 1")(),
  ].map((one) => { try { one(); return "allowed"; } catch { return "refused"; } })))));
  assert.deepEqual(later, ["refused", "refused"]);
});

inBrowsers("the page can be installed", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const tools = await page.createCDPSession();
  const { installabilityErrors } = await tools.send("Page.getInstallabilityErrors");
  assert.deepEqual(installabilityErrors.filter(({ errorId }) => errorId !== "in-incognito"), []);
}, { only: ["chrome"] });

inBrowsers("a worker or an engine that does not load is said in a sentence", async ({ session }) => {
  for (const missing of [/worker\.js$/, /engine\.wasm$/]) {
    const gate = await listen(await hosted());
    gate.refuse = missing;
    try {
      const page = await session.browser.newPage();
      await page.goto(gate.address);
      await until(page, () => document.querySelector('.finding[data-level="stop"]'));
      assert.match(await page.$eval('.finding[data-level="stop"]', (one) => one.textContent), /could not be loaded.*(again|anew)/s);
    } finally {
      await gate.stop();
    }
  }
});

test("the published policy of the page is the one in netlify.toml, once for each path", async () => {
  const text = await readFile(`${root}/netlify.toml`, "utf8");
  assert.doesNotMatch(text.match(/for = "\/\*"[\s\S]*?(?=\[\[headers\]\])/)[0], /^\s*Content-Security-Policy/m);
});
