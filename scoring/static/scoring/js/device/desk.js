// The desk at which a page writes a match: judges at once, keeps on the device, then sends.

import { Entry, QUIET, RUNS } from "../match/entry.js";
import { previewed } from "../match/preview.js";
import { said, words } from "../match/said.js";
import { Setup } from "../match/setup.js";
import { inningsOf, shown } from "../match/shown.js";
import { ClubApi } from "./api.js";
import { fieldsOf, FoldedMatch, inWords, struckOf } from "./folded.js";
import { DeviceLog } from "./log.js";
import { Pen } from "./pen.js";
import { savingOf, troubleOf } from "./saving.js";
import { Sender } from "./sender.js";
import { lastStanding, lastStruck, putBackOf } from "./undo.js";
import { newUuid } from "./uuid.js";

const ELSEWHERE = said(
  "Another device wrote this match in the meantime. Look at the score, and write what is missing.",
);
const FOLLOWS = said("An entry before it was not accepted. Look at that one first.");
const NOTHING = said("There is nothing to strike out.");
const NOTHING_BACK = said("Something else was written since. Write it again instead.");
const READING = said("This page reads along. Open the scoring page to write.");
const PEN = said("This match is being written on another device. Read along, or take the pen.");

export class MatchDesk extends EventTarget {
  #log;
  #pen;
  #sender;
  #match;
  #stored = new Map(); // uuid -> promise that the device holds it
  #views = {};
  #disagreed = null;
  #told = null;

  /** Open the desk of a match; see the parts of `options` in `constructor` and `ClubApi`. */
  static async open(options) {
    const desk = new MatchDesk(options);
    await desk.#open(options);
    return desk;
  }

  constructor({ setup, reading = false, organises = false }) {
    super();
    this.setup = Setup.fromJson(setup);
    /** True for a page that follows and never writes. */
    this.reading = reading;
    /** True for an organiser, who may correct beside the pen. */
    this.organises = organises;
    this.#match = new FoldedMatch(this.setup);
  }

  async #open({ matchId, entries = [], poll = 5000, kinds, ...calls }) {
    const changed = () => {
      this.#refold();
      this.#changed("followed");
    };
    this.#log = await DeviceLog.open(matchId, { kinds, changed });
    const api = new ClubApi({ matchId, ...calls });
    this.#pen = new Pen(api, this.#log);
    this.#sender = new Sender({
      desk: this.#forSender(),
      log: this.#log,
      api,
      pen: this.#pen,
      poll,
      reading: this.reading,
    });
    const kept = this.#log.ledger;
    const same = entries.every(({ seq, uuid }) => (kept[seq - 1]?.uuid ?? uuid) === uuid);
    await (same ? this.#adopted(entries) : this.#replaced(entries));
    this.#sender.look();
  }

  close() {
    this.#sender.close();
    return this.#log.close();
  }

  // Reading

  /** The public state of the match, unsent entries included. */
  get state() {
    return this.#view("state", () => shown(this.setup, this.#match.state));
  }

  /** Rows of strokes and whole innings in order of play, each with the uuid of its entry. */
  get rows() {
    const { book, rows } = this.#match;
    return this.#view("rows", () => rows.map((row) => ({ ...row, uuid: book.find(row.seq).uuid })));
  }

  get innings() {
    return this.#view("innings", () => inningsOf(this.rows));
  }

  get entries() {
    return this.#view("entries", () => this.#match.book.entries.map((entry) => this.#flat(entry)));
  }

  /** What is struck through on the sheet. */
  get struck() {
    return this.#view("struck", () => struckOf(this.#match.book));
  }

  get toStrike() {
    return this.#flat(lastStanding(this.#match.book, this.#match.state));
  }

  get lastStruck() {
    return this.#flat(lastStruck(this.#match.book, (uuid) => this.#log.has(uuid)));
  }

  get saving() {
    return savingOf(this.#log);
  }

  get refused() {
    return this.#log.refused.map(({ uuid, kind, fields, code, reason }) => {
      return { uuid, kind, entry: { kind, uuid, ...fields }, code, reason };
    });
  }

  get trouble() {
    return troubleOf(this.#sender.trouble, this.#pen, this.#log);
  }

  get pen() {
    return { mine: this.#pen.mine, elsewhere: this.#pen.elsewhere };
  }

  #view(name, make) {
    this.#views[name] ??= make();
    return this.#views[name];
  }

  #flat(entry) {
    if (entry === null) {
      return null;
    }
    return { ...entry.toJson(), ...(entry.seq > this.#log.seq ? { waiting: true } : {}) };
  }

  // Writing

  /** Write one entry. Returns {state, entry, row}, or {refused} where nothing was written. */
  async write(kind, fields = {}) {
    const written = this.#writeNow(kind, fields);
    await written.kept;
    delete written.kept;
    return written;
  }

  // Everything up to the device's log happens before anybody waits: two quick taps are judged
  // one after the other, and the screen shows each at once.
  #writeNow(kind, fields) {
    const refused = this.#mayNot(kind, fields);
    if (refused !== null) {
      return { refused };
    }
    const uuid = newUuid();
    let entry;
    try {
      entry = this.#match.judge(uuid, kind, fields);
    } catch (problem) {
      return { refused: inWords(problem) };
    }
    const row = this.#match.take(entry);
    const kept = this.#log.add({
      uuid,
      kind,
      fields: fieldsOf(entry),
      device_time: new Date().toISOString(),
      offline: this.#sender.offline,
    });
    this.#stored.set(uuid, kept);
    kept.then(() => this.#sender.kick());
    this.#changed("written");
    const seen = row === null ? null : { ...row, uuid };
    return { state: this.state, entry: this.#flat(entry), row: seen, kept };
  }

  /** Return why this page may not write that, or null. */
  #mayNot(kind, fields) {
    if (this.reading) {
      return { code: "reading", reason: words(READING) };
    }
    if (this.#pen.elsewhere && !this.#goesBesidePen(kind, fields)) {
      return { code: "pen-elsewhere", reason: words(PEN) };
    }
    return null;
  }

  #goesBesidePen(kind, fields) {
    const corrects = kind === "void" || (fields.instead_of ?? fields.before ?? null) !== null;
    return QUIET.has(kind) || kind === "confirm" || (this.organises && corrects);
  }

  /** Write several, [[kind, fields], ...]; stops at the first that is refused. */
  async writeMany(list) {
    let written = 0;
    for (const [kind, fields] of list) {
      const { refused } = await this.write(kind, fields);
      if (refused !== undefined) {
        return { state: this.state, written, refused };
      }
      written += 1;
    }
    return { state: this.state, written };
  }

  async strikeOutLast() {
    const target = lastStanding(this.#match.book, this.#match.state);
    if (target === null) {
      return { refused: { code: "nothing", reason: words(NOTHING) } };
    }
    const struck = this.#flat(target);
    return { ...(await this.write("void", { target: target.uuid })), struck };
  }

  async putBack() {
    const struck = lastStruck(this.#match.book, (uuid) => this.#log.has(uuid));
    if (struck === null) {
      return { refused: { code: "nothing", reason: words(NOTHING_BACK) } };
    }
    return this.write(...putBackOf(struck));
  }

  /** Return {state, changes, renumber} of an entry, or {refused}; writes nothing. */
  preview(kind, fields) {
    return this.previewMany([[kind, fields]]);
  }

  /** The same of several, [[kind, fields], ...], as `writeMany` would write them. */
  previewMany(list) {
    const { book } = this.#match;
    const trial = this.#match.copy();
    const entries = [];
    try {
      for (const [kind, fields] of list) {
        entries.push(trial.judge(newUuid(), kind, fields));
        trial.take(entries.at(-1));
      }
    } catch (problem) {
      return { refused: inWords(problem) };
    }
    const found = previewed(this.setup, book, ...entries);
    // What is not written yet has no name that a later correction could use.
    const named = found.renumber.filter(({ instead_of: seq }) => book.find(seq) !== null);
    const renumber = named.length < found.renumber.length ? [] : named.map(({ kind, instead_of: seq, ...rest }) => {
      return [kind, { ...rest, instead_of: book.find(seq).uuid }];
    });
    return {
      state: found.state,
      changes: found.changes.map((change) => words(change)),
      renumber: renumber.length > 0 ? renumber : null,
    };
  }

  // What was not accepted

  /** Judge and send again what was not accepted: all of it, or the entry named. */
  async tryAgain(uuid = null) {
    const records = this.#notAccepted(uuid);
    const namesakes = records.filter((record) => record.code === "uuid-known");
    // Their names belong to other entries of the club; they go on under new ones.
    namesakes.forEach((record) => this.#log.add({ ...record, uuid: newUuid() }));
    namesakes.forEach((record) => Object.assign(record, { status: "dropped" }));
    await this.#log.save(namesakes);
    await this.#log.renew(records.filter((record) => record.status === "refused"));
    this.#refold();
    this.#changed("written");
    await this.#sender.look();
    return { state: this.state, refused: this.refused };
  }

  /** Give up what was not accepted; the device's log keeps it. */
  async drop(uuid = null) {
    const records = this.#notAccepted(uuid);
    records.forEach((record) => Object.assign(record, { status: "dropped" }));
    await this.#log.save(records);
    this.#changed("saving");
    return { state: this.state };
  }

  #notAccepted(uuid) {
    return this.#log.refused.filter((record) => uuid === null || record.uuid === uuid);
  }

  // The pen and the club

  async takePen({ device, takeOver = false }) {
    // Nothing is sent meanwhile: an entry without the new token would find the pen elsewhere.
    const answer = await this.#sender.alone(() => this.#pen.take({ device, takeOver }));
    if (answer.ok) {
      this.#sender.trouble = null;
    }
    this.#sender.look();
    this.#changed("pen");
    return answer;
  }

  async givePenBack() {
    await this.#sender.look();
    const answer = await this.#pen.giveBack();
    this.#changed("pen");
    return answer;
  }

  /** Ask the club now, and send what waits. */
  look() {
    return this.#sender.look();
  }

  // What the sender brings

  #forSender() {
    return {
      toSend: () => this.#toSend(),
      accepted: (results) => this.#accepted(results),
      notAccepted: (results) => this.#refuse(results),
      adopted: (entries) => this.#adopted(entries),
      replaced: (entries) => this.#replaced(entries),
      agrees: (state) => this.#agrees(state),
      noted: () => this.#noted(),
    };
  }

  /** Return the records that wait and may go, once the device holds them. */
  async #toSend() {
    const { waiting } = this.#log;
    await Promise.all(waiting.map(({ uuid }) => this.#stored.get(uuid)));
    const held = waiting.findIndex(({ kind, fields }) => !this.#goesBesidePen(kind, fields));
    return this.#pen.elsewhere && held >= 0 ? waiting.slice(0, held) : waiting;
  }

  /** Note what the club has now; returns true where its entries must be fetched. */
  async #accepted(results) {
    const records = [];
    const fresh = [];
    for (const { uuid, seq } of results) {
      const record = this.#log.own.find((one) => one.uuid === uuid);
      if (record !== undefined) {
        records.push(Object.assign(record, { status: "stored", seq }));
      }
      const entry = this.#match.book.find(uuid);
      if (entry !== null && seq === this.#log.seq + fresh.length + 1) {
        fresh.push(entry.with({ seq }));
      }
    }
    const inPlace = fresh.every((entry) => this.#match.book.find(entry.seq)?.uuid === entry.uuid);
    await this.#log.adopt(fresh.map((entry) => entry.toJson()));
    await this.#log.save(records);
    if (!inPlace) {
      this.#refold();
    }
    if (records.length > 0) {
      this.#changed("sent");
    }
    return results.some(({ seq }) => seq > this.#log.seq);
  }

  async #adopted(entries) {
    const fresh = entries.filter((entry) => entry.seq > this.#log.seq);
    const others = fresh.filter((entry) => !this.#log.has(entry.uuid));
    await this.#log.adopt(fresh);
    await this.#noteStored(fresh);
    if (others.some((flat) => playsOn(flat)) && this.#log.waiting.length > 0) {
      // Both devices wrote what was played: only a person can tell what happened twice.
      const reason = words(ELSEWHERE);
      await this.#refuse(this.#log.waiting.map(({ uuid }) => ({ uuid, code: "stale", reason })));
    }
    this.#refold();
    if (fresh.length > 0) {
      this.#changed("followed");
    }
  }

  /** Take the club's whole ledger; what it lost of this device's entries waits again. */
  async #replaced(entries) {
    this.#disagreed = entries.at(-1)?.seq ?? 0;
    await this.#log.replace(entries);
    const there = new Set(entries.map((entry) => entry.uuid));
    const lost = this.#log.own.filter((record) => record.status === "stored" && !there.has(record.uuid));
    lost.forEach((record) => Object.assign(record, { status: "waiting", seq: null }));
    await this.#log.save(lost);
    await this.#noteStored(entries);
    this.#refold();
    this.#changed("followed");
  }

  async #noteStored(entries) {
    const seqs = new Map(entries.map((entry) => [entry.uuid, entry.seq]));
    const records = this.#log.own.filter((one) => one.status !== "stored" && seqs.has(one.uuid));
    records.forEach((one) => Object.assign(one, { status: "stored", seq: seqs.get(one.uuid) }));
    if (records.length > 0) {
      await this.#log.save(records);
    }
  }

  async #refuse(results) {
    const by = new Map(results.map((one) => [one.uuid, one]));
    const records = this.#log.waiting.filter((record) => by.has(record.uuid));
    for (const record of records) {
      const { code, reason } = by.get(record.uuid);
      Object.assign(record, { status: "refused", code, reason });
    }
    await this.#log.save(records);
    this.#refold();
    this.dispatchEvent(new CustomEvent("refused", { detail: this.refused }));
    this.#changed("refused");
  }

  /** True where the club's state says what this device's fold says of the same entries. */
  #agrees(state) {
    if (
      state === undefined ||
      state === null ||
      state.seq !== this.#match.state.seq ||
      state.seq === this.#disagreed
    ) {
      return true;
    }
    return brief(state) === brief(this.state);
  }

  /** Fold the club's entries, and judge again what waits. */
  #refold() {
    this.#match.fold(this.#log.ledger);
    const unfit = [];
    for (const record of this.#log.waiting) {
      if (unfit.length > 0) {
        Object.assign(record, { status: "refused", code: "follows-refused", reason: words(FOLLOWS) });
        unfit.push(record);
        continue;
      }
      try {
        this.#match.take(this.#match.judge(record.uuid, record.kind, record.fields));
      } catch (problem) {
        Object.assign(record, { status: "refused", ...inWords(problem) });
        unfit.push(record);
      }
    }
    this.#views = {};
    if (unfit.length > 0) {
      this.#log.save(unfit);
      this.dispatchEvent(new CustomEvent("refused", { detail: this.refused }));
    }
  }

  /** Tell where things lie, if that is news. */
  #noted() {
    if (this.#told !== this.#lies()) {
      this.#changed("saving");
    }
  }

  #lies() {
    return JSON.stringify([this.saving, this.trouble, this.pen]);
  }

  #changed(why) {
    this.#views = {};
    this.#told = this.#lies();
    this.dispatchEvent(new CustomEvent("change", { detail: { why } }));
  }
}

/** True for plain play at the end, as the scorekeeper writes it. */
function playsOn(flat) {
  return RUNS.has(flat.kind) && !Entry.fromJson(flat).corrects;
}

function brief(state) {
  const flags = state.flags.map(({ seq, code }) => `${seq} ${code}`).sort();
  const { status, turn, score, innings, run, high_run: high, winner } = state;
  const figures = [score, innings, run, high].map(({ white, yellow }) => [white, yellow]);
  return JSON.stringify([status, turn, winner, figures, flags]);
}
