// At the table: takes the link from the fragment of the address, or the code that is typed,
// keeps it on this device, and shows the matches of the table.

import { keepLink, linkToken } from '../device/link.js';
import { fill, mark, one, slot } from './score/dom.js';
import { gettext, interpolate } from './score/texts.js';

const EVERY = 15000; // ms between two looks for new matches
const UNREACHED = gettext('The club did not answer. Try again.');

const root = document.getElementById('at-table');

/** Send a form's fields; returns {status, data, headers}, or null where no answer comes. */
async function send(address, fields, kind) {
  const json = kind === 'json';
  try {
    const answer = await fetch(address, {
      method: 'POST',
      body: json ? JSON.stringify(fields) : new URLSearchParams(fields),
      headers: {
        Accept: 'application/json',
        'X-CSRFToken': one('[name="csrfmiddlewaretoken"]').value,
        ...(json ? { 'Content-Type': 'application/json' } : {}),
      },
    });
    const { status, headers } = answer;
    return { status, headers, data: await answer.json().catch(() => null) };
  } catch {
    return null;
  }
}

/** Take the token out of the address, so that it is neither seen nor kept in the history. */
function tokenOfAddress() {
  const token = location.hash.slice(1);
  if (token === '' || token === 'page') return null; // "page" is where the skip link leads
  history.replaceState(null, '', location.pathname + location.search);
  return token;
}

/** Let this device in with a token; the page is then loaded anew, for its table. */
async function letIn(token) {
  slot('waiting').hidden = false;
  const answer = await send(root.dataset.url, { token });
  slot('waiting').hidden = true;
  if (answer?.status === 200) {
    keepLink(token);
    location.reload();
    return;
  }
  if (answer?.status === 403 && answer.data?.reason) {
    // What was scanned now counts: a table that was open before is not written by mistake.
    keepLink(null);
    ended(answer.data.reason);
  } else {
    ended(UNREACHED);
  }
}

function ended(words) {
  fill('ended-words', words);
  slot('ended').hidden = false;
  slot('code').hidden = false;
}

async function enter(event) {
  event.preventDefault();
  const code = event.target.elements.code.value.trim();
  if (code === '') {
    wrong(gettext('This is needed.'));
    return;
  }
  const answer = await send(root.dataset.enter, { code }, 'json');
  if (answer === null) {
    wrong(UNREACHED);
  } else if (answer.status === 429) {
    const seconds = answer.headers.get('Retry-After') ?? '60';
    wrong(interpolate(gettext('That was often. Try again in %(seconds)s seconds.'), { seconds }));
  } else if (answer.status === 200) {
    wrong('');
    await letIn(answer.data.token);
  } else {
    wrong(gettext('This code opens no table. Look at the card again; a code that was revoked or has run out opens none either.'));
  }
}

function wrong(words) {
  const place = slot('wrong');
  place.textContent = words;
  place.hidden = words === '';
  place.classList.toggle('wrong', words !== '');
  mark(one('#code'), 'aria-invalid', words === '' ? null : 'true');
}

/** Show what was put at the table since. */
async function renew() {
  if (document.hidden) return;
  try {
    const answer = await fetch(root.dataset.url, { headers: { Accept: 'text/html' }, cache: 'no-store' });
    if (!answer.ok) return;
    const fresh = new DOMParser().parseFromString(await answer.text(), 'text/html');
    const list = fresh.querySelector('[data-list]');
    if (list === null) {
      location.reload(); // the link has ended meanwhile: the page says so
    } else if (list.textContent !== one('[data-list]').textContent && !one('[data-list]').contains(document.activeElement)) {
      one('[data-list]').replaceWith(document.importNode(list, true));
    }
  } catch {
    // No network: the next look may find it.
  }
}

function begin() {
  const known = 'known' in root.dataset;
  const scanned = tokenOfAddress();
  const kept = linkToken();
  if (scanned !== null) {
    letIn(scanned);
  } else if (!known && kept !== null && slot('ended').hidden) {
    letIn(kept); // the browser dropped the cookie, not the link
  } else if (!known) {
    keepLink(null);
  } else if (kept === null) {
    ended(gettext('This device has lost the link of its table. Scan the card again, or type its code.'));
  }
  if (known) setInterval(renew, EVERY);
}

one('[data-act="enter"]').addEventListener('submit', enter);
document.querySelector('[data-act="forget"]')?.addEventListener('submit', () => keepLink(null));
// A second scan while this page is open changes only the fragment.
addEventListener('hashchange', () => {
  const scanned = tokenOfAddress();
  if (scanned !== null) letIn(scanned);
});
begin();
