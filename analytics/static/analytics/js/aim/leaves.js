// What a line leaves, in words.

import { one, put } from '../../../scoring/js/pages/score/dom.js';
import { say, unplayed } from '../stroke/texts.js';
import { inHundred } from './finding.js';

const { gettext: spoken } = globalThis;

/** Return the club's answer as {text, again}: whether it may be asked once more. */
export function leavesOf({ shot: found, refused, ...other }) {
  if (!found) return { text: refused ? spoken('This line cannot be played.') : unplayed(other), again: true };
  if (found.success === null) return { text: spoken('It makes the point too seldom to say what it leaves.') };
  const text = spoken('From what it leaves, the next point is made about %(times)s times in 100: %(share)s ± %(doubt)s over %(rests)s positions it left. Each was searched lightly, so rather more than that.');
  const values = { times: inHundred(found.success), share: found.success.toFixed(2), doubt: found.stderr.toFixed(2), rests: found.leaves.length };
  return { text: say(text, values), again: !found.complete };
}

/** Write it below a line. */
export function leavesTold(place, { text, again, waiting }) {
  if (!place) return;
  put(one('.aim-leaves', place), waiting ? spoken('Playing it, and looking for lines from where the balls come to rest: some seconds.') : text);
  one('[data-act="leaves"]', place).hidden = !again;
}
