// What may be written into the ledger of a match, and its shape.
//
// `readEntry` turns what somebody wrote into an Entry, or says which field is malformed.
// It judges shape alone; `checks` judges whether the entry fits.

import * as read from "./fields.js";
import { Malformed, said } from "./said.js";

export const STROKES = new Set(["point", "miss", "foul"]);
export const RUNS = new Set([...STROKES, "inning"]);
// These stand at a place in the order of play; the others are about a place.
export const PLACED = new Set([
  ...RUNS,
  "open",
  "timeout",
  "clock",
  "position",
  "suspend",
  "resume",
  "extra",
  "concede",
  "retire",
  "result",
]);
// An entry of these kinds never makes another device's view of the play out of date.
export const QUIET = new Set(["annotate", "dispute", "settle", "position", "clock"]);
// Fields that say where and why an entry stands, not what was played; `by` is kept apart.
const ABOUT_PLACE = new Set(["instead_of", "before", "why", "by"]);
const REMARKS = new Set(["void", "annotate", "dispute", "settle"]);
const OUTCOMES = ["walkover", "award", "disqualified", "annulled", "played"];

/** One row of the ledger as the fold sees it. `fields` holds what the kind carries, as sent. */
export class Entry {
  constructor(parts) {
    Object.assign(this, { fields: {}, seq: 0, uuid: "", by: null, codes: null, misdated: false }, parts);
    Object.freeze(this);
  }

  /** Read the flat form in which the server gives the ledger. */
  static fromJson(flat) {
    // The server tells more of an entry than the fields of its kind: when, and by whom.
    const known = Object.assign({}, ...KINDS[flat.kind]);
    const fields = Object.fromEntries(
      Object.entries(flat).filter(([name, value]) => Object.hasOwn(known, name) && value !== null),
    );
    const { kind, seq = 0, uuid = "", codes = null, misdated = false } = flat;
    // Of a confirmation, `by` is free text: who signed.
    const by = kind === "confirm" ? null : (flat.by ?? null);
    return new Entry({ kind, fields, seq, uuid, by, codes, misdated });
  }

  /** Return the flat form that `fromJson` reads. */
  toJson() {
    return {
      seq: this.seq,
      uuid: this.uuid,
      kind: this.kind,
      ...this.fields,
      ...(this.by === null ? {} : { by: this.by }),
      ...(this.codes === null ? {} : { codes: [...this.codes] }),
      ...(this.misdated ? { misdated: true } : {}),
    };
  }

  /** Return this entry with some parts replaced. */
  with(parts) {
    return new Entry({ ...this, ...parts });
  }

  get(name) {
    return this.fields[name] ?? null;
  }

  get corrects() {
    return this.get("instead_of") !== null || this.get("before") !== null;
  }

  /** True where the entry changes what stands earlier in the ledger. */
  get refolds() {
    return this.corrects || REMARKS.has(this.kind);
  }

  /** True where a confirmed match must be confirmed again after this entry. */
  get reopens() {
    return this.corrects || this.kind === "void" || this.kind === "result";
  }

  /** True where both write the same of play, wherever and for whatever reason. */
  saysTheSame(other) {
    return this.kind === other.kind && this.by === other.by && isSame(what(this), what(other));
  }

  /** Points this entry writes. */
  get run() {
    return this.kind === "inning" ? this.fields.run : Number(this.kind === "point");
  }
}

function what(entry) {
  return Object.fromEntries(Object.entries(entry.fields).filter(([name]) => !ABOUT_PLACE.has(name)));
}

/** True where two JSON values are equal, whatever the order of their names. */
function isSame(one, other) {
  if (one === other || one === null || other === null || typeof one !== "object") {
    return one === other;
  }
  const names = Object.keys(one);
  return (
    typeof other === "object" &&
    names.length === Object.keys(other).length &&
    names.every((name) => Object.hasOwn(other, name) && isSame(one[name], other[name]))
  );
}

const DESCRIBED = {
  contacts: (value, name) => read.contacts(value, name),
  family: read.family,
  layout: read.layout,
  cue_ball: read.colour,
  line: read.strike,
};
const IN_PLACE = {
  instead_of: read.reference,
  before: read.reference,
  why: read.text,
  by: read.colour,
};
const STROKE = { ...DESCRIBED, ...IN_PLACE, clock: read.seconds, opening: read.flag };

// kind -> [required fields, optional fields]
export const KINDS = {
  open: [{ starter: read.identity }, { decided_by: read.oneOf("lag", "draw", "home", "other") }],
  point: [{}, STROKE],
  miss: [{}, STROKE],
  foul: [{}, { ...STROKE, reason: read.foulReason }],
  inning: [{ run: read.whole(0, 1000) }, IN_PLACE],
  timeout: [{}, {}],
  clock: [{ seconds: read.seconds }, { why: read.text }],
  position: [{ layout: read.layout }, { cue_ball: read.colour, line: read.strike }],
  annotate: [{ target: read.reference }, { ...DESCRIBED, reason: read.foulReason }],
  void: [{ target: read.reference }, { why: read.text }],
  suspend: [{}, { layout: read.layout, why: read.text }],
  resume: [{}, { table: read.identity, why: read.text }],
  dispute: [{ target: read.reference }, { why: read.text }],
  settle: [{ target: read.reference }, { decision: read.text, why: read.text }],
  extra: [{}, { starter: read.identity }],
  concede: [{ player: read.identity }, { why: read.text }],
  retire: [{ player: read.identity }, { why: read.text }],
  result: [
    { outcome: read.oneOf(...OUTCOMES) },
    {
      player: read.identity,
      score: read.byColour,
      innings: read.byColour,
      high_run: read.byColour,
      source: read.text,
      why: read.text,
    },
  ],
  confirm: [{}, { by: read.text, why: read.text }],
};

/** Return the entry that `value` ({kind, fields...}) describes; throw Malformed where it cannot be read. */
export function readEntry(value) {
  const { kind, ...given } = value;
  if (!Object.hasOwn(KINDS, kind)) {
    throw new Malformed("kind", said("Send one of: %(kinds)s.", { kinds: Object.keys(KINDS).join(", ") }));
  }
  const [required, optional] = KINDS[kind];
  const known = { ...required, ...optional };
  const got = {};
  for (const [name, raw] of Object.entries(given)) {
    if (!Object.hasOwn(known, name)) {
      throw new Malformed(printable(name), said("%(kind)s has no such field; leave it out.", { kind }));
    }
    if (raw !== null && raw !== undefined) {
      got[name] = known[name](raw, name);
    }
  }
  for (const name of Object.keys(required)) {
    if (!Object.hasOwn(got, name)) {
      throw new Malformed(name, said("%(kind)s needs this field.", { kind }));
    }
  }
  readTogether(kind, got);
  return new Entry({ kind, fields: got, by: RUNS.has(kind) ? (got.by ?? null) : null });
}

/** Return a field's name as it may be answered: nothing that no answer can carry. */
function printable(name) {
  return /^(?: |[^\p{C}\p{Z}]){1,40}$/u.test(name) ? name : "?";
}

/** Judge fields that only make sense with one another. */
function readTogether(kind, got) {
  if (kind === "annotate" && Object.keys(got).length === 1) {
    throw new Malformed("annotate", said("Say what is added: layout, contacts, family, line or reason."));
  }
  if (kind !== "result") {
    return;
  }
  const played = got.outcome === "played";
  if (!played && got.outcome !== "annulled" && !Object.hasOwn(got, "player")) {
    throw new Malformed("player", said("Name the player whom the result favours."));
  }
  for (const name of ["score", "innings", "high_run"]) {
    if (Object.hasOwn(got, name) && !played) {
      throw new Malformed(name, said("Totals belong to a result that was played."));
    }
  }
  // Of an old result the innings may be lost: then it says where the score comes from.
  const known = Object.hasOwn(got, "score") && (Object.hasOwn(got, "innings") || Object.hasOwn(got, "source"));
  if (played && !known) {
    const missing = Object.hasOwn(got, "score") ? "innings" : "score";
    throw new Malformed(missing, said("A played result needs the score and the innings of both."));
  }
}
