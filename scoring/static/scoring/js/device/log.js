// The device's own log of one match: every entry lies here before any network is asked.
//
// A record of `own`: {n, uuid, kind, fields, device_time, offline, status, seq, code, reason}.
// status: `waiting` to be sent, `stored` by the club, `refused` (by the club or by what came
// from it), `dropped` (given up by a person; kept, because nothing that was written vanishes).

import { openStore } from "./stores.js";

export class DeviceLog {
  #store;
  #last = Promise.resolve();
  #channel = null;

  constructor(store, kept) {
    this.#store = store;
    /** False where the device could not keep something: leave the page open then. */
    this.keeps = store.lasting;
    this.#take(kept);
  }

  /** Open the log of a match; `changed` is called after another page of this device wrote. */
  static async open(match, { kinds, changed = () => {} } = {}) {
    const store = await openStore(match, kinds);
    let kept = { own: [], ledger: [], meta: {} };
    try {
      kept = await store.load();
    } catch {
      store.lasting = false;
    }
    const log = new DeviceLog(store, kept);
    log.#listen(match, changed);
    return log;
  }

  #take({ own, ledger, meta }) {
    this.own = own.sort((one, two) => one.n - two.n);
    this.ledger = ledger;
    this.meta = meta;
  }

  // What was written here while the other page's entries were read is not among them yet.
  #merge({ own, ledger, meta }) {
    const read = new Set(own.map((record) => record.uuid));
    this.#take({
      own: [...own, ...this.own.filter((record) => !read.has(record.uuid))],
      ledger: ledger.length < this.ledger.length ? this.ledger : ledger,
      meta,
    });
  }

  #listen(match, changed) {
    if (typeof globalThis.BroadcastChannel !== "function") {
      return;
    }
    this.#channel = new globalThis.BroadcastChannel(`cushion-ledger-${match}`);
    this.#channel.onmessage = async () => {
      await this.#last;
      this.#merge(await this.#store.load());
      changed();
    };
  }

  /** The last seq of the club's ledger that this device has read. */
  get seq() {
    return this.ledger.at(-1)?.seq ?? 0;
  }

  get waiting() {
    return this.own.filter((record) => record.status === "waiting");
  }

  get refused() {
    return this.own.filter((record) => record.status === "refused");
  }

  has(uuid) {
    return this.own.some((record) => record.uuid === uuid);
  }

  /** Note a new record at the end; resolves once it lies on the device. */
  add(record) {
    const n = Math.max(Date.now(), (this.own.at(-1)?.n ?? 0) + 1);
    const whole = { ...record, status: "waiting", seq: null, code: null, reason: null, n };
    this.own.push(whole);
    return this.save([whole]);
  }

  /** Keep records that were changed in place. */
  save(records) {
    return this.#keep(() => this.#store.putOwn(records.map((record) => ({ ...record }))));
  }

  /** Move records to the end, in their order, to be sent again. */
  renew(records) {
    let n = Math.max(Date.now(), (this.own.at(-1)?.n ?? 0) + 1);
    for (const record of records) {
      Object.assign(record, { status: "waiting", code: null, reason: null, seq: null, n });
      n += 1;
    }
    this.own.sort((one, two) => one.n - two.n);
    return this.save(records);
  }

  /** Take in what follows in the club's ledger. */
  adopt(entries) {
    const fresh = entries.filter((entry) => entry.seq > this.seq);
    this.ledger.push(...fresh);
    return this.#keep(() => this.#store.putLedger(fresh));
  }

  /** Take the club's whole ledger instead of what was read of it. */
  replace(entries) {
    this.ledger = [...entries];
    return this.#keep(() => this.#store.replaceLedger(entries));
  }

  setMeta(parts) {
    this.meta = { ...this.meta, ...parts };
    return this.#keep(() => this.#store.putMeta(this.meta));
  }

  // One write after the other. A device that refuses is asked once more, for everything:
  // some shut their database while a page sleeps. Where it refuses still, play goes on.
  #keep(write) {
    this.#last = this.#last.then(async () => {
      try {
        await write().catch(() => this.#keepAll());
        this.keeps = this.#store.lasting;
        this.#channel?.postMessage("wrote");
      } catch {
        this.keeps = false;
      }
    });
    return this.#last;
  }

  async #keepAll() {
    await this.#store.reopen();
    await this.#store.putOwn(this.own.map((record) => ({ ...record })));
    await this.#store.replaceLedger(this.ledger);
    await this.#store.putMeta(this.meta);
  }

  close() {
    this.#channel?.close();
    this.#channel = null;
    return this.#last.then(() => this.#store.close());
  }
}
