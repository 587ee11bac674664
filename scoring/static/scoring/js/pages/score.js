// The scoring page: a match is written by inning or by stroke, into this device first.

import { MatchDesk } from '../device/desk.js';
import { linkToken } from '../device/link.js';
import { listen as listenToButtons, tellOpeners } from './score/actions.js';
import { ShotClock } from './score/clock.js';
import { Correct } from './score/correct.js';
import { Describe } from './score/describe.js';
import { fill, one, slot } from './score/dom.js';
import { listen as listenToKeys } from './score/keys.js';
import { Ledger } from './score/ledger.js';
import { More } from './score/more.js';
import { Pad } from './score/pad.js';
import { showPanel, showSaving, showTable } from './score/panel.js';
import { Pen } from './score/pen.js';
import { ReadBack } from './score/readback.js';
import { outcome } from './score/reading.js';
import { Start } from './score/start.js';
import { Strokes } from './score/strokes.js';
import { gettext } from './score/texts.js';
import { Theme } from './score/theme.js';

class ScorePage {
    constructor(desk, data, root) {
        this.desk = desk;
        this.root = root;
        this.names = data.names;
        this.heading = data.heading;
        this.device = data.device;
        this.tables = data.tables;
        this.families = data.families;
        this.foulReasons = data.foul_reasons;
        this.meta = slot('meta').textContent;
        this.correcting = null;
        this.theme = new Theme(root);
        this.ledger = new Ledger(this);
        this.readBack = new ReadBack(this);
        this.pad = new Pad(this);
        this.strokes = new Strokes(this);
        this.start = new Start(this);
        this.correct = new Correct(this);
        this.describe = new Describe(this);
        this.clock = new ShotClock(this);
        this.more = new More(this);
        this.pen = new Pen(this, Boolean(data.pen_held));
    }

    get view() {
        return this.root.dataset.view;
    }

    /** Whether digits mean strokes: not while an inning is being corrected. */
    get byStroke() {
        return this.theme.mode === 'stroke' && this.correcting === null;
    }

    /** Write one entry; what does not fit is said in the read-back. */
    async write(kind, fields = {}) {
        this.readBack.forget();
        this.pen.askOnce();
        const answer = await this.desk.write(kind, fields);
        this.answered(answer);
        return answer;
    }

    async writeMany(plan) {
        this.readBack.forget();
        this.pen.askOnce();
        this.answered(await this.desk.writeMany(plan));
    }

    answered(answer) {
        if (answer.refused) {
            this.readBack.refuse(answer.refused.reason);
        }
        this.show();
    }

    /** A whole run from the pad: into the inning that is open for correction, else the next one. */
    writeRun(run) {
        if (this.correcting) {
            this.correct.run(run);
        } else {
            this.write('inning', { run });
        }
    }

    async strikeOut() {
        this.readBack.forget();
        this.pen.askOnce();
        this.answered(await this.desk.strikeOutLast());
    }

    async putBack() {
        this.readBack.forget();
        this.pen.askOnce();
        this.answered(await this.desk.putBack());
    }

    resume() {
        const chosen = Number(slot('resume-table').value);
        const moved = chosen !== 0 && chosen !== this.desk.state.table;
        return this.write('resume', moved ? { table: chosen } : {});
    }

    giveUp(kind, side) {
        return this.write(kind, { player: this.desk.state.players[side] });
    }

    writeBy(mode) {
        this.theme.write(mode);
        this.pad.tens = 0;
        this.readBack.forget();
        this.show();
    }

    leave() {
        if (this.correcting) {
            this.correct.leave();
        } else {
            this.pad.leaveTens();
        }
    }

    /** Turn to one of the three views; the focus goes along, and comes back. */
    look(view) {
        if (this.view === view) {
            return;
        }
        if (view !== 'score') {
            this.opener = document.activeElement;
        }
        this.root.dataset.view = view;
        this.show();
        globalThis.scrollTo(0, 0);
        if (view === 'score') {
            this.comeBack();
        } else {
            one('.head-back').focus({ preventScroll: true });
        }
        tellOpeners(view);
    }

    /** Back to the button that opened the view; a hand that tapped goes on with the keys. */
    comeBack() {
        if (this.byKeyboard && this.opener?.checkVisibility?.()) {
            this.opener.focus({ preventScroll: true });
        } else {
            this.focusKeys();
        }
    }

    /**
     * Where the button in focus has gone, the focus stays near what is written next. A button that was
     * tapped does not keep it: Enter of a keypad would press it again.
     */
    keepFocus() {
        const { activeElement } = document;
        const lost = activeElement === document.body || !activeElement.checkVisibility();
        if (this.view === 'score' && (lost || !(this.byKeyboard || this.correcting))) {
            this.focusKeys();
        }
    }

    focusKeys() {
        const keys = ['.pad', '.strokes'].map((name) => one(name)).find((group) => group.checkVisibility());
        keys?.focus({ preventScroll: true });
    }

    show() {
        const { state } = this.desk;
        this.root.dataset.phase = state.status;
        showPanel(this);
        showTable(this);
        showSaving(this);
        this.ledger.show();
        this.correct.show();
        this.pad.show();
        this.strokes.show();
        this.start.show();
        this.clock.show();
        this.more.show();
        this.pen.show();
        this.readBack.show();
        if (this.view === 'describe') {
            this.describe.show();
        }
        fill('outcome', ['over', 'confirmed'].includes(state.status) ? outcome(this.desk, this.names) : '');
    }
}

async function begin() {
    const data = JSON.parse(document.getElementById('score-data').textContent);
    const desk = await MatchDesk.open({
        matchId: data.match_id,
        setup: data.setup,
        apiUrl: data.api_url,
        entries: data.entries,
        organises: data.organises,
        // A device that lost the token is told where to scan the card again.
        token: data.by_link ? (linkToken() ?? '') : null,
    });
    const page = new ScorePage(desk, data, document.getElementById('score'));
    desk.addEventListener('change', ({ detail }) => {
        if (detail.why === 'followed') {
            page.readBack.forget(); // what was refused was refused in another state
        }
        page.show();
    });
    listenToButtons(page);
    listenToKeys(page);
    page.show();
    page.root.dataset.ready = '';
}

begin().catch((problem) => {
    // Nothing can be written then: say so, and leave the finding to the browser's own log.
    slot('trouble').hidden = false;
    fill('trouble-words', gettext('This page could not be opened on this device. Load it again.'));
    throw problem;
});
