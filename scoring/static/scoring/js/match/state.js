// The compact state of a match: plain JSON with the same keys as on the server,
// its size independent of the match's length.

import { each } from "./colours.js";

const PAIRS = [
  "players",
  "sets",
  "score",
  "set_innings",
  "points",
  "innings",
  "high_run",
  "open",
  "run",
  "timeouts",
];

/** Return the state before the first entry. */
export function start(setup) {
  return {
    seq: 0,
    play_seq: 0,
    confirm_seq: 0,
    reopen_seq: 0,
    players: each(null),
    decided_by: null,
    turn: null,
    set: 1,
    set_starter: "white",
    sets: each(0),
    score: each(0),
    set_innings: each(0),
    points: each(0),
    innings: each(0),
    high_run: each(0),
    open: each(false),
    run: each(0),
    equalizing: null,
    opening: false,
    extra: null,
    timeouts: each(0),
    suspended: false,
    table: setup.table,
    position: null,
    over: false,
    ended_by: null,
    winner: null,
    rows: 0,
    opened_seq: null,
    ended_seq: null,
    flags: [],
    settled: [],
  };
}

/** Return a state that can be changed without changing `state`. */
export function copied(state) {
  const fresh = { ...state };
  for (const name of PAIRS) {
    fresh[name] = { ...state[name] };
  }
  if (state.extra !== null) {
    const { white, yellow, open } = state.extra;
    fresh.extra = { white: [...white], yellow: [...yellow], open: { ...open } };
  }
  fresh.flags = [...state.flags];
  fresh.settled = [...state.settled];
  return fresh;
}

/** Return planned, playing, suspended, over or confirmed. */
export function status(state) {
  if (state.over) {
    return state.confirm_seq > state.reopen_seq ? "confirmed" : "over";
  }
  if (state.suspended) {
    return "suspended";
  }
  return state.players.white === null ? "planned" : "playing";
}

/** Return the points `colour` has to go, or null where nothing bounds its run. */
export function room(setup, state, colour) {
  return state.extra !== null ? null : leftToGo(setup, state, colour);
}

/** Return the own distance less the score, extra innings or not. */
export function leftToGo(setup, state, colour) {
  const distance = setup.distance(state.players, colour);
  return distance === null ? null : distance - state.score[colour];
}

/** Return the colour of a player, null before the opening. */
export function colourOf(state, player) {
  return Object.keys(state.players).find((colour) => state.players[colour] === player) ?? null;
}

/** True where an inning of `colour`, extra innings included, is under way. */
export function inningOpen(state, colour) {
  return state.extra !== null ? state.extra.open[colour] : state.open[colour];
}
