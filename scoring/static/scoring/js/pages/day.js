// Keeps the counter of a day, and the calls of the room, up to date.
//
// The part marked data-day is fetched again and put in place of the old one, unless somebody types or
// chooses in it. Rows that were opened stay open, the focus and the place on the page stay as they were;
// what data-aloud says goes to the polite region where it changed.

const EVERY = 15000; // ms between two looks
const PART = '[data-day]';

const part = () => document.querySelector(PART);

/** Whether somebody has begun to fill in a form. */
function isBusy() {
  const at = document.activeElement;
  if (at?.matches('input:not([type="hidden"]), select, textarea') && part().contains(at)) return true;
  return [...part().querySelectorAll('input:not([type="hidden"]), select, textarea')].some(isChanged);
}

function isChanged(field) {
  if (field.type === 'checkbox') return field.checked !== field.defaultChecked;
  if (field instanceof HTMLSelectElement) {
    const first = [...field.options].findIndex((option) => option.defaultSelected);
    return field.selectedIndex !== Math.max(first, field.options.length ? 0 : -1);
  }
  return field.value !== field.defaultValue;
}

/** Name the control that holds the focus, so that it is found again in the fresh part. */
function heldFocus() {
  const at = document.activeElement;
  if (!at || !part().contains(at)) return null;
  if (at.id) return `#${CSS.escape(at.id)}`;
  const row = at.closest('details[id]');
  const scope = row ? `#${CSS.escape(row.id)} ` : '';
  if (at.matches('summary')) return `${scope}> summary`;
  if (at.matches('a[href]')) return `${scope}a[href="${CSS.escape(at.getAttribute('href'))}"]`;
  if (at.name) return `${scope}[name="${CSS.escape(at.name)}"][value="${CSS.escape(at.value)}"]`;
  return null;
}

async function renew() {
  if (document.hidden || isBusy()) return;
  const answer = await fetch(location.pathname + location.search, { headers: { Accept: 'text/html' }, cache: 'no-store' });
  if (!answer.ok || isBusy()) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), 'text/html').querySelector(PART);
  if (!fresh || isBusy()) return;
  const open = [...part().querySelectorAll('details[open]')].map((one) => one.id).filter(Boolean);
  const [held, across] = [heldFocus(), part().querySelector('.day-plan')?.scrollLeft ?? 0];
  const before = part().querySelector('[data-aloud]')?.textContent;
  part().replaceWith(document.importNode(fresh, true));
  for (const id of open) document.getElementById(id)?.setAttribute('open', '');
  const plan = part().querySelector('.day-plan');
  if (plan) plan.scrollLeft = across;
  if (held) document.querySelector(held)?.focus({ preventScroll: true });
  const aloud = part().querySelector('[data-aloud]')?.textContent;
  const region = document.querySelector('[data-aloud-here]');
  if (region && aloud !== before) region.textContent = aloud;
}

async function turn() {
  try {
    await renew();
  } catch {
    // No network: the next look may find it.
  }
  setTimeout(turn, EVERY);
}

/** Open the row that the address names: what was just done shows what it changed. */
function openNamed() {
  const row = location.hash.length > 1 ? document.getElementById(location.hash.slice(1)) : null;
  if (row instanceof HTMLDetailsElement && row.closest('.day-rows')) row.querySelector('summary')?.focus();
}

openNamed();
addEventListener('hashchange', openNamed);
setTimeout(turn, EVERY);
