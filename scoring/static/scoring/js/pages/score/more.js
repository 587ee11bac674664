// Everything that is not needed every minute: what was not accepted, open flags, how a match ends early.

import { all, fill, mark, one, put, slot, tableButton } from './dom.js';
import { columnWord, numberOf, spoken } from './reading.js';
import { colourWord, flagSentence, gettext, interpolate } from './texts.js';

const DRAWS = ['distance', 'limit', 'played'];

export class More {
    constructor(page) {
        this.page = page;
    }

    show() {
        const { desk, names } = this.page;
        const { state, setup } = desk;
        ['white', 'yellow'].forEach((side, place) => {
            fill(`give-up-${side}`, names[state.players[side] ?? setup.entrants[place]] ?? colourWord(side));
        });
        this.showRefused();
        this.showFlags();
        const draw = drawn(state);
        for (const button of all('[data-needs="draw"]')) {
            button.hidden = !draw;
        }
        for (const shown of all('[data-slot="offer-extra"], [data-slot="needs-extra"]')) {
            shown.hidden = !draw;
        }
        // In a knock-out a draw is played on: then that is the one main button.
        const playOn = draw && all('[data-slot="needs-extra"]').length > 0;
        slot('offer-extra').classList.toggle('btn-main', playOn);
        one('.done [data-act="confirm"]').classList.toggle('btn-main', !playOn);
        for (const button of all('[data-needs="clock"]')) {
            button.hidden = !this.page.clock.there;
        }
        for (const button of all('[data-needs="pen"]')) {
            button.hidden = desk.pen.mine;
        }
        one('[data-act="strike-more"]').hidden = desk.toStrike === null;
        for (const button of all('[data-act="more"]')) {
            mark(button, 'aria-expanded', String(this.page.view === 'more'));
        }
    }

    showRefused() {
        const { desk, names } = this.page;
        const { refused } = desk;
        const place = slot('refusals');
        place.hidden = refused.length === 0;
        const list = slot('refusal-list');
        list.replaceChildren(...refused.flatMap(({ entry, reason }) => {
            const what = spoken(desk, names, entry);
            return note(what === '' ? reason : interpolate(gettext('%(what)s: %(reason)s'), { what, reason }));
        }));
    }

    showFlags() {
        const { desk } = this.page;
        const { flags } = desk.state;
        slot('open-flags').hidden = flags.length === 0;
        // A clock that is wrong is wrong for every entry: one question, one answer.
        const clocks = flags.filter((flag) => flag.code === 'clock');
        const single = clocks.length > 1 ? flags.filter((flag) => flag.code !== 'clock') : flags;
        const items = single.flatMap((flag) => {
            const item = note(flagSentence(flag.code, this.place(flag)));
            const target = this.targetOf(flag);
            if (target !== undefined) {
                item[1].append(' ', tableButton('settle', gettext('It stands'), { target }));
            }
            return item;
        });
        if (clocks.length > 1) {
            const item = note(interpolate(
                gettext('The clock of the device was wrong, %(count)s times. The time of the club counts.'), { count: clocks.length }));
            item[1].append(' ', tableButton('settle', gettext('They stand'), { code: 'clock' }));
            items.push(...item);
        }
        slot('flag-list').replaceChildren(...items);
        const last = desk.rows.at(-1);
        one('[data-act="dispute"]').hidden = last === undefined;
    }

    /** "White, inning 7". */
    place(flag) {
        const row = this.page.desk.rows.find((each) => each.seq === flag.seq);
        return row === undefined
            ? gettext('An entry')
            : interpolate(gettext('%(colour)s, inning %(inning)s'), { colour: columnWord(this.page.desk, row), inning: numberOf(this.page.desk, row) });
    }

    dispute() {
        const last = this.page.desk.rows.at(-1);
        this.page.look('score');
        return this.page.write('dispute', { target: last.uuid });
    }

    targetOf(flag) {
        return this.page.desk.entries.find((entry) => entry.seq === flag.seq)?.uuid;
    }

    /** One question by its target, or all of a kind. */
    settle(target, code) {
        const asked = code === undefined
            ? [target]
            : this.page.desk.state.flags.filter((flag) => flag.code === code).map((flag) => this.targetOf(flag));
        return this.page.writeMany(asked.map((one) => ['settle', { target: one, decision: gettext('it stands') }]));
    }
}

export function drawn(state) {
    return ['over', 'confirmed'].includes(state.status) && state.winner === null && DRAWS.includes(state.ended_by);
}

function note(text) {
    const parts = [...document.getElementById('note-template').content.cloneNode(true).children];
    put(parts[1], text);
    return parts;
}
