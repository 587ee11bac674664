// Aim: where the balls lie, the lines the club found for them, and two of them drawn and compared.
// The question stands in the address; nothing is worked out here.

import { mark, put } from '../../../scoring/js/pages/score/dom.js';
import { Drawing } from '../../../scoring/js/table/drawing.js';
import { Fields } from '../stroke/fields.js';
import { watchTable } from '../../../scoring/js/table/hands.js';
import { BALLS, laid, near, refitted, rounded } from '../../../scoring/js/table/layout.js';
import { Route } from '../stroke/route.js';
import { played } from '../stroke/shots.js';
import { BALL, caution, place, plays, refused, say, unplayed } from '../stroke/texts.js';
import { finding, presumed } from './finding.js';
import { leavesOf, leavesTold } from './leaves.js';
import { Lines } from './lines.js';
import { Player } from './player.js';
import { compare } from './sides.js';
import { Strays } from './strays.js';

const { gettext: spoken } = globalThis;
const LIMIT = 8;
const form = document.getElementById('aim');
const data = JSON.parse(document.getElementById('aim-data').textContent);
const slot = (name) => form.querySelector(`[data-slot="${name}"]`);
const asked = data.asked;
const drawing = new Drawing(form.querySelector('svg.carom'), { aims: false });
const first = new Route(drawing);
const routes = { a: first, b: new Route(drawing, { second: true, beside: first }) };
const fields = new Fields(form, change);
const lines = new Lines(slot('lines'), data.families, () => showTwo());
const strays = new Strays(drawing);
const player = new Player(slot('play'), drawing, routes, (text) => put(slot('say'), text), () => showQuestion());
// What the club answered of the lines, by their number: strokes, strays, leaves.
const strokes = new Map();
const strayed = new Map();
const left = new Map();
let answer = null;
let asking = 0;

const table = () => data.tables[asked.table];
const token = () => form.elements.csrfmiddlewaretoken?.value ?? '';

function change(wish, done = true) {
  let said = null;
  if (wish.ball) {
    const { layout, stopped } = laid(wish, asked.layout, table());
    asked.layout = layout;
    said = stopped ? refused(wish.ball, stopped) : null;
  } else {
    Object.assign(asked, wish);
    if (wish.table) asked.layout = refitted(asked.layout, table());
  }
  forget();
  showQuestion(said);
  if (done) keep();
  return said;
}

function forget() {
  asking += 1;
  if (!answer) return;
  answer = null;
  clearLines();
  for (const route of Object.values(routes)) route.clear();
  slot('found').hidden = true;
  slot('key').hidden = true;
  put(slot('finding'), spoken('The question has changed. Find the lines again.'));
}

function clearLines() {
  for (const one of [strokes, strayed, left]) one.clear();
  player.end();
  for (const side of ['a', 'b']) player.offer(side, null);
  strays.clear();
}

function showQuestion(said = null) {
  const { layout, cue } = asked;
  drawing.dress(cue, table().radius / table().across);
  for (const ball of BALLS) {
    drawing.put(ball, layout[ball]);
    drawing.tell(ball, layout[ball][0], place(layout[ball]), BALL[ball]);
  }
  drawing.gripBalls(layout);
  mark(drawing.ghost, 'visibility', 'hidden');
  drawing.nameBalls();
  put(slot('say'), said ?? plays(cue));
  const warned = caution(near(layout, cue, table()));
  put(slot('caution'), warned);
  slot('caution').hidden = !warned;
  put(slot('presumed'), presumed(asked, form));
  fields.show(asked);
}

function query() {
  const parts = new URLSearchParams();
  for (const ball of BALLS) parts.set(ball, asked.layout[ball].map((one) => rounded(one, 1e6)).join(','));
  for (const name of ['cue', 'spread', 'discipline', 'table']) parts.set(name, asked[name]);
  return parts.toString().replaceAll('%2C', ',');
}

function keep() {
  slot('keep').href = `?${query()}`;
  history.replaceState(null, '', slot('keep').href);
}

async function find() {
  const mine = (asking += 1);
  fields.right();
  put(slot('finding'), spoken('Looking for lines: some hundred thousand strokes are played.'));
  const { layout, cue, discipline, spread } = asked;
  const wanted = { layout, cue_ball: cue, discipline, spread, limit: LIMIT, table: table().send };
  // First lines from a small search, then the whole one.
  for (const quick of [true, false]) {
    const { shot: found, refused: pairs, ...other } = await played(data.api, { ...wanted, quick }, token());
    if (mine !== asking) return;
    if (found) {
      begin(found, quick);
    } else {
      put(slot('finding'), pairs ? fields.wrong(pairs) : unplayed(other));
      return;
    }
  }
}

function begin(found, quick) {
  answer = found;
  clearLines();
  showQuestion();
  put(slot('finding'), finding(found, data.families, quick));
  slot('found').hidden = !found.lines.length;
  if (!found.lines.length) return;
  const text = spoken('%(strokes)s strokes were played. ± is one standard error of the count; it does not cover what the model gets wrong about your table. Dashed circle: where the tip slips. Ring: usual stray of the tip.');
  put(slot('counted'), say(text, { strokes: found.searched }));
  lines.show(found.lines);
  showTwo();
}

async function showTwo() {
  const two = lines.chosen();
  player.end();
  showQuestion();
  compare(slot('two'), two, { answer, asked, data });
  for (const [side, { n }] of Object.entries(two)) if (left.has(n)) leavesTold(sideOf(side), left.get(n));
  slot('key').hidden = false;
  const mine = asking;
  for (const [side, { line, n }] of Object.entries(two)) {
    if (!strokes.has(n)) strokes.set(n, await shotOf(line));
    if (mine !== asking || lines.chosen()[side]?.n !== n) return;
    const shot = strokes.get(n);
    if (shot) {
      routes[side].begin(shot, asked.cue, asked.layout);
      routes[side].show(Infinity);
      player.offer(side, shot);
    }
  }
  if (!two.b) {
    routes.b.clear();
    player.offer('b', null);
  }
  drawing.nameBalls(Object.values(routes).flatMap((route) => [...route.points, ...route.taken]));
  for (const side of ['a', 'b']) strays.show(side, null);
  for (const [side, { line, n }] of Object.entries(two)) {
    if (!strayed.has(n)) strayed.set(n, (await played(data.stray, ofLine(line), token())).shot ?? null);
    if (mine !== asking || lines.chosen()[side]?.n !== n) return;
    strays.show(side, strayed.get(n));
  }
}

const sideOf = (side) => slot('two').querySelector(`[data-line="${side}"]`);

function ofLine({ strike }) {
  const { layout, cue, discipline, spread } = asked;
  return { layout, cue_ball: cue, discipline, spread, strike, table: table().send };
}

async function askLeaves(side) {
  const { line, n } = lines.chosen()[side];
  const mine = asking;
  leavesTold(sideOf(side), { waiting: true });
  const found = leavesOf(await played(data.leaves, ofLine(line), token()));
  if (mine !== asking) return;
  left.set(n, found);
  const now = Object.entries(lines.chosen()).find(([, one]) => one.n === n);
  if (now) leavesTold(sideOf(now[0]), found);
}

async function shotOf(line) {
  const { layout, cue, discipline } = asked;
  const wanted = { layout, cue_ball: cue, discipline, strike: line.strike, table: table().send, paths: true };
  return (await played(data.shots, wanted, token())).shot ?? null;
}

form.addEventListener('submit', (event) => {
  event.preventDefault();
  if (fields.settle()) find();
});
form.addEventListener('click', (event) => {
  const button = event.target.closest('button[data-spread]');
  if (button) change({ spread: Number(button.dataset.spread) });
  const leave = event.target.closest('button[data-act="leaves"]');
  if (leave) askLeaves(leave.closest('[data-line]').dataset.line);
});
slot('shown').addEventListener('change', ({ target }) => strays.choose(target.dataset.shows, target.checked));
watchTable(drawing, () => ({ ...asked, size: table() }), change, keep);
showQuestion();
slot('keep').href = `?${query()}`;
mark(form, 'data-ready', '');
if (data.whole) find();
