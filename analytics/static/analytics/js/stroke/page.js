// Try a stroke: what is asked, the club's answer, and the drawing of both. The question stands in
// the address; the answer is drawn from the path the club sent, never worked out here.

import { mark, put } from '../../../scoring/js/pages/score/dom.js';
import { Clock } from './clock.js';
import { Drawing } from '../../../scoring/js/table/drawing.js';
import { watchFace } from './face.js';
import { Fields } from './fields.js';
import { watchTable } from '../../../scoring/js/table/hands.js';
import { BALLS, ahead, laid, near, onward, refitted } from '../../../scoring/js/table/layout.js';
import { placeAt } from './motion.js';
import { body, query, turned, withinFace } from './question.js';
import { Result } from './result.js';
import { Route } from './route.js';
import { played } from './shots.js';
import { BALL, caution, place, plays, refused, say, straightAhead, unplayed } from './texts.js';

const { gettext: spoken } = globalThis;
const form = document.getElementById('stroke');
const data = JSON.parse(document.getElementById('stroke-data').textContent);
const svg = form.querySelector('svg.carom');
const slot = (name) => form.querySelector(`[data-slot="${name}"]`);
const still = matchMedia('(prefers-reduced-motion: reduce)');
const LEVER = 1.1; // [m] from the cue ball to the grip of the aim, where there is room

const asked = data.asked;
const drawing = new Drawing(svg);
const route = new Route(drawing);
const fields = new Fields(form, change);
const result = new Result(form, data);
const clock = new Clock(showTime, () => result.tellRunning(clock, still.matches));
let shot = null;
let asking = 0;

const table = () => data.tables[asked.table];

// Take a change of the question: {name: value}, or {ball, at}. `done`: it is not in the midst of a drag.
function change(wish, done = true) {
  let said = null;
  if (wish.ball) {
    const { layout, stopped } = laid(wish, asked.layout, table());
    asked.layout = layout;
    said = stopped ? refused(wish.ball, stopped) : null;
  } else {
    Object.assign(asked, wish);
    if ('direction' in wish) asked.direction = turned(wish.direction);
    if (wish.table) asked.layout = refitted(asked.layout, table());
  }
  forget();
  showQuestion(said);
  if (done) keep();
  return said;
}

function showQuestion(said = null) {
  const { layout, cue, direction } = asked;
  drawing.dress(cue, table().radius / table().across);
  for (const ball of BALLS) {
    drawing.put(ball, layout[ball]);
    drawing.tell(ball, layout[ball][0], place(layout[ball]), BALL[ball]);
  }
  drawing.gripBalls(layout);
  drawing.showAim(true);
  const found = ahead(layout, cue, direction, table());
  const lever = Math.max(Math.min(LEVER, found.far * 0.62), 0.22);
  drawing.aimAt(layout[cue], found.at, onward(layout[cue], direction, lever, table()), found.ball);
  const met = straightAhead(found);
  drawing.tell('aim', direction, `${say(spoken('%(direction)s degrees.'), { direction })} ${met}`, spoken('Direction'));
  drawing.nameBalls([found.at, drawing.aimGrip]);
  put(slot('say'), said ?? `${plays(cue)} ${met}`);
  const warned = caution(near(layout, cue, table()));
  put(slot('caution'), warned);
  slot('caution').hidden = !warned;
  fields.show(asked);
}

// What was struck no longer answers the question.
function forget() {
  asking += 1;
  if (!shot) return;
  shot = null;
  clock.stop();
  route.clear();
  drawing.showStarts(null);
  result.clear();
}

function keep() {
  const address = `?${query(asked)}`;
  slot('keep').href = address;
  history.replaceState(null, '', address);
}

async function strike({ run }) {
  const mine = (asking += 1);
  fields.right();
  result.wait();
  const answer = await played(data.api, body(asked, table()), form.elements.csrfmiddlewaretoken?.value ?? '');
  if (mine !== asking) return;
  if (answer.shot) begin(answer.shot, run && !still.matches);
  else if (answer.refused) result.refuse(fields.wrong(answer.refused));
  else result.refuse(unplayed(answer));
}

function begin(answer, run) {
  shot = answer;
  drawing.showAim(false);
  drawing.showStarts(asked.layout);
  route.begin(shot, asked.cue, asked.layout);
  result.begin(shot, asked);
  clock.begin(shot.duration, run ? 0 : shot.duration);
  if (run) clock.run();
  result.tellRunning(clock, still.matches);
}

function showTime(time) {
  for (const ball of BALLS) drawing.put(ball, placeAt(shot.paths[ball], time));
  route.show(time);
  result.show(time, clock.running);
  if (!clock.running || time >= shot.duration) drawing.nameBalls([...route.points, ...route.taken]);
}

const acts = {
  run() {
    if (clock.running) clock.stop();
    else clock.run();
  },
  step() {
    clock.stop();
    const next = shot.contacts.find((one) => one.t > clock.time + 1e-9);
    const first = shot.contacts[0]?.t ?? 0;
    clock.set(next ? next.t : clock.time < shot.duration ? shot.duration : first);
  },
  'go-on'() {
    asked.layout = refitted(Object.fromEntries(BALLS.map((ball) => [ball, shot.rest[ball]])), table());
    change({});
  },
  async copy() {
    try {
      await navigator.clipboard.writeText(slot('keep').href);
      put(slot('copied'), spoken('Copied.'));
    } catch {
      put(slot('copied'), slot('keep').href);
    }
  },
};

form.addEventListener('submit', (event) => {
  event.preventDefault();
  if (!fields.settle()) return;
  svg.scrollIntoView({ block: 'nearest' });
  strike({ run: true });
});
form.addEventListener('click', (event) => {
  const button = event.target.closest('button[data-act]');
  if (button) acts[button.dataset.act]?.();
});
result.slider.addEventListener('input', () => {
  clock.stop();
  clock.set(Number(result.slider.value));
});
still.addEventListener('change', () => result.tellRunning(clock, still.matches));

watchTable(drawing, () => ({ ...asked, size: table() }), change, keep);
watchFace(slot('face'), () => [asked.side, asked.height], (side, height, done) => change({ side, height }, done));
[asked.side, asked.height] = withinFace(asked.side, asked.height);
showQuestion();
slot('keep').href = `?${query(asked)}`;
mark(form, 'data-ready', '');
if (data.whole) strike({ run: false });
