// Striking out the last, and putting it back: both follow from the ledger alone.

import { QUIET, RUNS } from "../match/entry.js";
import { status } from "../match/state.js";

const STRIKABLE = new Set([...RUNS, "timeout", "suspend", "resume", "extra", "concede", "retire"]);
const NOT_KEPT = new Set(["instead_of", "before", "why", "by"]);

/** Return the latest entry of play that stands, or null; corrections come off first. */
export function lastStanding(book, state) {
  if (status(state) === "confirmed") {
    return null;
  }
  for (let at = book.entries.length - 1; at >= 0; at -= 1) {
    const entry = book.entries[at];
    const stands = STRIKABLE.has(entry.kind) && !book.voided.has(entry.seq);
    if (stands && book.placeOf(entry)?.holder === entry) {
      return entry;
    }
  }
  return null;
}

/** Return the entry that was struck out last and may be put back, or null; `isOwn` tells by uuid. */
export function lastStruck(book, isOwn) {
  let struck = [];
  for (const entry of book.entries) {
    if (entry.kind === "void") {
      struck = isOwn(entry.uuid) ? [...struck, book.find(entry.get("target"))] : [];
    } else if (puts(book, entry, struck.at(-1))) {
      struck = struck.slice(0, -1);
    } else if (!QUIET.has(entry.kind)) {
      struck = [];
    }
  }
  return struck.at(-1) ?? null;
}

function puts(book, entry, struck) {
  if (struck === undefined) {
    return false;
  }
  const target = entry.get("instead_of");
  return RUNS.has(struck.kind)
    ? target !== null && book.find(target) === struck
    : entry.kind === struck.kind && target === null;
}

/** Return [kind, fields] of the entry that puts `struck` back. */
export function putBackOf(struck) {
  const kept = Object.entries(struck.fields).filter(([name]) => !NOT_KEPT.has(name));
  const fields = Object.fromEntries(kept);
  return RUNS.has(struck.kind)
    ? [struck.kind, { ...fields, by: struck.by, instead_of: struck.uuid }]
    : [struck.kind, fields];
}
