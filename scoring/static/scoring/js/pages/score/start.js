// Before the opening: by what the start was decided, and who starts.

import { fill, one } from './dom.js';

export class Start {
    constructor(page) {
        this.page = page;
    }

    show() {
        this.page.desk.setup.entrants.forEach((player, place) => fill(`start-${place}`, this.page.names[player] ?? ''));
    }

    open(place) {
        const starter = this.page.desk.setup.entrants[place];
        const chosen = one('input[name="decided_by"]:checked');
        return this.page.write('open', { starter, decided_by: chosen?.value ?? 'lag' });
    }
}
