// By stroke: point, miss, foul; why it was a foul; the run under way in tallies.

import { clone, fill, mark, slot, tableButton } from './dom.js';
import { underWay } from './reading.js';
import { colourWord, gettext, interpolate } from './texts.js';

const FIVE = 5;

export class Strokes {
    constructor(page) {
        this.page = page;
        this.foul = null;
        slot('reason-list').replaceChildren(
            ...page.foulReasons.map(([reason, words]) => tableButton('foul-reason', words, { reason })),
        );
    }

    async write(kind) {
        const answer = await this.page.write(kind);
        if (kind === 'foul' && answer.entry) {
            this.foul = answer.entry.uuid;
            this.page.show();
        }
    }

    /** Say afterwards why it was a foul. */
    async because(reason) {
        const target = this.foul;
        this.foul = null;
        await this.page.write('annotate', { target, reason });
        this.page.show();
    }

    skip() {
        this.foul = null;
        this.page.show();
    }

    /** Discovered after the point was counted, it takes that point back and ends the inning. */
    async wrongBall() {
        const last = this.page.desk.rows.at(-1);
        const { open } = underWay(this.page.desk);
        const takesBack = this.page.desk.setup.ruleSet.wrong_ball_cancels_last_point;
        if (open && last.kind === 'point' && takesBack) {
            await this.page.write('foul', { instead_of: last.uuid, reason: 'wrong-ball', why: gettext('the wrong ball was played') });
        } else {
            await this.page.write('foul', { reason: 'wrong-ball' });
        }
    }

    show() {
        const { desk } = this.page;
        // Offered until the next thing is written, or the foul is struck out.
        const standing = desk.rows.at(-1);
        if (this.foul !== null && standing?.uuid !== this.foul) {
            this.foul = null;
        }
        slot('reasons').hidden = this.foul === null;
        const { colour } = underWay(desk);
        const run = colour === null ? 0 : desk.state.run[colour];
        fill('run-of', colour === null ? '' : interpolate(gettext('Run of %(colour)s'), { colour: colourWord(colour) }));
        fill('run', run);
        showTally(run);
    }
}

function showTally(run) {
    const place = slot('tally');
    const wanted = Math.ceil(run / FIVE);
    while (place.children.length > wanted) {
        place.lastElementChild.remove();
    }
    while (place.children.length < wanted) {
        place.append(clone('tally-template'));
    }
    [...place.children].forEach((five, at) => mark(five, 'data-n', Math.min(FIVE, run - at * FIVE)));
}
