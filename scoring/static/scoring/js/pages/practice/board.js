// The balls of a position: placed by hand on the drawing, by keys or in numbers.

import { all, mark, one, put } from '../score/dom.js';
import { gettext } from '../score/texts.js';
import { Drawing } from '../../table/drawing.js';
import { watchTable } from '../../table/hands.js';
import { BALLS, laid } from '../../table/layout.js';
import { BALL, place, refused } from '../../table/words.js';

const FINE = 1e4;

export class Board {
    /**
     * `root` holds the drawing and the fields of practice/balls.html. `table`: metres a diamond both
     * ways and the balls' radius. `changed(said)` follows each move; `said` is what stood in the way.
     */
    constructor(root, { table, layout, cue, changed = () => {} }) {
        this.root = root;
        this.table = table;
        this.layout = layout;
        this.cue = cue;
        this.changed = changed;
        this.drawing = new Drawing(one('svg.carom', root), { aims: false });
        const state = () => ({ layout: this.layout, cue: this.cue, size: table });
        watchTable(this.drawing, state, (wish) => this.move(wish), () => {});
        root.addEventListener('change', ({ target }) => this.take(target));
        this.show();
        // Names keep their size where the drawing shrinks or grows.
        new ResizeObserver(() => this.nameBalls()).observe(this.drawing.svg);
    }

    put(layout, cue) {
        this.layout = layout;
        this.cue = cue;
        this.show();
    }

    move(wish) {
        const { layout, stopped } = laid(wish, this.layout, this.table);
        this.layout = layout;
        this.show();
        this.changed(stopped ? refused(wish.ball, stopped) : null);
    }

    take(input) {
        if (input.name === 'cue_ball' && input.type === 'radio') {
            this.cue = input.value;
            this.show();
            this.changed(null);
            return;
        }
        const [ball, axis] = input.name.split('_');
        if (!BALLS.includes(ball)) {
            return;
        }
        const number = Number(input.value.trim().replace(',', '.'));
        if (input.value.trim() === '' || !Number.isFinite(number)) {
            this.show();
            this.changed(gettext('A number is needed here; the last one stands.'));
            return;
        }
        const at = [...this.layout[ball]];
        at[axis === 'x' ? 0 : 1] = number;
        this.move({ ball, at, typed: true });
    }

    show() {
        const { drawing, layout, cue, table } = this;
        drawing.dress(cue, table.radius / table.across);
        for (const ball of BALLS) {
            drawing.put(ball, layout[ball]);
            drawing.tell(ball, layout[ball][0], place(layout[ball]), BALL[ball]);
        }
        drawing.gripBalls(layout);
        mark(drawing.ghost, 'visibility', 'hidden');
        this.nameBalls();
        for (const input of all('input[name]', this.root)) {
            const [ball, axis] = input.name.split('_');
            if (input.type === 'radio') {
                input.checked = input.value === cue;
            } else if (BALLS.includes(ball)) {
                input.value = String(Math.round(layout[ball][axis === 'x' ? 0 : 1] * FINE) / FINE);
            }
        }
        put(one('[data-slot="lies"]', this.root) ?? document.createElement('p'), this.words());
    }

    nameBalls() {
        const { svg } = this.drawing;
        const scale = svg.getScreenCTM()?.a || 1;
        const large = Math.min(Math.max(1 / scale, 0.7), 2.2);
        svg.style.setProperty('--names', large.toFixed(2));
        this.drawing.nameBalls([], large);
    }

    /** Where the balls lie, for those who do not see the drawing. */
    words() {
        return BALLS.map((ball) => `${BALL[ball]} ${place(this.layout[ball])}`).join('; ');
    }
}
