// The typed fields: what they show, what they take, and what is said beside one that it cannot take.

import { mark, put } from '../../../scoring/js/pages/score/dom.js';
import { BALLS } from '../../../scoring/js/table/layout.js';
import { MISCUE, MOST_SPEED, typed } from './question.js';
import { say, speedWord, tip } from './texts.js';
import { showFace } from './face.js';

const { gettext: spoken } = globalThis;
const NUMBERS = ['direction', 'speed', 'side', 'height', 'spread'];
const SPREAD = [0.2, 5];
const TEXTS = [...NUMBERS, ...BALLS.flatMap((ball) => [`${ball}_x`, `${ball}_y`])];

export class Fields {
  /** `change(wish)` takes what was typed and answers a sentence where it was taken otherwise. */
  constructor(form, change) {
    this.form = form;
    this.change = change;
    this.texts = TEXTS.filter((name) => form.elements[name]);
    form.addEventListener('change', (event) => this.take(event.target));
    form.elements.id_speed_slide?.addEventListener('input', ({ target }) => change({ speed: Number(target.value) }, false));
    form.addEventListener('click', (event) => {
      const button = event.target.closest('button[data-speed]');
      if (button) change({ speed: Number(button.dataset.speed) });
    });
  }

  take(input) {
    const name = input.name;
    const number = TEXTS.includes(name) ? typed(input.value) : null;
    if (input.id === 'id_speed_slide') this.change({ speed: Number(input.value) });
    else if (['cue', 'discipline', 'table'].includes(name)) this.change({ [name]: input.value });
    else if (!TEXTS.includes(name)) return;
    else if (number === null) this.back(name, spoken('A number is needed here; the last one stands.'));
    else if (NUMBERS.includes(name)) this.takeNumber(name, number);
    else this.takeBall(name, number);
  }

  takeNumber(name, number) {
    const shown = { ...this.shown, [name]: number };
    if (name === 'spread') {
      const text = spoken('A spread from %(least)s to %(most)s is needed; the last one stands.');
      if (number >= SPREAD[0] && number <= SPREAD[1]) this.change({ spread: number });
      else this.back(name, say(text, { least: SPREAD[0], most: SPREAD[1] }));
      return;
    }
    if (name === 'speed' && !(number > 0 && number <= MOST_SPEED)) {
      const text = spoken('A speed above 0 and up to %(most)s m/s is needed; the last one stands.');
      this.back(name, say(text, { most: MOST_SPEED }));
    } else if (Math.hypot(shown.side, shown.height) > MISCUE + 1e-9) {
      const text = spoken('The tip would slip: at most %(most)s off the centre. The last place stands.');
      this.back(name, say(text, { most: MISCUE }));
    } else {
      this.change({ [name]: number });
    }
  }

  takeBall(name, number) {
    const [ball, axis] = name.split('_');
    const at = [...this.shown.layout[ball]];
    at[axis === 'x' ? 0 : 1] = number;
    const said = this.change({ ball, at, typed: true });
    if (said) this.tell(ball, said);
  }

  // Say what is to be mended, and put back what stood there.
  back(name, sentence) {
    const input = this.form.elements[name];
    this.tell(name.split('_')[0], sentence);
    this.fill(name, this.shown, true);
    input.select();
  }

  /** Show the question; a field that is being written in keeps its text until it is left. */
  show(asked) {
    this.shown = { ...asked };
    this.right();
    for (const name of this.texts) this.fill(name, asked);
    for (const radio of this.form.elements.cue) radio.checked = radio.value === asked.cue;
    this.form.elements.discipline.value = asked.discipline;
    this.form.elements.table.value = asked.table;
    if (this.form.elements.id_speed_slide) this.showStrike(asked);
  }

  showStrike(asked) {
    this.form.elements.id_speed_slide.value = asked.speed;
    const word = speedWord(asked.speed);
    mark(this.form.elements.id_speed_slide, 'aria-valuetext', `${asked.speed} ${spoken('m/s')}, ${word}`);
    put(this.form.querySelector('[data-slot="speed-word"]'), word);
    put(this.form.querySelector('[data-slot="tip"]'), tip(asked.side, asked.height));
    showFace(this.form.querySelector('[data-slot="face"]'), asked.side, asked.height);
  }

  fill(name, asked) {
    const [ball, axis] = name.split('_');
    const value = axis ? asked.layout[ball][axis === 'x' ? 0 : 1] : asked[name];
    this.form.elements[name].value = String(Math.round(value * 1e4) / 1e4);
  }

  /** Take what is still being written; answers whether all of it could be taken. */
  settle() {
    const input = document.activeElement;
    if (input?.form === this.form && this.texts.includes(input.name)) {
      const before = input.value;
      const [ball, axis] = input.name.split('_');
      const stands = axis ? this.shown.layout[ball][axis === 'x' ? 0 : 1] : this.shown[input.name];
      if (typed(before) !== Math.round(stands * 1e4) / 1e4) this.take(input);
    }
    return this.form.querySelector('.wrong') === null;
  }

  /** Take away what was said beside the fields. */
  right() {
    for (const old of this.form.querySelectorAll('.stroke-asked .wrong')) old.remove();
  }

  tell(name, sentence) {
    const field = this.form.querySelector(`[data-field="${name}"]`);
    if (!field) return false;
    field.querySelector('.wrong')?.remove();
    const line = document.createElement('p');
    line.className = 'wrong';
    line.setAttribute('role', 'alert');
    line.textContent = sentence;
    field.append(line);
    return true;
  }

  /** Say each of the club's sentences beside its field; answers all of them as one sentence. */
  wrong(pairs) {
    for (const [name, sentence] of pairs) this.tell(fieldOf(name), sentence);
    return pairs.map(([, sentence]) => sentence).join(' ');
  }
}

// "layout.red" is said beside the red ball, "strike.side" beside the side.
function fieldOf(name) {
  const [head, part] = name.split('.');
  if (head === 'layout' || head === 'strike') return part;
  return head === 'cue_ball' ? 'cue' : head;
}
