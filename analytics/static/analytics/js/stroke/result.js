// What came of a stroke: the count as it rises, the ruling, the contacts in words and times.

import { parseContacts } from '../../../scoring/js/rules/contacts.js';
import { rule } from '../../../scoring/js/rules/rulings.js';
import { mark, put } from '../../../scoring/js/pages/score/dom.js';
import { soFar, verdict } from '../../../scoring/js/pages/verdict.js';
import { counted } from './route.js';
import { called, say, seconds } from './texts.js';

const { gettext: spoken, interpolate: filled } = globalThis;

export class Result {
  constructor(form, data) {
    this.data = data;
    this.slot = (name) => form.querySelector(`[data-slot="${name}"]`);
    this.act = (name) => form.querySelector(`[data-act="${name}"]`);
    this.slider = form.querySelector('#id_time');
    this.contacts = [];
  }

  panel(kind, head, why, family = '') {
    this.slot('ruling').dataset.ruling = kind;
    put(this.slot('head'), head);
    put(this.slot('why'), why);
    put(this.slot('family'), family);
  }

  parts(shown) {
    for (const name of ['time-row', 'contacts', 'rest']) this.slot(name).hidden = !shown;
    for (const name of ['run', 'step']) this.act(name).hidden = !shown;
  }

  clear() {
    this.panel('open', spoken('Not struck yet'), spoken('Place the balls, aim, and strike.'));
    put(this.slot('spoken'), '');
    this.parts(false);
  }

  wait() {
    this.panel('open', spoken('Struck'), spoken('The club works it out.'));
  }

  /** Say why nothing was struck. */
  refuse(sentence) {
    this.parts(false);
    this.panel('no', spoken('Not struck'), sentence);
    put(this.slot('spoken'), `${spoken('Not struck')}. ${sentence}`);
  }

  begin(shot, asked) {
    this.shot = shot;
    this.many = counted(shot.contacts);
    this.met = null;
    // What holds after each contact, so that a frame only looks it up.
    this.stages = shot.contacts.slice(0, this.many).map((_, n) => this.judged(asked, n + 1));
    this.stages.unshift(this.judged(asked, 0));
    this.slider.max = shot.duration;
    this.list();
    this.parts(true);
    const [, head, why, family] = this.final();
    const route = shot.contacts.slice(0, this.many).map(called).join(', ');
    put(this.slot('spoken'), [head, why, family, route].filter(Boolean).join('. ').replaceAll('..', '.'));
  }

  judged(asked, many) {
    const contacts = this.shot.contacts.slice(0, many).map(({ ball, rail, tie }, n) => ({
      ...(ball ? { ball } : { rail }),
      ...(tie && n ? { tie } : {}),
    }));
    return rule({
      discipline: this.data.disciplines[asked.discipline],
      cueBall: asked.cue,
      contacts: parseContacts(contacts, asked.cue),
      ruleSet: this.data.rule_set,
    });
  }

  // The club's own ruling, once the stroke is over.
  final() {
    const { ruling } = this.shot;
    // It comes in words already; those are no templates to fill in.
    const plain = { ...ruling, reason: { template: ruling.reason, params: {} } };
    const family = ruling.family ? this.data.families[ruling.family] ?? '' : '';
    return [...verdict(plain), family ? `${family.charAt(0).toUpperCase()}${family.slice(1)}.` : ''];
  }

  list() {
    const { contacts } = this.shot;
    const items = contacts.slice(0, this.many).map((one, n) => {
      const item = document.createElement('li');
      const number = document.createElement('b');
      number.textContent = n + 1;
      const when = document.createElement('span');
      when.className = 'when';
      when.textContent = seconds(one.t);
      const word = one.tie ? say(spoken('%(word)s at once'), { word: called(one) }) : called(one);
      item.append(number, ` ${word} `, when);
      return item;
    });
    const rest = contacts.slice(this.many);
    if (rest.length) {
      const item = document.createElement('li');
      item.className = 'later';
      item.textContent = say(spoken('then %(rest)s'), { rest: rest.slice(0, 12).map(called).join(', ') });
      items.push(item);
    }
    if (!contacts.length) {
      const item = document.createElement('li');
      item.textContent = spoken('It met nothing.');
      items.push(item);
    }
    this.slot('contacts').replaceChildren(...items);
  }

  /** Show how far the stroke has come at `time` [s]. */
  show(time) {
    const { shot } = this;
    this.slider.value = time;
    const values = { time: time.toFixed(2), whole: shot.duration.toFixed(2) };
    const told = filled(spoken('%(time)s s of %(whole)s'), values, true);
    put(this.slot('time'), told);
    mark(this.slider, 'aria-valuetext', told);
    const over = time >= shot.duration;
    let met = 0;
    while (met < this.many && shot.contacts[met].t <= time) met += 1;
    const state = over ? 'over' : met;
    if (state === this.met) return;
    this.met = state;
    [...this.slot('contacts').children].forEach((item, n) => mark(item, 'data-now', !over && n === met - 1));
    if (over || this.stages[met].valid) this.panel(...this.final());
    else if (met === 0) this.panel('open', spoken('Nothing met yet'), spoken('The ball is on its way.'));
    else this.under(met);
  }

  under(met) {
    const ruling = this.stages[met];
    const one = this.shot.contacts[met - 1];
    const last = one.ball ? called(one) : say(spoken('%(rail)s rail'), { rail: called(one) });
    if (met < this.many || !secondMet(this.shot.contacts)) {
      this.panel('short', soFar(ruling), say(spoken('Met last: %(last)s.'), { last }));
    } else {
      this.panel(...this.final());
    }
  }

  /** Name the button for what it would do now; no motion is offered to whoever wants none. */
  tellRunning(clock, still) {
    const over = clock.time >= clock.end;
    put(this.slot('run'), clock.running ? spoken('Pause') : over ? spoken('Again') : spoken('Run on'));
    this.act('run').hidden = still || this.slot('time-row').hidden;
  }
}

function secondMet(contacts) {
  return new Set(contacts.filter((one) => one.ball).map((one) => one.ball)).size === 2;
}
