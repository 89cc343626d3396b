// The list of checks names tests that are there.

import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { test } from 'node:test';

const site = new URL('../../', import.meta.url);

test('every test that the list of checks names is there, and none of the 25 checks lacks one', async () => {
  const list = await readFile(new URL('docs/browser-checks.md', site), 'utf8');
  const rows = [...list.matchAll(/^\| (\d+) \|.*$/gm)];
  assert.deepEqual(rows.map(([, number]) => Number(number)), Array.from({ length: 25 }, (_, i) => i + 1));
  for (const [row, number] of rows) {
    const named = [...row.matchAll(/`((?:page|long|client|unit)\/[\w-]+)`((?:,? ?“[^”]+”)*)/g)];
    assert.ok(named.length > 0, `check ${number}`);
    for (const [, file, words] of named) {
      const text = await readFile(new URL(`test/${file}.test.js`, site), 'utf8');
      for (const [, phrase] of words.matchAll(/“([^”]+)”/g)) assert.ok(text.includes(phrase), `check ${number}: ${file} has no “${phrase}”`);
    }
  }
});
