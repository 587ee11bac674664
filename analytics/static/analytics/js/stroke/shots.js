// The call to the club: one stroke played, or why it was not.

const PATIENCE = 20000; // [ms]

/**
 * Ask the club to play a stroke. Answers {shot}, or {refused: [[field, sentence]]} for what is to
 * be mended, {busy: seconds} after too many calls, {silent: true}, {failed: status}.
 */
export async function played(address, asked, csrf) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PATIENCE);
  try {
    const response = await fetch(address, {
      method: 'POST',
      body: JSON.stringify(asked),
      credentials: 'same-origin',
      signal: stop.signal,
      headers: { Accept: 'application/json', 'Content-Type': 'application/json', 'X-CSRFToken': csrf },
    });
    const data = await response.json().catch(() => null);
    if (response.ok && data) return { shot: data };
    if (response.status === 400 && data) return { refused: listed(data) };
    if (response.status === 429) return { busy: Number(response.headers.get('Retry-After')) || 60 };
    return { failed: response.status };
  } catch {
    return { silent: true };
  } finally {
    clearTimeout(timer);
  }
}

// {"layout.red": ["..."], "strike": {"speed": ["..."]}} as pairs of a dotted name and a sentence.
function listed(data, before = '') {
  if (typeof data === 'string') return [[before, data]];
  if (Array.isArray(data)) return data.flatMap((one) => listed(one, before));
  return Object.entries(data).flatMap(([name, one]) => listed(one, before ? `${before}.${name}` : name));
}
