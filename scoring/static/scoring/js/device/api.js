// Calls to the club about one match, or one practice session.

const PATIENCE = 15000; // ms

/** The club did not answer. */
export class Unreachable extends Error {}

export class ClubApi {
  /**
   * `path` below `apiUrl` is what the calls are about. `csrf` is the token of a session's forms,
   * or a function that returns it; `token` that of a table link. While `pen` holds the token of a
   * pen, calls are made with that alone.
   */
  constructor({ apiUrl, matchId, path = `matches/${matchId}/`, csrf = cookieToken, token = null, fetch = globalThis.fetch }) {
    this.base = apiUrl + path;
    this.csrf = typeof csrf === "function" ? csrf : () => csrf;
    this.token = token;
    this.pen = null;
    this.fetch = fetch.bind(globalThis);
  }

  /** Return {status, data, headers}; throws Unreachable where no answer comes. */
  async call(method, path, { body, headers = {} } = {}) {
    const bearer = this.pen ?? this.token;
    const stop = new AbortController();
    const timer = setTimeout(() => stop.abort(), PATIENCE);
    try {
      const response = await this.fetch(path.includes("://") ? path : this.base + path, {
        method,
        body: body === undefined ? undefined : JSON.stringify(body),
        // A session beside a token would be asked first, and would hide the pen.
        credentials: bearer ? "omit" : "same-origin",
        cache: "no-store",
        redirect: "error",
        signal: stop.signal,
        headers: {
          Accept: "application/json",
          ...(body === undefined ? {} : { "Content-Type": "application/json" }),
          ...(bearer ? { Authorization: `Bearer ${bearer}` } : {}),
          ...(bearer || method === "GET" ? {} : { "X-CSRFToken": this.csrf() }),
          ...headers,
        },
      });
      return { status: response.status, headers: response.headers, data: await readJson(response) };
    } catch (problem) {
      throw new Unreachable(String(problem));
    } finally {
      clearTimeout(timer);
    }
  }
}

async function readJson(response) {
  const text = await response.text();
  try {
    return text === "" ? null : JSON.parse(text);
  } catch (problem) {
    if (response.ok) {
      throw problem; // an access point's own page, not the club
    }
    return null;
  }
}

function cookieToken() {
  return /(?:^|; )csrftoken=([^;]*)/.exec(globalThis.document?.cookie ?? "")?.[1] ?? "";
}
