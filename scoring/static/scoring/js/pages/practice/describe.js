// Describing an attempt: the contacts are tapped as on the scoring page, and the ruling says whether it was made.

import { Describe } from '../score/describe.js';
import { fill, mark, one, put } from '../score/dom.js';
import { colourWord, gettext, interpolate } from '../score/texts.js';

export class DescribeAttempt extends Describe {
    /** What is described is always the attempt that is written with it. */
    lastStroke() {
        return null;
    }

    /** The family that the position is for is what is tried, until another is said. */
    aim(row) {
        super.aim(row);
        this.family = this.page.family;
        this.show();
    }

    title() {
        const { tried, cue } = this.page;
        return interpolate(gettext('%(colour)s, attempt %(number)s.'), { colour: colourWord(cue), number: tried + 1 });
    }

    showRuling() {
        super.showRuling();
        const made = this.contacts.length === 0 || this.ruling().valid;
        put(one('[data-act="write-it"]'), made ? gettext('Write it') : gettext('Write it as missed'));
    }

    async write() {
        if (this.contacts.length === 0) {
            fill('ruling-why', gettext('Tap at least one rail or ball, then write it.'));
            return;
        }
        const described = { contacts: this.contacts };
        if (this.family !== null) {
            described.family = this.family;
        }
        const outcome = this.ruling().valid ? 'made' : 'missed';
        this.page.look('score');
        await this.page.write({ outcome, ...described });
    }

    show() {
        super.show();
        mark(one('[data-act="other-stroke"]'), 'hidden', true);
    }
}
