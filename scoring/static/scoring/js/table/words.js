// What is said of balls and of where they lie, in the reader's language.

import { colourWord, gettext, interpolate } from '../pages/score/texts.js';

export const BALL = Object.fromEntries(['white', 'yellow', 'red'].map((ball) => [ball, colourWord(ball)]));

export const place = ([x, y]) => `${x.toFixed(2)}, ${y.toFixed(2)}`;

/** Return why a ball cannot lie where it was wanted, and what was done. */
export function refused(ball, why) {
  const name = BALL[ball];
  return why.overlaps
    ? interpolate(gettext('%(name)s would overlap %(other)s there; it was laid beside it.'), { name, other: BALL[why.overlaps] })
    : interpolate(gettext('%(name)s would lie outside the noses there; it was laid inside.'), { name });
}
