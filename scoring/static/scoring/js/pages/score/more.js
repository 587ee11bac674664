// Everything that is not needed every minute: what was not accepted, open flags, how a match ends early.

import { all, fill, mark, one, put, slot, tableButton } from './dom.js';
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
        slot('offer-extra').hidden = !draw;
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
        const { refused } = this.page.desk;
        const place = slot('refusals');
        place.hidden = refused.length === 0;
        const list = slot('refusal-list');
        list.replaceChildren(...refused.flatMap((each) => note(each.reason)));
    }

    showFlags() {
        const { desk } = this.page;
        const { flags } = desk.state;
        slot('open-flags').hidden = flags.length === 0;
        slot('flag-list').replaceChildren(...flags.flatMap((flag) => {
            const item = note(flagSentence(flag.code, this.place(flag)));
            const target = desk.entries.find((entry) => entry.seq === flag.seq)?.uuid;
            if (target !== undefined) {
                item[1].append(' ', tableButton('settle', gettext('It stands'), { target }));
            }
            return item;
        }));
        const last = desk.rows.at(-1);
        one('[data-act="dispute"]').hidden = last === undefined;
    }

    /** "White, inning 7". */
    place(flag) {
        const row = this.page.desk.rows.find((each) => each.seq === flag.seq);
        return row === undefined
            ? gettext('An entry')
            : interpolate(gettext('%(colour)s, inning %(inning)s'), { colour: colourWord(row.colour), inning: row.inning });
    }

    dispute() {
        const last = this.page.desk.rows.at(-1);
        this.page.look('score');
        return this.page.write('dispute', { target: last.uuid });
    }

    settle(target) {
        return this.page.write('settle', { target, decision: gettext('it stands') });
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
