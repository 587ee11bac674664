// What the page says, in the reader's language.

import { BALL, place, refused } from '../../../scoring/js/table/words.js';

export { BALL, place, refused };

const { gettext: spoken, ngettext: counted, pgettext: meant, interpolate: filled } = globalThis;

export const say = (text, values) => (values ? filled(text, values, true) : text);
export const RAIL = {
  bottom: meant('rail', 'bottom'),
  right: meant('rail', 'right'),
  top: meant('rail', 'top'),
  left: meant('rail', 'left'),
};

export const seconds = (time) => say(spoken('%(time)s s'), { time: time.toFixed(2) });
export const called = (one) => (one.ball ? BALL[one.ball] : RAIL[one.rail]);

export function plays(cue) {
  return say(spoken('%(name)s plays.'), { name: BALL[cue] });
}

/** Return what lies straight ahead. */
export function straightAhead(found) {
  if (found.rail) {
    return say(spoken('Straight ahead: %(rail)s rail at %(mark)s.'), {
      rail: RAIL[found.rail],
      mark: found.mark.toFixed(1),
    });
  }
  return say(spoken('Straight ahead: %(ball)s, %(part)s.'), { ball: BALL[found.ball], part: thickness(found.part) });
}

function thickness(part) {
  if (part > 0.94) return spoken('full');
  const parts = [
    [7 / 8, spoken('nearly full')],
    [3 / 4, spoken('three quarters')],
    [2 / 3, spoken('two thirds')],
    [1 / 2, spoken('half')],
    [1 / 3, spoken('a third')],
    [1 / 4, spoken('a quarter')],
    [1 / 8, spoken('an eighth')],
    [1 / 40, spoken('hardly grazed')],
  ];
  const [, word] = parts.reduce((best, one) => (Math.abs(one[0] - part) < Math.abs(best[0] - part) ? one : best));
  return word;
}

export function speedWord(speed) {
  if (speed < 2.2) return spoken('slow');
  if (speed < 4.25) return spoken('medium');
  return speed < 6.05 ? spoken('fast') : spoken('power');
}

/** Return the tip's place in words: as on the face of a clock, then the two numbers. */
export function tip(side, height) {
  const off = Math.hypot(side, height);
  if (off < 0.005) return spoken('Centre of the ball.');
  const hour = Math.round((Math.atan2(side, height) * 6) / Math.PI + 12) % 12 || 12;
  const parts = [];
  if (side) parts.push(say(side > 0 ? spoken('%(far)s right') : spoken('%(far)s left'), { far: Math.abs(side).toFixed(2) }));
  if (height) parts.push(say(height > 0 ? spoken('%(far)s up') : spoken('%(far)s down'), { far: Math.abs(height).toFixed(2) }));
  return say(spoken('At %(hour)s o’clock: %(parts)s.'), { hour, parts: parts.join(', ') });
}

/** Return the caution of a cue ball too near for a level cue; empty where there is room. */
export function caution(found) {
  if (!found.length) return '';
  const [one] = [...found].sort((a, b) => a.gap - b.gap);
  const values = { gap: (one.gap * 100).toFixed(1), what: called(one) };
  const lies = one.ball
    ? say(spoken('The cue ball lies %(gap)s cm from %(what)s.'), values)
    : say(spoken('The cue ball lies %(gap)s cm from the %(what)s rail.'), values);
  return `${lies} ${spoken('A cue is raised there, and the ball may hop or curve; this estimate knows a level cue only.')}`;
}

/** Return why the club played nothing. */
export function unplayed(answer) {
  if (answer.busy) {
    const text = counted(
      'Too many questions at once. Try again in %(wait)s second.',
      'Too many questions at once. Try again in %(wait)s seconds.',
      answer.busy,
    );
    return say(text, { wait: answer.busy });
  }
  if (answer.silent) return spoken('The club did not answer. What you set is kept; try again when the network is back.');
  return say(spoken('The club could not work it out (%(status)s). What you set is kept; try again in a moment.'), {
    status: answer.failed,
  });
}
