// The desk of a practice session: attempts are kept on the device at once, then sent.
//
// An attempt: {uuid, outcome, how, position, layout, cue_ball, family, struck, waiting, refused}.

import { said, words } from "../match/said.js";
import { ClubApi, Unreachable } from "./api.js";
import { Carrier, sent } from "./carrier.js";
import { DeviceLog } from "./log.js";
import { savingOf, troubleOf } from "./saving.js";
import { newUuid } from "./uuid.js";

const MOST_AT_ONCE = 500;
// So long a miss waits for how it missed: what the club has is never changed.
export const HOLDING = 30000; // ms

const FOLLOWS = said("An attempt before it was not accepted. Look at that one first.");
const NO_PEN = { elsewhere: false };

export class PracticeDesk extends EventTarget {
  #log;
  #carrier;
  #club = [];
  #known = new Set();
  #stored = new Map(); // uuid -> promise that the device holds it
  #released = false;
  #timer = null;
  #seq = 0; // of the session's ledger, as far as this page knows it
  #ended = null; // when another device ended the session, as the club tells it

  /**
   * Open the desk of a session. `attempts`: what the club has, in order, each with `struck_by`,
   * the uuid of the entry that strikes it out; `known`: uuids of all entries the club has, `seq`
   * of them. What other devices write is looked for every `poll` ms while the page is seen.
   */
  static async open(options) {
    const desk = new PracticeDesk();
    await desk.#open(options);
    return desk;
  }

  async #open({ sessionId, attempts, known, seq = known.length, poll = 5000, kinds, ...calls }) {
    this.#club = attempts;
    this.#seq = seq;
    this.#known = new Set(known);
    this.#log = await DeviceLog.open(`practice-${sessionId}`, { kinds, changed: () => this.#changed() });
    // The answer to what was sent may have been lost; the club knows best what it has.
    const heard = this.#log.waiting.filter(({ uuid }) => this.#known.has(uuid));
    heard.forEach((record) => Object.assign(record, { status: "stored" }));
    await this.#log.save(heard);
    const api = new ClubApi({ path: `sessions/${sessionId}/`, ...calls });
    this.#carrier = new AttemptCarrier({
      api,
      poll,
      toSend: () => this.#toSend(),
      taken: (results) => this.#taken(results),
      stored: () => this.#log.own.filter(({ status }) => status === "stored").map(({ uuid }) => uuid),
      told: (session) => this.#told(session),
      adopted: (rows, seen, session) => this.#adopted(rows, seen, session),
      noted: () => this.#changed(),
    });
    this.onHidden = () => {
      if (globalThis.document.visibilityState === "hidden") {
        this.flush();
      }
    };
    globalThis.document?.addEventListener("visibilitychange", this.onHidden);
    this.#carrier.kick();
  }

  close() {
    clearTimeout(this.#timer);
    globalThis.document?.removeEventListener("visibilitychange", this.onHidden);
    this.#carrier.close();
    return this.#log.close();
  }

  // Reading

  /** Return all attempts in order, what waits here included. */
  get attempts() {
    const rows = this.#club.map((one) => ({ ...one }));
    const fresh = this.#log.own.filter((one) => !this.#known.has(one.uuid) && one.status !== "dropped");
    for (const { uuid, kind, fields, status } of fresh) {
      if (kind === "attempt") {
        rows.push({ uuid, ...fields, struck_by: null, waiting: status === "waiting", refused: status === "refused" });
      } else if (status !== "refused") {
        strike(rows, uuid, fields.void);
      }
    }
    return rows.filter(({ refused }) => !refused).map((one) => ({ ...one, struck: Boolean(one.struck_by) }));
  }

  /** The last attempt that stands, or null. */
  get last() {
    return this.attempts.filter(({ struck }) => !struck).at(-1) ?? null;
  }

  /** The attempt that was struck out last, until something else is written; or null. */
  get lastStruck() {
    const last = this.#log.own.at(-1);
    if (last?.kind !== "void" || last.status === "refused" || last.status === "dropped") {
      return null;
    }
    return this.attempts.find(({ struck_by: by }) => by === last.uuid) ?? null;
  }

  /** The miss that may still be told how it missed, or null. */
  get asking() {
    return this.#held === null ? null : this.attempts.find(({ uuid }) => uuid === this.#held.uuid) ?? null;
  }

  get saving() {
    return savingOf(this.#log);
  }

  get trouble() {
    return troubleOf(this.#carrier.trouble, NO_PEN, this.#log);
  }

  get refused() {
    return this.#log.refused.map(({ uuid, kind, fields, reason }) => ({ uuid, kind, fields, reason }));
  }

  /** null; or {count}: the session was ended on another device, and so many rows wait here for an answer. */
  get ended() {
    return this.#ended === null ? null : { count: this.#log.waiting.filter((record) => this.#afterEnd(record)).length };
  }

  get meta() {
    return this.#log.meta;
  }

  /** Keep on the device what the page was about. */
  setMeta(parts) {
    return this.#log.setMeta(parts);
  }

  // Writing

  /** Write an attempt; resolves once it lies on the device. */
  attempt(fields) {
    return this.#write("attempt", fields);
  }

  strikeOutLast() {
    const { last } = this;
    return last === null ? null : this.#write("void", { void: last.uuid });
  }

  putBack() {
    const struck = this.lastStruck;
    return struck === null ? null : this.#write("void", { void: struck.struck_by });
  }

  /** Say how the last attempt missed, or take it back (null); only before it is sent. */
  async tellHow(how) {
    const record = this.#held;
    if (record === null) {
      return;
    }
    const { how: _before, ...fields } = record.fields;
    record.fields = how === null ? fields : { ...fields, how };
    await this.#log.save([record]);
    this.#changed();
  }

  #write(kind, fields) {
    const uuid = newUuid();
    this.#released = false;
    const kept = this.#log.add({
      uuid,
      kind,
      fields,
      device_time: new Date().toISOString(),
      offline: this.#carrier.offline,
    });
    this.#stored.set(uuid, kept);
    kept.then(() => this.#carrier.kick());
    this.#changed();
    return kept;
  }

  /** Send all that waits now; answers whether the club has all of it. */
  async flush() {
    this.#released = true;
    await this.#carrier.kick();
    this.#changed();
    return this.#log.waiting.length === 0 && this.#log.refused.length === 0;
  }

  /** Send again what was not accepted. */
  async tryAgain() {
    await this.#log.renew(this.#log.refused);
    this.#changed();
    return this.flush();
  }

  /** Give up what was not accepted; the device's log keeps it. */
  async drop() {
    const records = this.#log.refused;
    records.forEach((record) => Object.assign(record, { status: "dropped" }));
    await this.#log.save(records);
    this.#changed();
  }

  /** Go on with a session that another device ended; answers whether the club agreed. */
  async goOn() {
    const done = await this.#carrier.alone(() => this.#carrier.reopen());
    if (done) {
      this.#ended = null;
      this.#log.waiting.forEach((record) => delete record.late);
      await this.flush();
    }
    return done;
  }

  /** Leave it ended: what was tapped since is given up; the device's log keeps it. */
  async leaveEnded() {
    const records = this.#log.waiting.filter((record) => this.#afterEnd(record));
    records.forEach((record) => Object.assign(record, { status: "dropped" }));
    await this.#log.save(records);
    this.#changed();
  }

  // What other devices did

  #afterEnd(record) {
    return this.#ended !== null && (record.late === true || Date.parse(record.device_time) > Date.parse(this.#ended));
  }

  /** Take in how the session stands; answers whether there is more to read. */
  #told({ seq, ended_at: ended }) {
    this.#ended = ended;
    return seq !== this.#seq;
  }

  /** Take the club's attempts for those known so far; `seen` are uuids of this device among them. */
  #adopted(rows, seen, { seq }) {
    this.#club = rows;
    this.#seq = seq;
    const struck = rows.map(({ struck_by: by }) => by).filter(Boolean);
    [...seen, ...rows.map(({ uuid }) => uuid), ...struck].forEach((uuid) => this.#known.add(uuid));
  }

  // Sending

  get #held() {
    const last = this.#log.own.at(-1);
    const miss = last?.kind === "attempt" && last.status === "waiting" && last.fields.outcome === "missed";
    return miss && !this.#released && this.#age(last) < HOLDING ? last : null;
  }

  #age(record) {
    return Date.now() - Date.parse(record.device_time);
  }

  async #toSend() {
    const { waiting } = this.#log;
    await Promise.all(waiting.map(({ uuid }) => this.#stored.get(uuid)));
    const held = this.#held;
    clearTimeout(this.#timer);
    if (held !== null) {
      this.#timer = setTimeout(() => this.#carrier.kick(), HOLDING - this.#age(held) + 100);
    }
    const mayGo = (record) => record !== held && record.status === "waiting" && !this.#afterEnd(record);
    return waiting.filter(mayGo).slice(0, MOST_AT_ONCE);
  }

  /** Note what the club answered; what follows something refused is refused on this device too. */
  async #taken(results) {
    const changed = [];
    for (const { uuid, status, code, reason, attempt } of results) {
      const record = this.#log.own.find((one) => one.uuid === uuid);
      if (record === undefined) {
        continue;
      }
      const refused = status === "refused";
      this.#seq += status === "stored" ? 1 : 0;
      if (code === "session-ended") {
        // It waits here until somebody says whether the session goes on.
        record.late = true;
        this.#ended ??= record.device_time;
        changed.push(record);
        continue;
      }
      Object.assign(record, refused
        ? { status: "refused", code, reason: reason ?? words(FOLLOWS) }
        : { status: "stored", seq: attempt?.order ?? null });
      changed.push(record);
    }
    await this.#log.save(changed);
  }

  #changed() {
    this.dispatchEvent(new Event("change"));
  }
}

/** Strike out the attempt that is named, or put back what the named entry struck out. */
function strike(rows, uuid, target) {
  const struck = rows.find((one) => one.struck_by === target);
  if (struck !== undefined) {
    struck.struck_by = null;
    return;
  }
  const standing = rows.find((one) => one.uuid === target);
  if (standing !== undefined) {
    standing.struck_by = uuid;
  }
}

class AttemptCarrier extends Carrier {
  constructor({ poll, noted, ...desk }) {
    super({ poll, noted });
    Object.assign(this, desk);
  }

  async round(ask) {
    await this.#send();
    if (ask && !this.closed) {
      await this.#read();
    }
  }

  async #send() {
    for (let records = await this.toSend(); records.length > 0; records = await this.toSend()) {
      const body = records.map((record) => sent(record));
      const { status, data, headers } = await this.api.call("POST", "attempts/", { body });
      if (status === 200 && Array.isArray(data?.results)) {
        this.trouble = null;
        await this.taken(data.results);
        if (records.some((record) => record.status === "waiting" && !record.late)) {
          throw new Unreachable("not all of it was answered");
        }
      } else if (status === 400 || status === 409 || status === 413) {
        const reason = data?.reason ?? data?.detail ?? JSON.stringify(data);
        await this.taken(records.map(({ uuid }) => ({ uuid, status: "refused", code: "malformed", reason })));
      } else {
        this.stopped(status, headers);
      }
    }
  }

  async #read() {
    const session = await this.#get("");
    this.trouble = null;
    if (!this.told(session)) {
      return;
    }
    const seen = this.stored();
    const rows = [];
    for (let path = "attempts/"; path !== null; ) {
      const { results, next } = await this.#get(path);
      rows.push(...results);
      path = next;
    }
    this.adopted(rows, seen, session);
  }

  async #get(path) {
    const { status, data, headers } = await this.api.call("GET", path);
    if (status !== 200) {
      this.stopped(status, headers);
    }
    return data;
  }

  /** Let the session go on; answers whether the club agreed. */
  async reopen() {
    try {
      const { status } = await this.api.call("PATCH", "", { body: { ended: false } });
      return status === 200;
    } catch (problem) {
      if (!(problem instanceof Unreachable)) {
        throw problem;
      }
      return false;
    }
  }
}
