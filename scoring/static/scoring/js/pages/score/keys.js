// A keypad does everything: digits, Enter, Backspace; and a few keys beside them.

import { one } from './dom.js';

const TYPING = 'input:not([type="radio"]), select, textarea';

export function listen(page) {
    document.addEventListener('keydown', (event) => {
        if (event.ctrlKey || event.metaKey || event.altKey || event.repeat || event.target.matches?.(TYPING)) {
            return;
        }
        if (pressed(page, event)) {
            event.preventDefault();
        }
    });
}

/** Answer a key; true where the page took it. */
function pressed(page, event) {
    const { key } = event;
    if (key === 'Escape') {
        return escaped(page);
    }
    if (page.view !== 'score' || (page.pen.elsewhere && !page.correcting)) {
        return false;
    }
    if (/^[0-9]$/.test(key)) {
        return digit(page, Number(key));
    }
    if (key === 'Backspace' || key === 'Delete') {
        return back(page);
    }
    if (key === 'Enter') {
        // A button in focus is pressed by the browser itself.
        return event.target.closest?.('button, a, summary, input') ? false : entered(page);
    }
    if (key === '+' || key === '*') {
        return tens(page);
    }
    if (key === '/') {
        page.writeBy(page.theme.mode === 'stroke' ? 'inning' : 'stroke');
        return true;
    }
    return false;
}

function digit(page, figure) {
    const { status } = page.desk.state;
    if (status === 'planned' && !page.correcting) {
        if (figure === 1 || figure === 2) {
            page.start.open(figure - 1);
        }
        return true;
    }
    if (page.byStroke) {
        const kind = { 0: 'miss', 1: 'point', 9: 'foul' }[figure];
        if (kind) {
            page.strokes.write(kind);
        }
        return true;
    }
    page.pad.digit(figure);
    return true;
}

function entered(page) {
    const { status } = page.desk.state;
    if (page.correcting) {
        return tens(page);
    }
    if (status === 'playing') {
        if (page.byStroke) {
            page.strokes.write('point');
            return true;
        }
        return tens(page);
    }
    // What closes play is not written by one stray key: Enter goes to the button, Enter again presses it.
    const button = one(status === 'over' ? '[data-act="confirm"]' : '.done [data-act="resume"]');
    if (button?.offsetParent) {
        button.focus();
        return true;
    }
    return false;
}

function tens(page) {
    if (page.byStroke || (page.desk.state.status !== 'playing' && !page.correcting)) {
        return false;
    }
    page.pad.moreTens();
    return true;
}

function back(page) {
    if (page.pad.tens > 0) {
        page.pad.leaveTens();
    } else if (page.correcting) {
        page.correct.leave();
    } else {
        page.strikeOut();
    }
    return true;
}

function escaped(page) {
    if (page.view !== 'score') {
        page.look('score');
    } else if (page.correcting) {
        page.correct.leave();
    } else if (page.pad.tens > 0) {
        page.pad.leaveTens();
    } else {
        return false;
    }
    return true;
}
