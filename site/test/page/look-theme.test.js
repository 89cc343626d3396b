// Drawn lines have the inks of the theme: another theme inks them anew at once,
// without anything else being done.

import { hosted, inBrowsers, open, openReady, ready, until } from "../harness.js";
import { look } from "../bench-steps.js";

const BEAD = { light: [78, 92, 176], dark: [112, 126, 214] };

/** Waits until most of what is drawn has the ink of a theme's bead. */
const inked = (page, theme) => until(page, (near, far) => {
  const canvas = document.querySelectorAll("#bench canvas")[1];
  const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
  const counted = [near, far].map((rgb) => {
    let found = 0;
    for (let at = 0; at < data.length; at += 4) if (data[at + 3] > 200 && rgb.every((one, k) => Math.abs(data[at + k] - one) < 12)) found += 1;
    return found;
  });
  return counted[0] > 5000 && counted[0] > 5 * counted[1];
}, BEAD[theme], BEAD[theme === "light" ? "dark" : "light"]);

inBrowsers("another theme inks the drawn lines at once", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const take = (value) => page.emulateMediaFeatures([{ name: "prefers-color-scheme", value }]);
  await take("light");
  await look(page, "lines");
  await inked(page, "light");
  await take("dark");
  await inked(page, "dark");
  await take("light");
  await inked(page, "light");
}, { only: ["chrome"] });

// The other browser's driver cannot change the theme of an open page; its page
// is told of another theme by a stand-in for the query.
inBrowsers("told of another theme, the page inks the drawn lines at once", async ({ session }) => {
  const { page } = await open(session, "about:blank");
  await page.evaluateOnNewDocument(() => {
    const query = Object.assign(new EventTarget(), { matches: false });
    const real = globalThis.matchMedia.bind(globalThis);
    globalThis.matchMedia = (words) => (words.includes("prefers-color-scheme: dark") ? query : real(words));
    globalThis.takeDark = (matches) => {
      query.matches = matches;
      query.dispatchEvent(new Event("change"));
    };
  });
  await page.goto(await hosted(), { waitUntil: "load" });
  await ready(page);
  await look(page, "lines");
  await inked(page, "light");
  await page.evaluate(() => globalThis.takeDark(true));
  await inked(page, "dark");
}, { only: ["firefox"] });
