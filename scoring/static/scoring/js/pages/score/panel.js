// The two sides, the inning between them, and the head of the page.

import { all, clone, fill, mark, slot } from './dom.js';
import { underWay } from './reading.js';
import { gettext, interpolate, ngettext } from './texts.js';

const SIDES = ['white', 'yellow'];

export function showPanel(page) {
    const { desk } = page;
    const { state } = desk;
    SIDES.forEach((side, place) => showSide(page, side, place));
    const now = underWay(desk);
    fill('inning', now.inning || 1);
    fill('meta', metaOf(page));
}

function showSide(page, side, place) {
    const { state, setup } = page.desk;
    // Before the opening nobody has a colour: the entrants stand in their own order.
    const player = state.players[side] ?? setup.entrants[place];
    const section = slot(`side-${side}`);
    mark(section, 'data-on-turn', state.turn === side && state.status !== 'suspended');
    mark(section, 'data-won', state.winner !== null && state.winner === state.players[side]);
    fill(`name-${side}`, page.names[player] ?? '');
    const total = state.score[side];
    const figure = slot(`total-${side}`);
    fill(`total-${side}`, total);
    mark(figure, 'data-digits', String(total).length);
    fill(`distance-${side}`, setup.format.distance[setup.entrants.indexOf(player)] ?? '');
    fill(`average-${side}`, state.average[side] ?? '');
    fill(`sets-${side}`, setup.format.sets_to_win === null ? '' : interpolate(
        ngettext('%(count)s set', '%(count)s sets', state.sets[side]), { count: state.sets[side] }));
    showTimeOuts(page, side);
}

function showTimeOuts(page, side) {
    const { state, setup } = page.desk;
    const allowed = setup.format.timeouts ?? 0;
    const used = state.timeouts[side];
    const list = slot(`timeouts-${side}`);
    while (list.children.length > allowed) {
        list.lastElementChild.remove();
    }
    while (list.children.length < allowed) {
        list.append(clone('box-template'));
    }
    [...list.children].forEach((box, place) => mark(box, 'data-used', place < used));
    fill(`timeouts-text-${side}`, allowed === 0 ? '' : interpolate(
        gettext('time-outs used: %(used)s of %(allowed)s'), { used, allowed }));
}

/** A suspended match may go on at another table; until it is chosen, this is where it stands. */
export function showTable(page) {
    const { state } = page.desk;
    const name = page.tables.find(([table]) => table === state.table)?.[1] ?? page.heading;
    fill('heading', name);
    const choice = slot('resume-table');
    const stands = `${state.table} ${state.status}`;
    if (choice.dataset.stands !== stands) {
        choice.dataset.stands = stands;
        choice.value = String(state.table ?? '');
    }
}

function metaOf(page) {
    // What changes comes first: a narrow head cuts the rest.
    const parts = [];
    if (page.desk.state.equalizing !== null) {
        parts.push(gettext('equalizing inning'));
    }
    if (page.desk.state.extra !== null) {
        parts.push(gettext('extra innings'));
    }
    if (page.desk.setup.format.sets_to_win !== null) {
        parts.push(interpolate(gettext('set %(number)s'), { number: page.desk.state.set }));
    }
    parts.push(page.meta);
    return parts.filter(Boolean).join(', ');
}

/** Where the entries are: with the club, on this device, or not accepted. */
export function showSaving(page) {
    const { saving, state, trouble, refused } = page.desk;
    mark(slot('saving'), 'data-state', { all: 'club', here: 'device', refused: 'refused' }[saving.code]);
    fill('waiting', saving.code === 'here' ? saving.count : 0);
    fill('refused', refused.length);
    const flags = slot('flags');
    flags.hidden = state.flags.length === 0;
    fill('flag-count', interpolate(
        ngettext('%(count)s open flag', '%(count)s open flags', state.flags.length), { count: state.flags.length }));
    const say = ['signed-out', 'link-ended', 'no-right', 'no-storage'].includes(trouble?.code) ? trouble.words : '';
    const notice = slot('trouble');
    notice.hidden = say === '';
    fill('trouble-words', say);
    slot('table-link').hidden = trouble?.code !== 'link-ended';
    slot('trouble-link').hidden = !['signed-out', 'no-right'].includes(trouble?.code);
    for (const button of all('[data-act="look"]')) {
        mark(button, 'aria-expanded', String(page.view === 'more'));
    }
}
