// A ruling in the words of its panel: what kind it is, its headline, and why.

import { words } from '../match/said.js';

const { gettext: spoken, ngettext: counted, interpolate: filled } = globalThis;
const PENDING = new Set(['no ball was met', 'the second ball was missed']);

/** Whether more contacts could still make a point of it. */
export function pending(ruling) {
  return ruling.foul === null && PENDING.has(ruling.reason.template);
}

/** Return [kind, head, why] of a ruling that stands. */
export function verdict(ruling) {
  if (ruling.valid) return ['counts', headCounts(ruling.cushions), whyCounts(ruling.required)];
  const reason = words(ruling.reason);
  const why = `${reason.charAt(0).toUpperCase()}${reason.slice(1)}.`;
  if (ruling.foul !== null) return ['no', spoken('A foul'), why];
  if (ruling.cushions >= ruling.required) return ['no', spoken('Does not count'), why];
  const short = { made: ruling.cushions, required: ruling.required };
  return ['no', filled(spoken('Does not count: %(made)s of %(required)s'), short, true), why];
}

function headCounts(count) {
  if (!count) return spoken('Counts');
  return filled(counted('Counts: %(count)s cushion', 'Counts: %(count)s cushions', count), { count }, true);
}

function whyCounts(required) {
  if (!required) return spoken('Both balls were met; no cushion is needed.');
  return filled(spoken('%(required)s needed before the second ball.'), { required }, true);
}

/** Return the headline of a stroke under way: how many cushions, how many more are needed. */
export function soFar({ cushions: count, required }) {
  const text = counted('%(count)s cushion so far', '%(count)s cushions so far', count);
  const made = filled(text, { count }, true);
  const missing = required - count;
  return missing > 0
    ? filled(spoken('%(made)s, %(missing)s more needed'), { made, missing }, true)
    : filled(spoken('%(made)s, a ball still to be met'), { made }, true);
}
