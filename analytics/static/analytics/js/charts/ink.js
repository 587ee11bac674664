/** Puts the style tokens themselves into a drawing, so that light, dark and print need no new one.

The library wants colours, not tokens: each token is drawn in a colour that nothing else has, and
what was drawn in it takes the token afterwards.
*/

const COLOURS = new Set([
  "color",
  "fillcolor",
  "bgcolor",
  "gridcolor",
  "linecolor",
  "plot_bgcolor",
  "tickcolor",
  "zerolinecolor",
]);
const standIns = new Map();
const tokens = new Map();

function standIn(token) {
  if (!standIns.has(token)) {
    const colour = `rgb(1, 2, ${standIns.size + 3})`;
    standIns.set(token, colour);
    tokens.set(colour, token);
  }
  return standIns.get(token);
}

/** Return a part of a figure with a stand-in for each token. */
export function inked(part) {
  if (Array.isArray(part)) return part.map(inked);
  if (!part || typeof part !== "object") return part;
  const made = {};
  for (const [name, value] of Object.entries(part)) {
    const token = COLOURS.has(name) && typeof value === "string" && value.startsWith("--");
    made[name] = token ? standIn(value) : inked(value);
  }
  return made;
}

/** Give everything drawn in a stand-in its token. */
export function takeTokens(place) {
  for (const part of place.querySelectorAll("svg *")) {
    for (const name of ["fill", "stroke"]) {
      const token = tokens.get(part.style[name]);
      if (token) part.style.setProperty(name, `var(${token})`);
    }
  }
}
