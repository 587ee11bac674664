// Two lines beside one another: parts of a hundred, the tip, the aim, the speed, the thickness.

import { clone, drawn, mark, one, put } from '../../../scoring/js/pages/score/dom.js';
import { query } from '../stroke/question.js';
import { BALL, say, speedWord, tip } from '../stroke/texts.js';
import { aimOf, familyOf } from './finding.js';

const { gettext: spoken } = globalThis;
const FILLS = { luck: 'url(#aim-hatch)', kiss: 'url(#aim-dots)' };
const PARTS = ['planned', 'luck', 'kiss', 'missed'];

/** Fill a place with the two lines chosen. */
export function compare(place, two, context) {
  place.replaceChildren(...Object.entries(two).map(([side, { line }]) => sideOf(side, line, context)));
}

function sideOf(side, line, { answer, asked, data }) {
  const whole = clone('aim-side');
  whole.dataset.line = side;
  put(one('.aim-letter', whole), side.toUpperCase());
  put(one('.aim-family', whole), familyOf(line, data.families));
  const parts = partsOf(line);
  fillBar(one('.aim-bar', whole), parts);
  for (const name of PARTS) put(one(`[data-part="${name}"] b`, whole), parts[name]);
  const { side: right, height, speed } = line.strike;
  one('.aim-tip', whole).setAttribute('transform', `translate(${right * 100} ${-height * 100})`);
  one('.face-stray', whole).setAttribute('r', 100 * answer.execution_error.side * asked.spread);
  put(one('.aim-aim', whole), aimOf(line));
  put(one('.aim-speed', whole), say(spoken('%(word)s, %(speed)s m/s'), { word: speedWord(speed), speed: speed.toFixed(1) }));
  put(one('.aim-tip-words', whole), tip(Math.round(right * 100) / 100, Math.round(height * 100) / 100));
  put(one('.aim-thickness', whole), thicknessOf(line));
  put(one('.aim-care', whole), careOf(line));
  one('.aim-try', whole).href = `${data.stroke}?${query({ ...asked, ...line.strike })}`;
  return whole;
}

/** Return how many of a hundred strokes end how; whole numbers that add up. */
export function partsOf({ success, luck, kiss }) {
  const parts = { luck: Math.round(luck * 100), kiss: Math.round(kiss * 100) };
  parts.planned = Math.max(Math.round(success * 100) - parts.luck, 0);
  parts.missed = 100 - parts.planned - parts.luck - parts.kiss;
  return parts;
}

function fillBar(bar, parts) {
  let from = 0;
  for (const name of PARTS) {
    const rect = drawn('rect', { class: `aim-${name}`, x: from, y: 0, width: parts[name], height: 12 });
    mark(rect, 'fill', FILLS[name]);
    bar.append(rect);
    from += parts[name];
  }
}

const HIT = { left: spoken('on its left'), right: spoken('on its right') };
const FRACTION = { thin: spoken('thin'), full: spoken('full') };
const ERROR = {
  direction: spoken('direction'),
  speed: spoken('speed'),
  side: spoken('side'),
  height: spoken('height of the tip'),
};

function thicknessOf({ fraction, hit, first_ball: ball }) {
  const values = { part: FRACTION[fraction] ?? fraction, ball: BALL[ball], hit: HIT[hit] };
  return fraction === 'full'
    ? say(spoken('%(ball)s, %(part)s'), values)
    : say(spoken('%(ball)s, %(part)s, %(hit)s'), values);
}

// The error whose halving would win most, where that is more than chance.
function careOf({ costs, costs_stderr: doubts }) {
  const [name, gain] = Object.entries(costs).reduce((best, one) => (one[1] > best[1] ? one : best));
  if (gain < 2 * doubts[name]) return spoken('nothing stands out');
  return say(spoken('%(error)s: half the stray there would make %(gain)s more in 100'), {
    error: ERROR[name],
    gain: Math.round(gain * 100),
  });
}
