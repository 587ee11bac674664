// Playing a line: the balls run on the drawing, true or slow; step by step where motion is unwanted.

import { mark, put } from '../../../scoring/js/pages/score/dom.js';
import { Clock } from '../stroke/clock.js';
import { placeAt } from '../stroke/motion.js';
import { called, say, seconds } from '../stroke/texts.js';

const { gettext: spoken } = globalThis;
const SLOW = 0.25;
const START = { a: spoken('Play A'), b: spoken('Play B') };

export class Player {
  /** `told(text)` says how far the line has come; `back()` puts the balls where they lay. */
  constructor(place, drawing, routes, told, back) {
    Object.assign(this, { place, drawing, routes, told, back });
    this.still = matchMedia('(prefers-reduced-motion: reduce)');
    this.clock = new Clock((time) => this.show(time), () => this.label());
    this.shots = {};
    this.side = null;
    place.addEventListener('click', (event) => {
      const button = event.target.closest('button[data-play]');
      if (button) this.press(button.dataset.play);
    });
    place.addEventListener('change', (event) => {
      if (event.target.matches('[data-slow]')) this.clock.pace(event.target.checked ? SLOW : 1);
    });
  }

  /** Offer a line to be played; null takes the offer away. */
  offer(side, shot) {
    this.shots[side] = shot;
    this.label();
  }

  /** Stop, with the balls where they lay before the stroke. */
  end() {
    this.clock.stop();
    if (this.side === null) return;
    this.routes[this.side].show(Infinity);
    this.side = null;
    this.label();
  }

  press(what) {
    if (what === 'back') {
      this.end();
      this.back();
    } else if (this.still.matches) {
      this.step(what);
    } else if (this.side === what && this.clock.running) {
      this.clock.stop();
    } else {
      this.take(what);
      this.clock.run();
    }
  }

  take(side) {
    if (this.side === side) return;
    this.end();
    this.side = side;
    this.clock.begin(this.shots[side].duration, 0);
  }

  step(side) {
    this.take(side);
    const { contacts, duration } = this.shots[side];
    const next = contacts.find((one) => one.t > this.clock.time + 1e-9);
    this.clock.set(next ? next.t : this.clock.time < duration ? duration : 0);
    this.label();
  }

  show(time) {
    if (this.side === null) return;
    const shot = this.shots[this.side];
    for (const [ball, pieces] of Object.entries(shot.paths)) this.drawing.put(ball, placeAt(pieces, time));
    this.routes[this.side].show(time);
    const met = shot.contacts.filter((one) => one.t <= time);
    const values = { line: this.side.toUpperCase(), time: seconds(time), met: met.map(called).join(', ') };
    this.told(say(met.length ? spoken('Line %(line)s after %(time)s: %(met)s') : spoken('Line %(line)s after %(time)s'), values));
  }

  label() {
    this.place.hidden = !this.shots.a && !this.shots.b;
    for (const side of ['a', 'b']) {
      const button = this.place.querySelector(`[data-play="${side}"]`);
      button.hidden = !this.shots[side];
      put(button, this.side === side && this.clock.running ? spoken('Stop') : START[side]);
    }
    const away = this.side === null;
    this.place.querySelector('[data-play="back"]').hidden = away;
    mark(this.drawing.svg, 'data-playing', away ? null : '');
  }
}
