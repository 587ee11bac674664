// Digits: one tap writes the inning and passes the turn; ten and more take two.

import { all, mark, one, put, slot } from './dom.js';
import { gettext, interpolate } from './texts.js';

const DEAF = 300;
const MOST_TENS = 99;

export class Pad {
    constructor(page) {
        this.page = page;
        this.element = slot('pad');
        this.tens = 0;
        this.deafUntil = 0;
        // The keys leave the focus where it was, so that Enter never repeats a digit.
        this.element.addEventListener('mousedown', (event) => event.preventDefault());
    }

    /** A digit was tapped or typed. */
    digit(figure) {
        const now = performance.now();
        if (now < this.deafUntil) {
            return;
        }
        this.deafUntil = now + DEAF;
        mark(this.element, 'data-deaf', true);
        setTimeout(() => mark(this.element, 'data-deaf', false), DEAF);
        const run = this.tens * 10 + figure;
        this.tens = 0;
        this.page.writeRun(run);
    }

    /** Ten more at each tap; past what the player may still make the keys come back. */
    moreTens() {
        this.tens = this.tens >= this.mostTens() ? 0 : this.tens + 1;
        this.page.show();
    }

    leaveTens() {
        this.tens = 0;
        this.page.show();
    }

    mostTens() {
        const { desk, correcting } = this.page;
        const { turn, to_go: toGo, distance } = desk.state;
        const room = correcting ? distance[correcting.side] : toGo[turn];
        // One step is always there: what does not fit is refused in words.
        return room === null || room === undefined ? MOST_TENS : Math.max(1, Math.floor(room / 10));
    }

    show() {
        mark(this.element, 'data-tens', this.tens || null);
        for (const key of all('[data-key]', this.element)) {
            put(key, this.tens * 10 + Number(key.dataset.key));
        }
        const key = one('[data-act="tens"]', this.element);
        mark(key, 'aria-pressed', String(this.tens > 0));
        const last = this.tens >= this.mostTens();
        put(one('.tens-back', key), last
            ? gettext('back')
            : interpolate(gettext('%(tens)s+'), { tens: (this.tens + 1) * 10 }));
        mark(key, 'aria-label', this.tens === 0 ? gettext('10 or more') : null);
    }
}
