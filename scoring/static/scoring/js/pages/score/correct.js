// An earlier inning is corrected, struck out or given a forgotten one before it, where it stands.

import { all, clone, mark, one, put } from './dom.js';
import { colourWord, gettext, interpolate } from './texts.js';

export class Correct {
    constructor(page) {
        this.page = page;
        this.row = null;
    }

    get asked() {
        return this.page.correcting;
    }

    begin(side, key) {
        const inning = this.page.ledger.line(key)?.[side];
        if (!inning) {
            return;
        }
        const { bars } = this.page.pen;
        if (bars !== null) {
            this.page.readBack.refuse(bars);
            return;
        }
        this.page.correcting = { side, key, inning, stage: 'correct', reason: 'miscounted', run: null, act: null, plan: null };
        this.page.pad.tens = 0;
        this.page.readBack.forget();
        this.page.show();
        one('[data-act="leave-as-is"]', this.row).focus({ preventScroll: true });
    }

    leave() {
        const { asked } = this;
        this.page.correcting = null;
        this.page.pad.tens = 0;
        this.page.readBack.forget();
        this.page.show();
        this.focusCell(asked);
    }

    /** Back to the inning that was open. */
    focusCell({ key, side }) {
        if (!this.page.byKeyboard) {
            this.page.focusKeys();
            return;
        }
        one(`[data-line="${key}"][data-side="${side}"]`, this.page.ledger.body)?.focus({ preventScroll: true });
    }

    why(reason) {
        this.asked.reason = reason;
        this.page.show();
    }

    /** The pad writes here while an inning is open for correction. */
    run(run) {
        const { asked } = this;
        asked.run = run;
        asked.act = asked.stage === 'insert' || asked.act === 'insert' ? 'insert' : 'replace';
        this.weigh(asked.act === 'insert' ? insertion(asked, this.whyWords()) : replacement(asked, this.whyWords()));
    }

    insert() {
        this.asked.stage = 'insert';
        this.page.show();
    }

    strike() {
        this.asked.act = 'strike';
        const why = this.whyWords();
        this.weigh(this.asked.inning.strokes.map((row) => ['void', { target: row.uuid, why }]).reverse());
    }

    whyWords() {
        return {
            miscounted: gettext('miscounted'),
            'wrong player': gettext('wrong player'),
            other: gettext('other'),
        }[this.asked.reason] ?? this.asked.reason;
    }

    /** See what the entries would change before any is written. */
    weigh(plan) {
        const { asked, page } = this;
        const seen = page.desk.previewMany(plan);
        if (seen.refused) {
            page.readBack.refuse(seen.refused.reason);
            return;
        }
        asked.changes = seen.changes;
        asked.renumber = seen.renumber?.length ? seen.renumber : null;
        asked.plan = plan;
        asked.stage = 'preview';
        page.readBack.forget();
        page.show();
        one('[data-act="write-correction"]', this.row).focus({ preventScroll: true });
    }

    async write(renumbered) {
        const { asked, page } = this;
        const plan = renumbered ? [...asked.plan, ...asked.renumber] : asked.plan;
        page.correcting = null;
        await page.writeMany(plan);
        this.focusCell(asked);
    }

    headline(values) {
        const texts = {
            insert: gettext('Before %(colour)s, inning %(inning)s: %(fresh)s'),
            strike: gettext('Strike out %(colour)s, inning %(inning)s: %(run)s'),
            replace: gettext('%(colour)s, inning %(inning)s: %(run)s becomes %(fresh)s'),
        };
        return interpolate(texts[this.asked.act], values);
    }

    show() {
        const { asked, page } = this;
        mark(page.root, 'data-correcting', asked !== null);
        if (asked === null) {
            this.row?.remove();
            this.row = null;
            return;
        }
        const above = page.ledger.rowOf(asked.key);
        if (this.row === null || this.row.previousElementSibling !== above) {
            this.row?.remove();
            this.row = clone('correct-template');
            above.after(this.row);
            page.ledger.bringIntoSight(above, this.row);
        }
        const preview = asked.stage === 'preview';
        const changes = one('[data-part="changes"]', this.row);
        put(changes, preview ? asked.changes.join(' ') || gettext('No figure changes.') : '');
        for (const button of all('[data-stage]', this.row)) {
            button.hidden = (button.dataset.stage === 'preview') !== preview;
        }
        changes.hidden = !preview;
        one('[data-act="write-renumbered"]', this.row).hidden = !preview || !asked.renumber;
        for (const button of all('[data-act="why"]', this.row)) {
            mark(button, 'aria-pressed', String(button.dataset.why === asked.reason));
        }
        mark(one('.correct', this.row), 'aria-label', interpolate(
            gettext('Correct %(colour)s, inning %(inning)s'), { colour: colourWord(asked.side), inning: asked.inning.inning }));
    }
}

function insertion({ inning, side, run }, why) {
    return [['inning', { run, before: inning.strokes[0].uuid, by: side, why }]];
}

/** The entries that bring an inning to another run: one where it was written whole, else points. */
function replacement({ inning, side, run }, why) {
    const difference = run - inning.run;
    const whole = inning.strokes.find((row) => row.kind === 'inning');
    if (whole !== undefined) {
        return [['inning', { run: Math.max(0, whole.run + difference), instead_of: whole.uuid, why }]];
    }
    const last = inning.strokes.at(-1);
    if (difference >= 0) {
        return Array.from({ length: difference }, () => ['point', { before: last.uuid, by: side, why }]);
    }
    const points = inning.strokes.filter((row) => row.kind === 'point');
    return points.slice(difference).reverse().map((row) => ['void', { target: row.uuid, why }]);
}
