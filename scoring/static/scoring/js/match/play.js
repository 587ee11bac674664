// What each entry does to the state: `state = reduce(apply, standings, start)`.

import { parseContacts } from "../rules/contacts.js";
import { rule } from "../rules/rulings.js";
import { alone } from "./book.js";
import * as ends from "./ends.js";
import { PLACED, QUIET, RUNS } from "./entry.js";
import { untranslated } from "./said.js";
import { colourOf, copied, inningOpen, room, start } from "./state.js";

/** Return the state after what stands at one place. */
export function apply(setup, state, standing) {
  return step(setup, state, standing)[0];
}

/** Return [state after a place, the row of a stroke or whole inning or null]. */
export function step(setup, state, standing) {
  const fresh = copied(state);
  const { entry } = standing;
  let row = null;
  if (standing.empty) {
    flag(fresh, standing, row, "disputed", { since: Math.max(...standing.disputes) });
    return [fresh, row];
  }
  if (RUNS.has(entry.kind)) {
    row = play(setup, fresh, standing);
  } else {
    OTHERS[entry.kind](setup, fresh, entry);
  }
  if (fresh.over !== state.over || entry.kind === "result") {
    fresh.ended_seq = fresh.over ? entry.seq : null;
  }
  if (entry.kind === "result" && unlikely(setup, fresh, entry)) {
    flag(fresh, standing, row, "implausible");
  }
  if (standing.misdated) {
    flag(fresh, standing, row, "clock", { since: standing.misdated });
  }
  if (standing.disputes.length > 0) {
    flag(fresh, standing, row, "disputed", { since: Math.max(...standing.disputes) });
  }
  return [fresh, row];
}

/** Return the state of a whole ledger. */
export function fold(setup, book) {
  return foldRows(setup, book)[0];
}

/** Return [state, rows in order of play]. */
export function foldRows(setup, book) {
  let state = start(setup);
  const rows = [];
  for (const standing of book.standing()) {
    let row;
    [state, row] = step(setup, state, standing);
    if (row !== null) {
      rows.push(row);
    }
  }
  return [stamped(state, book), rows];
}

/** Return the state with what follows from the order of writing, not of play. */
export function stamped(state, book) {
  return {
    ...state,
    seq: book.seq,
    play_seq: book.playSeq,
    confirm_seq: book.confirmSeq,
    reopen_seq: book.reopenSeq,
  };
}

/**
 * Return [state, row] after an entry at the end that changes nothing before it.
 * The constant-time twin of `fold`: not for entries that `refolds`.
 */
export function append(setup, before, entry) {
  const [state, row] = PLACED.has(entry.kind) ? step(setup, before, alone(entry)) : [copied(before), null];
  state.seq = entry.seq;
  if (!QUIET.has(entry.kind)) {
    state.play_seq = entry.seq;
  }
  if (entry.reopens) {
    state.reopen_seq = entry.seq;
  }
  if (entry.kind === "confirm") {
    state.confirm_seq = entry.seq;
  }
  return [state, row];
}

// Strokes and whole innings

function play(setup, state, standing) {
  const { entry } = standing;
  const colour = entry.by;
  // What was told before a stroke that is struck out since is not this one's.
  const position = standing.robbed ? null : state.position;
  state.position = null;
  const row = newRow(setup, state, standing, position);
  const left = state.over ? null : room(setup, state, colour);
  if (state.over) {
    flag(state, standing, row, "after-end", { counts: false });
  } else if (left !== null && (left === 0 || entry.run > left)) {
    flag(state, standing, row, "past-distance", { counts: false });
  } else {
    if (colour !== state.turn) {
      flag(state, standing, row, "off-turn");
      state.turn = colour;
    }
    judge(setup, state, standing, row);
    const before = runSoFar(state, colour);
    count(state, entry);
    const after = before + entry.run;
    const most = setup.discipline.implausible_run;
    if (most !== null && before <= most && most < after) {
      flag(state, standing, row, "implausible");
    }
    state.opening = false;
    if (entry.kind !== "point" || left === entry.run) {
      close(setup, state, standing);
    }
  }
  return row;
}

const DETAILS = ["contacts", "layout", "cue_ball", "line", "clock"];

/** Return the row of a stroke as it stands before it is judged and counted. */
function newRow(setup, state, standing, position) {
  const { entry } = standing;
  const colour = entry.by;
  const extra = state.extra !== null;
  state.rows += 1;
  const begun = extra ? state.extra[colour].length : state.innings[colour];
  const row = {
    order: state.rows,
    place: standing.place,
    seq: entry.seq,
    set: state.set,
    inning: begun + (inningOpen(state, colour) ? 0 : 1),
    colour,
    kind: entry.kind,
    run: entry.run,
    counts: true,
    opening: standing.value("opening") ?? state.opening,
    extra,
    tried: standing.value("family"),
    made: null,
    valid: null,
    cushions: null,
    reason: standing.value("reason"),
    details: given(DETAILS, (name) => standing.value(name)),
    codes: [],
  };
  if (position !== null && entry.kind !== "inning") {
    row.details = { ...position, ...row.details };
  }
  const ruling = rulingOf(setup, row);
  if (ruling !== null) {
    row.made = ruling.family;
    row.valid = ruling.valid;
    row.cushions = ruling.cushions;
    if (row.tried === null && entry.kind === "point") {
      row.tried = ruling.family;
    }
  }
  return row;
}

/** Return those of `names` that have a value. */
function given(names, value) {
  const pairs = names.map((name) => [name, value(name)]);
  return Object.fromEntries(pairs.filter(([, one]) => one !== null));
}

function rulingOf(setup, row) {
  const { contacts } = row.details;
  if (contacts === undefined) {
    return null;
  }
  return rule({
    discipline: setup.discipline,
    // The wrong ball was played where another cue ball is described.
    cueBall: row.details.cue_ball ?? row.colour,
    contacts: parseContacts(contacts),
    opening: row.opening,
    ruleSet: setup.ruleSet,
  });
}

/** Ask where the described contacts contradict the call; the call counts. */
function judge(setup, state, standing, row) {
  if (row.valid === null || standing.entry.kind === "foul") {
    return;
  }
  if (row.valid !== (standing.entry.kind === "point")) {
    const ruling = rulingOf(setup, row);
    flag(state, standing, row, "ruling", { ruling, since: standing.toldSince("contacts") });
  }
}

function runSoFar(state, colour) {
  if (!inningOpen(state, colour)) {
    return 0;
  }
  return state.extra !== null ? state.extra[colour].at(-1) : state.run[colour];
}

/** Begin the inning where none is under way, and add the run. */
function count(state, entry) {
  const { by: colour, run } = entry;
  const { extra } = state;
  if (extra !== null) {
    if (!extra.open[colour]) {
      extra.open[colour] = true;
      extra[colour].push(0);
    }
    extra[colour][extra[colour].length - 1] += run;
    return;
  }
  if (!state.open[colour]) {
    state.open[colour] = true;
    state.run[colour] = 0;
    state.innings[colour] += 1;
    state.set_innings[colour] += 1;
  }
  for (const figure of ["run", "score", "points"]) {
    state[figure][colour] += run;
  }
  state.high_run[colour] = Math.max(state.high_run[colour], state.run[colour]);
}

function close(setup, state, standing) {
  if (state.extra !== null) {
    ends.closeExtra(setup, state, standing.entry.by);
  } else {
    ends.closeInning(setup, state, standing.entry.by);
  }
  if (state.over || standing.entry.kind !== "foul") {
    return;
  }
  const reason = standing.value("reason");
  const overrun = reason === "time" && setup.ruleSet.time_overrun_gives_opening;
  const respotted = reason === "outside" && setup.discipline.off_table === "all-to-opening";
  if (overrun || respotted) {
    ends.backToOpening(setup, state);
  }
}

/** Raise an open question about a place, or file it where it was settled since. */
function flag(state, standing, row, code, { counts = true, ruling = null, since = null } = {}) {
  const settledBy = standing.settled[code] ?? 0;
  const isOpen = settledBy <= (since ?? standing.since);
  state[isOpen ? "flags" : "settled"].push({
    seq: standing.entry.seq,
    code,
    ruling: ruling === null ? null : plain(ruling),
    counts,
    settled_by: isOpen ? null : settledBy,
  });
  if (row !== null) {
    row.counts = row.counts && counts;
    if (isOpen) {
      row.codes.push(code);
    }
  }
}

/** Return a ruling as JSON values, its sentences not yet translated. */
function plain(ruling) {
  const { valid, cushions, required, reason, rule: text, family, foul } = ruling;
  return {
    valid,
    cushions,
    required,
    reason: untranslated(reason),
    rule: untranslated(text),
    family,
    foul,
  };
}

// The other kinds

function open(setup, state, entry) {
  const starter = entry.get("starter");
  state.players = { white: starter, yellow: setup.rival(starter) };
  state.decided_by = entry.get("decided_by");
  state.opened_seq = entry.seq;
  if (!state.over) {
    state.turn = "white";
    state.opening = true;
  }
}

function timeout(setup, state, entry) {
  if (!state.over && entry.by !== null) {
    state.timeouts[entry.by] += 1;
  }
}

/** Seconds restored by the referee are on record; no figure follows from them. */
function clock() {}

function position(setup, state, entry) {
  const told = given(["layout", "cue_ball", "line"], (name) => entry.get(name));
  state.position = { ...told, position: entry.seq };
}

function suspend(setup, state) {
  state.suspended = state.suspended || !state.over;
}

function resume(setup, state, entry) {
  state.suspended = false;
  state.table = entry.get("table") ?? state.table;
}

function extra(setup, state, entry) {
  if (!ends.isDrawn(setup, state)) {
    return;
  }
  const starter = entry.get("starter");
  ends.openExtra(setup, state, starter === null ? "white" : (colourOf(state, starter) ?? "white"));
}

const GIVEN_UP = { concede: "concession", retire: "retirement" };

function giveUp(setup, state, entry) {
  if (!state.over) {
    ends.endForPlayer(state, GIVEN_UP[entry.kind], setup.rival(entry.get("player")));
  }
}

function result(setup, state, entry) {
  const outcome = entry.get("outcome");
  let winner = outcome === "annulled" ? null : entry.get("player");
  if (outcome === "played" && state.players.white !== null) {
    for (const name of ["score", "innings", "high_run"]) {
      if (entry.get(name) !== null) {
        state[name] = { ...entry.get(name) };
      }
    }
    const counted = entry.get("innings") !== null;
    // Points in an unknown number of innings belong to no average.
    state.points = counted ? { ...state.score } : { white: 0, yellow: 0 };
    if (!counted) {
      state.innings = { white: 0, yellow: 0 };
    }
    // Who won the sets does not follow from totals.
    const ahead = setup.format.sets_to_win === null ? ends.leader(setup, state) : null;
    if (winner === null && ahead !== null) {
      winner = state.players[ahead];
    }
  }
  ends.endForPlayer(state, outcome, winner);
}

const OTHERS = {
  open,
  timeout,
  clock,
  position,
  suspend,
  resume,
  extra,
  result,
  concede: giveUp,
  retire: giveUp,
};

/** True where totals known without their strokes cannot have been played. */
function unlikely(setup, state, entry) {
  if (entry.get("outcome") !== "played") {
    return false;
  }
  const [score, innings, high] = ["score", "innings", "high_run"].map((name) => entry.get(name));
  if (innings !== null && Math.abs(innings.white - innings.yellow) > 1) {
    return true;
  }
  return ["white", "yellow"].some((side) => {
    if (innings !== null && score[side] > 0 && innings[side] === 0) {
      return true;
    }
    const distance = setup.distance(state.players, side);
    if (setup.format.sets_to_win === null && distance !== null && score[side] > distance) {
      return true;
    }
    // A high run lies between the mean run and the whole score.
    if (high === null) {
      return false;
    }
    return score[side] < high[side] || (innings !== null && score[side] > high[side] * innings[side]);
  });
}
