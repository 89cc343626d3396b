// Check 25: the hosted page under a general audit of web pages, with its
// setting for a phone on a slow net.

import assert from "node:assert/strict";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";
import { hosted, inBrowsers, launch } from "../harness.js";
import { figures } from "../measuring.js";

// A package of its own, installed by run.sh for the long tests only.
const audits = createRequire(new URL("../audit/package.json", import.meta.url));
const { default: lighthouse } = await import(pathToFileURL(audits.resolve("lighthouse")));

inBrowsers("the audit gives at least 95 of 100 in every category", async ({ name, t }) => {
  const own = await launch(name);
  const record = figures(name, t);
  try {
    const page = await own.browser.newPage();
    // The audit asks for robots.txt out of the page, which the page's policy
    // (connect-src 'none') rightly refuses; that one question is left out.
    const { lhr } = await lighthouse(await hosted(), { output: "json", logLevel: "error", skipAudits: ["robots-txt"] }, undefined, page);
    for (const category of ["performance", "accessibility", "best-practices", "seo"]) {
      const { title, score, auditRefs } = lhr.categories[category];
      await record.take(25, `audit, ${title.toLowerCase()}`, 100 * score, "of 100", { atLeast: 95 });
      const short = auditRefs.map(({ id, weight }) => ({ ...lhr.audits[id], weight })).filter((one) => one.weight > 0 && one.score !== null && one.score < 0.9);
      for (const one of short) t.diagnostic(`${category}: ${one.id} ${one.score} ${one.displayValue ?? ""}`);
    }
    await record.take(25, "largest contentful paint", lhr.audits["largest-contentful-paint"].numericValue / 1000, "s", { atMost: 1.5 });
    await record.take(25, "total blocking time", lhr.audits["total-blocking-time"].numericValue, "ms", { atMost: 200 });
    await record.take(25, "cumulative layout shift", lhr.audits["cumulative-layout-shift"].numericValue, "", { atMost: 0.02 });
    assert.equal(lhr.runtimeError, undefined);
  } finally {
    await own.close();
  }
  record.close();
}, { only: ["chrome"] });
