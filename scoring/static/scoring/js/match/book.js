// Where each entry stands once corrections are resolved.
//
// A place is a position in the order of play. An entry that is neither a correction nor
// about another entry opens a place at the end; `before` opens one just before another;
// `instead_of` stands in a place that is there. The latest correction that is not struck
// out holds its place; striking out the original empties it.

import { PLACED, QUIET, RUNS, STROKES } from "./entry.js";

// These may stand between the balls that were told and their stroke.
const BESIDE_PLAY = new Set(["position", "clock", "timeout", "suspend", "resume"]);
// What a stroke may be told about afterwards.
export const DESCRIBED = ["contacts", "family", "layout", "cue_ball", "line", "reason", "clock", "opening"];

/**
 * An entry that holds a place, with all that was said about the place since.
 *
 * since: the seq from which the place has said this; written again in place with the same
 *     contents, an entry raises no new question.
 * told: described field -> [value, seq of the entry that told it].
 * settled: a flag's code -> seq of the latest settlement that named it.
 * misdated: the latest seq, of the entry or of what was said about it, whose clock could not
 *     be believed, or 0.
 * robbed: the balls told just before were those of a stroke that stood between when this
 *     one was written, and is struck out since.
 * empty: all was struck out and only disputes of that remain.
 */
export class Standing {
  constructor(parts) {
    Object.assign(this, { disputes: [], settled: {}, misdated: 0, robbed: false, empty: false }, parts);
  }

  /** Return this standing with some parts replaced. */
  with(parts) {
    return new Standing({ ...this, ...parts });
  }

  value(name) {
    return this.told.get(name)?.[0] ?? null;
  }

  toldSince(name) {
    return Math.max(this.since, this.told.get(name)?.[1] ?? 0);
  }
}

/** Return the standing of an entry that nothing was said about yet. */
export function alone(entry) {
  return new Standing({
    place: entry.seq,
    entry,
    since: entry.seq,
    told: toldOf(entry, entry.seq, []),
    misdated: entry.misdated ? entry.seq : 0,
  });
}

function toldOf(entry, since, notes) {
  const told = new Map();
  if (!STROKES.has(entry.kind)) {
    // a whole inning in a stroke's place has no contacts
    return told;
  }
  const sources = [[since, entry], ...notes.map((note) => [note.seq, note])];
  for (const [seq, source] of sources.sort((one, two) => one[0] - two[0])) {
    for (const name of DESCRIBED) {
      const value = source.get(name);
      if (value !== null) {
        told.set(name, [value, seq]);
      }
    }
  }
  return told;
}

/** One position in the order of play: its chain and what stands of it. */
export class Place {
  constructor(original) {
    this.chain = [original];
    this.stack = [original];
    this.notes = [];
    // When the place was filled and when it was emptied: [seq, filled].
    this.turns = [[original.seq, true]];
  }

  /** The first seq of the chain: the name of the place. */
  get seq() {
    return this.chain[0].seq;
  }

  get holder() {
    return this.stack.at(-1) ?? null;
  }

  /** What a flag about the place names: its holder, else its original. */
  get face() {
    return this.holder ?? this.chain[0];
  }

  /** Whether something stood here when the entry `seq` was written. */
  wasFilled(seq) {
    return this.turns.findLast(([since]) => since <= seq)?.[1] ?? false;
  }

  /** Let `entry` stand here. */
  correct(entry) {
    this.chain.push(entry);
    this.stack.push(entry);
    this.turns.push([entry.seq, true]);
  }

  /** Take `entry` out of the place, as the strike-out at `seq` says. */
  strikeOut(entry, seq) {
    if (entry.seq === this.seq) {
      this.stack = [];
    } else {
      this.stack = this.stack.filter((one) => one.seq !== entry.seq);
    }
    if (this.stack.length === 0) {
      this.turns.push([seq, false]);
    }
  }

  /** Return what stands here; of an empty place, what its strike-out is disputed by. */
  standing(voided, robbed = false) {
    const entry = this.face;
    const empty = this.stack.length === 0;
    const notes = this.notes.filter((note) => !voided.has(note.seq));
    const disputes = notes
      .filter((note) => note.kind === "dispute" && !(empty && this.wasFilled(note.seq)))
      .map((note) => note.seq);
    if (empty && disputes.length === 0) {
      return null;
    }
    const settled = {};
    for (const note of notes.filter((one) => one.kind === "settle")) {
      for (const code of note.codes ?? []) {
        settled[code] = note.seq;
      }
    }
    const since = this.chain.find((one) => one.saysTheSame(entry)).seq;
    const misdated = [entry, ...notes].filter((one) => one.misdated).map((one) => one.seq);
    return new Standing({
      place: this.seq,
      entry,
      since,
      told: toldOf(
        entry,
        since,
        notes.filter((note) => note.kind === "annotate"),
      ),
      disputes,
      settled,
      misdated: Math.max(0, ...misdated),
      robbed,
      empty,
    });
  }
}

/** The entries of one match, resolved: `order` holds its places in order of play. */
export class Book {
  #at = new Map();
  #uuids = new Map();
  #place = new Map();

  constructor(entries = []) {
    this.entries = [];
    this.order = [];
    this.voided = new Set();
    this.seq = 0;
    this.playSeq = 0;
    this.reopenSeq = 0;
    for (const entry of entries) {
      this.add(entry);
    }
  }

  /** Take in the next entry; its references must be known. */
  add(entry) {
    this.entries.push(entry);
    this.#at.set(entry.seq, entry);
    if (entry.uuid) {
      this.#uuids.set(entry.uuid, entry.seq);
    }
    this.seq = entry.seq;
    if (!QUIET.has(entry.kind)) {
      this.playSeq = entry.seq;
    }
    if (entry.reopens) {
      this.reopenSeq = entry.seq;
    }
    if (PLACED.has(entry.kind)) {
      this.#stand(entry);
    } else if (entry.kind !== "confirm") {
      this.#say(entry);
    }
  }

  #stand(entry) {
    let place;
    if (entry.get("instead_of") !== null) {
      place = this.#place.get(this.#known(entry.get("instead_of")).seq);
      place.correct(entry);
    } else {
      place = new Place(entry);
      const target = entry.get("before");
      const where = target === null ? this.order.length : this.#justBefore(this.#known(target));
      this.order.splice(where, 0, place);
    }
    this.#place.set(entry.seq, place);
  }

  #say(entry) {
    const target = this.#known(entry.get("target"));
    const place = this.#place.get(target.seq);
    if (entry.kind === "void") {
      this.voided.add(target.seq);
      place?.strikeOut(target, entry.seq);
    } else {
      place?.notes.push(entry);
    }
  }

  /** Return the entry that a seq or a uuid names, or null where this match has none. */
  find(reference) {
    const seq = typeof reference === "string" ? this.#uuids.get(reference) : reference;
    return this.#at.get(seq) ?? null;
  }

  #known(reference) {
    const entry = this.find(reference);
    if (entry === null) {
      throw new RangeError(`no entry ${reference} in this match`);
    }
    return entry;
  }

  /** Return the place in whose chain `entry` is, or null for one without a place. */
  placeOf(entry) {
    return this.#place.get(entry.seq) ?? null;
  }

  /** Return the index in `order` of the place of `entry`. */
  position(entry) {
    return this.order.indexOf(this.#place.get(entry.seq));
  }

  /** Return the index for an insertion: a stroke keeps the balls told before it. */
  #justBefore(entry) {
    let where = this.position(entry);
    let told = where;
    while (where > 0 && BESIDE_PLAY.has(this.order[where - 1].face.kind)) {
      where -= 1;
      if (this.order[where].face.kind === "position") {
        told = where;
      }
    }
    return told;
  }

  /** Yield what stands at each place in order of play, up to before `until`. */
  *standing(until = null) {
    let emptied = [];
    for (const place of this.order) {
      if (place === until) {
        return;
      }
      const robbed = emptied.some((one) => one.wasFilled(place.seq));
      const standing = place.standing(this.voided, robbed);
      if (standing !== null) {
        yield standing;
      }
      const filled = place.stack.length > 0;
      if (RUNS.has(place.face.kind) && !filled) {
        emptied.push(place);
      } else if (filled && (RUNS.has(place.face.kind) || place.face.kind === "position")) {
        emptied = [];
      }
    }
  }

  /** The latest confirmation that was not struck out, or 0. */
  get confirmSeq() {
    return this.entries
      .filter((entry) => entry.kind === "confirm" && !this.voided.has(entry.seq))
      .reduce((latest, entry) => Math.max(latest, entry.seq), 0);
  }
}
