// When what waits on this device is brought to the club: one call at a time, at once where
// something was written, again after a silence, later each time.

import { Unreachable } from "./api.js";

const FIRST_PAUSE = 1000; // ms
const LONGEST_PAUSE = 30000;
const OFFLINE_AFTER = 60000; // what reaches the club later than this was entered offline

/** Extended by those who know what to send: they give `round(ask)`. */
export class Carrier {
  #timer = null;
  #busy = null;
  #again = false;
  #askAgain = false;
  #failures = 0;
  #closed = false;
  #notBefore = 0;

  /** `poll`: ms between two looks at the club, 0 for never; `noted` is called after each. */
  constructor({ poll, noted }) {
    this.poll = poll;
    this.noted = noted;
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

  get closed() {
    return this.#closed;
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
        await this.round(reads);
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
      this.noted();
    }
  }

  /** Let another round follow the one under way. */
  goOn() {
    this.#again = true;
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

  /** Note why nothing goes through, and when to try again. */
  stopped(status, headers) {
    if (status === 429) {
      this.trouble = "slow-down";
      this.#notBefore = Date.now() + 1000 * (Number(headers.get("Retry-After")) || 30);
    } else if (status === 401) {
      this.trouble = this.api.token === null ? "signed-out" : "link-ended";
    } else if (status === 403 || status === 404) {
      this.trouble = "no-right";
    } else {
      this.trouble = "offline"; // the club is there, but does not answer as it should
    }
    throw new Unreachable(`answered ${status}`);
  }
}

/** Return a record of the device's log as the club takes it. */
export function sent(record, fields = {}) {
  const late = Date.now() - Date.parse(record.device_time) > OFFLINE_AFTER;
  return {
    uuid: record.uuid,
    ...fields,
    ...record.fields,
    device_time: record.device_time,
    offline: record.offline || late,
  };
}
