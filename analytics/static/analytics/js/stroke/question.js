// The stroke that is asked for: between the page, its address, and the call to the club.

import { BALLS, rounded } from '../../../scoring/js/table/layout.js';

export const MISCUE = 0.5; // [radii] off the centre
export const MOST_SPEED = 12; // [m/s]
const STRIKE = ['direction', 'speed', 'side', 'height'];

/** Return the query string that asks the same again. */
export function query(asked) {
  const parts = new URLSearchParams();
  for (const ball of BALLS) parts.set(ball, asked.layout[ball].map((one) => rounded(one, 1e6)).join(','));
  parts.set('cue', asked.cue);
  for (const name of STRIKE) parts.set(name, rounded(asked[name]));
  parts.set('discipline', asked.discipline);
  parts.set('table', asked.table);
  return parts.toString().replaceAll('%2C', ',');
}

/** Return the body of the call. */
export function body(asked, table) {
  return {
    layout: asked.layout,
    cue_ball: asked.cue,
    strike: Object.fromEntries(STRIKE.map((name) => [name, asked[name]])),
    discipline: asked.discipline,
    table: table.send,
    paths: true,
  };
}

/** Return the number a person typed, a comma or a point in it; null where there is none. */
export function typed(text) {
  const plain = text.trim().replace(',', '.').replace('−', '-');
  if (!/^[-+]?(\d+\.?\d*|\.\d+)$/.test(plain)) return null;
  return Number(plain);
}

/** Return a direction between 0 and 360 [deg]. */
export const turned = (direction) => rounded(((direction % 360) + 360) % 360, 100) % 360;

/** Return the tip's place, drawn in to the miscue limit where it lies beyond. */
export function withinFace(side, height) {
  const off = Math.hypot(side, height);
  if (off <= MISCUE) return [rounded(side, 100), rounded(height, 100)];
  const cut = (value) => Math.trunc((value / off) * MISCUE * 100) / 100;
  return [cut(side), cut(height)];
}
