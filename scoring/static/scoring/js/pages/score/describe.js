// Describing a stroke: rails and balls are tapped in order, and the ruling appears as one taps.

import { words } from '../../match/said.js';
import { course, parseContacts } from '../../rules/contacts.js';
import { rule } from '../../rules/rulings.js';
import { all, fill, mark, one, put, slot, tableButton } from './dom.js';
import { inningOfRow, other, underWay } from './reading.js';
import { Route } from './route.js';
import { capital, colourWord, gettext, interpolate, ngettext, pointWord, railWord } from './texts.js';

const MOST = 200;
const STROKES = ['point', 'miss', 'foul'];
// What the ruling says while the stroke is still being tapped.
const STILL_OPEN = new Set(['no ball was met', 'the second ball was missed']);

export class Describe {
    constructor(page) {
        this.page = page;
        this.table = slot('short-table');
        this.route = new Route(this.table);
        this.contacts = [];
        this.family = null;
        this.target = null;
        this.listOpen = false;
        slot('family-list').replaceChildren(
            ...page.families.map(([family, name]) => tableButton('family', name, { family })),
        );
    }

    /** Begin with the stroke written last, where nobody has described it; else with the next one. */
    begin() {
        const last = this.lastStroke();
        this.aim(last !== null && last.details.contacts === undefined ? last : null);
        this.page.look('describe');
    }

    lastStroke() {
        const last = this.page.desk.rows.at(-1);
        return last !== undefined && STROKES.includes(last.kind) && last.counts ? last : null;
    }

    /** Turn to another stroke: the last one, or the next one (null). */
    aim(row) {
        this.target = row;
        this.contacts = [];
        this.family = row?.tried ?? null;
        this.listOpen = false;
        this.cue = row?.colour ?? this.page.desk.state.turn ?? 'white';
        this.route.clear();
        this.show();
    }

    swap() {
        this.aim(this.target === null ? this.lastStroke() : null);
    }

    tap(button, event) {
        if (this.contacts.length >= MOST) {
            return;
        }
        const { rail, ball } = button.dataset;
        this.contacts.push(rail ? { rail } : { ball });
        this.route.add(button, event);
        this.show();
    }

    takeBack() {
        this.contacts.pop();
        this.route.takeBack();
        this.show();
    }

    declare(family) {
        this.family = this.family === family ? null : family;
        this.listOpen = false;
        this.show();
        one('[data-act="families"]').focus();
    }

    families() {
        this.listOpen = !this.listOpen;
        this.show();
        if (this.listOpen) {
            one('button', slot('family-list')).focus();
        }
    }

    ruling() {
        const { setup, state } = this.page.desk;
        const contacts = parseContacts(this.contacts, this.cue);
        const ruling = rule({
            discipline: setup.discipline,
            cueBall: this.cue,
            contacts,
            opening: this.target === null ? state.opening : this.target.opening,
            ruleSet: setup.ruleSet,
        });
        return { ...ruling, way: course(contacts) };
    }

    async write() {
        const named = this.target !== null && this.family !== null;
        if (this.contacts.length === 0 && !named) {
            fill('ruling-why', gettext('Tap at least one rail or ball, then write it.'));
            return;
        }
        const described = {};
        if (this.contacts.length > 0) {
            described.contacts = this.contacts;
        }
        if (this.family !== null && this.family !== this.target?.tried) {
            described.family = this.family;
        }
        const kind = this.target !== null ? 'annotate' : this.ruling().valid ? 'point' : 'miss';
        this.page.look('score');
        await this.page.write(kind, this.target === null ? described : { target: this.target.uuid, ...described });
    }

    show() {
        mark(this.table, 'data-cue', this.cue);
        fill('cue-word', interpolate(gettext('%(colour)s plays'), { colour: colourWord(this.cue) }));
        this.place('upper', other(this.cue));
        this.place('lower', 'red');
        fill('describe-title', this.title());
        const swap = one('[data-act="other-stroke"]');
        const last = this.lastStroke();
        swap.hidden = last === null || this.page.desk.state.turn === null;
        put(swap, this.target === null ? gettext('The last stroke') : gettext('The next stroke'));
        slot('contacts').replaceChildren(...this.contacts.map(contactItem));
        this.showRuling();
        this.showFamily();
        const count = this.contacts.length;
        fill('take-back-label', count === 0 ? gettext('Take back') : interpolate(gettext('Take back %(number)s'), { number: count }));
    }

    place(where, ball) {
        const button = one(`[data-place="${where}"]`, this.table);
        mark(button, 'data-ball', ball);
        put(one('[data-slot="ball-word"]', button), colourWord(ball));
    }

    title() {
        const { desk } = this.page;
        const colour = colourWord(this.cue);
        if (this.target === null) {
            return interpolate(gettext('%(colour)s, inning %(inning)s, next stroke.'), { colour, inning: underWay(desk).inning });
        }
        const inning = inningOfRow(desk, this.target);
        const points = inning.strokes.filter((row) => row.kind === 'point');
        const place = points.findIndex((row) => row.uuid === this.target.uuid);
        const what = this.target.kind === 'miss' ? gettext('the miss') : this.target.kind === 'foul' ? gettext('the foul') : pointWord(place + 1);
        return interpolate(gettext('%(colour)s, inning %(inning)s, %(what)s.'), { colour, inning: inning.inning, what });
    }

    showRuling() {
        const ruling = this.ruling();
        const [state, head, why] = spokenRuling(ruling, this.contacts.length, this.familyWord(ruling.family));
        mark(slot('ruling'), 'data-ruling', state);
        fill('ruling-head', head);
        fill('ruling-why', why);
        const point = this.target !== null || ruling.valid || this.contacts.length === 0;
        put(one('[data-act="write-it"]'), point ? gettext('Write it') : gettext('Write it as a miss'));
        this.derived = ruling.valid ? ruling.family : null;
    }

    familyWord(code) {
        return this.page.families.find(([family]) => family === code)?.[1] ?? code ?? '';
    }

    showFamily() {
        const code = this.family ?? this.derived;
        fill('family-tried', code === null ? gettext('not said') : this.familyWord(code));
        const list = slot('family-list');
        list.hidden = !this.listOpen;
        mark(one('[data-act="families"]'), 'aria-expanded', String(this.listOpen));
        for (const button of all('button', list)) {
            mark(button, 'aria-pressed', String(button.dataset.family === code));
        }
    }
}

/** The ruling as it is told: its sign, a headline, one line of reason. */
function spokenRuling({ valid, cushions, required, reason, foul, way }, count, family) {
    const values = { cushions, required, missing: required - cushions, family: capital(family) };
    const needed = required === 0
        ? gettext('Both balls must be met.')
        : interpolate(gettext('%(required)s needed before the second ball.'), values);
    if (count === 0) {
        return ['open', gettext('Nothing tapped yet'), needed];
    }
    if (valid) {
        const head = required === 0
            ? gettext('Counts')
            : interpolate(ngettext('Counts: %(cushions)s cushion', 'Counts: %(cushions)s cushions', cushions), values);
        return ['counts', head, interpolate('%(needed)s %(family)s.', { needed, family: values.family })];
    }
    if (way.second === null && !foul && STILL_OPEN.has(reason.template)) {
        const head = cushions >= required
            ? interpolate(ngettext('%(cushions)s cushion, a ball is missing', '%(cushions)s cushions, a ball is missing', cushions), values)
            : interpolate(ngettext('%(cushions)s cushion so far, %(missing)s more needed', '%(cushions)s cushions so far, %(missing)s more needed', cushions), values);
        return ['short', head, needed];
    }
    const short = way.second !== null && cushions < required;
    const head = short
        ? interpolate(gettext('Does not count: %(cushions)s of %(required)s'), values)
        : gettext('Does not count');
    return ['no', head, capital(words(reason)) + '.'];
}

function contactItem(contact, place) {
    const item = document.createElement('li');
    const number = document.createElement('b');
    number.textContent = String(place + 1);
    item.append(number, ` ${contact.rail ? railWord(contact.rail) : colourWord(contact.ball)}`);
    return item;
}
