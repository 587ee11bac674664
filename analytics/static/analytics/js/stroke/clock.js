// Time of a stroke: runs true or slow, stands still, or is set.

export class Clock {
  /** `show(time)` is called at every frame and whenever the time is set; `changed()` at start and stop. */
  constructor(show, changed) {
    this.show = show;
    this.changed = changed;
    this.end = 0;
    this.time = 0;
    this.running = false;
    this.rate = 1;
  }

  /** Begin with another stroke that lasts `end` [s]. */
  begin(end, time) {
    this.stop();
    this.end = end;
    this.set(time);
  }

  set(time) {
    this.time = Math.min(Math.max(time, 0), this.end);
    this.from = { time: this.time, at: performance.now() };
    this.show(this.time);
  }

  /** Run so many times as fast as true from now on. */
  pace(rate) {
    this.rate = rate;
    this.from = { time: this.time, at: performance.now() };
  }

  run() {
    if (this.time >= this.end) this.set(0);
    this.running = true;
    this.from = { time: this.time, at: performance.now() };
    this.changed();
    this.next();
  }

  next() {
    this.waiting = requestAnimationFrame(() => this.frame());
  }

  frame() {
    if (!this.running) return;
    this.time = Math.min(this.from.time + ((performance.now() - this.from.at) / 1000) * this.rate, this.end);
    this.show(this.time);
    if (this.time >= this.end) this.stop();
    else this.next();
  }

  stop() {
    if (!this.running) return;
    this.running = false;
    cancelAnimationFrame(this.waiting);
    this.changed();
  }
}
