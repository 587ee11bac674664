// Keeps a page about one match up to date while the match goes on.
//
// The part marked data-follow (or data-sheet) names the address of the match's state in
// data-live. The browser keeps the state's ETag, so a look that finds nothing new is one
// empty answer. When the state moved on, the page is fetched again and that part is put in
// place of the old one; what its data-aloud says goes to the polite region.

import { linkHeaders } from '../device/link.js';
import { showPrint } from './printing.js';

const EVERY = 5000;
const HIDDEN = 30000;
const PART = '[data-follow], [data-sheet]';

/** Follow the match of `page` until it is over. Returns a function that stops it. */
export function follow(page = document, { fetch = globalThis.fetch.bind(globalThis), every = EVERY } = {}) {
  let timer = null;
  let stopped = false;
  let seq = null;

  const part = () => page.querySelector(PART);

  async function look() {
    const address = part()?.dataset.live;
    if (!address) {
      stopped = true;
      return;
    }
    let answer = await ask(address, {});
    if (answer.status === 404 && linkHeaders() !== null) {
      answer = await ask(address, linkHeaders()); // a device at a table reads with its link
    }
    if (answer.status === 401 || answer.status === 403 || answer.status === 404) {
      stopped = true; // the right to read has ended
      return;
    }
    if (!answer.ok) return;
    const state = await answer.json();
    if (state.seq === seq) return;
    const first = seq === null;
    seq = state.seq;
    // The page itself was made from an earlier look; it is as new as its own fetch.
    if (!first || String(state.seq) !== part().dataset.seq) await renew();
  }

  function ask(address, headers) {
    return fetch(address, { headers: { Accept: 'application/json', ...headers }, cache: 'no-cache' });
  }

  async function renew() {
    const answer = await fetch(page.location.href, { headers: { Accept: 'text/html' }, cache: 'no-store' });
    if (!answer.ok) return;
    const fresh = new DOMParser().parseFromString(await answer.text(), 'text/html').querySelector(PART);
    if (!fresh) return;
    const held = heldFocus();
    part().replaceWith(page.importNode(fresh, true));
    if (held) page.querySelector(held)?.focus();
    const aloud = page.querySelector('[data-aloud]')?.textContent;
    const region = page.querySelector('[data-aloud-here]');
    if (region && aloud) region.textContent = aloud;
    showPrint(page);
  }

  // A link in the part that is replaced keeps the focus of whoever was on it.
  function heldFocus() {
    const at = page.activeElement;
    if (!at || !part().contains(at) || !at.getAttribute('href')) return null;
    return `${PART.split(', ').map((one) => `${one} a[href="${CSS.escape(at.getAttribute('href'))}"]`).join(', ')}`;
  }

  async function turn() {
    try {
      await look();
    } catch {
      // No network: the next look may find it.
    }
    if (!stopped) timer = setTimeout(turn, page.hidden ? HIDDEN : every);
  }

  turn();
  return () => {
    stopped = true;
    clearTimeout(timer);
  };
}

showPrint();
follow();
