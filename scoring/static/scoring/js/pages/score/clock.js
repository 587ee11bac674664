// The shot clock, where the format asks for one. It is the device's own; time-outs go into the ledger.

import { fill, kept, mark, slot } from './dom.js';
import { gettext } from './texts.js';

const LAST = 10;
const TICK = 200;

export class ShotClock {
    constructor(page) {
        this.page = page;
        this.format = page.desk.setup.format;
        this.stroke = null;
        this.reset();
        if (this.there) {
            // The time of the stroke under way goes on while the page is loaded again.
            globalThis.addEventListener('pagehide', () => this.keep());
            setInterval(() => this.tick(), TICK);
        }
    }

    get there() {
        return this.format.shot_seconds !== null;
    }

    get running() {
        return this.since !== null;
    }

    /** Fresh time for a fresh stroke; it runs when the referee starts it. */
    reset() {
        this.since = null;
        this.elapsed = 0;
        this.extra = 0;
        this.warned = false;
        this.up = false;
    }

    get name() {
        return `clock-${this.page.desk.setup.id}`;
    }

    keep() {
        const { stroke, used, extra, warned, up, running } = this;
        kept.set(this.name, { stroke, used, extra, warned, up, running, elapsed: this.elapsed + this.ran(), at: Date.now() });
    }

    /** Take up the time that was kept, if it belongs to this stroke; true where it does. */
    goOn(stroke) {
        const last = kept.get(this.name);
        if (last?.stroke !== stroke) {
            return false;
        }
        const away = last.running ? Math.max(0, Date.now() - last.at) / 1000 : 0;
        const { used, extra, warned, up } = last;
        Object.assign(this, { used, extra, warned, up, elapsed: last.elapsed + away });
        this.since = last.running ? performance.now() : null;
        return true;
    }

    toggle() {
        if (this.running) {
            this.elapsed += this.ran();
            this.since = null;
        } else {
            this.since = performance.now();
        }
        this.page.show();
    }

    ran() {
        return this.running ? (performance.now() - this.since) / 1000 : 0;
    }

    left() {
        return this.format.shot_seconds + this.extra - this.elapsed - this.ran();
    }

    /** The referee gives seconds back; that is on record. */
    async restore(seconds) {
        const answer = await this.page.write('clock', { seconds });
        if (answer.entry) {
            this.extra += seconds;
            this.up = false;
            this.page.show();
        }
    }

    tick() {
        if (!this.running) {
            return;
        }
        const left = this.left();
        if (left <= LAST && !this.warned) {
            this.warned = true;
            this.beep();
        }
        if (left <= 0 && !this.up) {
            this.timeIsUp();
        }
        this.draw();
    }

    /** A time-out is used by itself where the format says so; else the referee calls it. */
    async timeIsUp() {
        this.up = true;
        const { state } = this.page.desk;
        const left = (this.format.timeouts ?? 0) - (state.timeouts[state.turn] ?? 0);
        if (this.format.timeout_mode === 'automatic' && left > 0) {
            await this.page.write('timeout');
            return;
        }
        this.elapsed += this.ran();
        this.since = null;
        this.beep();
        fill('aloud', gettext('The time is up.'));
        this.page.show();
    }

    beep() {
        if (!this.page.theme.sound || !globalThis.AudioContext) {
            return;
        }
        const audio = new AudioContext();
        const tone = audio.createOscillator();
        tone.frequency.value = 660;
        tone.connect(audio.destination);
        tone.start();
        tone.stop(audio.currentTime + 0.2);
        tone.onended = () => audio.close();
    }

    /** A stroke ends the time for it; a time-out lengthens it. */
    follow() {
        const { desk } = this.page;
        const stroke = `${desk.rows.length} ${desk.state.turn}`;
        const used = desk.state.timeouts.white + desk.state.timeouts.yellow;
        const first = this.stroke === null;
        if (first && this.goOn(stroke)) {
            this.stroke = stroke;
        }
        if (stroke !== this.stroke) {
            this.reset();
        } else if (used > this.used) {
            this.extra += (used - this.used) * (this.format.timeout_seconds ?? 0);
            this.warned = false;
            this.up = false;
        }
        this.stroke = stroke;
        this.used = used;
    }

    show() {
        slot('clock').hidden = !this.there || this.page.pen.elsewhere;
        mark(this.page.root, 'data-clock', this.there ? 'on' : 'off');
        if (!this.there) {
            return;
        }
        this.follow();
        fill('clock-label', this.running ? gettext('Stop') : gettext('Start'));
        this.draw();
    }

    draw() {
        const whole = this.format.shot_seconds + this.extra;
        const left = Math.max(0, this.left());
        fill('clock-figure', Math.ceil(left));
        slot('clock-fill').setAttribute('width', (100 * left / whole).toFixed(1));
        const warning = this.format.warning_seconds;
        const tick = slot('clock-tick');
        tick.setAttribute('x', warning === null ? -5 : (100 * (this.format.shot_seconds - warning) / whole).toFixed(1));
        mark(slot('clock'), 'data-last', left <= LAST && (this.running || this.up));
        fill('clock-words', this.up ? gettext('time is up') : gettext('last 10'));
    }
}
