// What was found, in words first.

import { BALL, RAIL, called, say } from '../stroke/texts.js';

const { gettext: spoken } = globalThis;

/** Return a share as so many in a hundred. */
export const inHundred = (share) => Math.round(share * 100);

export const familyOf = (line, families) => families[line.family] ?? line.family;

const capital = (text) => text.charAt(0).toLocaleUpperCase() + text.slice(1);

/** Return what the lines presume. */
export function presumed(asked, form) {
  const chosen = (name) => form.elements[name].selectedOptions[0]?.textContent ?? '';
  return say(spoken('To play: %(ball)s. %(discipline)s. Table: %(table)s. Spread: %(spread)s.'), {
    ball: BALL[asked.cue],
    discipline: chosen('discipline'),
    table: chosen('table'),
    spread: asked.spread,
  });
}

/** Return the finding: how likely the best line is, and whether it is the better of the best two. */
export function finding({ lines, complete }, families, quick) {
  const more = spoken('Still looking for better ones.');
  if (!lines.length) return quick ? more : spoken('No line was found that makes the point from here.');
  const [best, next] = lines;
  const head = say(spoken('%(family)s makes the point about %(best)s times in 100.'), {
    family: capital(familyOf(best, families)),
    best: inHundred(best.success),
  });
  const parts = [head];
  if (next) {
    const gap = best.success - next.success;
    const doubt = Math.hypot(best.stderr, next.stderr);
    const values = { family: familyOf(next, families), next: inHundred(next.success), gap: inHundred(gap), doubt: Math.max(1, inHundred(doubt)) };
    parts.push(
      gap > 1.645 * doubt
        ? say(spoken('Next: %(family)s, about %(next)s; behind by %(gap)s in 100, give or take %(doubt)s.'), values)
        : say(spoken('Next: %(family)s, about %(next)s; which of the two is better is too close to tell.'), values),
    );
  }
  if (quick) parts.push(more);
  else if (complete === false) parts.push(spoken('The search was cut short; there may be better lines.'));
  return parts.join(' ');
}

/** Return the contacts of a line in words. */
export const routeOf = (line) => line.contacts.map(called).join(', ');

/** Return where to aim on the rail. */
export function aimOf({ aim }) {
  if (!aim) return '';
  return say(spoken('%(rail)s rail, %(diamond)s'), { rail: RAIL[aim.rail], diamond: aim.diamond.toFixed(1) });
}
