// The match as this device sees it: the club's entries and, after them, those that wait here.

import { Book } from "../match/book.js";
import { prepare, Refused } from "../match/checks.js";
import { Entry, readEntry, RUNS } from "../match/entry.js";
import { append, foldRows } from "../match/play.js";
import { Malformed, said, words } from "../match/said.js";
import { start } from "../match/state.js";

const REFERENCES = ["target", "instead_of", "before"];

export class FoldedMatch {
  constructor(setup) {
    this.setup = setup;
    this.fold([]);
  }

  /** Fold the club's ledger. */
  fold(ledger) {
    this.book = new Book(ledger.map((flat) => Entry.fromJson(flat)));
    [this.state, this.rows] = foldRows(this.setup, this.book);
  }

  /** Return a match of its own with the same entries, to try things on. */
  copy() {
    const twin = new FoldedMatch(this.setup);
    twin.book = new Book(this.book.entries);
    [twin.state, twin.rows] = foldRows(this.setup, twin.book);
    return twin;
  }

  /** Return the entry as it would stand at the end; throws Refused or Malformed. */
  judge(uuid, kind, fields) {
    const read = readEntry({ ...this.#byUuid(fields), kind });
    const entry = read.with({ uuid, seq: this.book.seq + 1 });
    return prepare(this.setup, this.state, entry, this.book);
  }

  // An entry on its way has no seq of its own yet; its uuid names it for good.
  #byUuid(fields) {
    const named = { ...fields };
    for (const name of REFERENCES.filter((one) => typeof named[one] === "number")) {
      named[name] = this.book.find(named[name])?.uuid || named[name];
    }
    return named;
  }

  /** Take in a judged entry; returns its row, or null. */
  take(entry) {
    this.book.add(entry);
    if (!entry.refolds) {
      const [state, row] = append(this.setup, this.state, entry);
      this.state = state;
      if (row !== null) {
        this.rows = [...this.rows, row];
      }
      return row;
    }
    [this.state, this.rows] = foldRows(this.setup, this.book);
    return this.rows.find((row) => row.seq === entry.seq) ?? null;
  }
}

/** Return the fields to send of a judged entry: a run carries the colour it was written for. */
export function fieldsOf(entry) {
  return RUNS.has(entry.kind) ? { ...entry.fields, by: entry.by } : entry.fields;
}

/** Return {code, reason, field} of what `judge` threw, in words; throws on anything else. */
export function inWords(problem) {
  if (problem instanceof Refused) {
    return { code: problem.code, reason: words(problem.reason) };
  }
  if (problem instanceof Malformed) {
    const { field, reason } = problem;
    return { code: "malformed", field, reason: words(said("%(field)s: %(reason)s", { field, reason })) };
  }
  throw problem;
}

/** Return what is struck through on the sheet, in order of play. */
export function struckOf(book) {
  const struckBy = new Map();
  for (const entry of book.entries.filter((one) => one.kind === "void")) {
    struckBy.set(book.find(entry.get("target")).seq, entry);
  }
  const struck = [];
  for (const place of book.order) {
    const whole = struckBy.get(place.seq);
    place.chain.forEach((entry, at) => {
      if (!RUNS.has(entry.kind) || entry === place.holder) {
        return;
      }
      const by = struckBy.get(entry.seq) ?? place.chain[at + 1] ?? whole;
      struck.push({
        place: place.seq,
        seq: entry.seq,
        uuid: entry.uuid,
        kind: entry.kind,
        run: entry.run,
        colour: entry.by,
        why: by?.get("why") ?? null,
        by_seq: by?.seq ?? null,
      });
    });
  }
  return struck;
}
