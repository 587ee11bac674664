// The table drawing that can be touched: balls, grips, the line of the stroke.
// Frame, marks and rail names were drawn by the server; px and scale are those of its drawing.

import { drawn, mark } from '../pages/score/dom.js';
import { BALL } from './words.js';
import { namePlace } from './places.js';

const SCALE = 56; // [px a diamond], as in scoring/templatetags/table_drawing.py
const ROOM = 0.46; // [diamonds] round the frame
const LENGTH = 8;
const REACH = 22; // [px] round a grip that a finger may miss by

export const px = ([x, y]) => [(x + ROOM) * SCALE, (LENGTH - y + ROOM) * SCALE];
export const fix = (value) => value.toFixed(2);
const moved = (at) => `translate(${px(at).map(fix).join(' ')})`;

export class Drawing {
  /** `aims`: whether there is a grip to turn the direction. */
  constructor(svg, { aims = true } = {}) {
    this.svg = svg;
    for (const old of svg.querySelectorAll(':scope > .cue-ring, :scope > [class^="ball-"]')) old.remove();
    mark(svg, 'role', 'group');
    const group = (name) => svg.appendChild(drawn('g', { class: name }));
    this.aim = svg.appendChild(drawn('path', { class: 'aim-line', 'stroke-dasharray': '3 3' }));
    this.ghost = svg.appendChild(drawn('circle', { class: 'ghost', 'stroke-dasharray': '2 2' }));
    this.starts = group('starts');
    this.line = group('line-a');
    this.balls = Object.fromEntries(Object.keys(BALL).map((ball) => [ball, this.makeBall(ball)]));
    this.numbers = group('line-a numbers');
    this.grips = Object.fromEntries(Object.keys(BALL).map((ball) => [ball, this.makeGrip(ball)]));
    if (aims) this.grips.aim = this.makeGrip('aim');
    this.at = {};
  }

  makeBall(ball) {
    const whole = this.svg.appendChild(drawn('g', { class: 'moving' }));
    const ring = whole.appendChild(drawn('circle', { class: 'cue-ring', 'stroke-dasharray': '2.6 2.2' }));
    const body = whole.appendChild(drawn('g', { class: `ball-${ball}` }));
    const disc = body.appendChild(drawn('circle', { class: 'ball-disc' }));
    const sign = ball === 'white' ? null : body.appendChild(drawn(ball === 'red' ? 'rect' : 'circle', { class: 'ball-sign' }));
    const name = whole.appendChild(drawn('text', { class: 'ball-name' }));
    name.textContent = BALL[ball];
    return { whole, ring, disc, sign, name };
  }

  makeGrip(name) {
    const grip = drawn('g', { class: `grip grip-of-${name}`, tabindex: 0, role: 'slider', 'data-grip': name });
    grip.append(drawn('circle', { class: 'grip-reach', r: REACH }), drawn('circle', { class: 'grip-ring', r: 14 }));
    if (name === 'aim') grip.append(drawn('circle', { class: 'grip-aim', r: 8 }), drawn('path', { class: 'grip-aim', d: 'M-12 0h24M0-12v24' }));
    return this.svg.appendChild(grip);
  }

  /** Set the balls' radius [diamonds] and which of them is the cue ball. */
  dress(cue, radius) {
    const r = radius * SCALE;
    this.radius = radius;
    for (const [ball, { ring, disc, sign }] of Object.entries(this.balls)) {
      mark(disc, 'r', fix(r));
      mark(ring, 'r', fix(r + 3.5));
      mark(ring, 'visibility', ball === cue ? null : 'hidden');
      if (ball === 'yellow') mark(sign, 'r', fix(r / 3));
      if (ball === 'red') {
        const [w, h] = [r * 1.1, r * 0.36];
        for (const [key, value] of Object.entries({ x: -w / 2, y: -h / 2, width: w, height: h })) mark(sign, key, fix(value));
      }
    }
    mark(this.ghost, 'r', fix(r));
  }

  /** Put a ball somewhere; its name changes sides before it would leave the cloth. */
  put(ball, at) {
    const { whole, name } = this.balls[ball];
    whole.setAttribute('transform', moved(at));
    this.at[ball] = at;
    const wide = (this.radius * SCALE + 9 + 7.8 * BALL[ball].length) / SCALE;
    const anchor = name.getAttribute('text-anchor');
    if (anchor === 'start' && at[0] + wide > 4) this.turnName(name, -1);
    else if (anchor === 'end' && at[0] - wide < 0) this.turnName(name, 1);
  }

  turnName(name, side) {
    mark(name, 'text-anchor', side > 0 ? 'start' : 'end');
    mark(name, 'x', fix(side * (this.radius * SCALE + 9)));
  }

  /** Choose the clearest side for every name; `taken`: points of lines and numbers [diamonds]; `large`: how
   * many times as large as usual the names are written. */
  nameBalls(taken = [], large = 1) {
    for (const [ball, { name }] of Object.entries(this.balls)) {
      const rest = Object.entries(this.at).filter(([other]) => other !== ball).map(([, at]) => at);
      const side = namePlace(this.at[ball], BALL[ball].length, [...rest, ...taken], SCALE, this.radius, large);
      mark(name, 'x', fix(side.dx));
      mark(name, 'y', fix(side.dy));
      mark(name, 'text-anchor', side.anchor);
    }
  }

  /** Draw the aim: a fine line from the cue ball to what is met first, and the grip that turns it. */
  aimAt(from, to, grip, ball) {
    const [[x1, y1], [x2, y2]] = [px(from), px(to)];
    mark(this.aim, 'd', `M${fix(x1)} ${fix(y1)}L${fix(x2)} ${fix(y2)}`);
    mark(this.ghost, 'cx', fix(x2));
    mark(this.ghost, 'cy', fix(y2));
    mark(this.ghost, 'visibility', ball ? null : 'hidden');
    this.grips.aim.setAttribute('transform', moved(grip));
    this.aimGrip = grip;
  }

  /** Put the grips of the balls where the layout has them. */
  gripBalls(layout) {
    this.layout = layout;
    for (const ball of Object.keys(BALL)) this.grips[ball].setAttribute('transform', moved(layout[ball]));
  }

  /** Tell a grip's place to those who listen. */
  tell(name, now, words, label) {
    const grip = this.grips[name];
    mark(grip, 'aria-label', label);
    mark(grip, 'aria-valuenow', now);
    mark(grip, 'aria-valuetext', words);
  }

  showAim(shown) {
    mark(this.aim, 'visibility', shown ? null : 'hidden');
    mark(this.svg, 'data-struck', !shown);
    if (!shown) mark(this.ghost, 'visibility', 'hidden');
  }

  /** Dotted rings where the balls lay; none while nothing was struck. */
  showStarts(layout) {
    this.starts.replaceChildren(
      ...Object.values(layout ?? {}).map((at) => {
        const [cx, cy] = px(at).map(fix);
        return drawn('circle', { class: 'ghost', 'stroke-dasharray': '2 2', r: fix(this.radius * SCALE), cx, cy });
      }),
    );
  }

  /** Return the name of the grip nearest to a pointer, within a finger's reach; null where none is. */
  nearest(event) {
    const here = this.diamonds(event);
    const reach = Math.max(REACH, 24 / (this.svg.getScreenCTM()?.a || 1)) / SCALE;
    let best = null;
    // On a tie a ball goes before the aim.
    const grips = Object.entries(this.layout);
    if (this.grips.aim) grips.push(['aim', this.aimGrip]);
    for (const [name, at] of grips) {
      const far = Math.hypot(at[0] - here[0], at[1] - here[1]);
      if (far <= reach && (best === null || far < best.far)) best = { name, far };
    }
    return best?.name ?? null;
  }

  /** Return where a pointer is, in diamonds. */
  diamonds(event) {
    const matrix = this.svg.getScreenCTM().inverse();
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix);
    return [at.x / SCALE - ROOM, LENGTH - (at.y / SCALE - ROOM)];
  }
}

/** A curve through arcs of the way (motion.js), as the `d` of a path. */
export function curve(arcs) {
  if (!arcs.length) return '';
  const pair = (at) => px(at).map(fix).join(' ');
  return `M${pair(arcs[0].from)}${arcs.map(({ bend, to }) => `Q${pair(bend)} ${pair(to)}`).join('')}`;
}

/** A contact's number in its circle; of line B in a square. */
export function numbered(at, number, square = false) {
  const [x, y] = px(at);
  const whole = drawn('g', { class: 'number-whole' });
  const text = drawn('text', { class: 'number', x: fix(x), y: fix(y + 4.3), 'text-anchor': 'middle' });
  text.textContent = number;
  const frame = square
    ? drawn('rect', { class: 'number-mark', x: fix(x - 8.5), y: fix(y - 8.5), width: 17, height: 17, rx: 2 })
    : drawn('circle', { class: 'number-mark', cx: fix(x), cy: fix(y), r: 9 });
  whole.append(frame, text);
  return whole;
}

/** The dotted ring where the cue ball met a ball. */
export function ghostAt(at, radius) {
  const [cx, cy] = px(at).map(fix);
  return drawn('circle', { class: 'ghost', 'stroke-dasharray': '2 2', r: fix(radius * SCALE), cx, cy });
}
