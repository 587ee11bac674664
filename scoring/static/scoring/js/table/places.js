// Where numbers and names may stand on the drawing: clear of balls, lines and of one another.
// The same choices as the server's drawing makes (scoring/templatetags/table_drawing.py).

const SHIFT = 0.34; // [diamonds] a number moves along where it would hide another
const MARKS = 0.25;
const [WIDTH, LENGTH] = [4, 8];

function clearance(at, taken, wide = 0, high = 0) {
  let least = 99;
  for (const [x, y] of taken) {
    const gap = Math.hypot(Math.max(Math.abs(at[0] - x) - wide, 0), Math.max(Math.abs(at[1] - y) - high, 0));
    if (gap < least) least = gap;
  }
  return least;
}

/** Return where the number of a contact stands: on the frame abreast of a rail, or beside a ball. */
export function numberPlace(contact, before, taken, paths) {
  const [x, y] = contact.at;
  if (!contact.rail) return besideBall(contact.at, before, taken, paths);
  const upright = contact.rail === 'left' || contact.rail === 'right';
  const far = { left: -MARKS, bottom: -MARKS, right: WIDTH + MARKS, top: LENGTH + MARKS }[contact.rail];
  const at = upright ? [far, y] : [x, far];
  const most = upright ? LENGTH : WIDTH;
  const axis = upright ? 1 : 0;
  // Towards the nearer free side; at the frame's end it turns round.
  for (let n = 0; n < 40; n += 1) {
    const step = Math.ceil(n / 2) * SHIFT * (n % 2 ? -1 : 1);
    const tried = [...at];
    tried[axis] += step;
    if (tried[axis] >= -MARKS && tried[axis] <= most + MARKS && clearance(tried, taken) >= SHIFT * 0.95) {
      return tried;
    }
  }
  return at;
}

function besideBall([x, y], before, taken, paths) {
  const length = Math.hypot(x - before[0], y - before[1]) || 1;
  const [ax, ay] = [(x - before[0]) / length, (y - before[1]) / length];
  const leans = [[1, 0], [-1, 0], [0.7, 0.7], [-0.7, 0.7], [0.7, -0.7], [-0.7, -0.7]];
  let best = null;
  for (const far of [SHIFT, 1.3 * SHIFT]) {
    for (const [turn, lean] of leans) {
      const at = [x + far * (lean * ax - turn * ay), y + far * (lean * ay + turn * ax)];
      const room = Math.min(clearance(at, taken), 0.3) + Math.min(clearance(at, paths), 0.22);
      if (best === null || room > best.room) best = { at, room };
    }
  }
  return best.at;
}

/**
 * Return {dx, dy, anchor} of a ball's name [px from its centre], of four sides the clearest.
 * `taken` and `at` in diamonds, `scale` in px a diamond, `radius` of the ball in diamonds,
 * `large`: how many times as large as usual the name is written.
 */
export function namePlace(at, letters, taken, scale, radius, large = 1) {
  const gap = radius * scale + 9;
  const half = 3.9 * letters * large;
  const sides = [
    { dx: gap, dy: 4.5 * large, anchor: 'start', middle: gap + half },
    { dx: -gap, dy: 4.5 * large, anchor: 'end', middle: -gap - half },
    { dx: 0, dy: -gap, anchor: 'middle', middle: 0 },
    { dx: 0, dy: gap + 9 * large, anchor: 'middle', middle: 0 },
  ];
  const room = (side) => {
    const middle = [at[0] + side.middle / scale, at[1] - (side.dy - 4.5 * large) / scale];
    const out = half / scale;
    if (middle[0] - out < 0 || middle[0] + out > WIDTH) return -1;
    if (middle[1] < 0.12 || middle[1] > LENGTH - 0.12) return -1;
    return clearance(middle, taken, out, (6 * large) / scale);
  };
  return sides.reduce((best, side) => (room(side) > room(best) ? side : best));
}
