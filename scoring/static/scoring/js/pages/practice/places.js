// Where the balls lie for the next attempt: a kept position, a match's stroke, or placed by hand.

import { Unreachable, ClubApi } from '../../device/api.js';
import { gettext, interpolate } from '../score/texts.js';
import { BALL } from '../../table/words.js';

const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);

export class Places {
    /** `data` of the page; `meta` is what the device kept of the last visit. */
    constructor(data, meta) {
        this.known = new Map(data.positions.map((each) => [each.id, each]));
        this.plan = data.plan;
        this.stay = meta.stay ?? data.stay;
        const kept = meta.current;
        // What the address asks for goes before what was under way.
        this.current = kept && !data.current.asked ? kept : data.current;
    }

    get id() {
        return this.current.position ?? null;
    }

    get layout() {
        return this.current.layout;
    }

    get cue() {
        return this.current.cue_ball;
    }

    get cueWord() {
        return BALL[this.cue];
    }

    get name() {
        return this.current.name || gettext('Placed by hand');
    }

    get more() {
        const family = this.known.get(this.id)?.more ?? '';
        return [interpolate(gettext('%(name)s plays.'), { name: this.cueWord }).replace(/\.$/, ''), family].filter(Boolean).join(', ');
    }

    get family() {
        return this.known.get(this.id)?.family ?? null;
    }

    get repetitions() {
        return this.plan.find(({ position }) => position === this.id)?.repetitions ?? null;
    }

    get meta() {
        return { current: this.current, stay: this.stay };
    }

    /** Return the fields of an attempt that say where the balls lay. */
    lies() {
        const { layout, cue_ball: cue, position, from_match: match, from_place: place } = this.current;
        const { family } = this;
        return {
            layout,
            cue_ball: cue,
            ...(position ? { position } : {}),
            ...(family ? { family } : {}),
            ...(match ? { from_match: match, from_place: place } : {}),
        };
    }

    /** Return the id of the position after this one in the session's plan, or null. */
    next() {
        if (this.plan.length === 0) {
            return null;
        }
        const at = this.plan.findIndex(({ position }) => position === this.id);
        const { position } = this.plan[(at + 1) % this.plan.length];
        return this.plan.length === 1 && position === this.id ? null : position;
    }

    turnTo(id) {
        const { name, layout, cue_ball: cue } = this.known.get(id);
        this.current = { position: id, name, layout, cue_ball: cue };
    }

    /** The balls were moved by hand: it is another position now, unless they came back. */
    placed(layout, cue) {
        const back = [...this.known.values()].find((each) => each.cue_ball === cue && same(each.layout, layout));
        this.current = back
            ? { position: back.id, name: back.name, layout, cue_ball: cue }
            : { position: null, name: '', layout, cue_ball: cue };
    }

    /** Keep where the balls lie under a name. Returns {said, position}. */
    async keep(name, { api_url: apiUrl, discipline }) {
        const body = { name, layout: this.layout, cue_ball: this.cue, discipline: discipline.code };
        try {
            const { status, data } = await new ClubApi({ apiUrl, path: '' }).call('POST', 'positions/', { body });
            if (status === 201 || status === 200) {
                this.known.set(data.id, { ...data, more: '' });
                return { said: interpolate(gettext('%(name)s is among your positions.'), { name }), position: data.id };
            }
            const reason = data?.reason ?? data?.detail ?? Object.values(data ?? {}).flat()[0] ?? '';
            return { said: interpolate(gettext('Not kept: %(reason)s'), { reason }) };
        } catch (problem) {
            if (!(problem instanceof Unreachable)) {
                throw problem;
            }
            return { said: gettext('The club did not answer. Attempts from here are written all the same; keep it later.') };
        }
    }
}
