// The last thing written, in words, and at its end the one button that answers it.

import { fill, mark, slot } from './dom.js';
import { readBack, spoken, whoPlays } from './reading.js';
import { colourWord, gettext, interpolate } from './texts.js';

// What is written beside the play is not read back over it.
const BESIDE = new Set(['annotate', 'position', 'dispute', 'settle']);

export class ReadBack {
    constructor(page) {
        this.page = page;
        this.refusal = null;
    }

    /** Say why nothing was written, until something else happens. */
    refuse(reason) {
        this.refusal = reason;
        this.show();
    }

    forget() {
        this.refusal = null;
    }

    show() {
        const { tone, said, more, offer } = this.now();
        const place = slot('readback');
        mark(place, 'data-tone', tone);
        mark(place, 'data-offer', offer);
        fill('said', said);
        fill('said-more', more);
    }

    now() {
        const { desk, names, correcting, pad } = this.page;
        if (this.refusal !== null) {
            const said = interpolate(gettext('Not written: %(reason)s'), { reason: lowered(this.refusal) });
            return { tone: 'refused', said, more: '', offer: correcting ? 'leave' : this.offer() };
        }
        if (correcting) {
            return { tone: 'asking', ...this.asked(correcting), offer: 'leave' };
        }
        if (pad.tens > 0) {
            const said = interpolate(gettext('%(first)s to %(last)s'), { first: pad.tens * 10, last: pad.tens * 10 + 9 });
            return { tone: 'plain', said, more: gettext('tap the whole run'), offer: 'leave' };
        }
        if (desk.lastStruck !== null) {
            const said = interpolate(gettext('Struck out: %(what)s.'), { what: spoken(desk, names, desk.lastStruck) });
            return { tone: 'asking', said, more: sentence(whoPlays(desk)), offer: 'put-back' };
        }
        const [said, more] = this.lastWords();
        return { tone: 'plain', said, more, offer: this.offer() };
    }

    asked({ side, inning, run, stage }) {
        const values = { colour: colourWord(side), inning: inning.inning, run: inning.run, fresh: run };
        if (stage === 'insert') {
            return { said: interpolate(gettext('Insert before %(colour)s, inning %(inning)s'), values), more: gettext('tap the run that was forgotten') };
        }
        if (stage === 'preview') {
            return { said: this.page.correct.headline(values), more: gettext('nothing is written yet') };
        }
        return {
            said: interpolate(gettext('Correct %(colour)s, inning %(inning)s: now %(run)s'), values),
            more: gettext('tap the right run'),
        };
    }

    lastWords() {
        const { desk, names } = this.page;
        const last = desk.entries.findLast((entry) => !BESIDE.has(entry.kind));
        if (last === undefined) {
            return [gettext('Who starts?'), ''];
        }
        if (last.kind === 'void') {
            return [gettext('Struck out'), whoPlays(desk)];
        }
        const [said, more] = readBack(desk, names, last);
        if (last.why && last.instead_of !== undefined) {
            return [interpolate(gettext('Now %(what)s'), { what: said }), more];
        }
        return [said, more];
    }

    offer() {
        const { desk } = this.page;
        if (desk.lastStruck !== null) {
            return 'put-back';
        }
        return desk.toStrike === null ? 'none' : 'strike';
    }
}

function sentence(text) {
    return text === '' ? '' : `${text}.`;
}

function lowered(text) {
    // A colour or a name keeps its capital; so does a language that has none to lose.
    const keeps = [gettext('White'), gettext('Yellow')].some((word) => text.startsWith(word));
    return keeps ? text : text.charAt(0).toLocaleLowerCase() + text.slice(1);
}
