// Diamonds: what is typed, dragged or stepped goes to the club, and its answer is put in place.
// The sums, the words and the drawing are the club's; nothing is worked out here but where a hand is.

import { mark, put } from '../../../scoring/js/pages/score/dom.js';
import { Board } from './board.js';

const { gettext: spoken } = globalThis;
const PATIENCE = 15000; // [ms]
const PACE = 120; // [ms] from question to question in a drag: fewer than a visitor may ask in a minute
const form = document.getElementById('diamonds');
const slot = (name) => document.querySelector(`[data-slot="${name}"]`);
let told = JSON.parse(document.getElementById('diamonds-told').textContent);
let asking = false;
let again = null;

function query() {
  const parts = new URLSearchParams(new FormData(form));
  parts.set('part', 'answer');
  return parts;
}

async function fetched(parts) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PATIENCE);
  try {
    const response = await fetch(`${form.action}?${parts}`, { credentials: 'same-origin', signal: stop.signal });
    return response.ok ? await response.text() : null;
  } catch {
    return null;
  } finally {
    clearTimeout(timer);
  }
}

/** Ask the club; one question at a time, the newest of those that came up meanwhile next. */
async function ask({ done = true } = {}) {
  if (asking) {
    again = { done: done || again?.done };
    return;
  }
  asking = true;
  const begun = performance.now();
  const text = await fetched(query());
  if (again) await new Promise((go) => { setTimeout(go, PACE - (performance.now() - begun)); });
  asking = false;
  const next = again;
  again = null;
  if (next) {
    // What was typed since is not overwritten by an older answer.
    if (text) show(text, { done: false, fields: false });
    ask(next);
  } else if (text) {
    show(text, { done, fields: true });
  } else {
    put(slot('spoken'), spoken('The club did not answer; what stands here is its last answer.'));
    complain('system', slot('spoken').textContent);
  }
}

function show(text, { done, fields }) {
  const page = new DOMParser().parseFromString(text, 'text/html');
  told = JSON.parse(page.getElementById('diamonds-told').textContent);
  board.show(page.querySelector('svg.dia-svg'), fields);
  for (const name of ['.dia-about', '[data-part="sum"]', '[data-part="told"]']) {
    const [old, now] = [form.querySelector(name), page.querySelector(name)];
    if (old.innerHTML !== now.innerHTML) old.replaceWith(document.importNode(now, true));
  }
  document.getElementById('summary')?.remove();
  for (const old of form.querySelectorAll('.wrong')) old.remove();
  for (const [name, why] of Object.entries(told.wrong)) complain(name, why);
  if (fields) fillIn();
  slot('keep').href = `?${told.query}`;
  if (done) {
    history.replaceState(null, '', `?${told.query}`);
    put(slot('spoken'), told.spoken);
    put(slot('copied'), '');
  }
}

function complain(name, why) {
  const line = document.createElement('p');
  line.className = 'wrong';
  line.setAttribute('role', 'alert');
  line.textContent = why;
  form.querySelector(`[data-field="${name}"]`)?.append(line);
}

function fillIn() {
  for (const [name, value] of Object.entries(told.fields)) {
    const field = form.elements[name];
    if (!field) continue;
    if (field.type === 'checkbox') field.checked = value === field.value;
    else if (field.value !== value && document.activeElement !== field) field.value = value;
  }
  freed();
}

// The number that a system holds still is not asked for.
function freed() {
  for (const part of form.querySelectorAll('[data-free]')) part.hidden = !told.free.includes(part.dataset.free);
}

/** A number that is written becomes a given one: another is asked for in its place. */
function given(name) {
  if (form.elements.find.value !== name) return;
  const next = ['aim', 'arrival', 'origin'].find((one) => one !== name && told.free.includes(one));
  if (next) form.elements.find.value = next;
}

function wish(changes, done) {
  for (const [name, value] of Object.entries(changes)) {
    form.elements[name].value = value;
    if (told.free.includes(name)) given(name);
  }
  ask({ done });
}

const board = new Board(slot('drawing'), wish);

form.addEventListener('change', ({ target }) => {
  if (['origin', 'aim', 'arrival'].includes(target.name)) given(target.name);
  ask();
});
form.addEventListener('submit', (event) => {
  event.preventDefault();
  ask();
});
document.querySelector('[data-act="copy"]').addEventListener('click', async () => {
  try {
    await navigator.clipboard.writeText(slot('keep').href);
    put(slot('copied'), spoken('Copied.'));
  } catch {
    put(slot('copied'), slot('keep').href);
  }
});
document.querySelector('[data-act="copy"]').hidden = false;
freed();
mark(form, 'data-ready', '');
