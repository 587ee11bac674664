// The validator: a contact sequence in, a ruling out. Twin of scoring/rules/rulings.py; one
// file of cases, tests/cases/rulings.json, holds the two together.

import { course, instants } from "./contacts.js";
import { familyOf } from "./families.js";
import { said } from "./said.js";

/**
 * Judge a stroke by its contacts (as `parseContacts` gives them).
 *
 * discipline, ruleSet: as the server writes them. touchingRail, touchingBall: what the cue ball
 * lay against, one or several. offTable: balls that left the table.
 * Returns `{valid, cushions, required, reason, rule, family, foul}`, reason and rule being
 * `{template, params}`.
 */
export function rule({
  discipline,
  cueBall,
  contacts,
  opening = false,
  touchingRail = null,
  touchingBall = null,
  offTable = [],
  ruleSet,
}) {
  const rails = names(touchingRail);
  const intoRail = leavesIntoRail(contacts, rails);
  const counted =
    intoRail && ruleSet.rail_frozen === "uncounted" ? withoutFirstImpact(contacts, rails) : contacts;
  const way = course(counted);
  const cushions = way.before.length + way.after.length;
  const required = discipline.required_cushions;
  let foul = null;
  let finding;
  if (names(offTable).length) {
    foul = "outside";
    finding = OFF_TABLE;
  } else if (leavesIntoBall(counted, names(touchingBall))) {
    foul = "ball-in-contact";
    finding = INTO_BALL;
  } else if (intoRail && ruleSet.rail_frozen === "foul") {
    foul = "ball-in-contact";
    finding = INTO_RAIL;
  } else {
    finding = (opening && openingFinding(discipline, way, ruleSet)) || count(required, cushions, way);
  }
  const [valid, reason, text] = finding;
  return { valid, cushions, required, reason, rule: text, family: familyOf(discipline, cueBall, counted), foul };
}

const OFF_TABLE = [
  false,
  said("a ball left the table"),
  said("A stroke that drives a ball off the table makes no point and ends the inning (four national texts)."),
];
const INTO_BALL = [
  false,
  said("played into the ball in contact"),
  said(
    "A cue ball that lies against a ball is played away from it, or by a massé, or spotted on request;" +
      " meeting that ball first is a foul (two national tournament texts).",
  ),
];
const INTO_RAIL = [
  false,
  said("played into the cushion in contact"),
  said(
    "A cue ball that lies against a cushion is not played straight into it, a massé excepted" +
      " (World rules of carom billiard, 4.1.8).",
  ),
];
const RED_FIRST = said(
  "From the opening position the red is the first ball to be met, with no cushion before it" +
    " (World rules of carom billiard, art. 23).",
);
const RED_FIRST_ANYHOW = said(
  "From the opening position the red is the first ball to be met; a cushion may come before it" +
    " (a Danish club's rules).",
);
const COUNT_RULES = {
  0: said("The cue ball must touch both object balls; no cushion is needed (national federation pages)."),
  1: said(
    "The cue ball must touch both object balls and meet at least one cushion before it first touches" +
      " the second, whether before or after the first (national federation pages).",
  ),
  3: said(
    "The cue ball must touch both object balls and make three or more cushion impacts before it first" +
      " touches the second (USBA three-cushion rules, rev. 6 Apr 2009, rule 2).",
  ),
};
const MADE = { 0: said("no cushion"), 1: said("one cushion"), 2: said("two cushions") };
const COUNTS = { 0: said("Counts"), 1: said("Counts: one cushion"), 2: said("Counts: two cushions") };

function countRule(required) {
  return (
    COUNT_RULES[required] ??
    said(
      "The cue ball must touch both object balls and meet at least %(required)s cushions before it first" +
        " touches the second (set by the discipline).",
      { required },
    )
  );
}

// Judge the count, and that both object balls were met.
function count(required, cushions, way) {
  const text = countRule(required);
  if (way.first === null) {
    return [false, said("no ball was met"), text];
  }
  if (way.second === null) {
    return [false, said("the second ball was missed"), text];
  }
  if (cushions < required) {
    return [false, MADE[cushions] ?? said("%(cushions)s cushions", { cushions }), text];
  }
  return [true, COUNTS[cushions] ?? said("Counts: %(cushions)s cushions", { cushions }), text];
}

// Judge what the opening stroke asks beyond the count; null where it is satisfied.
function openingFinding(discipline, way, ruleSet) {
  if (!discipline.red_first_at_opening || !ruleSet.opening_red_first || way.first === null) {
    return null;
  }
  const text = ruleSet.opening_red_direct ? RED_FIRST : RED_FIRST_ANYHOW;
  if (way.first !== "red" || way.bothAtOnce) {
    return [false, said("the red must be met first"), text];
  }
  if (way.before.length && ruleSet.opening_red_direct) {
    return [false, said("the red must be met directly, before any cushion"), text];
  }
  return null;
}

function names(value) {
  if (value === null || value === undefined) {
    return [];
  }
  return typeof value === "string" ? [value] : [...value];
}

// Whether the first instant is a meeting with a rail the cue ball lay against; a ball at that
// same instant is the first contact.
function leavesIntoRail(contacts, rails) {
  const [head = []] = instants(contacts);
  return !head.some((one) => one.ball) && head.some((one) => rails.includes(one.rail));
}

// Drop the rails lain against from the first instant; what it was tied with still counts.
function withoutFirstImpact(contacts, rails) {
  const [head, ...rest] = instants(contacts);
  const kept = head.filter((one) => !rails.includes(one.rail));
  if (kept.length) {
    kept[0] = { ...kept[0], tie: false };
  }
  return [...kept, ...rest.flat()];
}

// Whether the first instant is a meeting with a ball the cue ball lay against.
function leavesIntoBall(contacts, balls) {
  const [head = []] = instants(contacts);
  return head.some((one) => one.ball && balls.includes(one.ball));
}
