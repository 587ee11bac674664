// The link of a table, on a device without an account: where its token is kept.

const NAME = "ledger.table-link";
// Where the browser keeps nothing, the page at least goes on until it is closed.
let here = null;

/** Return the token of this device's link, or null. */
export function linkToken() {
  try {
    return globalThis.localStorage.getItem(NAME) ?? here;
  } catch {
    return here;
  }
}

/** Keep a token; null forgets it. */
export function keepLink(token) {
  here = token;
  try {
    if (token === null) {
      globalThis.localStorage.removeItem(NAME);
    } else {
      globalThis.localStorage.setItem(NAME, token);
    }
  } catch {
    // The table is asked for again next time.
  }
}

/** Return the headers of a call that is made with the link, or null without one. */
export function linkHeaders() {
  const token = linkToken();
  return token === null ? null : { Authorization: `Bearer ${token}` };
}
