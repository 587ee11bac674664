// The way of the cue ball over the table drawn short: a dot where each contact was tapped.

import { drawn, one } from './dom.js';

const DOT = 13;
const APART = 2 * DOT + 2;

export class Route {
    constructor(table) {
        this.table = table;
        this.lines = one('[data-slot="route-lines"]', table);
        this.dots = one('[data-slot="route-dots"]', table);
        this.taps = [];
        new ResizeObserver(() => this.draw()).observe(table);
    }

    clear() {
        this.taps = [];
        this.draw();
    }

    /** A contact with the button that was tapped; the place is kept as a share of the drawing. */
    add(button, event) {
        const frame = this.table.getBoundingClientRect();
        // A key press has no place of its own.
        const pointed = event && event.detail > 0;
        this.taps.push({
            button,
            x: pointed ? (event.clientX - frame.left) / frame.width : null,
            y: pointed ? (event.clientY - frame.top) / frame.height : null,
        });
        this.draw();
    }

    takeBack() {
        this.taps.pop();
        this.draw();
    }

    draw() {
        const frame = this.table.getBoundingClientRect();
        if (frame.width === 0) {
            return;
        }
        for (const group of [this.lines, this.dots]) {
            group.ownerSVGElement.setAttribute('viewBox', `0 0 ${frame.width} ${frame.height}`);
        }
        const boxes = new Map();
        const boxOf = (element) => {
            if (!boxes.has(element)) {
                boxes.set(element, within(element.getBoundingClientRect(), frame));
            }
            return boxes.get(element);
        };
        const cloth = boxOf(one('.short-cloth', this.table));
        const legs = [];
        const marks = [];
        let from = circle(boxOf(this.cueMark()));
        for (const tap of this.taps) {
            const box = boxOf(tap.button);
            const ball = tap.button.dataset.act === 'contact-ball';
            const met = ball ? ballContact(box, from, marks) : railContact(box, cloth, tap, frame, marks, tap.button.dataset.rail);
            legs.push([edge(from, met.end), met.end]);
            marks.push(met.dot);
            from = ball ? circle(box) : { ...met.end, radius: 0 };
        }
        this.lines.replaceChildren(...legs.map(([a, b]) => drawn('polyline', {
            class: 'route-line', points: `${round(a.x)},${round(a.y)} ${round(b.x)},${round(b.y)}`,
        })));
        this.dots.replaceChildren(...marks.map(dot));
    }

    cueMark() {
        return one(`.cue-${this.table.dataset.cue} svg`, this.table);
    }
}

function within(rect, frame) {
    return { x: rect.left - frame.left, y: rect.top - frame.top, width: rect.width, height: rect.height };
}

function middle(box) {
    return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
}

function circle(box) {
    return { ...middle(box), radius: box.width / 2 };
}

/** Where a leg leaves what it starts from: a ball's edge, so that its name stays readable. */
function edge(from, towards) {
    return onCircle(from, from.radius, Math.atan2(towards.y - from.y, towards.x - from.x));
}

/** The dot sits on the ball's edge, on the side the cue ball comes from. */
function ballContact(box, from, marks) {
    const centre = middle(box);
    const radius = box.width / 2;
    let angle = Math.atan2(from.y - centre.y, from.x - centre.x);
    let end = onCircle(centre, radius, angle);
    while (marks.some((other) => distance(other, end) < APART) && angle < 20) {
        angle += 0.8;
        end = onCircle(centre, radius, angle);
    }
    return { end, dot: end };
}

function onCircle(centre, radius, angle) {
    return { x: centre.x + radius * Math.cos(angle), y: centre.y + radius * Math.sin(angle) };
}

/** The dot sits on the rail where it was tapped; the line turns at the nose abreast of it. */
function railContact(box, cloth, tap, frame, marks, rail) {
    const long = rail === 'left' || rail === 'right';
    const spot = {
        x: tap.x === null ? box.x + box.width / 2 : tap.x * frame.width,
        y: tap.y === null ? box.y + box.height / 2 : tap.y * frame.height,
    };
    if (long) {
        spot.x = box.x + box.width / 2;
    } else {
        spot.y = box.y + box.height / 2;
    }
    const along = long ? 'y' : 'x';
    const low = box[along] + DOT + 4;
    const high = box[along] + (long ? box.height : box.width) - DOT - 4;
    spot[along] = clamp(spot[along], low, high);
    const free = freePlace(spot, along, low, high, marks);
    return { dot: free, end: { x: clamp(free.x, cloth.x, cloth.x + cloth.width), y: clamp(free.y, cloth.y, cloth.y + cloth.height) } };
}

/** A number that would hide another moves along the rail. */
function freePlace(spot, along, low, high, marks) {
    for (let step = 0; step < 12; step += 1) {
        for (const way of [1, -1]) {
            const tried = { ...spot, [along]: spot[along] + way * step * APART };
            const inside = tried[along] >= low && tried[along] <= high;
            if (inside && marks.every((other) => distance(other, tried) >= APART)) {
                return tried;
            }
        }
    }
    return spot;
}

function distance(a, b) {
    return Math.hypot(a.x - b.x, a.y - b.y);
}

function clamp(value, low, high) {
    return Math.min(Math.max(value, low), high);
}

function round(value) {
    return Math.round(value * 10) / 10;
}

function dot({ x, y }, place) {
    const group = drawn('g', { class: 'route-dot', transform: `translate(${round(x)} ${round(y)})` });
    const number = drawn('text', {});
    number.textContent = String(place + 1);
    group.append(drawn('circle', { r: DOT }), number);
    return group;
}
