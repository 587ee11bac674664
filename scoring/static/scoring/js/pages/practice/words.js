// What is said of attempts, in the reader's language.

import { gettext, interpolate, ngettext } from '../score/texts.js';

export function howWord(how) {
    return { short: gettext('short'), long: gettext('long'), thin: gettext('thin'), thick: gettext('thick') }[how] ?? '';
}

/** "Made", "Missed", "Missed, short". */
export function spokenAttempt({ outcome, how }) {
    if (outcome === 'made') {
        return gettext('Made');
    }
    return how ? interpolate(gettext('Missed, %(how)s'), { how: howWord(how) }) : gettext('Missed');
}

/** "12 tried, 5 made"; empty before the first. */
export function countWords({ tried, made }) {
    return tried === 0 ? '' : interpolate(gettext('%(tried)s tried, %(made)s made'), { tried, made });
}

/** What is still to be done for the goal of a session, or that it is reached. */
export function goalWords(goal, { tried, made }) {
    if (!goal?.made) {
        return '';
    }
    const values = { made: goal.made, attempts: goal.attempts, missing: goal.made - made };
    if (made >= goal.made) {
        return interpolate(gettext('goal of %(made)s reached'), values);
    }
    if (goal.attempts && goal.attempts - tried < values.missing) {
        return interpolate(gettext('goal: %(made)s made; out of reach this time'), values);
    }
    return interpolate(ngettext('goal: %(made)s made, 1 to go', 'goal: %(made)s made, %(missing)s to go', values.missing), values);
}

/** "here 3 of 10, 2 made". */
export function hereWords(places, { tried, made }) {
    const wanted = places.repetitions;
    if (places.id === null || (tried === 0 && !wanted)) {
        return '';
    }
    const values = { tried, made, wanted };
    return wanted
        ? interpolate(gettext('here %(tried)s of %(wanted)s, %(made)s made'), values)
        : interpolate(gettext('here %(tried)s tried, %(made)s made'), values);
}
