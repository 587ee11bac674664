// Hands on the table drawing: balls and aim by finger, mouse or keys.

import { bearing, rounded } from './layout.js';

const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

/** `state()` gives the question with the table's `size`; `change(wish, done)` takes a wish; `keep()` ends a drag. */
export function watchTable(drawing, state, change, keep) {
  const { svg } = drawing;
  const aims = Boolean(drawing.grips.aim);
  let held = null;

  const aim = (event, done) => {
    const { layout, cue, size } = state();
    change({ direction: rounded(bearing(layout[cue], drawing.diamonds(event), size), 10) }, done);
  };

  // A finger on a grip moves it; elsewhere it scrolls the page, as everywhere.
  svg.addEventListener('touchstart', (event) => {
    if (event.touches.length === 1 && drawing.nearest(event.touches[0])) event.preventDefault();
  }, { passive: false });

  svg.addEventListener('pointerdown', (event) => {
    if (event.button > 0 || held) return;
    const name = drawing.nearest(event);
    const mouse = event.pointerType === 'mouse';
    if (!name && !(mouse && aims)) return;
    // The mouse aims from anywhere on the cloth. A ball is moved by as much as the hand moves.
    const from = drawing.diamonds(event);
    const lay = name && name !== 'aim' ? state().layout[name] : null;
    held = { id: event.pointerId, name: name ?? 'aim', off: lay && [lay[0] - from[0], lay[1] - from[1]] };
    svg.setPointerCapture(event.pointerId);
    svg.dataset.holding = '';
    drawing.grips[held.name].focus({ preventScroll: true });
    event.preventDefault();
    if (!name) aim(event, false);
  });

  svg.addEventListener('pointermove', (event) => {
    if (held?.id !== event.pointerId) return;
    if (held.name === 'aim') {
      aim(event, false);
      return;
    }
    const [x, y] = drawing.diamonds(event);
    change({ ball: held.name, at: [rounded(x + held.off[0], 100), rounded(y + held.off[1], 100)] }, false);
  });

  for (const end of ['pointerup', 'pointercancel']) {
    svg.addEventListener(end, (event) => {
      if (held?.id !== event.pointerId) return;
      held = null;
      delete svg.dataset.holding;
      keep();
    });
  }

  // A tap on the cloth aims there.
  svg.addEventListener('click', (event) => {
    if (aims && event.pointerType === 'touch' && !drawing.nearest(event)) aim(event, true);
  });

  svg.addEventListener('keydown', (event) => {
    const name = event.target.closest?.('[data-grip]')?.dataset.grip;
    const step = STEPS[event.key];
    if (!name || !step || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    const { layout, direction } = state();
    if (name === 'aim') {
      // Left and up turn counter-clockwise.
      const turn = step[1] - step[0];
      change({ direction: rounded(direction + turn * (event.shiftKey ? 0.1 : 1), 100) });
      return;
    }
    const far = event.shiftKey ? 0.01 : 0.1;
    change({ ball: name, at: [rounded(layout[name][0] + step[0] * far), rounded(layout[name][1] + step[1] * far)] });
  });
}
