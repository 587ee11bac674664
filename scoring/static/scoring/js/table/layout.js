// Where balls may lie, what lies straight ahead of the cue ball, and what is too near for a level cue.
//
// Places in diamonds; a table is {across, along, radius}: metres a diamond both ways, the balls' radius.

export const BALLS = ['white', 'yellow', 'red'];
const WIDTH = 4;
const LENGTH = 8;
const FINE = 1e4; // places are kept to a ten-thousandth of a diamond
const NEAR = 0.05; // [m]: nearer than that, a real cue is raised
const TOUCHING = 1e-9; // [m]

export const rounded = (value, parts = FINE) => Math.round(value * parts) / parts;

function bounds(table) {
  const up = (value) => Math.ceil(value * FINE) / FINE;
  const x = up(table.radius / table.across);
  const y = up(table.radius / table.along);
  return [x, WIDTH - x, y, LENGTH - y];
}

/** Return the distance [m] between two places. */
export function metres([x1, y1], [x2, y2], table) {
  return Math.hypot((x1 - x2) * table.across, (y1 - y2) * table.along);
}

function inside([x, y], table) {
  const least = table.radius - TOUCHING;
  const across = Math.min(x, WIDTH - x) * table.across;
  return across >= least && Math.min(y, LENGTH - y) * table.along >= least;
}

function clamped([x, y], table) {
  const [left, right, low, high] = bounds(table);
  return [rounded(Math.min(Math.max(x, left), right)), rounded(Math.min(Math.max(y, low), high))];
}

const others = (ball) => BALLS.filter((one) => one !== ball);

/** Return why a ball cannot lie there: {outside: true}, {overlaps: ball}, or null where it can. */
export function refusal(ball, at, layout, table) {
  if (!inside(at, table)) return { outside: true };
  for (const other of others(ball)) {
    if (metres(at, layout[other], table) < 2 * table.radius - TOUCHING) return { overlaps: other };
  }
  return null;
}

/** Return {at, stopped}: the nearest lawful place to the one wanted, and what stood in the way. */
export function settled(ball, wanted, layout, table) {
  let at = clamped(wanted, table);
  let stopped = at[0] !== rounded(wanted[0]) || at[1] !== rounded(wanted[1]) ? { outside: true } : null;
  for (let tries = 0; tries < 8; tries += 1) {
    const why = refusal(ball, at, layout, table);
    if (!why) return { at, stopped };
    stopped = why;
    at = clamped(why.overlaps ? pushed(at, layout[why.overlaps], table) : at, table);
  }
  return { at: layout[ball], stopped };
}

/**
 * Return {layout, stopped} after a ball was moved: {ball, at, typed}. What is typed to the last
 * figure is taken as it is, where it is lawful.
 */
export function laid({ ball, at: wanted, typed }, layout, table) {
  const { at, stopped } = settled(ball, wanted, layout, table);
  const exact = typed && !refusal(ball, wanted, layout, table);
  return { layout: { ...layout, [ball]: exact ? wanted : at }, stopped: exact ? null : stopped };
}

/** Return a layout for a table whose balls are of another size in diamonds: moved apart where they must. */
export function refitted(layout, table) {
  let found = layout;
  for (const ball of BALLS) {
    if (refusal(ball, found[ball], found, table)) {
      found = { ...found, [ball]: settled(ball, found[ball], found, table).at };
    }
  }
  return found;
}

function pushed(at, other, table) {
  const far = metres(at, other, table);
  const [ux, uy] = far > 1e-6
    ? [((at[0] - other[0]) * table.across) / far, ((at[1] - other[1]) * table.along) / far]
    : [1, 0];
  const away = 2 * table.radius + 2 * (table.across / FINE);
  return [other[0] + (ux * away) / table.across, other[1] + (uy * away) / table.along];
}

/** Return the direction [deg] from a place to another. */
export function bearing(from, to, table) {
  const turn = Math.atan2((to[1] - from[1]) * table.along, (to[0] - from[0]) * table.across);
  return ((turn * 180) / Math.PI + 360) % 360;
}

/** Return the place `far` [m] along a direction [deg]. */
export function onward(from, direction, far, table) {
  const turn = (direction * Math.PI) / 180;
  return [from[0] + (Math.cos(turn) * far) / table.across, from[1] + (Math.sin(turn) * far) / table.along];
}

/**
 * Return what the cue ball meets straight ahead: {ball, part, at, far} with the part of the ball
 * that is covered (1 full, 0 missed), or {rail, mark, at, far} with the nose point aimed at.
 */
export function ahead(layout, cue, direction, table) {
  const from = layout[cue];
  const turn = (direction * Math.PI) / 180;
  const [dx, dy] = [Math.cos(turn), Math.sin(turn)];
  const rail = railAhead(from, dx, dy, table);
  let found = { ...rail, at: onward(from, direction, rail.far, table) };
  for (const ball of others(cue)) {
    const x = (layout[ball][0] - from[0]) * table.across;
    const y = (layout[ball][1] - from[1]) * table.along;
    const forward = x * dx + y * dy;
    const aside = Math.abs(x * dy - y * dx);
    if (forward <= 0 || aside >= 2 * table.radius) continue;
    const far = Math.max(forward - Math.sqrt(4 * table.radius ** 2 - aside ** 2), 0);
    if (far < found.far) {
      found = { ball, part: 1 - aside / (2 * table.radius), far, at: onward(from, direction, far, table) };
    }
  }
  return found;
}

function railAhead([x, y], dx, dy, table) {
  const [w, l, r] = [WIDTH * table.across, LENGTH * table.along, table.radius];
  const [px, py] = [x * table.across, y * table.along];
  const walls = [
    ['right', dx, w - px, (far) => (py + dy * far) / table.along],
    ['left', -dx, px, (far) => (py + dy * far) / table.along],
    ['top', dy, l - py, (far) => (px + dx * far) / table.across],
    ['bottom', -dy, py, (far) => (px + dx * far) / table.across],
  ];
  const met = walls
    .filter(([, towards]) => towards > 1e-12)
    .map(([rail, towards, gap, mark]) => ({
      rail,
      far: Math.max((gap - r) / towards, 0),
      mark: mark(gap / towards),
    }));
  return met.reduce((first, one) => (one.far < first.far ? one : first));
}

/** Return what the cue ball lies near enough to for a raised cue: [{ball or rail, gap [m]}]. */
export function near(layout, cue, table) {
  const [x, y] = layout[cue];
  const gaps = [
    { rail: 'left', gap: x * table.across },
    { rail: 'right', gap: (WIDTH - x) * table.across },
    { rail: 'bottom', gap: y * table.along },
    { rail: 'top', gap: (LENGTH - y) * table.along },
  ].map((one) => ({ ...one, gap: one.gap - table.radius }));
  for (const ball of others(cue)) {
    gaps.push({ ball, gap: metres(layout[cue], layout[ball], table) - 2 * table.radius });
  }
  return gaps.filter((one) => one.gap < NEAR).map((one) => ({ ...one, gap: Math.max(one.gap, 0) }));
}
