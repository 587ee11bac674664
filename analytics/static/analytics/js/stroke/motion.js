// Where a ball is: the pieces the club answers, evaluated exactly.
//
// A piece is [t, x, y, vx, vy, ax, ay]: from t [s] on, until the next piece's t, the centre is at
// x + vx s + ax s^2 / 2 with s = time - t, in diamonds. The last piece is the ball at rest.

/** Return the index of the piece that holds at `time` [s]. */
export function pieceAt(pieces, time) {
  let low = 0;
  let high = pieces.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (pieces[middle][0] <= time) low = middle;
    else high = middle - 1;
  }
  return low;
}

/** Return the centre [x, y] of one piece, s [s] after it began. */
function along([, x, y, vx, vy, ax, ay], s) {
  return [x + s * (vx + (ax * s) / 2), y + s * (vy + (ay * s) / 2)];
}

/** Return the centre [x, y] at `time` [s]. */
export function placeAt(pieces, time) {
  const piece = pieces[pieceAt(pieces, time)];
  return along(piece, Math.max(time - piece[0], 0));
}

/**
 * Return the arcs of the way between two times, each {from, bend, to} in diamonds. A piece of
 * constant acceleration is a parabola, which one quadratic Bezier curve draws exactly.
 */
export function arcs(pieces, begin, end) {
  const found = [];
  for (let n = pieceAt(pieces, begin); n < pieces.length && pieces[n][0] < end; n += 1) {
    const [t, , , vx, vy, ax, ay] = pieces[n];
    const first = Math.max(begin - t, 0);
    const last = Math.min(pieces[n + 1]?.[0] ?? end, end) - t;
    if (last <= first) continue;
    const from = along(pieces[n], first);
    const half = (last - first) / 2;
    const bend = [from[0] + half * (vx + ax * first), from[1] + half * (vy + ay * first)];
    found.push({ from, bend, to: along(pieces[n], last) });
  }
  return found;
}

/** Return the time [s] at which a ball has gone `length` [diamonds], or `end` if it never does. */
export function timeOfLength(pieces, length, end) {
  const step = 0.01;
  let before = placeAt(pieces, 0);
  let gone = 0;
  for (let time = step; time < end; time += step) {
    const here = placeAt(pieces, time);
    gone += Math.hypot(here[0] - before[0], here[1] - before[1]);
    if (gone >= length) return time;
    before = here;
  }
  return end;
}
