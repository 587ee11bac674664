// The last innings under the panel: a row an inning, the cell to be written, what the referee says.

import { all, clone, fill, mark, one, put, slot } from './dom.js';
import { columnWord, sheetLines } from './reading.js';
import { andWord, gettext, interpolate } from './texts.js';

const SIDES = ['white', 'yellow'];
const SEEN = 5;

export class Ledger {
    constructor(page) {
        this.page = page;
        this.body = slot('rows');
        this.rows = new Map();
        this.lines = [];
        this.seen = '';
        // A ledger that turns into a strip, or back, shows its newest innings again.
        new ResizeObserver(() => this.page.correcting || this.scrollToEnd()).observe(this.body);
    }

    show() {
        const { desk } = this.page;
        this.lines = sheetLines(desk);
        const notes = notesOf(desk);
        const wanted = this.padded();
        const keys = new Set(wanted.map((line) => line.key));
        for (const [key, row] of this.rows) {
            if (!keys.has(key)) {
                row.remove();
                this.rows.delete(key);
            }
        }
        wanted.forEach((line, place) => {
            const row = this.rowOf(line.key);
            const there = all('.ledger-row', this.body)[place] ?? null;
            if (there !== row) {
                this.body.insertBefore(row, there);
            }
            this.write(row, line, notes);
        });
        this.announce();
        this.toEnd(wanted);
    }

    /** The innings there are, and empty ones up to five. */
    padded() {
        const lines = [...this.lines];
        const last = lines.at(-1);
        let inning = last?.inning ?? 0;
        const set = last?.set ?? 1;
        while (lines.length < SEEN) {
            inning += 1;
            lines.push({ key: `blank-${lines.length}`, set, inning, extra: false, white: null, yellow: null, next: null });
        }
        return lines;
    }

    rowOf(key) {
        if (!this.rows.has(key)) {
            this.rows.set(key, clone('row-template'));
        }
        return this.rows.get(key);
    }

    write(row, line, notes) {
        mark(row, 'data-inning', line.inning);
        mark(row, 'data-writing', line.next);
        mark(row, 'data-closed', line.closed);
        mark(row, 'data-fifth', line.inning % SEEN === 0);
        const asked = this.page.correcting;
        mark(row, 'data-correcting', asked?.key === line.key ? asked.side : null);
        put(one('[data-cell="inning"]', row), label(line));
        for (const side of SIDES) {
            this.writeSide(row, line, side, notes);
        }
    }

    writeSide(row, line, side, notes) {
        const written = line[side];
        const cell = one(`[data-cell="run"][data-side="${side}"]`, row);
        const button = one('.cell', cell);
        const total = one(`[data-cell="total"][data-side="${side}"]`, row);
        button.hidden = written === null;
        button.dataset.line = line.key;
        const zero = written !== null && written.run === 0;
        mark(cell, 'data-idle', written !== null && !written.counts);
        cell.classList.toggle('zero', zero);
        total.classList.toggle('zero', zero);
        put(total, written?.total ?? '');
        put(one('[data-part="run"]', button), written?.run ?? '');
        const struck = written === null ? null : struckOf(this.page.desk, written);
        const del = one('[data-part="struck"]', button);
        del.hidden = struck === null;
        put(del, struck ?? '');
        const letter = written === null ? '' : letterOf(notes, written);
        const sign = one('[data-part="letter"]', button);
        sign.hidden = letter === '';
        put(sign, letter);
        if (written !== null) {
            mark(button, 'aria-label', spokenCell(columnWord(this.page.desk, { ...line, colour: side }), line, written, struck, letter));
        }
    }

    /** "and three", from the moment the player on turn needs exactly so many until the run changes. */
    announce() {
        const { desk } = this.page;
        const { turn, to_go: toGo, status } = desk.state;
        const count = desk.setup.discipline.announce_last;
        const due = status === 'playing' && turn !== null && count && toGo[turn] === count && !this.page.correcting;
        all('.say', this.body).forEach((say) => say.remove());
        const row = all('.ledger-row', this.body).find((each) => each.dataset.writing === turn);
        if (due && row !== undefined) {
            const say = clone('say-template');
            say.dataset.side = turn;
            one('[data-part="say"]', say).textContent = andWord(count);
            row.append(say);
        }
        fill('aloud', due ? interpolate(gettext('Say "%(words)s".'), { words: andWord(count) }) : '');
    }

    /** The newest row is in sight after each entry; a person who scrolls back is left alone. */
    toEnd(wanted) {
        const seen = `${wanted.length} ${this.page.desk.state.seq}`;
        if (seen === this.seen) {
            return;
        }
        this.seen = seen;
        this.scrollToEnd();
    }

    scrollToEnd() {
        this.body.scrollTop = this.body.scrollHeight;
        this.body.scrollLeft = this.body.scrollWidth;
    }

    /** Scroll so that an open row and its buttons are seen. */
    bringIntoSight(row, opened) {
        const lying = this.body.scrollWidth > this.body.clientWidth;
        if (lying) {
            this.body.scrollLeft = opened.offsetLeft - row.offsetWidth;
        } else {
            this.body.scrollTop = row.offsetTop - one('.ledger-row', this.body).offsetTop;
        }
    }

    line(key) {
        return this.lines.find((line) => line.key === key);
    }
}

function label(line) {
    return line.extra ? `+${line.inning}` : line.inning;
}

/** The figure that was written first in that inning's place, where it is another one. */
function struckOf(desk, inning) {
    for (const row of inning.strokes) {
        const old = desk.struck.find((each) => each.place === row.place && each.kind === 'inning' && each.run !== row.run);
        if (old !== undefined) {
            return old.run;
        }
    }
    return null;
}

/** Which rows carry a note: letters in order of play. */
function notesOf(desk) {
    const notes = new Map();
    for (const inning of desk.innings) {
        const open = inning.strokes.some((row) => row.codes.length > 0);
        if (open || struckOf(desk, inning) !== null) {
            notes.set(inning.strokes[0].uuid, letterAt(notes.size));
        }
    }
    return notes;
}

function letterAt(place) {
    const first = String.fromCharCode(97 + (place % 26));
    return place < 26 ? first : `${letterAt(Math.floor(place / 26) - 1)}${first}`;
}

function letterOf(notes, inning) {
    return notes.get(inning.strokes[0].uuid) ?? '';
}

function spokenCell(colour, line, written, struck, letter) {
    const values = { colour, inning: line.inning, run: written.run, struck, letter };
    const texts = [
        struck === null
            ? gettext('Correct %(colour)s, inning %(inning)s, now %(run)s')
            : gettext('Correct %(colour)s, inning %(inning)s, struck out %(struck)s, now %(run)s'),
    ];
    if (!written.counts) {
        texts.push(gettext('does not count'));
    }
    if (letter !== '') {
        texts.push(gettext('note %(letter)s'));
    }
    return texts.map((text) => interpolate(text, values)).join(', ');
}
