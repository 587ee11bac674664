// The two sides of a match, by the ball they play with.

export const WHITE = "white";
export const YELLOW = "yellow";
export const COLOURS = [WHITE, YELLOW];

export function other(colour) {
  return colour === WHITE ? YELLOW : WHITE;
}

/** Return a fresh {white: value, yellow: value}. */
export function each(value) {
  return { white: value, yellow: value };
}
