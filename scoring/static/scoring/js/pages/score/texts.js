// The page's words. Django's JavaScriptCatalog fills the global functions; without it texts stay English.

export function gettext(text) {
    return globalThis.gettext?.(text) ?? text;
}

export function pgettext(context, text) {
    return globalThis.pgettext?.(context, text) ?? text;
}

export function ngettext(single, several, count) {
    return globalThis.ngettext?.(single, several, count) ?? (count === 1 ? single : several);
}

/** Put values into the named places of a text: `%(run)s`. */
export function interpolate(text, values) {
    return text.replace(/%\((\w+)\)s/g, (_, name) => String(values[name]));
}

export function colourWord(colour) {
    return { white: gettext('White'), yellow: gettext('Yellow'), red: gettext('Red') }[colour] ?? '';
}

export function railWord(rail) {
    return {
        bottom: pgettext('rail', 'bottom'),
        right: pgettext('rail', 'right'),
        top: pgettext('rail', 'top'),
        left: pgettext('rail', 'left'),
    }[rail];
}

/** What the referee calls when a player needs exactly so many. */
export function andWord(count) {
    const known = {
        1: gettext('and one'),
        2: gettext('and two'),
        3: gettext('and three'),
        4: gettext('and four'),
        5: gettext('and five'),
    };
    return known[count] ?? interpolate(gettext('and %(count)s'), { count });
}

/** "second point", for the title of a described stroke. */
export function pointWord(number) {
    const known = {
        1: gettext('first point'),
        2: gettext('second point'),
        3: gettext('third point'),
        4: gettext('fourth point'),
        5: gettext('fifth point'),
    };
    return known[number] ?? interpolate(gettext('point %(number)s'), { number });
}

/** What an open flag asks, in a sentence. */
export function flagSentence(code, who) {
    const known = {
        ruling: gettext('%(who)s: what was described contradicts the call. The call counts until it is settled.'),
        disputed: gettext('%(who)s: disputed. It counts until it is settled.'),
        'off-turn': gettext('%(who)s: written out of turn. It counts.'),
        clock: gettext('%(who)s: the clock of the device was wrong.'),
        implausible: gettext('%(who)s: an unusually long run. It counts.'),
        'after-end': gettext('%(who)s: after the end. It does not count.'),
        'past-distance': gettext('%(who)s: past the distance. It does not count.'),
    };
    return interpolate(known[code] ?? '%(who)s', { who });
}

export function capital(text) {
    return text.charAt(0).toLocaleUpperCase() + text.slice(1);
}
