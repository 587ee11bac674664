// The line of a stroke on the drawing: the pen runs dry leg by leg, contacts are numbered, nothing
// is drawn after the second object ball. It grows with the time that is shown.

import { drawn, mark } from '../../../scoring/js/pages/score/dom.js';
import { curve, ghostAt, numbered } from '../../../scoring/js/table/drawing.js';
import { arcs, placeAt, timeOfLength } from './motion.js';
import { numberPlace } from '../../../scoring/js/table/places.js';

const AWAY = 0.9; // [diamonds] that the first object ball is followed

/** Return how many contacts stand before and with the meeting of the second object ball. */
export function counted(contacts) {
  const met = new Set();
  for (const [n, one] of contacts.entries()) {
    if (one.ball) met.add(one.ball);
    if (met.size === 2) return n + 1;
  }
  return contacts.length;
}

export class Route {
  /** `second`: line B, dashed, its contacts in squares, set clear of the `beside` line's. */
  constructor(drawing, { second = false, beside = null } = {}) {
    this.drawing = drawing;
    this.second = second;
    this.beside = beside;
    const group = () => drawing.svg.appendChild(drawn('g', { class: second ? 'line-b' : 'line-a numbers' }));
    this.line = second ? group() : drawing.line;
    this.numbers = second ? group() : drawing.numbers;
    this.clear();
  }

  clear() {
    this.legs = [];
    this.marks = [];
    this.points = [];
    this.taken = [];
    this.line.replaceChildren();
    this.numbers.replaceChildren();
  }

  /** Prepare the line of a shot as the club answered it. */
  begin(shot, cue, layout) {
    this.clear();
    const contacts = shot.contacts.slice(0, counted(shot.contacts));
    const over = new Set(contacts.filter((one) => one.ball).map((one) => one.ball)).size === 2;
    const ends = contacts.map((one) => one.t);
    if (!over) ends.push(shot.duration);
    ends.forEach((end, n) => this.addLeg(shot.paths[cue], n ? ends[n - 1] : 0, end, Math.max(3.2 - 0.42 * n, 1.1)));
    const first = contacts.find((one) => one.ball);
    if (first) {
      // It may touch the ball before it is struck, or after; it is followed from where it lay.
      const pieces = shot.paths[first.ball];
      const begin = pieces.length > 1 ? Math.max(pieces[0][0], first.t) : first.t;
      const end = timeOfLength(pieces, AWAY, shot.duration);
      if (end > begin) this.addLeg(pieces, begin, end, null);
    }
    this.number(contacts, layout, cue);
  }

  addLeg(pieces, begin, end, width) {
    const leg = width
      ? drawn('path', {
          class: 'leg',
          'stroke-width': width.toFixed(2),
          ...(this.second ? { 'stroke-dasharray': '7 5' } : {}),
        })
      : drawn('path', { class: 'away', 'stroke-dasharray': '2 4' });
    this.line.append(leg);
    this.legs.push({ leg, pieces, begin, end, drawnTo: null });
    if (width) for (let n = 0; n <= 16; n += 1) this.points.push(placeAt(pieces, begin + ((end - begin) * n) / 16));
  }

  number(contacts, layout, cue) {
    const lying = [...Object.values(layout), ...(this.beside?.taken ?? [])];
    const taken = [];
    let before = layout[cue];
    contacts.forEach((one, n) => {
      const at = numberPlace(one, before, [...taken, ...lying], this.points);
      taken.push(at);
      before = one.at;
      const parts = [numbered(at, n + 1, this.second)];
      if (one.ball) parts.push(ghostAt(one.at, this.drawing.radius));
      this.numbers.append(...parts.reverse());
      this.marks.push({ parts, t: one.t });
    });
    this.taken = taken;
  }

  /** Show the line as far as it has come at `time` [s]. */
  show(time) {
    for (const one of this.legs) {
      const end = Math.min(Math.max(time, one.begin), one.end);
      if (end === one.drawnTo) continue;
      one.drawnTo = end;
      mark(one.leg, 'd', end > one.begin ? curve(arcs(one.pieces, one.begin, end)) : '');
    }
    for (const one of this.marks) {
      const shown = one.t <= time;
      if (shown === one.shown) continue;
      one.shown = shown;
      for (const part of one.parts) mark(part, 'visibility', shown ? null : 'hidden');
    }
  }
}
