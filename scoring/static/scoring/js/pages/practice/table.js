// Practice at the table: one tap an attempt, written into this device first.
//
// SLOTS of the page: saving, waiting, refused, trouble, trouble-words, trouble-link as on the scoring page;
// board, position-name, position-more, tried, of, made, goal, ten, ten-words, readback, said, said-more, how,
// keys, place, board-say, keep-said, refusals, refusal-list, end, end-said, ended, ended-words, ended-leave;
// those of describing a stroke.

import { PracticeDesk } from '../../device/practice.js';
import { all, drawn, fill, mark, one, put, slot } from '../score/dom.js';
import { Theme } from '../score/theme.js';
import { gettext, interpolate, ngettext } from '../score/texts.js';
import { Board } from './board.js';
import { DescribeAttempt } from './describe.js';
import { Places } from './places.js';
import { countWords, goalWords, hereWords, howWord, spokenAttempt } from './words.js';

const DEAF = 400; // ms after a tap: a thumb that trembles writes one attempt
const TEN = 10;

class PracticePage {
    constructor(desk, data, root) {
        this.desk = desk;
        this.data = data;
        this.root = root;
        this.families = data.families;
        this.deafUntil = 0;
        this.refusal = null;
        this.places = new Places(data, desk.meta);
        this.board = new Board(root, {
            table: data.table,
            layout: this.places.layout,
            cue: this.places.cue,
            changed: (said) => this.placed(said),
        });
        this.theme = new Theme(root);
        root.dataset.mode = 'practice';
        const page = this;
        // Describing asks its page for the rules; an attempt is never an opening.
        this.describe = new DescribeAttempt({
            families: data.families,
            desk: {
                rows: [],
                setup: { discipline: data.discipline, ruleSet: data.rule_set },
                get state() {
                    return { turn: page.cue, opening: false };
                },
            },
            get cue() {
                return page.cue;
            },
            get family() {
                return page.places.family;
            },
            get tried() {
                return page.tally().tried;
            },
            look: (view) => this.look(view),
            write: (fields) => this.write(fields),
        });
    }

    get view() {
        return this.root.dataset.view;
    }

    get cue() {
        return this.places.cue;
    }

    /** {tried, made} of the attempts that stand, or of those from one position. */
    tally(position = null) {
        const standing = this.desk.attempts.filter((each) => !each.struck && (position === null || each.position === position));
        return { tried: standing.length, made: standing.filter(({ outcome }) => outcome === 'made').length };
    }

    // Writing

    tap(outcome) {
        const now = performance.now();
        if (now < this.deafUntil) {
            return;
        }
        this.deafUntil = now + DEAF;
        this.write({ outcome });
    }

    async write(fields) {
        const kept = this.desk.attempt({ ...this.places.lies(), ...fields });
        if (!this.places.stay) {
            this.turnTo(this.places.next());
        }
        this.show();
        await kept;
    }

    async how(how) {
        const asking = this.desk.asking;
        await this.desk.tellHow(asking?.how === how ? null : how);
    }

    // Where the balls lie

    turnTo(position) {
        if (position === null) {
            this.look('positions');
            return;
        }
        this.places.turnTo(position);
        this.board.put(this.places.layout, this.places.cue);
        this.keepPlace();
    }

    placed(said) {
        this.places.placed(this.board.layout, this.board.cue);
        fill('board-say', said ?? interpolate(gettext('%(name)s plays.'), { name: this.places.cueWord }));
        this.keepPlace();
        this.show();
    }

    keepPlace() {
        this.desk.setMeta(this.places.meta);
    }

    toggleStay() {
        this.places.stay = !this.places.stay;
        this.keepPlace();
        this.show();
    }

    /** Keep where the balls lie among the player's positions; that needs the club. */
    async keep() {
        const name = one('#keep-name').value.trim();
        if (name === '') {
            fill('keep-said', gettext('Give it a name first.'));
            one('#keep-name').focus();
            return;
        }
        const answer = await this.places.keep(name, this.data);
        fill('keep-said', answer.said);
        if (answer.position) {
            this.turnTo(answer.position);
            this.show();
        }
    }

    // Turning to another view; the focus goes along.

    look(view) {
        if (this.view === view) {
            return;
        }
        if (this.view === 'score') {
            this.opener = document.activeElement;
        }
        this.root.dataset.view = view;
        if (view === 'place') {
            fill('board-say', gettext('Where the balls lie'));
        }
        this.show();
        globalThis.scrollTo(0, 0);
        if (view === 'score') {
            this.opener?.focus({ preventScroll: true });
        } else {
            one('.head-back').focus({ preventScroll: true });
        }
        for (const opener of all('[data-act="more"], [data-act="look"]')) {
            mark(opener, 'aria-expanded', String(view === 'more'));
        }
    }

    async end(event) {
        event.preventDefault();
        const said = slot('end-said');
        const done = await this.desk.flush();
        if (done) {
            slot('end').submit();
            return;
        }
        said.hidden = false;
        put(said, gettext('Not ended: something of it is still on this device. It will be sent as soon as the club answers; then end it here.'));
    }

    // Another device ended the session

    async goOn() {
        if (!(await this.desk.goOn())) {
            fill('ended-words', gettext('The club did not answer. What was tapped stays on this device; try again.'));
        }
    }

    async leaveEnded() {
        await this.desk.leaveEnded();
        globalThis.location.reload();
    }

    showEnded() {
        const { ended } = this.desk;
        const before = slot('ended').hidden;
        slot('ended').hidden = ended === null;
        if (ended === null || (!before && this.endedShown === ended.count)) {
            return;
        }
        this.endedShown = ended.count;
        fill('ended-words', ended.count === 0
            ? gettext('This session was ended on another device.')
            : interpolate(ngettext(
                'This session was ended on another device. What you tapped since stays on this device until you say whether it goes on.',
                'This session was ended on another device. The %(count)s taps since stay on this device until you say whether it goes on.',
                ended.count,
            ), ended));
        fill('ended-leave', ended.count === 0 ? gettext('Leave it ended') : gettext('Leave it ended, without them'));
    }

    // Showing

    show() {
        one('.practice-board').inert = this.view !== 'place';
        this.showPlace();
        this.showCount();
        this.showReadBack();
        this.showHow();
        this.showSaving();
        this.showEnded();
        if (this.view === 'describe') {
            this.describe.show();
        }
    }

    showPlace() {
        const { places } = this;
        fill('position-name', places.name);
        fill('position-more', [hereWords(places, this.tally(places.id)), places.more].filter(Boolean).join('. '));
        for (const button of all('[data-act="pick"]')) {
            const id = Number(button.dataset.position);
            mark(button, 'aria-pressed', String(id === places.id));
            put(one('[data-part="here"]', button), countWords(this.tally(id)));
        }
        for (const button of all('[data-act="stay"]')) {
            mark(button, 'aria-pressed', String(places.stay));
        }
        put(one('[data-act="next"]'), places.plan.length > 1 ? gettext('Next position') : gettext('Another position'));
    }

    showCount() {
        const { goal } = this.data;
        const { tried, made } = this.tally();
        fill('tried', tried);
        fill('of', goal?.attempts
            ? interpolate(gettext('of %(attempts)s'), { attempts: goal.attempts })
            : ngettext('attempt', 'attempts', tried));
        fill('made', made);
        fill('goal', goalWords(goal, { tried, made }));
        const last = this.desk.attempts.filter(({ struck }) => !struck).slice(-TEN);
        fill('ten-words', last.length === 0 ? '' : gettext('last ten'));
        showTen(slot('ten'), last);
    }

    showReadBack() {
        const { desk } = this;
        const { last, lastStruck } = desk;
        const place = slot('readback');
        const count = countWords(this.tally());
        if (lastStruck !== null) {
            mark(place, 'data-tone', 'asking');
            mark(place, 'data-offer', 'put-back');
            fill('said', interpolate(gettext('Struck out: %(what)s.'), { what: spokenAttempt(lastStruck).toLowerCase() }));
            fill('said-more', count);
            return;
        }
        mark(place, 'data-tone', 'plain');
        mark(place, 'data-offer', last === null ? 'none' : 'strike');
        fill('said', last === null ? gettext('Nothing tried yet') : spokenAttempt(last));
        const asks = desk.asking !== null && !desk.asking.how;
        fill('said-more', last === null
            ? gettext('Play, then tap what came of it.')
            : asks ? interpolate(gettext('%(count)s. How? It may be left.'), { count }) : count);
    }

    showHow() {
        const { asking } = this.desk;
        mark(slot('how'), 'data-asking', asking !== null);
        for (const button of all('[data-act="how"]')) {
            mark(button, 'aria-pressed', String(asking !== null && asking.how === button.dataset.how));
        }
    }

    showSaving() {
        const { saving, trouble, refused } = this.desk;
        mark(slot('saving'), 'data-state', { all: 'club', here: 'device', refused: 'refused' }[saving.code]);
        fill('waiting', saving.code === 'here' ? saving.count : 0);
        fill('refused', refused.length);
        const say = ['signed-out', 'no-right', 'no-storage'].includes(trouble?.code) ? trouble.words : '';
        slot('trouble').hidden = say === '';
        fill('trouble-words', say);
        slot('trouble-link').hidden = !['signed-out', 'no-right'].includes(trouble?.code);
        slot('refusals').hidden = refused.length === 0;
        slot('refusal-list').replaceChildren(...refused.map(({ kind, fields, reason }) => {
            const item = document.createElement('li');
            const what = kind === 'void' ? gettext('Strike-out') : spokenAttempt(fields);
            item.textContent = interpolate(gettext('%(what)s: %(reason)s'), { what, reason });
            return item;
        }));
    }
}

/** The last ten as tallies: a stroke for a point made, a dot on the line for a miss. */
function showTen(svg, last) {
    mark(svg, 'aria-label', last.map((each) => spokenAttempt(each).toLowerCase()).join(', '));
    svg.replaceChildren(
        drawn('path', { class: 'ten-line', d: 'M0 32.5H152' }),
        ...last.map(({ outcome }, at) => {
            const x = 8 + at * 15;
            return outcome === 'made'
                ? drawn('path', { class: 'ten-made', d: `M${x - 1.5} 28L${x + 1.5} 3` })
                : drawn('circle', { class: 'ten-missed', cx: x, cy: 25.5, r: 2.6 });
        }),
    );
}

function listen(page) {
    const { desk, describe, theme } = page;
    const acts = {
        made: () => page.tap('made'),
        missed: () => page.tap('missed'),
        how: ({ how }) => page.how(how),
        'strike-out': () => desk.strikeOutLast(),
        'strike-more': () => desk.strikeOutLast(),
        'put-back': () => desk.putBack(),
        next: () => {
            page.turnTo(page.places.next());
            page.show();
        },
        positions: () => page.look('positions'),
        pick: ({ position }) => {
            page.turnTo(Number(position));
            page.look('score');
        },
        stay: () => page.toggleStay(),
        place: () => page.look('place'),
        keep: () => page.keep(),
        describe: () => {
            describe.aim(null);
            page.look('describe');
        },
        'contact-rail': (_, button, event) => describe.tap(button, event),
        'contact-ball': (_, button, event) => describe.tap(button, event),
        'take-back': () => describe.takeBack(),
        'write-it': () => describe.write(),
        family: ({ family }) => describe.declare(family),
        families: () => describe.families(),
        more: () => page.look('more'),
        look: () => page.look('more'),
        close: () => page.look('score'),
        'try-again': () => desk.tryAgain(),
        drop: () => desk.drop(),
        'go-on': () => page.goOn(),
        'leave-ended': () => page.leaveEnded(),
        'left-handed': () => theme.toggleHand(),
        'dark-room': () => theme.toggleDark(),
    };
    page.root.addEventListener('click', (event) => {
        const button = event.target.closest('[data-act]');
        if (button !== null && acts[button.dataset.act]) {
            if (button.type === 'submit') {
                event.preventDefault();
            }
            acts[button.dataset.act](button.dataset, button, event);
        }
    });
    slot('end').addEventListener('submit', (event) => page.end(event));
    desk.addEventListener('change', () => page.show());
}

async function begin() {
    const data = JSON.parse(document.getElementById('practice-data').textContent);
    const desk = await PracticeDesk.open({
        sessionId: data.session_id,
        attempts: data.attempts,
        known: data.known,
        seq: data.seq,
        apiUrl: data.api_url,
    });
    const page = new PracticePage(desk, data, document.getElementById('practice'));
    for (const button of all('[data-act="how"]')) {
        put(button, howWord(button.dataset.how));
    }
    listen(page);
    page.show();
    page.root.dataset.ready = '';
}

begin().catch((problem) => {
    // The two keys stay a plain form: say so, and leave the finding to the browser's own log.
    slot('trouble').hidden = false;
    fill('trouble-words', gettext('This device cannot keep attempts by itself. Each tap goes to the club at once.'));
    throw problem;
});
