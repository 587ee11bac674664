// Shot families: the class of a stroke by the order of its contacts. Twin of
// scoring/rules/families.py and scoring/rules/data/families.json.

import { LONG_RAILS, course } from "./contacts.js";
import { said } from "./said.js";

export const OTHER = "other";

function pattern(code, before, after, { family = code, starts = [], backToSame = false } = {}) {
  return { code, family, before, after, starts: starts.map((start) => start.split(" ")), backToSame };
}

// before, after: fewest and most cushions before B1 and between B1 and B2; null: no limit.
export const FAMILY_PATTERNS = new Map(
  [
    pattern("bank", [3, null], [0, null]),
    pattern("umbrella", [2, 2], [1, null]),
    pattern("ticky", [1, 1], [2, null], { backToSame: true }),
    pattern("rail-first", [1, 1], [2, null]),
    pattern("five-and-more", [0, 0], [5, null]),
    pattern("around-the-table", [0, 0], [3, null], { starts: ["L S L'"] }),
    pattern("short-around", [0, 0], [3, null], { starts: ["S L S'"] }),
    pattern("double-rail", [0, 0], [3, null], { starts: ["L S L", "S L S"] }),
    pattern("cross-table", [0, 0], [3, null], { starts: ["L L' L"] }),
    pattern("end-to-end", [0, 0], [3, null], { starts: ["S S' S", "S S' L"] }),
    pattern("short-angle", [0, 0], [3, null], { starts: ["S L L'"] }),
    pattern("long-angle", [0, 0], [3, null], { starts: ["L L' S", "L S S'"] }),
    pattern("rail-first-short", [1, 1], [1, null], { family: "rail-first" }),
    pattern("bank-short", [1, null], [0, 0], { family: "bank" }),
    pattern("one-rail", [0, 0], [1, 1]),
    pattern("two-rail", [0, 0], [2, 2]),
    pattern("direct", [0, 0], [0, 0]),
  ].map((one) => [one.code, one]),
);

/** Name rails by kind and order of appearance: L, L', S, S'. */
export function fold(rails) {
  const first = {};
  return rails.map((rail) => {
    const kind = LONG_RAILS.includes(rail) ? "L" : "S";
    first[kind] ??= rail;
    return first[kind] === rail ? kind : `${kind}'`;
  });
}

function within(count, [fewest, most]) {
  return fewest <= count && (most === null || count <= most);
}

function matches(one, before, after) {
  if (!within(before.length, one.before) || !within(after.length, one.after)) {
    return false;
  }
  if (one.backToSame && (!before.length || !after.length || before[before.length - 1] !== after[0])) {
    return false;
  }
  const folded = fold(after);
  return !one.starts.length || one.starts.some((start) => start.every((name, place) => folded[place] === name));
}

/** Return the family of a stroke, `other` where none fits, null if the second ball was not met. */
export function familyOf(discipline, cueBall, contacts) {
  const { before, after, second } = course(contacts);
  if (second === null) {
    return null;
  }
  for (const code of discipline.families) {
    const one = FAMILY_PATTERNS.get(code);
    if (one && matches(one, before, after)) {
      return one.family;
    }
  }
  return OTHER;
}

/** What the trade says, and the sequence in words, by family. */
export const FAMILIES = new Map(
  [
    ["bank", said("bank"), said("cushions first, then both balls")],
    ["umbrella", said("umbrella"), said("two cushions, a ball, one or more cushions, the other ball")],
    [
      "ticky",
      said("ticky"),
      said("one cushion, a ball, back to that same cushion, at least one more, the other ball"),
    ],
    ["rail-first", said("cushion first"), said("one cushion, a ball, more cushions, the other ball")],
    ["five-and-more", said("five-rail, around twice"), said("a ball, five or more cushions, the other ball")],
    [
      "around-the-table",
      said("natural, long way"),
      said("a ball, long cushion, short cushion, other long cushion, the other ball"),
    ],
    [
      "short-around",
      said("end rail first"),
      said("a ball, short cushion, long cushion, other short cushion, the other ball"),
    ],
    [
      "double-rail",
      said("double-the-rail, snake"),
      said("a ball, one cushion, a cushion beside it, the first cushion again, the other ball"),
    ],
    [
      "cross-table",
      said("cross-table, zig-zag"),
      said("a ball, long cushion, other long cushion, the first again, the other ball"),
    ],
    [
      "end-to-end",
      said("up and down"),
      said("a ball, short cushion, other short cushion, the first again or a long one, the other ball"),
    ],
    [
      "short-angle",
      said("short angle"),
      said("a ball, short cushion, long cushion, other long cushion, the other ball"),
    ],
    [
      "long-angle",
      said("long angle"),
      said("a ball, long cushion, then both short ones or the other long and a short one, the other ball"),
    ],
    ["one-rail", said("one cushion"), said("a ball, one cushion, the other ball")],
    ["two-rail", said("two cushions"), said("a ball, two cushions, the other ball")],
    ["direct", said("direct"), said("a ball, then the other ball")],
    [OTHER, said("another way"), said("any other order")],
  ].map(([code, tradeName, sequence]) => [code, { code, tradeName, sequence }]),
);
