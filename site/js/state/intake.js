// What came in by drop, paste or picker, judged by name, size and first
// bytes. The answer is a kind of content, or a sentence for the person.

/** Bytes looked at to tell what a file is. */
export const HEAD_BYTES = 4096;

/**
 * Judges a batch of items {name, size, isFolder}: {take: index} or
 * {sentence}. One file at a time: the job has one piece.
 */
export function chooseOne(items) {
  if (items.length === 0) return { sentence: 'Nothing that could be read came with that. Drop a sliced file, an SVG drawing, a picture or a job file.' };
  if (items.some((item) => item.isFolder)) {
    return { sentence: 'That is a folder. Open it and drop the one sliced file that you want to work on.' };
  }
  if (items.length > 1) {
    return { sentence: `Those are ${items.length} files. Drop one at a time; “Next file, same job” takes the others through the same settings.` };
  }
  if (items[0].size === 0) return { sentence: `“${items[0].name}” is empty (0 bytes). Slice or export it again.` };
  return { take: 0 };
}

/**
 * What a file is: "piece", "drawing", "picture", "job", or {sentence}.
 * `head` holds its first bytes.
 */
export function kindOf(name, head) {
  const end = /\.([a-z0-9]+)$/i.exec(name)?.[1].toLowerCase() ?? '';
  if (startsWith(head, [0x89, 0x50, 0x4e, 0x47]) || startsWith(head, [0xff, 0xd8, 0xff]) || isWebp(head)) return 'picture';
  if (startsWith(head, [0x1f, 0x8b])) return 'piece';
  if (startsWith(head, [0x50, 0x4b, 0x03, 0x04])) {
    return { sentence: `“${name}” is a packed archive. Unpack it and drop the sliced file from inside.` };
  }
  if (startsWith(head, [0x25, 0x50, 0x44, 0x46])) {
    return { sentence: `“${name}” is a PDF. Export the drawing as SVG instead.` };
  }
  if (end === 'stl' || end === 'obj' || end === '3mf' || end === 'step' || end === 'stp') {
    return { sentence: `“${name}” is a model. Slice it first, then drop the sliced file here.` };
  }
  const text = new TextDecoder().decode(head).replace(/^\uFEFF/, '').trimStart();
  if (text.startsWith('{')) return text.includes('"sheenlay"') || end === 'json' ? 'job' : { sentence: `“${name}” is data that is not a job file of this page.` };
  if (/^<(\?xml|!doctype|!--|svg)/i.test(text) && (/<svg[\s>]/i.test(text) || end === 'svg')) return 'drawing';
  if (text.startsWith('<')) return { sentence: `“${name}” is markup but not an SVG drawing.` };
  if (looksLikeCode(text) || ['gcode', 'gco', 'g', 'nc', 'ngc', 'gc'].includes(end)) return 'piece';
  return { sentence: `“${name}” is not a sliced file, an SVG drawing, a PNG or JPEG picture or a job file.` };
}

/** The kind of pasted text; "link" for a preset link. */
export function kindOfText(text) {
  const trimmed = text.trim();
  if (trimmed === '') return { sentence: 'The clipboard holds no text and no file.' };
  if (/^(https?:|file:|#|\d+\.[\w-]{8})/i.test(trimmed) && !/\s/.test(trimmed)) return 'link';
  return kindOf('the pasted text', new TextEncoder().encode(trimmed.slice(0, HEAD_BYTES)));
}

function looksLikeCode(text) {
  return text.split(/\r?\n/).some((line) => /^\s*(N\d+\s*)?[GMT]\d+/i.test(line));
}

function startsWith(head, bytes) {
  return bytes.every((byte, index) => head[index] === byte);
}

function isWebp(head) {
  return startsWith(head, [0x52, 0x49, 0x46, 0x46]) && head[8] === 0x57 && head[9] === 0x45;
}
