// When an inning, a set and the match end, and who won.

import { COLOURS, each, other } from "./colours.js";
import { leftToGo, room } from "./state.js";

/** End the inning of `colour`, pass the turn, and end what ends with it. */
export function closeInning(setup, state, colour) {
  state.open[colour] = false;
  state.run[colour] = 0;
  state.turn = other(colour);
  const reached = room(setup, state, colour) === 0;
  if (state.equalizing === colour) {
    finish(setup, state, "distance");
  } else if (reached && equalizes(setup, state, colour)) {
    state.equalizing = other(colour);
    lastInningPosition(setup, state);
  } else if (reached) {
    finish(setup, state, "distance");
  } else {
    checkLimit(setup, state, colour);
  }
}

/** True where the opponent still has an equalizing inning. */
function equalizes(setup, state, colour) {
  if (!setup.format.equalizing || colour !== state.set_starter) {
    return false;
  }
  // In sets only a set of a single inning is equalized.
  return setup.format.sets_to_win === null || state.set_innings[colour] === 1;
}

function checkLimit(setup, state, colour) {
  const limit = setup.format.innings_limit;
  if (limit === null) {
    return;
  }
  const done = {};
  for (const side of COLOURS) {
    done[side] = state.set_innings[side] - (state.open[side] ? 1 : 0);
  }
  if (Math.min(done.white, done.yellow) >= limit) {
    finish(setup, state, "limit");
  } else if (done[colour] === limit && equalizes(setup, state, colour)) {
    // The last inning of the second player is played like an equalizing one.
    lastInningPosition(setup, state);
  }
}

function lastInningPosition(setup, state) {
  if (setup.format.equalizing_from === "opening") {
    backToOpening(setup, state);
  }
}

/** Note that the balls return to the opening position in the course of a match. */
export function backToOpening(setup, state) {
  state.opening = setup.ruleSet.opening_again_on_return;
}

/** Return the colour ahead: who reached the distance, else by share of the own distance. */
export function leader(setup, state) {
  const reached = COLOURS.filter((side) => {
    const left = leftToGo(setup, state, side);
    return left !== null && left <= 0;
  });
  if (reached.length === 1) {
    return reached[0];
  }
  if (reached.length === 2) {
    return null;
  }
  const { score } = state;
  const [white, yellow] = COLOURS.map((side) => setup.distance(state.players, side));
  // Shares are compared crosswise, so that no division rounds.
  const ahead = white && yellow ? score.white * yellow - score.yellow * white : score.white - score.yellow;
  if (ahead === 0) {
    return null;
  }
  return ahead > 0 ? "white" : "yellow";
}

/** End the set under way, and the match with it where nothing is left to play. */
function finish(setup, state, endedBy) {
  const ahead = leader(setup, state);
  state.equalizing = null;
  const wanted = setup.format.sets_to_win;
  if (wanted === null) {
    endMatch(state, endedBy, ahead);
    return;
  }
  if (ahead !== null) {
    state.sets[ahead] += 1;
    if (state.sets[ahead] >= wanted) {
      endMatch(state, "sets", ahead);
      return;
    }
  }
  nextSet(setup, state);
}

function nextSet(setup, state) {
  state.set += 1;
  state.score = each(0);
  state.set_innings = each(0);
  state.open = each(false);
  state.run = each(0);
  if (setup.ruleSet.sets_alternate_start) {
    state.set_starter = other(state.set_starter);
  }
  state.turn = state.set_starter;
  state.opening = true;
}

/** Close play; `winner` is a colour, null for a draw. */
export function endMatch(state, endedBy, winner) {
  endForPlayer(state, endedBy, winner === null ? null : state.players[winner]);
}

/** Close play in favour of a player id, which may be known before the colours are. */
export function endForPlayer(state, endedBy, player) {
  state.over = true;
  state.turn = null;
  state.opening = false;
  state.equalizing = null;
  state.ended_by = endedBy;
  state.winner = player;
}

// How a match may have ended without a winner and still be decided by extra innings.
const DRAWN = new Set(["distance", "limit", "played"]);

/** True where extra innings may decide: played to its end, and nobody won. */
export function isDrawn(setup, state) {
  return (
    state.over &&
    state.winner === null &&
    DRAWN.has(state.ended_by) &&
    setup.format.sets_to_win === null &&
    state.extra === null
  );
}

/** Open the extra innings after a draw. */
export function openExtra(setup, state, starter) {
  state.extra = { white: [], yellow: [], open: each(false) };
  state.over = false;
  state.ended_by = null;
  state.turn = starter;
  extraPosition(setup, state);
}

function extraPosition(setup, state) {
  if (setup.ruleSet.extra_from === "opening") {
    backToOpening(setup, state);
  }
}

/** End an extra inning; the match ends where a finished pair differs. */
export function closeExtra(setup, state, colour) {
  const { extra } = state;
  extra.open[colour] = false;
  state.turn = other(colour);
  extraPosition(setup, state);
  if (extra.white.length !== extra.yellow.length || extra.open.white || extra.open.yellow) {
    return;
  }
  const white = sum(extra.white);
  const yellow = sum(extra.yellow);
  if (white !== yellow) {
    endMatch(state, "extra", white > yellow ? "white" : "yellow");
  }
}

function sum(runs) {
  return runs.reduce((total, run) => total + run, 0);
}
