// Figures of a browser as a whole: memory and processor time over all its
// processes, as Linux counts them; and the record that the long tests leave.

import assert from "node:assert/strict";
import { appendFile, readFile, readdir } from "node:fs/promises";

/** Ticks of processor time per second, as /proc counts them on Linux. */
const TICKS = 100;

/** The process of a browser and all that come from it. */
async function processesOf({ browser }) {
  const children = new Map();
  for (const pid of (await readdir("/proc")).filter((name) => /^\d+$/.test(name))) {
    const text = await readFile(`/proc/${pid}/stat`, "utf8").catch(() => "");
    const parent = text.slice(text.lastIndexOf(")") + 2).split(" ")[1];
    if (parent) children.set(parent, [...(children.get(parent) ?? []), pid]);
  }
  const found = [String(browser.process().pid)];
  for (let i = 0; i < found.length; i++) found.push(...(children.get(found[i]) ?? []));
  return found;
}

/** Proportional set size of all processes, MB (1e6 bytes). */
export async function memoryOf(session) {
  let kilobytes = 0;
  for (const pid of await processesOf(session)) {
    const text = await readFile(`/proc/${pid}/smaps_rollup`, "utf8").catch(() => "");
    kilobytes += Number(text.match(/^Pss:\s+(\d+) kB/m)?.[1] ?? 0);
  }
  return kilobytes * 1024 / 1e6;
}

/** Processor time that all processes have used, s. */
export async function processorTimeOf(session) {
  let ticks = 0;
  for (const pid of await processesOf(session)) {
    const text = await readFile(`/proc/${pid}/stat`, "utf8").catch(() => "");
    const fields = text.slice(text.lastIndexOf(")") + 2).split(" ");
    ticks += Number(fields[11] ?? 0) + Number(fields[12] ?? 0);
  }
  return ticks / TICKS;
}

/** Watches the memory until stop(), which answers the most that was seen, MB. */
export function watchMemory(session) {
  let most = 0;
  let going = true;
  const watching = (async () => {
    while (going) {
      most = Math.max(most, await memoryOf(session));
      await new Promise((wake) => setTimeout(wake, 150));
    }
  })();
  return {
    async stop() {
      going = false;
      await watching;
      return most;
    },
  };
}

/** Share of a processor below which others leave too little of the machine to judge times. */
const ENOUGH_OF_A_PROCESSOR = 0.8;

/** The share of a processor that one busy process is given now. */
function shareOfProcessor() {
  const before = process.cpuUsage();
  const from = performance.now();
  while (performance.now() - from < 200);
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1000 / (performance.now() - from);
}

/**
 * A record of one test's figures. take() writes a figure down at once; close()
 * fails when one is over its limit. `atLeast` limits are kept from below. A
 * time over its limit is written down as not judged, and fails nothing, where
 * other work keeps the machine busy; what is no time, such as a ratio, is judged
 * always.
 */
export function figures(browser, t) {
  const over = [];
  const busyAtFirst = shareOfProcessor() < ENOUGH_OF_A_PROCESSOR;
  const isBusy = () => busyAtFirst || shareOfProcessor() < ENOUGH_OF_A_PROCESSOR;
  return {
    async take(check, what, value, unit, { atMost, atLeast } = {}) {
      const good = !(value > atMost) && !(value < atLeast);
      const judged = good || !(unit === "s" || unit === "ms") || !isBusy();
      const limit = atMost !== undefined ? `at most ${atMost}` : atLeast !== undefined ? `at least ${atLeast}` : "";
      if (!good && judged) over.push(`${what}: ${value.toFixed(3)} ${unit}, wanted ${limit}`);
      t.diagnostic(`${what}: ${value.toFixed(3)} ${unit}${limit && `, wanted ${limit}`}${judged ? "" : ": not judged, the machine is busy"}`);
      const file = process.env.SHEENLAY_FIGURES;
      if (file) await appendFile(file, `${JSON.stringify({ check, what, browser, value, unit, atMost, atLeast, judged })}\n`);
    },
    close() { assert.deepEqual(over, []); },
  };
}
