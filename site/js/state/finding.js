// Whatever went wrong, as something that can be said to the person.

/** A finding for an error, a finding-like rejection, or anything else. */
export function asFinding(error) {
  if (error && typeof error.text === 'string') return { level: 'stop', code: 'engine', ...error };
  if (error?.finding) return asFinding(error.finding);
  return {
    code: 'page-unforeseen',
    level: 'stop',
    text: `Something went wrong that was not foreseen: ${error?.message ?? String(error)}`,
    remedy: 'Try again. If it stays, copy the report and open the file anew.',
  };
}
