// Brings what waits on this device to the club, in order and exactly once, and reads what
// others wrote.

import { Carrier, sent } from "./carrier.js";

const MOST_AT_ONCE = 500;

export class Sender extends Carrier {
  #tag = null;

  /**
   * `desk` is asked for and told of everything that touches the match:
   * `toSend()`, `adopted(entries)`, `accepted(results)`, `notAccepted(results)`, `replaced(entries)`,
   * `agrees(state)`, `noted()`.
   */
  constructor({ desk, log, api, pen, poll, reading }) {
    super({ poll, noted: () => desk.noted() });
    Object.assign(this, { desk, log, api, pen, reading });
  }

  async round(ask) {
    // A few times: what others wrote meanwhile is read in between, and may be followed by more.
    for (let tries = 0; tries < 5 && !this.reading && (await this.#send()); tries += 1);
    if (ask && !this.closed) {
      await this.#read();
      // What the club lost waits again, and a pen that was given back lets more through.
      if (this.log.waiting.length > 0) {
        this.goOn();
      }
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
    const body = records.map((record) => sent(record, { after, kind: record.kind }));
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
      this.stopped(status, headers);
    }
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
      this.stopped(answer.status, answer.headers);
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
        this.stopped(status, headers);
      }
      const page = Array.isArray(data) ? data : data.results;
      entries.push(...page);
      more = !Array.isArray(data) && data.next !== null && page.length > 0;
      seq = page.at(-1)?.seq ?? seq;
    }
    return entries;
  }
}
