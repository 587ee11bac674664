/** Fits a figure into the room it has: what a phone lays over it, the size of letters, heads in lines. */

// Below this width names stand above their rows.
const NARROW = 540;
// A letter of 13 px takes about so much of its size.
const LETTER = 0.56;
const LINE = 1.3;
const LONG = 24; // letters of a name beside its row

/** Return `{data, layout}` for a drawing `width` px wide, with letters `rem` times their size. */
export function fitted(told, width, rem) {
  const { meta = {}, ...wide } = told.layout;
  const narrow = width < NARROW * rem && meta.narrow;
  const layout = structuredClone(narrow ? { ...wide, ...meta.narrow } : wide);
  layout.width = Math.min(width, (meta.widest ?? width) * rem);
  layout.height = Math.round(layout.height * rem);
  enlarge(layout, rem);
  for (const side of ["l", "r", "t", "b"]) layout.margin[side] *= rem;
  foldHeads(layout);
  foldNames(layout);
  const data = structuredClone(told.data);
  enlarge(data, rem);
  return { data, layout };
}

function enlarge(part, rem) {
  for (const [name, value] of Object.entries(part)) {
    if (!value || typeof value !== "object") continue;
    if (/font$/.test(name)) value.size *= rem;
    enlarge(value, rem);
  }
}

/** Break long heads into lines, and make room for them. */
function foldHeads(layout) {
  const head = layout.annotations.find((one) => one.name === "head");
  if (head) {
    const lines = fold(head.text, letters(layout.width - 40, head.font.size));
    head.text = lines.join("<br>");
    head.align = "left";
    head.yanchor = "bottom";
    head.yshift -= 8;
    layout.margin.t += (lines.length - 1) * head.font.size * LINE;
  }
  const title = layout.xaxis.title;
  if (title) title.text = fold(title.text, letters(layout.width - 60, title.font.size)).join("<br>");
}

/** Break long names beside their rows; above their rows they end in an ellipsis. */
function foldNames(layout) {
  for (const one of layout.annotations.filter((note) => note.name === "row")) {
    const most = letters(layout.width - 110, one.font.size);
    const signs = signsOf(one.text);
    if (signs.length > most) one.text = `${signs.slice(0, most - 1).join("").trimEnd()}…`;
  }
  const names = layout.yaxis.ticktext;
  if (names) layout.yaxis.ticktext = names.map((name) => fold(name, LONG).join("<br>"));
}

function letters(room, size) {
  return Math.max(8, Math.floor(room / (size * LETTER)));
}

/** Return the letters of a text; what stands for one letter in HTML is one. */
function signsOf(text) {
  return text.match(/&\w+;|./gu) ?? [];
}

/** Return a text in lines of at most so many letters, broken at spaces. */
function fold(text, most) {
  const lines = [];
  for (const word of text.split(" ")) {
    const last = lines.at(-1);
    if (last !== undefined && signsOf(`${last} ${word}`).length <= most) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}
