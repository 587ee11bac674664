// What each button of the page does.

import { all, mark } from './dom.js';

export function listen(page) {
    const acts = actions(page);
    page.root.addEventListener('click', (event) => {
        const button = event.target.closest('[data-key], [data-act]');
        if (button === null || !page.root.contains(button)) {
            return;
        }
        if (button.dataset.key !== undefined) {
            page.pad.digit(Number(button.dataset.key));
        } else {
            // A key press has no place on the screen.
            page.byKeyboard = event.detail === 0;
            acts[button.dataset.act]?.(button.dataset, button, event);
            requestAnimationFrame(() => page.keepFocus());
        }
    });
}

function actions(page) {
    const { pad, strokes, correct, describe, theme, pen, clock, more } = page;
    const toScore = (act) => (...told) => {
        page.look('score');
        return act(...told);
    };
    return {
        tens: () => pad.moreTens(),
        'time-out': toScore(() => page.write('timeout')),
        'strike-out': () => page.strikeOut(),
        'strike-more': () => page.strikeOut(),
        'put-back': () => page.putBack(),
        point: () => strokes.write('point'),
        miss: () => strokes.write('miss'),
        foul: toScore(() => strokes.write('foul')),
        'wrong-ball': toScore(() => strokes.wrongBall()),
        'foul-reason': ({ reason }) => strokes.because(reason),
        'skip-reason': () => strokes.skip(),
        describe: () => describe.begin(),
        'other-stroke': () => describe.swap(),
        'contact-rail': (_, button, event) => describe.tap(button, event),
        'contact-ball': (_, button, event) => describe.tap(button, event),
        'take-back': () => describe.takeBack(),
        'write-it': () => describe.write(),
        family: ({ family }) => describe.declare(family),
        families: () => describe.families(),
        'by-stroke': toScore(() => page.writeBy('stroke')),
        'by-inning': toScore(() => page.writeBy('inning')),
        'left-handed': () => theme.toggleHand(),
        'dark-room': () => theme.toggleDark(),
        sound: () => theme.toggleSound(),
        suspend: toScore(() => page.write('suspend')),
        resume: toScore(() => page.resume()),
        concede: toScore(({ side }) => page.giveUp('concede', side)),
        retire: toScore(({ side }) => page.giveUp('retire', side)),
        extra: toScore(() => page.write('extra')),
        start: ({ entrant }) => page.start.open(Number(entrant)),
        confirm: () => page.write('confirm'),
        'take-pen': () => pen.take(),
        'read-along': () => pen.readAlong(),
        close: () => page.look('score'),
        more: () => page.look(page.view === 'more' ? 'score' : 'more'),
        look: () => page.look('more'),
        'try-again': () => page.desk.tryAgain(),
        drop: () => page.desk.drop(),
        'clock-toggle': () => clock.toggle(),
        restore: ({ seconds }) => clock.restore(Number(seconds)),
        correct: ({ side, line }) => correct.begin(side, line),
        why: ({ why }) => correct.why(why),
        'leave-as-is': () => page.leave(),
        'strike-inning': () => correct.strike(),
        'insert-before': () => correct.insert(),
        'write-correction': () => correct.write(false),
        'write-renumbered': () => correct.write(true),
        dispute: () => more.dispute(),
        settle: ({ target, code }) => more.settle(target, code),
    };
}

/** The views close each other; openers say which is open. */
export function tellOpeners(view) {
    for (const button of all('[data-act="more"], [data-act="look"]')) {
        mark(button, 'aria-expanded', String(view === 'more'));
    }
}
