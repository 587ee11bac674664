// Brings what waits on this device to the club, in order and exactly once, and reads what
// others wrote. One call at a time; after a silence it tries again, later each time.

import { Unreachable } from "./api.js";

const MOST_AT_ONCE = 500;
const FIRST_PAUSE = 1000; // ms
const LONGEST_PAUSE = 30000;
const OFFLINE_AFTER = 60000; // what reaches the club later than this was entered offline

export class Sender {
  #timer = null;
  #busy = null;
  #again = false;
  #askAgain = false;
  #failures = 0;
  #closed = false;
  #tag = null;
  #notBefore = 0;

  /**
   * `desk` is asked for and told of everything that touches the match:
   * `toSend()`, `adopted(entries)`, `accepted(results)`, `notAccepted(results)`, `replaced(entries)`,
   * `agrees(state)`, `noted()`.
   */
  constructor({ desk, log, api, pen, poll, reading }) {
    Object.assign(this, { desk, log, api, pen, poll, reading });
    /** null, or the code of what stands between this device and the club. */
    this.trouble = null;
    this.onLine = () => this.look();
    this.onShown = () => {
      if (globalThis.document.visibilityState === "visible") {
        this.look();
      }
    };
    globalThis.addEventListener?.("online", this.onLine);
    globalThis.document?.addEventListener("visibilitychange", this.onShown);
  }

  close() {
    this.#closed = true;
    clearTimeout(this.#timer);
    globalThis.removeEventListener?.("online", this.onLine);
    globalThis.document?.removeEventListener("visibilitychange", this.onShown);
  }

  /** True where the club was not reached last time, or the device says it has no network. */
  get offline() {
    return this.trouble === "offline" || globalThis.navigator?.onLine === false;
  }

  /** Send what waits. */
  kick() {
    return this.#run(false);
  }

  /** Send what waits, and ask the club what is new. */
  look() {
    return this.#run(true);
  }

  /** Do `work` while nothing is being sent or read; what comes meanwhile waits for it. */
  async alone(work) {
    while (this.#busy !== null) {
      await this.#busy;
    }
    this.#busy = work();
    try {
      return await this.#busy;
    } finally {
      this.#busy = null;
      this.#schedule();
      if (this.#again) {
        this.look();
      }
    }
  }

  async #run(ask) {
    if (this.#closed) {
      return;
    }
    if (this.#busy !== null) {
      this.#again = true;
      this.#askAgain ||= ask;
      await this.#busy;
      return;
    }
    if (Date.now() < this.#notBefore) {
      return;
    }
    clearTimeout(this.#timer);
    this.#busy = this.#rounds(ask);
    await this.#busy;
  }

  async #rounds(ask) {
    try {
      let reads = ask;
      do {
        this.#again = false;
        this.#askAgain = false;
        await this.#round(reads);
        reads = this.#askAgain;
      } while (this.#again && !this.#closed);
      this.#failures = 0;
    } catch (problem) {
      if (!(problem instanceof Unreachable)) {
        globalThis.reportError?.(problem);
      }
      this.#failed();
    } finally {
      this.#busy = null;
      this.#schedule();
      this.desk.noted();
    }
  }

  async #round(ask) {
    // A few times: what others wrote meanwhile is read in between, and may be followed by more.
    for (let tries = 0; tries < 5 && !this.reading && (await this.#send()); tries += 1);
    if (ask && !this.#closed) {
      await this.#read();
      // What the club lost waits again, and a pen that was given back lets more through.
      this.#again ||= this.log.waiting.length > 0;
    }
  }

  #failed() {
    this.#failures += 1;
    if (this.trouble === null) {
      this.trouble = "offline";
    }
  }

  #schedule() {
    clearTimeout(this.#timer);
    if (this.#closed) {
      return;
    }
    const visible = globalThis.document?.visibilityState !== "hidden";
    let pause = this.poll > 0 && visible ? this.poll : null;
    if (this.#failures > 0) {
      const longer = Math.min(LONGEST_PAUSE, FIRST_PAUSE * 2 ** (this.#failures - 1));
      // Spread, so that all tables of a hall do not come back at the same moment.
      pause = longer * (0.75 + Math.random() / 2);
    }
    pause = Math.max(pause ?? 0, this.#notBefore - Date.now()) || null;
    if (pause !== null) {
      this.#timer = setTimeout(() => this.look(), pause);
    }
  }

  // Sending

  /** Send what may be sent; returns false where nothing may. */
  async #send() {
    const records = (await this.desk.toSend()).slice(0, MOST_AT_ONCE);
    if (records.length === 0) {
      return false;
    }
    const after = this.log.seq;
    const body = records.map((record) => sent(record, after));
    const { status, data, headers } = await this.api.call("POST", "entries/", { body });
    if (status !== 200 || !Array.isArray(data?.results)) {
      await this.#notTaken(status, data, headers, records);
      return true;
    }
    this.trouble = null;
    const taken = data.results.filter((one) => one.status !== "refused");
    const first = data.results.find((one) => one.status === "refused");
    if (await this.desk.accepted(taken)) {
      await this.#fetchOn();
    }
    if (first !== undefined) {
      await this.#refused(first, data);
    } else if (this.log.waiting.length === 0 && !this.desk.agrees(data.state)) {
      await this.#fetchAll();
    }
    return true;
  }

  async #refused(first, data) {
    if (first.code === "pen-elsewhere") {
      await this.pen.lose(true);
    } else if (first.code === "stale") {
      const before = this.log.seq;
      if (data.state.seq < before) {
        await this.#fetchAll();
      } else {
        await this.#fetchOn();
      }
    } else {
      const results = data.results.filter((one) => one.status === "refused");
      await this.desk.notAccepted(results);
    }
  }

  async #notTaken(status, data, headers, records) {
    if (status === 401 && this.pen.mine) {
      await this.pen.lose(false); // it lapsed; the log-in may still do
    } else if (status === 409 && data?.code === "pen-elsewhere") {
      await this.pen.lose(true);
    } else if (status === 400 || status === 413) {
      const reason = data?.detail ?? JSON.stringify(data);
      await this.desk.notAccepted(
        records.map(({ uuid }, at) => ({ uuid, code: at === 0 ? "malformed" : "follows-refused", reason })),
      );
    } else {
      this.#stopped(status, headers);
    }
  }

  /** Note why nothing goes through, and when to try again. */
  #stopped(status, headers) {
    if (status === 429) {
      this.trouble = "slow-down";
      this.#notBefore = Date.now() + 1000 * (Number(headers.get("Retry-After")) || 30);
    } else if (status === 401) {
      this.trouble = "signed-out";
    } else if (status === 403 || status === 404) {
      this.trouble = "no-right";
    } else {
      this.trouble = "offline"; // the club is there, but does not answer as it should
    }
    throw new Unreachable(`answered ${status}`);
  }

  // Reading

  async #read() {
    const headers = this.#tag === null ? {} : { "If-None-Match": this.#tag };
    const answer = await this.api.call("GET", "", { headers });
    if (answer.status === 304) {
      await this.#reached();
      return;
    }
    if (answer.status === 401 && this.pen.mine) {
      await this.pen.lose(false);
      return;
    }
    if (answer.status !== 200) {
      this.#stopped(answer.status, answer.headers);
    }
    await this.#reached();
    const { seq } = answer.data;
    if (seq > this.log.seq) {
      await this.#fetchOn();
    } else if (seq < this.log.seq || !this.desk.agrees(answer.data)) {
      await this.#fetchAll();
    }
    // Only now is this device as far as the tag says.
    this.#tag = answer.headers.get("ETag");
  }

  async #reached() {
    this.trouble = null;
    if (this.pen.elsewhere && !this.reading) {
      // It may have been given back: then whoever has the right writes again.
      await this.pen.look();
    }
  }

  async #fetchOn() {
    await this.desk.adopted(await this.#entries(this.log.seq));
  }

  async #fetchAll() {
    await this.desk.replaced(await this.#entries(0));
  }

  async #entries(after) {
    const entries = [];
    let seq = after;
    let more = true;
    while (more) {
      const { status, data, headers } = await this.api.call("GET", `entries/?after=${seq}`);
      if (status !== 200) {
        this.#stopped(status, headers);
      }
      const page = Array.isArray(data) ? data : data.results;
      entries.push(...page);
      more = !Array.isArray(data) && data.next !== null && page.length > 0;
      seq = page.at(-1)?.seq ?? seq;
    }
    return entries;
  }
}

function sent(record, after) {
  const late = Date.now() - Date.parse(record.device_time) > OFFLINE_AFTER;
  return {
    uuid: record.uuid,
    after,
    kind: record.kind,
    ...record.fields,
    device_time: record.device_time,
    offline: record.offline || late,
  };
}
