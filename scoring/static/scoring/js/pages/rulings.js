// Was it a point? The ruling appears as one taps; the server's answer to the same form is
// the same, because both run the same rules. What is asked stands in the address.

import { words } from '../match/said.js';
import { BALLS, parseContacts } from '../rules/contacts.js';
import { rule } from '../rules/rulings.js';
import { pending, soFar, verdict } from './verdict.js';

const { gettext: spoken, interpolate: filled } = globalThis;
const form = document.getElementById('rulings');
const data = JSON.parse(document.getElementById('rulings-data').textContent);
const slot = (name) => form.querySelector(`[data-slot="${name}"]`);
const NAMES = { white: spoken('White'), yellow: spoken('Yellow'), red: spoken('Red') };
const NS = 'http://www.w3.org/2000/svg';

// Each contact: {ball or rail, tie, at: [x, y] in shares of the drawing, null where not tapped}.
let contacts = form.elements.contacts.value
  .split(',')
  .filter(Boolean)
  .map((word) => contactOf(word.replace('=', ''), word.startsWith('='), null));

function contactOf(name, tie, at) {
  return { [BALLS.includes(name) ? 'ball' : 'rail']: name, tie, at };
}

function asked() {
  const chosen = new FormData(form);
  const boxes = chosen.getAll('off');
  return {
    discipline: chosen.get('discipline'),
    rules: chosen.get('rules'),
    cue: chosen.get('cue'),
    contacts: contacts.map((one) => (one.tie ? '=' : '') + (one.ball ?? one.rail)).join(','),
    opening: chosen.get('opening') ?? '',
    rail: chosen.get('rail'),
    ball: chosen.get('ball'),
    off: boxes.join(','),
  };
}

function judged(query) {
  return rule({
    discipline: data.disciplines[query.discipline],
    cueBall: query.cue,
    contacts: parseContacts(contacts.map(({ at, tie, ...one }) => (tie ? { ...one, tie } : one)), query.cue),
    opening: query.opening === '1',
    touchingRail: query.rail || null,
    touchingBall: query.ball || null,
    offTable: query.off ? query.off.split(',') : [],
    ruleSet: data.rule_sets[query.rules],
  });
}

function shown(ruling) {
  if (!pending(ruling)) return verdict(ruling);
  if (contacts.length === 0) {
    return ['open', spoken('Nothing met yet'), spoken('Tap what the cue ball met, in order.')];
  }
  const reason = words(ruling.reason);
  return ['short', soFar(ruling), filled(spoken('As it stands, %(reason)s.'), { reason }, true)];
}

function show() {
  const query = asked();
  const ruling = judged(query);
  const [kind, head, why] = shown(ruling);
  slot('ruling').dataset.ruling = kind;
  slot('head').textContent = head;
  slot('why').textContent = why;
  slot('family').textContent = ruling.family ? data.families[ruling.family] ?? '' : '';
  slot('rule').textContent = words(ruling.rule);
  document.title = head;
  const plays = filled(spoken('%(name)s plays'), { name: NAMES[query.cue] }, true);
  slot('cue-word').textContent = plays;
  slot('who').textContent = `${plays}.`;
  slot('short-table').dataset.cue = query.cue;
  slot('take-back').textContent = contacts.length
    ? filled(spoken('Take back %(number)s'), { number: contacts.length }, true)
    : spoken('Take back');
  form.elements.contacts.value = query.contacts;
  list();
  draw();
  keep(query);
}

function keep(query) {
  const address = new URLSearchParams(Object.entries(query).filter(([, value]) => value));
  slot('keep').href = `?${address}`;
  history.replaceState(null, '', `?${address}`);
}

function list() {
  slot('contacts').replaceChildren(
    ...contacts.map((one, place) => {
      const item = document.createElement('li');
      const number = document.createElement('b');
      number.textContent = place + 1;
      const name = one.ball ? NAMES[one.ball] : button(one).textContent.trim();
      const word = one.tie ? filled(spoken('%(word)s at once'), { word: name }, true) : name;
      item.append(number, ` ${word}`);
      return item;
    }),
  );
}

const button = (one) => form.querySelector(`[name="add"][value="${one.ball ?? one.rail}"]`);

// Where a contact is drawn: the dot where it was tapped, the line at the edge of the cloth.
function places() {
  const frame = slot('short-table').getBoundingClientRect();
  const cloth = form.querySelector('.short-cloth').getBoundingClientRect();
  const mark = form.querySelector(`.cue-${slot('short-table').dataset.cue} svg`)?.getBoundingClientRect();
  const turns = {};
  const route = [mark ? [mark.left + mark.width / 2 - frame.left, mark.top + mark.height / 2 - frame.top] : null];
  const dots = contacts.map((one) => {
    const box = button(one).getBoundingClientRect();
    const name = one.ball ?? one.rail;
    turns[name] = (turns[name] ?? 0) + 1;
    const share = one.at ?? evenly(turns[name], one);
    const at = [box.left - frame.left + share[0] * box.width, box.top - frame.top + share[1] * box.height];
    route.push(one.ball ? at : onNose(one.rail, at, cloth, frame));
    return at;
  });
  return { dots, route: route.filter(Boolean), size: [frame.width, frame.height] };
}

// A contact by keyboard, or out of an address, has no place: they are spread along the rail.
function evenly(turn, one) {
  // Off the middle, where the rail's name stands.
  const share = [0.7, 0.84, 0.6, 0.9, 0.76][(turn - 1) % 5];
  if (one.ball) return [0.5 + 0.16 * (turn - 1), 0.16 + 0.14 * (turn - 1)];
  return one.rail === 'left' || one.rail === 'right' ? [0.5, 1 - share] : [share, 0.5];
}

function onNose(rail, [x, y], cloth, frame) {
  const edge = { left: cloth.left - frame.left, right: cloth.right - frame.left };
  if (rail in edge) return [edge[rail], y];
  return [x, (rail === 'top' ? cloth.top : cloth.bottom) - frame.top];
}

function draw() {
  const { dots, route, size } = places();
  slot('route').setAttribute('viewBox', `0 0 ${size[0]} ${size[1]}`);
  const line = document.createElementNS(NS, 'polyline');
  line.setAttribute('class', 'route-line');
  line.setAttribute('points', route.map((at) => at.map((one) => one.toFixed(1)).join(',')).join(' '));
  slot('route-lines').replaceChildren(...(dots.length ? [line] : []));
  slot('route-dots').replaceChildren(
    ...dots.map(([x, y], place) => {
      const dot = document.createElementNS(NS, 'g');
      dot.setAttribute('class', 'route-dot');
      const disc = document.createElementNS(NS, 'circle');
      const number = document.createElementNS(NS, 'text');
      for (const [name, value] of [['cx', x], ['cy', y], ['r', 13]]) disc.setAttribute(name, value);
      for (const [name, value] of [['x', x], ['y', y]]) number.setAttribute(name, value);
      number.textContent = place + 1;
      dot.append(disc, number);
      return dot;
    }),
  );
}

// The object balls are the two that do not play.
function seat() {
  const cue = asked().cue;
  const others = BALLS.filter((ball) => ball !== cue);
  form.querySelectorAll('.object-ball').forEach((ball, place) => {
    ball.value = others[place];
    ball.dataset.ball = others[place];
    ball.firstElementChild.textContent = NAMES[others[place]];
  });
  contacts = contacts.filter((one) => one.ball !== cue);
  if (contacts.length) contacts[0].tie = false;
}

function tapped(key, event) {
  const box = key.getBoundingClientRect();
  // A click without a pointer comes from a keyboard or a switch, and has no place.
  const at = event.detail
    ? [(event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height]
    : null;
  const tie = form.elements.tie.checked && contacts.length > 0;
  if (contacts.length < 200) contacts.push(contactOf(key.value, tie, at));
  form.elements.tie.checked = false;
}

form.addEventListener('click', (event) => {
  const key = event.target.closest('button');
  if (!key) return;
  event.preventDefault();
  if (key.name === 'add') tapped(key, event);
  else if (key.name === 'take') contacts.pop();
  else if (key.name === 'clear') contacts = [];
  if (contacts.length) contacts[0].tie = false;
  show();
});

form.addEventListener('change', (event) => {
  if (event.target.name === 'cue') seat();
  if (event.target.name !== 'tie') show();
});

form.addEventListener('submit', (event) => event.preventDefault());
new ResizeObserver(draw).observe(slot('short-table'));
show();
