// The state as the outside reads it, and the sheet's rows.

import { shown as shownAverage } from "./averages.js";
import { COLOURS } from "./colours.js";
import { room, status } from "./state.js";

/** Return the public state of a match: plain JSON, the same as the server answers. */
export function shown(setup, state) {
  const { extra } = state;
  return {
    id: setup.id,
    competition: setup.competition,
    table: state.table,
    discipline: setup.discipline.code,
    format: { ...setup.format },
    rule_set: setup.ruleSet,
    status: status(state),
    turn: state.turn,
    entrants: [...setup.entrants],
    players: { ...state.players },
    decided_by: state.decided_by,
    score: { ...state.score },
    points: { ...state.points },
    innings: { ...state.innings },
    run: bySide((side) => runShown(state, side)),
    high_run: { ...state.high_run },
    average: bySide((side) => averageShown(setup, state, side)),
    set: state.set,
    sets: { ...state.sets },
    distance: bySide((side) => setup.distance(state.players, side)),
    to_go: bySide((side) => toGo(setup, state, side)),
    equalizing: state.equalizing,
    opening: state.opening,
    timeouts: { ...state.timeouts },
    extra: extra === null ? null : { white: [...extra.white], yellow: [...extra.yellow] },
    winner: state.winner,
    ended_by: state.ended_by,
    flags: [...state.flags],
    settled: [...state.settled],
    seq: state.seq,
  };
}

function bySide(figure) {
  return Object.fromEntries(COLOURS.map((side) => [side, figure(side)]));
}

/** Return a side's average as the competition cuts it, null without innings. */
export function averageShown(setup, state, side) {
  const { average_decimals: decimals, average_rounding: rounding } = setup.format;
  return shownAverage(state.points[side], state.innings[side], decimals, rounding);
}

function runShown(state, side) {
  if (side !== state.turn) {
    return 0;
  }
  const { extra } = state;
  if (extra === null) {
    return state.run[side];
  }
  return extra.open[side] ? extra[side].at(-1) : 0;
}

function toGo(setup, state, side) {
  return state.players[side] === null ? null : room(setup, state, side);
}

/**
 * Return one row an inning, in order of play: set, inning, colour, run, counts, extra, strokes.
 * What does not count is listed among the strokes, but adds nothing to the run; an inning of
 * nothing that counts carries `counts: false` and is none in the figures.
 */
export function inningsOf(rows) {
  const innings = new Map();
  for (const row of rows) {
    const key = [row.extra, row.set, row.inning, row.colour].join(" ");
    if (!innings.has(key)) {
      const { set, inning, colour, extra } = row;
      innings.set(key, { set, inning, colour, run: 0, counts: false, extra, strokes: [] });
    }
    const inning = innings.get(key);
    if (row.counts) {
      inning.run += row.run;
      inning.counts = true;
    }
    inning.strokes.push(row);
  }
  return [...innings.values()];
}
