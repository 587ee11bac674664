// The face of the cue ball: where the tip meets it, by finger, mouse or keys.

import { mark, one } from '../../../scoring/js/pages/score/dom.js';
import { tip } from './texts.js';
import { withinFace } from './question.js';

const RADIUS = 100; // of the ball in the drawing's own units
const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

/** `moved(side, height, done)` is told of every move; `done` when the tip rests. */
export function watchFace(svg, current, moved) {
  let held = null;
  const at = (event) => {
    const here = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    return withinFace(here.x / RADIUS, -here.y / RADIUS);
  };
  svg.addEventListener('pointerdown', (event) => {
    held = event.pointerId;
    svg.setPointerCapture(held);
    moved(...at(event), false);
  });
  svg.addEventListener('pointermove', (event) => {
    if (event.pointerId === held) moved(...at(event), false);
  });
  for (const end of ['pointerup', 'pointercancel']) {
    svg.addEventListener(end, (event) => {
      if (event.pointerId !== held) return;
      held = null;
      moved(...current(), true);
    });
  }
  svg.addEventListener('keydown', (event) => {
    const [side, height] = current();
    const step = event.shiftKey ? 0.01 : 0.05;
    if (event.key === 'Home') moved(0, 0, true);
    else if (STEPS[event.key]) moved(...withinFace(side + STEPS[event.key][0] * step, height + STEPS[event.key][1] * step), true);
    else return;
    event.preventDefault();
  });
}

/** Show the tip on the face. */
export function showFace(svg, side, height) {
  one('[data-part="tip"]', svg).setAttribute('transform', `translate(${side * RADIUS} ${-height * RADIUS})`);
  mark(svg, 'aria-valuenow', side);
  mark(svg, 'aria-valuetext', tip(side, height));
}
