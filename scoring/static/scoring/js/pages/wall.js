// The wall screen: fetches itself again and turns its screens, slowly.
//
// What is fetched is put in place only where it differs, and in one step, so nothing flickers. The
// first screen stays longest. Whoever asks for less motion keeps the screen that stands there.

const EVERY = 8000;
const TURN = 15000;
const WALL = '[data-wall]';

/** Keep `page` as it is at the club. Returns a function that stops it. */
export function keep(page = document, { every = EVERY, turn = TURN, fetch = globalThis.fetch.bind(globalThis) } = {}) {
  const still = globalThis.matchMedia('(prefers-reduced-motion: reduce)');
  let at = 0;
  let before = page.querySelector(WALL).innerHTML;

  const screens = () => [...page.querySelectorAll('[data-screen]')];

  function show() {
    const all = screens();
    at = all.length ? at % all.length : 0;
    all.forEach((one, number) => {
      one.hidden = number !== at;
    });
  }

  async function renew() {
    try {
      const answer = await fetch(page.location.href, { headers: { Accept: 'text/html' }, cache: 'no-store' });
      if (!answer.ok) return;
      const fresh = new DOMParser().parseFromString(await answer.text(), 'text/html').querySelector(WALL);
      if (!fresh || fresh.innerHTML === before) return;
      before = fresh.innerHTML;
      const here = page.importNode(fresh, true);
      [...here.querySelectorAll('[data-screen]')].forEach((one, number) => {
        one.hidden = number !== at;
      });
      page.querySelector(WALL).replaceWith(here);
      show();
    } catch {
      // No network: what was read last stays, and the next look may find it.
    }
  }

  function next() {
    if (still.matches || screens().length < 2) return;
    at += 1;
    show();
  }

  const timers = [setInterval(renew, every), setInterval(next, turn)];
  show();
  return () => timers.forEach(clearInterval);
}

keep();
