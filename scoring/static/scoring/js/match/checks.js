// What is refused, and what is filled in before an entry is stored.
//
// Nothing else is refused: described contacts that contradict the call are asked about
// by a flag, because the referee's word counts.

import { isDrawn } from "./ends.js";
import { PLACED, RUNS, STROKES } from "./entry.js";
import { contacts as readContacts } from "./fields.js";
import { apply } from "./play.js";
import { Malformed, said, untranslated } from "./said.js";
import { inningOpen, room, start, status } from "./state.js";

/** An entry that does not fit: a machine-readable code and what to do about it. */
export class Refused extends Error {
  constructor(code, reason) {
    super(untranslated(reason));
    this.name = "Refused";
    this.code = code;
    this.reason = reason;
  }
}

/** True where a device that knew the ledger up to `after` has missed play, or is ahead. */
export function isStale(after, seq, playSeq) {
  return after < playSeq || after > seq;
}

/** Refuse an entry of a device that has not read the latest play. */
export function checkFresh(after, state) {
  if (isStale(after, state.seq, state.play_seq)) {
    throw new Refused(
      "stale",
      said(
        "The ledger holds entries up to %(seq)s that this device has not read. " +
          "Fetch them, look at the score, and write again.",
        { seq: state.seq },
      ),
    );
  }
}

/**
 * Return the entry as it may be stored, with `by` and `codes` filled in.
 *
 * `state` is the state the entry would be appended to; `book` the entries stored so far.
 * Throws Refused where it does not fit the match, Malformed where it names a player or a
 * ball that cannot be meant.
 */
export function prepare(setup, state, entry, book) {
  checkPlayers(setup, entry);
  if (entry.corrects) {
    return prepareCorrection(setup, entry, book);
  }
  if (RUNS.has(entry.kind)) {
    return prepareRun(setup, state, entry);
  }
  if (["void", "annotate", "dispute", "settle"].includes(entry.kind)) {
    return prepareRemark(state, entry, book);
  }
  CHECKS[entry.kind]?.(setup, state, entry);
  return entry.kind === "timeout" ? entry.with({ by: state.turn }) : entry;
}

function checkPlayers(setup, entry) {
  for (const name of ["starter", "player"]) {
    const who = entry.get(name);
    if (who !== null && !setup.entrants.includes(who)) {
      const ids = setup.entrants.join(", ");
      throw new Malformed(name, said("Name one of the two players of this match: %(ids)s.", { ids }));
    }
  }
}

/** Throw Malformed where the described cue ball meets itself. */
export function checkContacts(entry, colour) {
  const contacts = entry.get("contacts");
  const cueBall = entry.get("cue_ball") ?? colour;
  if (contacts !== null && cueBall !== null) {
    readContacts(contacts, "contacts", cueBall);
  }
}

// Strokes and whole innings at the end

function prepareRun(setup, state, entry) {
  checkPlaying(state);
  const { turn } = state;
  if (entry.by !== null && entry.by !== turn) {
    throw new Refused(
      "not-on-turn",
      said("%(colour)s is to play. Write for the player on turn.", { colour: nameOf(turn) }),
    );
  }
  const ready = entry.with({ by: turn });
  checkRun(setup, state, ready);
  checkContacts(ready, turn);
  return ready;
}

function checkPlaying(state) {
  const what = status(state);
  if (what === "planned") {
    throw new Refused("not-open", said("The match is not open yet. Say who starts first."));
  }
  if (what === "over" || what === "confirmed") {
    throw new Refused("over", said("The match is over. Strike out or correct what is wrong."));
  }
  if (what === "suspended") {
    throw new Refused("suspended", said("The match is suspended. Resume it first."));
  }
}

/** Refuse a run that cannot stand where it would stand; `state` is just before it. */
function checkRun(setup, state, entry) {
  if (entry.kind === "inning" && inningOpen(state, entry.by)) {
    throw new Refused(
      "amid-inning",
      said(
        "This inning has strokes already. Go on stroke by stroke, or strike them " +
          "out and write the whole inning.",
      ),
    );
  }
  const left = room(setup, state, entry.by);
  if (left !== null && (left === 0 || entry.run > left)) {
    throw new Refused(
      "past-distance",
      said("%(colour)s has %(left)s to go. Write at most that.", { colour: nameOf(entry.by), left }),
    );
  }
}

// Corrections in place

function prepareCorrection(setup, entry, book) {
  if (entry.get("instead_of") !== null && entry.get("before") !== null) {
    throw new Refused(
      "instead-and-before",
      said("A correction stands instead of an entry or before one. Send one of the two."),
    );
  }
  const name = entry.get("instead_of") !== null ? "instead_of" : "before";
  const target = book.find(entry.get(name));
  const place = target === null ? null : book.placeOf(target);
  if (place === null || (name === "instead_of" && target.kind === "open")) {
    throw new Refused(
      "no-target",
      said("Nothing that can be corrected has that number. Fetch the entries again."),
    );
  }
  const before = stateBefore(setup, book, place);
  if (before.players.white === null) {
    throw new Refused("not-open", said("Nothing is played before the match is opened."));
  }
  const kept = (place.holder ?? target).by;
  const ready = entry.with({ by: colourThere(name, entry, before.turn, kept) });
  if (!before.over) {
    checkRun(setup, before, ready);
  }
  checkContacts(ready, ready.by);
  return ready;
}

function stateBefore(setup, book, place) {
  let state = start(setup);
  for (const standing of book.standing(place)) {
    state = apply(setup, state, standing);
  }
  return state;
}

/** Return whose entry a correction is: a re-fold never moves a run by itself. */
function colourThere(name, entry, turn, kept) {
  if (name === "before") {
    return entry.by ?? turn ?? kept ?? "white";
  }
  if (entry.by !== null && entry.by !== kept && entry.by !== turn) {
    throw new Refused(
      "not-on-turn",
      said("That place belongs to %(colour)s. Leave the colour out, or name who is on turn there.", {
        colour: nameOf(kept),
      }),
    );
  }
  return entry.by ?? kept ?? turn ?? "white";
}

// Entries about other entries

function prepareRemark(state, entry, book) {
  const target = book.find(entry.get("target"));
  if (target === null) {
    throw new Refused("no-target", said("No entry of this match has that number. Fetch the entries again."));
  }
  if (entry.kind === "void") {
    checkVoid(target, book);
    return entry;
  }
  const place = book.placeOf(target);
  const kinds = entry.kind === "annotate" ? STROKES : PLACED;
  if (place === null || !kinds.has(place.face.kind)) {
    throw new Refused("no-target", said("That entry is no stroke. Name the stroke that this is about."));
  }
  if (entry.kind === "settle") {
    return entry.with({ codes: openCodes(state, place.face.seq) });
  }
  checkContacts(entry, cueBallAt(place, book));
  return entry;
}

/** Return the ball that was played at a place: as described, else the player's own. */
function cueBallAt(place, book) {
  return place.standing(book.voided)?.value("cue_ball") ?? place.face.by;
}

function openCodes(state, seq) {
  const codes = state.flags.filter((flag) => flag.seq === seq).map((flag) => flag.code);
  return [...new Set(codes)].sort();
}

function checkVoid(target, book) {
  if (target.kind === "void") {
    throw new Refused(
      "void-of-void",
      said("A strike-out is not struck out. Write the entry again in its place."),
    );
  }
  if (target.kind === "open") {
    throw new Refused("void-of-open", said("The opening stays. An organiser can annul the match instead."));
  }
  if (book.voided.has(target.seq)) {
    throw new Refused("already-void", said("That entry is struck out already."));
  }
}

// The other kinds; positions and restored seconds are always taken.

const CHECKS = {
  open(setup, state) {
    if (state.players.white !== null) {
      throw new Refused("already-open", said("The match is open already. Write the next stroke."));
    }
    if (state.over) {
      throw new Refused("over", said("The match was decided without play."));
    }
  },
  timeout(setup, state) {
    checkPlaying(state);
    if (state.timeouts[state.turn] >= setup.timeoutsAllowed()) {
      throw new Refused(
        "timeouts-used",
        said("%(colour)s has no time-out left.", { colour: nameOf(state.turn) }),
      );
    }
  },
  suspend(setup, state) {
    if (state.over) {
      throw new Refused("over", said("The match is over; there is nothing to suspend."));
    }
    if (state.suspended) {
      throw new Refused("already-suspended", said("The match is suspended already."));
    }
  },
  resume(setup, state) {
    if (state.over || !state.suspended) {
      throw new Refused("not-suspended", said("The match is not suspended. Go on writing."));
    }
  },
  extra(setup, state) {
    if (status(state) === "confirmed") {
      throw new Refused(
        "over",
        said("The match is confirmed. An organiser can strike the confirmation out."),
      );
    }
    if (!isDrawn(setup, state)) {
      throw new Refused("not-drawn", said("Extra innings follow a draw. This match is not drawn."));
    }
  },
  concede: checkGiveUp,
  retire: checkGiveUp,
  result(setup, state, entry) {
    if (entry.get("outcome") === "played" && state.players.white === null) {
      throw new Refused("not-open", said("Say who started before the totals are written."));
    }
  },
  confirm(setup, state) {
    if (!state.over) {
      throw new Refused("not-over", said("The match is not over yet. Confirm it at its end."));
    }
  },
};

function checkGiveUp(setup, state) {
  if (state.over) {
    throw new Refused("over", said("The match is over already."));
  }
}

/** Return the name of a colour, to be translated. */
export function nameOf(colour) {
  const names = { white: said("White"), yellow: said("Yellow") };
  return names[colour] ?? said("Nobody");
}
