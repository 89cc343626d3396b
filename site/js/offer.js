// Handing a file to the person. The address of its bytes is given back late,
// because no browser tells when a download has ended.

const REVOKE_MS = 60_000;
let last = null;

/** Offers `blob` as a download called `name`. */
export function offer(document, blob, name) {
  if (last) URL.revokeObjectURL(last);
  const url = URL.createObjectURL(blob);
  last = url;
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => {
    URL.revokeObjectURL(url);
    if (last === url) last = null;
  }, REVOKE_MS);
}
