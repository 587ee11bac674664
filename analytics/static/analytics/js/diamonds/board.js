// Hands on the drawing: ringed numbers along their rails, balls on the cloth; by finger, mouse or keys.

import { mark } from '../../../scoring/js/pages/score/dom.js';

const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const [WIDTH, LENGTH] = [4, 8];
const REACH = 24; // [px on the screen] round a grip that a finger may miss by
const BALLS = ['cue', 'ball'];

const rounded = (value, parts) => Math.round(value * parts) / parts;
const within = (value, low, high) => Math.min(Math.max(value, low), high);

export class Board {
  /** `wish({field: value}, done)` takes what a hand asks for; `done` when it lets go. */
  constructor(place, wish) {
    this.place = place;
    this.wish = wish;
    this.held = null;
    this.upgrade();
    this.listen();
  }

  get svg() {
    return this.place.querySelector('svg');
  }

  grip(name) {
    return this.svg.querySelector(`[data-grip="${name}"]`);
  }

  grips() {
    return [...this.svg.querySelectorAll('[data-grip]')];
  }

  /**
   * Put a new drawing in place; grips stay the same elements, so focus and a drag go on. `latest`:
   * nothing was moved since it was asked for.
   */
  show(next, latest) {
    const { svg } = this;
    if (latest) this.moved = null;
    for (const { name, value } of next.attributes) if (name !== 'role') mark(svg, name, value);
    svg.querySelector('[data-part="drawn"]').replaceWith(document.importNode(next.querySelector('[data-part="drawn"]'), true));
    const wanted = [...next.children].slice(1).map((one) => document.importNode(one, true));
    const names = wanted.map((one) => one.dataset.grip);
    for (const old of [...svg.children].slice(1)) {
      const name = old.dataset.grip;
      if (!name || (!names.includes(name) && name !== this.held?.name)) old.remove();
    }
    for (const one of wanted) this.take(one);
    this.upgrade();
  }

  take(one) {
    const old = one.dataset.grip && this.grip(one.dataset.grip);
    if (!old) {
      this.svg.append(one);
      return;
    }
    // What a hand holds, or a key moved since this was asked, is where it was put.
    if (this.held?.name === one.dataset.grip || this.moved === one.dataset.grip) return;
    for (const { name, value } of one.attributes) mark(old, name, value);
    old.replaceChildren(...one.childNodes);
  }

  // What the server drew for the eye becomes something to take hold of.
  upgrade() {
    mark(this.svg, 'role', 'group');
    for (const grip of this.grips()) {
      const { name, low, high, now, words } = grip.dataset;
      const told = {
        tabindex: 0, role: 'slider', 'aria-label': name, 'aria-valuemin': low, 'aria-valuemax': high, 'aria-valuenow': now,
        'aria-valuetext': BALLS.includes(grip.dataset.grip) ? words : `${now}. ${words}`,
      };
      for (const [key, value] of Object.entries(told)) mark(grip, key, value);
    }
  }

  listen() {
    const { place } = this;
    // A finger on a grip moves it; elsewhere it scrolls the page, as everywhere.
    place.addEventListener('touchstart', (event) => {
      if (event.touches.length === 1 && this.nearest(event.touches[0])) event.preventDefault();
    }, { passive: false });
    place.addEventListener('pointerdown', (event) => this.down(event));
    place.addEventListener('pointermove', (event) => {
      if (this.held?.id === event.pointerId) this.move(event);
    });
    for (const end of ['pointerup', 'pointercancel']) {
      place.addEventListener(end, (event) => {
        if (this.held?.id !== event.pointerId) return;
        const { wanted } = this.held;
        this.held = null;
        mark(place, 'data-holding', null);
        if (wanted) this.wish(wanted, true);
      });
    }
    place.addEventListener('keydown', (event) => this.key(event));
  }

  down(event) {
    if (event.button > 0 || this.held) return;
    const at = this.diamonds(event);
    const printed = this.nearest(event) ? null : event.target.closest?.('.dia-label');
    const grip = printed ? this.grip(scaleOf(printed)) : this.nearest(event);
    if (!grip) return;
    const name = grip.dataset.grip;
    // A ball is moved by as much as the hand moves.
    const off = BALLS.includes(name) ? [Number(grip.dataset.now) - at[0], Number(grip.dataset.y) - at[1]] : null;
    this.held = { id: event.pointerId, name, off, wanted: null };
    this.place.setPointerCapture(event.pointerId);
    mark(this.place, 'data-holding', '');
    grip.focus({ preventScroll: true });
    event.preventDefault();
    // A number that is tapped where it is printed brings its ring there.
    if (printed) this.wish(this.slide(grip, Number(printed.textContent), 10), false);
  }

  move(event) {
    const { name, off } = this.held;
    const at = this.diamonds(event);
    const grip = this.grip(name);
    if (!grip) return;
    if (off) this.put(grip, [at[0] + off[0], at[1] + off[1]], 100);
    else this.slide(grip, nearestNumber(knotsOf(grip), at), 10);
    this.wish(this.held.wanted, false);
  }

  /** Put a ball somewhere on the cloth. */
  put(grip, [x, y], parts) {
    const name = grip.dataset.grip;
    // The bounds are those of the fields: a ball that is typed farther out is refused in words.
    const least = Math.ceil(Number(this.svg.dataset.radius) * 1e4) / 1e4;
    const at = [rounded(within(x, least, WIDTH - least), parts), rounded(within(y, least, LENGTH - least), parts)];
    const exact = [within(at[0], least, WIDTH - least), within(at[1], least, LENGTH - least)];
    mark(grip, 'data-now', exact[0]);
    mark(grip, 'data-y', exact[1]);
    this.stand(grip, exact);
    const wanted = { [`${name}_x`]: exact[0], [`${name}_y`]: exact[1] };
    if (this.held) this.held.wanted = wanted;
    this.moved = grip.dataset.grip;
    return wanted;
  }

  /** Bring a number to a value along its rail. */
  slide(grip, value, parts) {
    const { low, high } = grip.dataset;
    const number = within(rounded(value, parts), Number(low), Number(high));
    mark(grip, 'data-now', number);
    this.stand(grip, standOf(knotsOf(grip), number));
    grip.querySelector('text').textContent = String(number);
    const wanted = { [grip.dataset.grip]: number };
    if (this.held) this.held.wanted = wanted;
    this.moved = grip.dataset.grip;
    return wanted;
  }

  key(event) {
    const grip = event.target.closest?.('[data-grip]');
    const step = STEPS[event.key];
    if (!grip || !step || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    const far = event.shiftKey ? 0.01 : 0.1;
    const { now, y } = grip.dataset;
    const wanted = BALLS.includes(grip.dataset.grip)
      ? this.put(grip, [Number(now) + step[0] * far, Number(y) + step[1] * far], 1e4)
      : this.slide(grip, Number(now) + (step[0] + step[1]) * far, 1e4);
    this.wish(wanted, true);
  }

  stand(grip, at) {
    const { left, top, scale } = this.svg.dataset;
    const x = (at[0] + Number(left)) * scale;
    const y = (LENGTH - at[1] + Number(top)) * scale;
    mark(grip, 'transform', `translate(${x.toFixed(1)} ${y.toFixed(1)})`);
  }

  /** Return where a pointer is, in diamonds. */
  diamonds(event) {
    const { svg } = this;
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    const { left, top, scale } = svg.dataset;
    return [at.x / scale - Number(left), LENGTH - (at.y / scale - Number(top))];
  }

  /** Return the grip nearest to a pointer, within a finger's reach; null where none is. */
  nearest(event) {
    let best = null;
    for (const grip of this.grips()) {
      const box = grip.querySelector('.dia-reach').getBoundingClientRect();
      const far = Math.hypot(box.x + box.width / 2 - event.clientX, box.y + box.height / 2 - event.clientY);
      if (far <= REACH && (best === null || far < best.far)) best = { grip, far };
    }
    return best?.grip ?? null;
  }
}

// The scale that a printed number belongs to: its group is classed dia-origin, dia-aim or dia-arrival.
const scaleOf = (printed) => printed.parentElement.getAttribute('class').replace('dia-', '');

// Pairs of [number, nose x, nose y, its own place x, y], one pair a stretch of rail.
const knotsOf = (grip) => JSON.parse(grip.dataset.knots);

function nearestNumber(knots, [x, y]) {
  let best = null;
  for (let at = 0; at < knots.length; at += 2) {
    const [[n0, x0, y0], [n1, x1, y1]] = [knots[at], knots[at + 1]];
    const [dx, dy] = [x1 - x0, y1 - y0];
    const share = within(((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy), 0, 1);
    const far = Math.hypot(x0 + dx * share - x, y0 + dy * share - y);
    if (best === null || far < best.far) best = { far, number: n0 + (n1 - n0) * share };
  }
  return best.number;
}

function standOf(knots, number) {
  for (let at = 0; at < knots.length; at += 2) {
    const [[n0, , , x0, y0], [n1, , , x1, y1]] = [knots[at], knots[at + 1]];
    if (number <= n1 || at + 2 >= knots.length) {
      const share = (number - n0) / (n1 - n0);
      return [x0 + (x1 - x0) * share, y0 + (y1 - y0) * share];
    }
  }
  return [0, 0];
}
