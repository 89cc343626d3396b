// The engine with a limit to its memory, so that it truly runs out of it: the
// memory section of the wasm binary gets a maximum (WebAssembly Core
// Specification 1.0, §5.5.8 memory section, §5.3.4 limits).

const MEMORY_SECTION = 5;

/** Reads an unsigned LEB128 number: [value, the place behind it]. */
function number(bytes, at) {
  let value = 0;
  for (let shift = 0; ; shift += 7) {
    const byte = bytes[at++];
    value += (byte & 0x7f) * 2 ** shift;
    if (byte < 0x80) return [value, at];
  }
}

function written(value) {
  const out = [];
  for (; value >= 0x80; value = Math.floor(value / 0x80)) out.push((value & 0x7f) | 0x80);
  return [...out, value];
}

/** The binary with room for `megabytes` more (MiB) than it begins with. */
export function withLittleMemory(wasm, megabytes) {
  for (let at = 8; at < wasm.length;) {
    const section = wasm[at];
    const [length, inside] = number(wasm, at + 1);
    if (section === MEMORY_SECTION) {
      const [, limits] = number(wasm, inside); // behind the count, which is one
      const [pages] = number(wasm, limits + 1);
      const content = [1, 1, ...written(pages), ...written(pages + megabytes * 16)];
      return Buffer.concat([wasm.subarray(0, at), Buffer.from([section, ...written(content.length), ...content]), wasm.subarray(inside + length)]);
    }
    at = inside + length;
  }
  throw new Error("the binary has no memory section");
}
