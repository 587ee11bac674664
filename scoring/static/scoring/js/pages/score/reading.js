// What the page asks of the match: which inning is under way, what an entry says.

import { colourWord, gettext, interpolate, ngettext } from './texts.js';

const COLOURS = ['white', 'yellow'];

export function other(colour) {
    return colour === 'white' ? 'yellow' : 'white';
}

/**
 * The number of an inning as the sheet has it. The ledger counts innings on through the match; on the
 * sheet each set begins with its first.
 */
export function numberOf(desk, { set, colour, extra, inning }) {
    if (extra || set === 1 || desk.setup.format.sets_to_win === null) {
        return inning;
    }
    const earlier = desk.innings.filter((one) => !one.extra && one.colour === colour && one.set < set);
    return inning - Math.max(0, ...earlier.map((one) => one.inning));
}

/** "White", "White, set 2" or "White, extra innings": whose column a run stands in. */
export function columnWord(desk, { set, colour, extra }) {
    const values = { colour: colourWord(colour), set };
    if (extra) {
        return interpolate(gettext('%(colour)s, extra innings'), values);
    }
    return desk.setup.format.sets_to_win === null ? values.colour : interpolate(gettext('%(colour)s, set %(set)s'), values);
}

/** The inning that the player on turn is playing, from 1, and whether it has strokes already. */
export function underWay(desk) {
    const { state, rows } = desk;
    const colour = state.turn;
    if (colour === null) {
        return { colour: null, inning: Math.max(state.innings.white, state.innings.yellow), open: false, set: state.set, extra: state.extra !== null };
    }
    const last = rows.filter((row) => row.counts).at(-1);
    const extra = state.extra !== null;
    const open = last !== undefined && last.kind === 'point' && last.colour === colour && last.set === state.set && last.extra === extra;
    const done = extra ? state.extra[colour].length : state.innings[colour];
    const now = { colour, inning: done + (open ? 0 : 1), open, set: state.set, extra };
    return { ...now, inning: numberOf(desk, now) };
}

/** One line of the sheet an inning: `{key, set, inning, extra, white, yellow}` with running totals. */
export function sheetLines(desk) {
    const lines = new Map();
    const totals = { white: 0, yellow: 0 };
    let set = null;
    for (const one of desk.innings) {
        const inning = { ...one, inning: numberOf(desk, one), run: one.counts ? one.run : idleRun(one) };
        if (!inning.extra && inning.set !== set) {
            set = inning.set;
            totals.white = totals.yellow = 0;
        }
        const line = lineOf(lines, inning);
        const adds = inning.counts && !inning.extra;
        totals[inning.colour] += adds ? inning.run : 0;
        line[inning.colour] = { ...inning, total: adds ? totals[inning.colour] : null };
    }
    const now = underWay(desk);
    if (now.colour !== null) {
        lineOf(lines, now).next = now.colour;
    }
    const found = [...lines.values()];
    found.forEach((line, at) => {
        const after = found[at + 1];
        line.closed = after !== undefined && (after.set !== line.set || after.extra !== line.extra);
    });
    return found;
}

/** What was written in an inning that does not count. */
function idleRun({ strokes }) {
    return strokes.reduce((all, row) => all + row.run, 0);
}

function lineOf(lines, { set, inning, extra }) {
    const key = `${extra ? 'e' : set}-${inning}`;
    if (!lines.has(key)) {
        lines.set(key, { key, set, inning, extra, white: null, yellow: null, next: null });
    }
    return lines.get(key);
}

export function inningOfRow(desk, row) {
    const found = desk.innings.find((inning) => inning.strokes.some((stroke) => stroke.uuid === row.uuid));
    return { ...found, inning: numberOf(desk, found) };
}

/** Run within its inning, and total, after a row. */
export function figuresAt(desk, uuid) {
    let total = 0;
    let run = 0;
    let at = null;
    let last = null;
    const row = desk.rows.find((one) => one.uuid === uuid);
    if (row === undefined) {
        return null;
    }
    for (const one of desk.rows) {
        if (one.colour === row.colour && one.counts) {
            if (last !== null && (last.set !== one.set || last.extra !== one.extra)) {
                total = 0;
            }
            run = at === one.inning && last?.extra === one.extra ? run + one.run : one.run;
            at = one.inning;
            total += one.run;
            last = one;
        }
        if (one === row) {
            break;
        }
    }
    return { row, run, total };
}

/** What an entry says when it is read back: `[first line, second line]`. */
export function readBack(desk, names, entry) {
    if (entry === null) {
        return ['', ''];
    }
    const words = spoken(desk, names, entry);
    const figures = figuresAt(desk, entry.uuid);
    if (figures === null) {
        return [words, moreOf(desk, names, entry)];
    }
    const { row, run, total } = figures;
    const values = { run, total, inning: numberOf(desk, row) };
    if (row.extra) {
        return [words, interpolate(gettext('extra inning %(inning)s'), values)];
    }
    const more = entry.kind === 'inning'
        ? interpolate(gettext('total %(total)s, inning %(inning)s'), values)
        : interpolate(gettext('run %(run)s, total %(total)s, inning %(inning)s'), values);
    const begins = desk.state.status === 'playing' && desk.state.set > row.set && desk.rows.at(-1) === row;
    return [words, begins ? interpolate(gettext('total %(total)s. Set %(set)s begins.'), { total, set: desk.state.set }) : more];
}

/** The first line alone: "White 5", "Point, Yellow". */
export function spoken(desk, names, entry) {
    const colour = colourWord(entry.by);
    const who = names[entry.player] ?? '';
    switch (entry.kind) {
    case 'inning': return interpolate(gettext('%(colour)s %(run)s'), { colour, run: entry.run });
    case 'point': return interpolate(gettext('Point, %(colour)s'), { colour });
    case 'miss': return interpolate(gettext('Miss, %(colour)s'), { colour });
    case 'foul': return interpolate(gettext('Foul, %(colour)s'), { colour });
    case 'timeout': return interpolate(gettext('Time-out, %(colour)s'), { colour });
    case 'open': return interpolate(gettext('%(who)s starts'), { who: names[entry.starter] ?? '' });
    case 'suspend': return gettext('Suspended');
    case 'resume': return gettext('Resumed');
    case 'concede': return interpolate(gettext('%(who)s concedes'), { who });
    case 'retire': return interpolate(gettext('%(who)s retires'), { who });
    case 'extra': return gettext('Extra innings');
    case 'clock': return interpolate(ngettext('%(count)s second given back', '%(count)s seconds given back', entry.seconds), { count: entry.seconds });
    case 'result': return gettext('Result written');
    case 'confirm': return gettext('Confirmed');
    case 'void': return gettext('Struck out');
    default: return '';
    }
}

function moreOf(desk, names, entry) {
    if (entry.kind === 'open') {
        const decided = {
            lag: gettext('decided by the lag'),
            draw: gettext('decided by a draw'),
            home: gettext('the home side'),
        }[entry.decided_by];
        return decided ?? '';
    }
    return whoPlays(desk);
}

/** "White to play, inning 9", or how the match ended. */
export function whoPlays(desk) {
    const { colour, inning, extra } = underWay(desk);
    if (colour === null) {
        return desk.state.status === 'planned' ? '' : gettext('The match is over');
    }
    const values = { colour: colourWord(colour), inning };
    return extra
        ? interpolate(gettext('%(colour)s to play, extra inning %(inning)s'), values)
        : interpolate(gettext('%(colour)s to play, inning %(inning)s'), values);
}

/** How the match ended, in a sentence or two. */
export function outcome(desk, names) {
    const { state } = desk;
    const score = scoreWords(state);
    const innings = Math.max(...COLOURS.map((side) => state.innings[side]));
    const played = interpolate(
        ngettext('%(score)s in %(innings)s inning.', '%(score)s in %(innings)s innings.', innings), { score, innings });
    const how = {
        concession: gettext('The other player conceded.'),
        retirement: gettext('The other player retired.'),
        annulled: gettext('The match was annulled.'),
    }[state.ended_by] ?? '';
    const sum = (runs) => runs.reduce((all, run) => all + run, 0);
    const extra = state.extra === null ? '' : interpolate(gettext('Extra innings: %(white)s to %(yellow)s.'),
        { white: sum(state.extra.white), yellow: sum(state.extra.yellow) });
    const who = state.winner === null ? gettext('Drawn.') : interpolate(gettext('%(who)s wins.'), { who: names[state.winner] ?? '' });
    return [who, played, extra, how].filter(Boolean).join(' ');
}

function scoreWords({ sets, points, distance }) {
    if (sets.white + sets.yellow > 0) {
        return interpolate(gettext('%(white)s sets to %(yellow)s'), sets);
    }
    const own = distance.white !== null && distance.yellow !== null && distance.white !== distance.yellow;
    const values = { ...points, own: distance.white, others: distance.yellow };
    // Who plays to a distance of their own is compared by the share of it.
    return interpolate(own
        ? gettext('%(white)s of %(own)s to %(yellow)s of %(others)s')
        : gettext('%(white)s to %(yellow)s'), values);
}
