// Where executions of the two lines go: ways that leave the plan, arrivals along the third rail
// outside the frame, and where the cue ball ends.

import { drawn } from '../../../scoring/js/pages/score/dom.js';
import { fix, px } from '../../../scoring/js/table/drawing.js';

const TICKS = 70;
const ENDS = 96;
// How far outside the nose the ticks of each line stand [diamonds]: one beyond the other.
const BAND = { a: [0.3, 0.375], b: [0.385, 0.46] };
const OUTWARD = {
  bottom: (along, off) => [along, -off],
  top: (along, off) => [along, 8 + off],
  left: (along, off) => [-off, along],
  right: (along, off) => [4 + off, along],
};

const path = (points) => `M${points.map((at) => px(at).map(fix).join(' ')).join('L')}`;

export class Strays {
  constructor({ svg, starts }) {
    const group = (side) => svg.insertBefore(drawn('g', { class: `stray stray-${side}`, 'aria-hidden': 'true' }), starts);
    this.groups = { a: group('a'), b: group('b') };
    this.shown = { ways: true, ends: false };
    this.found = {};
  }

  clear() {
    for (const side of ['a', 'b']) this.show(side, null);
  }

  /** Choose whether ways and arrivals, or the ends, are shown. */
  choose(what, shown) {
    this.shown[what] = shown;
    for (const side of ['a', 'b']) this.draw(side);
  }

  /** Show what the club answered of a line; null takes it away. */
  show(side, found) {
    this.found[side] = found;
    this.draw(side);
  }

  draw(side) {
    const found = this.found[side];
    const parts = [];
    if (found && this.shown.ways) parts.push(...found.ways.map((way) => drawn('path', { class: 'stray-way', d: path(way) })), ...ticks(found, BAND[side]));
    if (found && this.shown.ends) parts.push(...ends(found, side));
    this.groups[side].replaceChildren(...parts);
  }
}

function ticks({ rail, arrivals }, [near, far]) {
  if (!rail) return [];
  const outward = OUTWARD[rail];
  return arrivals.slice(0, TICKS).map((along) => drawn('path', { class: 'stray-tick', d: path([outward(along, near), outward(along, far)]) }));
}

// Full where the point was made, open where not; line A round, line B square.
function ends({ rests, made }, side) {
  return rests.slice(0, ENDS).map((at, n) => {
    const [x, y] = px(at);
    const kind = made[n] ? 'stray-made' : 'stray-missed';
    return side === 'a'
      ? drawn('circle', { class: kind, cx: fix(x), cy: fix(y), r: 2.6 })
      : drawn('rect', { class: kind, x: fix(x - 2.3), y: fix(y - 2.3), width: 4.6, height: 4.6 });
  });
}
