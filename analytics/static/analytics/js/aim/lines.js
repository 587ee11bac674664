// The list of lines, the likeliest first; two of them are chosen to be compared.

import { clone, one, put } from '../../../scoring/js/pages/score/dom.js';
import { say } from '../stroke/texts.js';
import { familyOf, inHundred, routeOf } from './finding.js';

const { gettext: spoken } = globalThis;

export class Lines {
  /** `chosen` is called when another line is to be compared. */
  constructor(body, families, chosen) {
    this.body = body;
    this.families = families;
    body.addEventListener('change', (event) => {
      this.apart(event.target);
      chosen();
    });
  }

  show(lines) {
    this.lines = lines;
    this.body.replaceChildren(...lines.map((line, n) => this.row(line, n)));
    this.pick('line_a', 0);
    if (lines.length > 1) this.pick('line_b', 1);
  }

  row(line, n) {
    const row = clone('aim-line');
    const family = familyOf(line, this.families);
    const texts = { a: spoken('Draw %(line)s as A'), b: spoken('Draw %(line)s as B') };
    for (const side of ['a', 'b']) {
      const input = one(`[name="line_${side}"]`, row);
      input.value = n;
      put(input.nextElementSibling, say(texts[side], { line: `${family}, ${routeOf(line)}` }));
    }
    put(one('.aim-family', row), family);
    put(one('.aim-route', row), routeOf(line));
    put(one('.aim-success', row), line.success.toFixed(2));
    put(one('.aim-error', row), `± ${line.stderr.toFixed(2)}`);
    put(one('.aim-luck', row), inHundred(line.luck));
    put(one('.aim-kiss', row), inHundred(line.kiss));
    const along = (share) => 1 + 98 * Math.min(Math.max(share, 0), 1);
    const band = one('.aim-band', row);
    band.setAttribute('x', along(line.success - line.stderr));
    band.setAttribute('width', along(line.success + line.stderr) - along(line.success - line.stderr));
    one('.aim-mean', row).setAttribute('cx', along(line.success));
    return row;
  }

  // A line is not compared with itself: the other side takes what this one had.
  apart(input) {
    const other = input.name === 'line_a' ? 'line_b' : 'line_a';
    const before = input.name === 'line_a' ? this.a : this.b;
    if (this.picked(other) === Number(input.value)) this.pick(other, before);
    this.a = this.picked('line_a');
    this.b = this.picked('line_b');
  }

  pick(name, n) {
    for (const input of this.body.querySelectorAll(`[name="${name}"]`)) input.checked = Number(input.value) === n;
    if (name === 'line_a') this.a = n;
    else this.b = n;
  }

  picked(name) {
    const input = this.body.querySelector(`[name="${name}"]:checked`);
    return input ? Number(input.value) : null;
  }

  /** Return the two lines: {a: {line, n}, b: {line, n}}; no b where there is one line only. */
  chosen() {
    const found = {};
    for (const side of ['a', 'b']) {
      const n = this.picked(`line_${side}`);
      if (n !== null) found[side] = { line: this.lines[n], n };
    }
    return found;
  }
}
