// Contacts: what the cue ball met, in order. Twin of scoring/rules/contacts.py; one file of
// cases, tests/cases/rulings.json, holds the two together.

import { Malformed, said } from "./said.js";

export const BALLS = ["white", "yellow", "red"];
export const CUE_BALLS = ["white", "yellow"];
export const RAILS = ["bottom", "right", "top", "left"];
export const LONG_RAILS = ["right", "left"];
export const MOST_CONTACTS = 200;

/**
 * Read a JSON list of contacts into `[{ball, rail, tie}]`, ball or rail being null.
 * Throws Malformed with the field (`contacts[3].ball`).
 */
export function parseContacts(value, cueBall = null, field = "contacts") {
  if (!Array.isArray(value)) {
    throw new Malformed(field, said("a list of contacts is needed here"));
  }
  if (value.length > MOST_CONTACTS) {
    throw new Malformed(field, said("at most %(most)s contacts can be described", { most: MOST_CONTACTS }));
  }
  return value.map((one, place) => contact(one, cueBall, `${field}[${place}]`, place));
}

function contact(value, cueBall, field, place) {
  const known = ["ball", "rail", "tie"];
  const isObject = typeof value === "object" && value !== null && !Array.isArray(value);
  if (!isObject || Object.keys(value).some((name) => !known.includes(name))) {
    throw new Malformed(
      field,
      said('a contact is needed here: a "ball" or a "rail", and at most a "tie" beside it'),
    );
  }
  const ball = value.ball ?? null;
  const rail = value.rail ?? null;
  const tie = value.tie === undefined ? false : value.tie;
  if ((ball === null) === (rail === null)) {
    throw new Malformed(field, said("a contact has either a ball or a rail"));
  }
  if (ball === null) {
    choice(rail, `${field}.rail`, RAILS);
  } else {
    objectBall(ball, `${field}.ball`, cueBall);
  }
  if (typeof tie !== "boolean") {
    throw new Malformed(`${field}.tie`, said("true or false is needed here"));
  }
  if (tie && place === 0) {
    throw new Malformed(`${field}.tie`, said("the first contact has none before it"));
  }
  return { ball, rail, tie };
}

function choice(value, field, choices) {
  if (!choices.includes(value)) {
    throw new Malformed(
      field,
      said("one of these is needed here: %(choices)s", { choices: choices.join(", ") }),
    );
  }
}

function objectBall(value, field, cueBall) {
  choice(value, field, BALLS);
  if (value === cueBall) {
    throw new Malformed(field, said("the cue ball cannot meet itself"));
  }
}

/** Return the contacts as JSON values; `parseContacts` reads them back. */
export function contactsToJson(contacts) {
  return contacts.map((one) => ({
    ...(one.ball ? { ball: one.ball } : { rail: one.rail }),
    ...(one.tie ? { tie: true } : {}),
  }));
}

/** Group the contacts by instant: a contact with `tie` joins the one before it. */
export function instants(contacts) {
  const groups = [];
  for (const one of contacts) {
    if (one.tie && groups.length) {
      groups[groups.length - 1].push(one);
    } else {
      groups.push([one]);
    }
  }
  return groups;
}

/**
 * Follow the cue ball to its second object ball; what comes later is left out.
 * A rail at the same instant as a ball is not before it, whichever was named first.
 * Returns `{before, after, first, second, bothAtOnce}`: rails, then balls or null.
 */
export function course(contacts) {
  const before = [];
  const after = [];
  let first = null;
  for (const group of instants(contacts)) {
    const rails = group.filter((one) => one.rail).map((one) => one.rail);
    const balls = new Set(group.filter((one) => one.ball).map((one) => one.ball));
    const others = [...balls].filter((ball) => ball !== first);
    if (first !== null && others.length) {
      return { before, after, first, second: others[0], bothAtOnce: false };
    }
    if (first === null && others.length) {
      first = others[0];
      if (others.length > 1) {
        return { before, after, first, second: others[1], bothAtOnce: true };
      }
    }
    (first === null ? before : after).push(...rails);
  }
  return { before, after, first, second: null, bothAtOnce: false };
}
