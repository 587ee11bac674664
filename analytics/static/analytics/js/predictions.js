// Keeps the page of predictions up to date: what it shows is fetched again every few seconds.
//
// The part is replaced only where it changed, and the focus stays on the button that is there.
// What a person should hear is said once: when it begins, stops or is done, not at each stroke.

const EVERY = 3000;
const HIDDEN = 30000;
const PARTS = ["[data-progress]", "[data-kept]"];

/** Follow the work shown on `page`. Returns a function that stops it. */
export function follow(page = document, { fetch = globalThis.fetch.bind(globalThis), every = EVERY } = {}) {
  let timer = null;
  let stopped = false;

  const part = (name, of = page) => of.querySelector(name);

  async function renew() {
    const answer = await fetch(page.location.href, { headers: { Accept: "text/html" }, cache: "no-store" });
    if (answer.redirected || answer.status === 403) {
      stopped = true; // signed out, or organising no more
      return;
    }
    if (!answer.ok) return;
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    const before = part(PARTS[0]).dataset.state;
    for (const name of PARTS) replace(part(name), part(name, fresh));
    if (part(PARTS[0]).dataset.state !== before) {
      part("[data-aloud]").textContent = part(".finding").textContent;
    }
  }

  function replace(old, fresh) {
    if (!fresh || shown(old) === shown(fresh)) return;
    const held = old.contains(page.activeElement);
    old.replaceWith(page.importNode(fresh, true));
    if (held) part("[data-progress] button")?.focus();
  }

  // The hidden token differs from page to page; nothing else does unless something happened.
  function shown(element) {
    const copy = element.cloneNode(true);
    copy.querySelector('[name="csrfmiddlewaretoken"]')?.remove();
    return copy.outerHTML;
  }

  async function turn() {
    try {
      await renew();
    } catch {
      // No network: the next look may find it.
    }
    if (!stopped) timer = setTimeout(turn, page.hidden ? HIDDEN : every);
  }

  timer = setTimeout(turn, every);
  return () => {
    stopped = true;
    clearTimeout(timer);
  };
}

document.body.classList.add("scripted");
follow();
