// What the device remembers: dark room, left hand, sound, the way of writing. And its figures.

import { all, mark, memory } from './dom.js';

const FIGURES = '0123456789';

export class Theme {
    constructor(root) {
        this.root = root;
        this.html = document.documentElement;
        this.wish = globalThis.matchMedia('(prefers-color-scheme: dark)');
        this.set('theme', memory.get('theme'));
        this.root.dataset.hand = memory.get('hand') === 'left' ? 'left' : 'right';
        this.root.dataset.mode = memory.get('mode') === 'stroke' ? 'stroke' : 'inning';
        this.sound = memory.get('sound') === 'on';
        this.wish.addEventListener('change', () => this.tell());
        measureFigures(this.html);
        this.tell();
    }

    get dark() {
        const chosen = this.html.dataset.theme;
        return chosen ? chosen === 'dark' : this.wish.matches;
    }

    get mode() {
        return this.root.dataset.mode;
    }

    set(name, value) {
        if (value === 'dark' || value === 'light') {
            this.html.dataset[name] = value;
        }
    }

    toggleDark() {
        this.set('theme', this.dark ? 'light' : 'dark');
        memory.set('theme', this.html.dataset.theme);
        this.tell();
    }

    toggleHand() {
        this.root.dataset.hand = this.root.dataset.hand === 'left' ? 'right' : 'left';
        memory.set('hand', this.root.dataset.hand);
        this.tell();
    }

    toggleSound() {
        this.sound = !this.sound;
        memory.set('sound', this.sound ? 'on' : 'off');
        this.tell();
    }

    write(mode) {
        this.root.dataset.mode = mode;
        memory.set('mode', mode);
    }

    /** Keep the toggles true. */
    tell() {
        const pressed = {
            'dark-room': this.dark,
            'left-handed': this.root.dataset.hand === 'left',
            sound: this.sound,
        };
        for (const [act, on] of Object.entries(pressed)) {
            for (const button of all(`[data-act="${act}"]`)) {
                mark(button, 'aria-pressed', String(on));
            }
        }
    }
}

/** Where figures differ in width, columns take the printed face: they must stand under one another. */
function measureFigures(html) {
    const ruler = document.createElement('span');
    ruler.className = 'unseen';
    ruler.setAttribute('aria-hidden', 'true');
    for (const figure of FIGURES) {
        const run = document.createElement('span');
        run.className = 'figure';
        run.textContent = figure.repeat(20);
        ruler.append(run, ' ');
    }
    document.body.append(ruler);
    const widths = [...ruler.children].map((run) => run.getBoundingClientRect().width);
    ruler.remove();
    html.classList.toggle('plain-figures', Math.max(...widths) - Math.min(...widths) > 2);
}
