// The pen: the one device that writes. It is taken with the first thing written.

import { fill, mark, one } from './dom.js';
import { gettext, interpolate } from './texts.js';

export class Pen {
    constructor(page, heldAtFirst) {
        this.page = page;
        // What the page came with, until the club says otherwise.
        this.heldAtFirst = heldAtFirst;
        this.asking = false;
        this.readingAlong = false;
        this.offered = one('[data-slot="pen-words"]').textContent;
    }

    get elsewhere() {
        const { pen } = this.page.desk;
        return !pen.mine && (pen.elsewhere || this.heldAtFirst);
    }

    /** Why nothing earlier may be corrected from here, or null. An organiser may, beside the pen. */
    get bars() {
        const { desk } = this.page;
        if (desk.organises) {
            return null;
        }
        if (desk.state.status === 'confirmed') {
            return gettext('The match is confirmed. An organiser may correct it.');
        }
        return this.elsewhere ? gettext('Another device writes this match. Read along, or take the pen.') : null;
    }

    /** Ask for the pen with the first thing written; that stands on the device meanwhile. */
    async askOnce() {
        const { desk } = this.page;
        if (this.asking || desk.pen.mine || this.elsewhere || desk.trouble?.code === 'offline') {
            return;
        }
        this.asking = true;
        await desk.takePen({ device: this.page.device });
        this.asking = false;
        this.page.show();
    }

    async take() {
        const answer = await this.page.desk.takePen({ device: this.page.device, takeOver: true });
        if (answer.refused) {
            this.page.readBack.refuse(answer.refused.reason);
        } else {
            this.heldAtFirst = false;
            this.readingAlong = false;
        }
        this.page.look('score');
    }

    readAlong() {
        this.readingAlong = true;
        this.page.show();
    }

    show() {
        mark(this.page.root, 'data-pen', this.elsewhere ? 'elsewhere' : null);
        fill('pen-words', this.readingAlong
            ? interpolate(gettext('Reading along. %(heading)s is being written on another device.'), { heading: this.page.heading })
            : this.offered);
        one('[data-act="read-along"]').hidden = this.readingAlong;
    }
}
