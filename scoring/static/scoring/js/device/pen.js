// The pen: the one device that writes a match. Its token is kept here, so that a lapsed
// log-in never interrupts play.

import { said, words } from "../match/said.js";
import { Unreachable } from "./api.js";
import { newUuid } from "./uuid.js";

export class Pen {
  #api;
  #log;

  constructor(api, log) {
    this.#api = api;
    this.#log = log;
    /** True where another device is known to hold the pen. */
    this.elsewhere = false;
    api.pen = log.meta.pen ?? null;
  }

  get mine() {
    return this.#api.pen !== null;
  }

  /** Ask for the pen; `device` is how others see this one. Returns {ok} or {refused}. */
  async take({ device, takeOver = false }) {
    const first = await this.#ask(device, takeOver);
    // A token that holds no longer is forgotten; the log-in may still do.
    return first.lapsed ? this.#ask(device, takeOver) : first;
  }

  async #ask(device, takeOver) {
    // Kept until an answer is heard: a pen whose answer was lost is this device's own.
    const uuid = this.#log.meta.penAsked ?? newUuid();
    await this.#log.setMeta({ penAsked: uuid });
    let answer;
    try {
      answer = await this.#api.call("POST", "pen/", { body: { device, take_over: takeOver, uuid } });
    } catch (problem) {
      if (!(problem instanceof Unreachable)) {
        throw problem;
      }
      return { refused: { code: "offline", reason: words(said("The club did not answer. Try again.")) } };
    }
    const { status, data } = answer;
    if (status < 500 && status !== 429) {
      await this.#log.setMeta({ penAsked: null });
    }
    if (status === 201 || status === 200) {
      this.elsewhere = false;
      await this.#hold(data.token);
      return { ok: true };
    }
    if (this.mine && (status === 401 || data?.code === "pen-elsewhere")) {
      this.elsewhere = status !== 401;
      await this.#hold(null);
      return { lapsed: true, refused: refusal(status, data) };
    }
    this.elsewhere = this.elsewhere || data?.code === "pen-elsewhere";
    return { refused: refusal(status, data) };
  }

  /** Give the pen back; others may write at once. Returns {ok} or {refused}. */
  async giveBack() {
    if (!this.mine) {
      return { ok: true };
    }
    try {
      const { status, data } = await this.#api.call("DELETE", "pen/");
      if (status >= 500 || status === 429) {
        return { refused: refusal(status, data) };
      }
    } catch {
      return { refused: { code: "offline", reason: words(said("The club did not answer. Try again.")) } };
    }
    await this.#hold(null);
    return { ok: true };
  }

  /** Ask whether another device holds the pen still. */
  async look() {
    const { status, data } = await this.#api.call("GET", "pen/");
    this.elsewhere = status === 200 ? data.held && !data.mine : this.elsewhere;
  }

  /** Note that the token holds no longer; `elsewhere`: because another device took it. */
  async lose(elsewhere) {
    this.elsewhere = elsewhere;
    await this.#hold(null);
  }

  async #hold(token) {
    this.#api.pen = token;
    await this.#log.setMeta({ pen: token });
  }
}

function refusal(status, data) {
  const reason = data?.reason ?? data?.detail ?? words(said("The club did not give the pen. Sign in again."));
  return { code: data?.code ?? String(status), reason };
}
