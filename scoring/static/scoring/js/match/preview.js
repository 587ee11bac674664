// What an entry would change, in words, before it is written.

import { Book } from "./book.js";
import { nameOf } from "./checks.js";
import { COLOURS } from "./colours.js";
import { RUNS } from "./entry.js";
import { foldRows, step } from "./play.js";
import { said } from "./said.js";
import { shown } from "./shown.js";
import { start } from "./state.js";

/**
 * Return {state, changes, renumber}: what `entries`, already prepared, would change in `book`.
 *
 * `changes` are sentences to translate. `renumber` lists entries (without uuid) that hand later
 * innings to the player whose turn it then is; empty where nothing would stand out of turn.
 */
export function previewed(setup, book, ...entries) {
  const before = foldRows(setup, book);
  const trial = new Book([...book.entries, ...entries]);
  const after = foldRows(setup, trial);
  return {
    state: shown(setup, after[0]),
    changes: changed(setup, before, after),
    renumber: renumbered(setup, trial, before[0], after[0]),
  };
}

const FIGURES = {
  points: "Total of %(colour)s: %(old)s becomes %(new)s.",
  innings: "Innings of %(colour)s: %(old)s becomes %(new)s.",
  high_run: "High run of %(colour)s: %(old)s becomes %(new)s.",
  average: "Average of %(colour)s: %(old)s becomes %(new)s.",
  sets: "Sets of %(colour)s: %(old)s becomes %(new)s.",
};

function changed(setup, before, after) {
  const old = shown(setup, before[0]);
  const fresh = shown(setup, after[0]);
  const changes = [];
  for (const side of COLOURS) {
    for (const [figure, sentence] of Object.entries(FIGURES)) {
      if (old[figure][side] !== fresh[figure][side]) {
        changes.push(
          said(sentence, {
            colour: nameOf(side),
            old: written(old[figure][side]),
            new: written(fresh[figure][side]),
          }),
        );
      }
    }
  }
  for (const side of COLOURS) {
    const inning = reached(setup, after, side);
    if (inning !== null && inning !== reached(setup, before, side)) {
      changes.push(
        said("%(colour)s reached the distance in inning %(inning)s.", { colour: nameOf(side), inning }),
      );
    }
  }
  return [...changes, ...turnAndEnd(old, fresh), ...questions(before[0], after[0])];
}

function written(figure) {
  return figure === null ? "–" : figure;
}

/** Return the inning in which a side made the last point of its distance. */
function reached(setup, [state, rows], side) {
  const distance = setup.distance(state.players, side);
  if (distance === null) {
    return null;
  }
  let total = 0;
  let ofSet = null;
  for (const row of rows.filter((one) => one.colour === side && one.counts && !one.extra)) {
    if (row.set !== ofSet) {
      total = 0;
      ofSet = row.set;
    }
    total += row.run;
    if (total === distance) {
      return row.inning;
    }
  }
  return null;
}

function isEnded(state) {
  return state.status === "over" || state.status === "confirmed";
}

function turnAndEnd(old, fresh) {
  const changes = [];
  if (isEnded(fresh) && !isEnded(old)) {
    changes.push(said("The match would be over."));
  } else if (isEnded(old) && !isEnded(fresh)) {
    changes.push(said("The match would go on."));
  }
  if (isEnded(fresh) && old.winner !== fresh.winner) {
    const winner = COLOURS.find((side) => fresh.players[side] === fresh.winner);
    if (fresh.winner === null) {
      changes.push(said("The match would be drawn."));
    } else if (winner !== undefined) {
      changes.push(said("%(colour)s would be the winner.", { colour: nameOf(winner) }));
    }
  }
  if (!isEnded(fresh) && old.turn !== fresh.turn && fresh.turn !== null) {
    changes.push(said("%(colour)s would be to play.", { colour: nameOf(fresh.turn) }));
  }
  if (old.status === "confirmed" && fresh.status !== "confirmed") {
    changes.push(said("The match would have to be confirmed again."));
  }
  return changes;
}

const FLAG_WORDS = {
  ruling: "Entries whose description would contradict the call: %(count)s.",
  "off-turn": "Entries that would stand out of turn: %(count)s.",
  implausible: "Runs that would be unusually long: %(count)s.",
  "past-distance": "Entries past the distance, which would not count: %(count)s.",
  "after-end": "Entries after the end, which would not count: %(count)s.",
};

function questions(before, after) {
  const known = flagsOf(before);
  const still = flagsOf(after);
  const changes = [];
  for (const [code, sentence] of Object.entries(FLAG_WORDS)) {
    const count = [...still].filter(([key, flag]) => !known.has(key) && flag.code === code).length;
    if (count > 0) {
      changes.push(said(sentence, { count }));
    }
  }
  const answered = [...known.keys()].filter((key) => !still.has(key)).length;
  if (answered > 0) {
    changes.push(said("Open flags that would be answered: %(count)s.", { count: answered }));
  }
  return changes;
}

function flagsOf(state) {
  return new Map(state.flags.map((flag) => [`${flag.seq} ${flag.code}`, flag]));
}

/** Return corrections that give each later entry to the player then on turn. */
function renumbered(setup, trial, before, after) {
  const offTurn = (state) => state.flags.filter((flag) => flag.code === "off-turn").map((flag) => flag.seq);
  const known = new Set(offTurn(before));
  const flagged = offTurn(after);
  if (flagged.every((seq) => known.has(seq))) {
    return [];
  }
  const standings = [...trial.standing()];
  const first = standings.findIndex((one) => flagged.includes(one.entry.seq));
  const corrections = [];
  let state = start(setup);
  standings.forEach((standing, at) => {
    const { entry } = standing;
    const moves =
      at >= first &&
      RUNS.has(entry.kind) &&
      !standing.empty &&
      state.turn !== null &&
      entry.by !== state.turn;
    let stands = standing;
    if (moves) {
      stands = standing.with({ entry: entry.with({ by: state.turn }), disputes: [], settled: {} });
      corrections.push(corrected(entry, state.turn));
    }
    [state] = step(setup, state, stands);
  });
  const unfit = ["off-turn", "past-distance", "after-end"];
  return state.flags.some((flag) => unfit.includes(flag.code)) ? [] : corrections;
}

const NOT_KEPT = ["instead_of", "before", "why", "by", "contacts", "cue_ball"];

function corrected(entry, by) {
  const kept = Object.entries(entry.fields).filter(([name]) => !NOT_KEPT.includes(name));
  return { kind: entry.kind, instead_of: entry.seq, by, ...Object.fromEntries(kept) };
}
