// Readers of single values: each returns the value or says what is malformed.

import { BALLS, contactsToJson, parseContacts } from "../rules/contacts.js";
import { FAMILIES } from "../rules/families.js";
import { COLOURS } from "./colours.js";
import { Malformed, said } from "./said.js";

export const MAX_TEXT = 500;
const UUID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;
export const FOUL_REASONS = [
  "outside",
  "balls-moving",
  "not-with-tip",
  "touched",
  "pushed-through",
  "ball-in-contact",
  "foot",
  "marks",
  "wrong-ball",
  "time",
  "other",
];

function isObject(value) {
  return value !== null && typeof value === "object" && !Array.isArray(value);
}

function hasExactly(value, names) {
  return (
    isObject(value) &&
    Object.keys(value).length === names.length &&
    names.every((name) => Object.hasOwn(value, name))
  );
}

/** Return a reader of whole numbers from `low` to `high`. */
export function whole(low, high) {
  return (value, name) => {
    if (!Number.isInteger(value) || value < low || value > high) {
      throw new Malformed(name, said("Send a whole number from %(low)s to %(high)s.", { low, high }));
    }
    return value;
  };
}

export const identity = whole(1, Number.MAX_SAFE_INTEGER);

/** Return a reader of one of `choices`. */
export function oneOf(...choices) {
  return (value, name) => {
    if (typeof value !== "string" || !choices.includes(value)) {
      throw new Malformed(name, said("Send one of: %(choices)s.", { choices: choices.join(", ") }));
    }
    return value;
  };
}

export const colour = oneOf(...COLOURS);
export const family = oneOf(...FAMILIES.keys());
export const foulReason = oneOf(...FOUL_REASONS);

export function flag(value, name) {
  if (typeof value !== "boolean") {
    throw new Malformed(name, said("Send true or false."));
  }
  return value;
}

/** Read a finite number in [low, high]. */
export function number(value, name, low, high) {
  if (!Number.isFinite(value) || value < low || value > high) {
    throw new Malformed(name, said("Send a number from %(low)s to %(high)s.", { low, high }));
  }
  return value;
}

export function seconds(value, name) {
  return number(value, name, 0, 3600);
}

/** Read a line or two of free text: at most 500 characters, no control characters. */
export function text(value, name) {
  if (typeof value !== "string") {
    throw new Malformed(name, said("Send text."));
  }
  if ([...value].length > MAX_TEXT) {
    throw new Malformed(name, said("Send at most %(most)s characters.", { most: MAX_TEXT }));
  }
  if (/[\p{Cc}\p{Cs}]/u.test(value.replace(/[\n\t]/g, ""))) {
    throw new Malformed(name, said("Leave out control characters."));
  }
  return value;
}

/** Read a reference to an entry of the same match: its seq, or its uuid in lower case. */
export function reference(value, name) {
  if (Number.isSafeInteger(value) && value >= 1) {
    return value;
  }
  if (typeof value === "string" && UUID.test(value.toLowerCase())) {
    return value.toLowerCase();
  }
  throw new Malformed(name, said("Send the seq or the uuid of an entry of this match."));
}

/** Read a list of contacts; `cueBall`, where it is known, must not be among them. */
export function contacts(value, name, cueBall = null) {
  return contactsToJson(parseContacts(value, cueBall, name));
}

function pointOnTable(value, name) {
  if (!Array.isArray(value) || value.length !== 2) {
    throw new Malformed(name, said("Send [x, y] in diamonds."));
  }
  return [number(value[0], `${name}[0]`, 0, 4), number(value[1], `${name}[1]`, 0, 8)];
}

/** Read where the three balls lie, each as [x, y] in diamonds: 0 to 4 and 0 to 8. */
export function layout(value, name) {
  if (!hasExactly(value, BALLS)) {
    throw new Malformed(name, said("Send white, yellow and red, each as [x, y] in diamonds."));
  }
  return Object.fromEntries(BALLS.map((ball) => [ball, pointOnTable(value[ball], `${name}.${ball}`)]));
}

const STRIKE = { direction: [-360, 360], speed: [0, 12], side: [-0.5, 0.5], height: [-0.5, 0.5] };

/** Read a line: direction [deg], speed [m/s], tip offset side and height [ball radii]. */
export function strike(value, name) {
  if (!hasExactly(value, Object.keys(STRIKE))) {
    throw new Malformed(name, said("Send direction, speed, side and height."));
  }
  return Object.fromEntries(
    Object.entries(STRIKE).map(([part, [low, high]]) => [
      part,
      number(value[part], `${name}.${part}`, low, high),
    ]),
  );
}

/** Read {white, yellow} of whole numbers. */
export function byColour(value, name) {
  if (!hasExactly(value, COLOURS)) {
    throw new Malformed(name, said("Send white and yellow."));
  }
  const count = whole(0, 100000);
  return Object.fromEntries(COLOURS.map((side) => [side, count(value[side], `${name}.${side}`)]));
}
