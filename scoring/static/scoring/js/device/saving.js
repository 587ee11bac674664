// Where what was written lies, in words: they stand on every page at the table.

import { said, words } from "../match/said.js";

/** Return {code, count, words} of a device's log. */
export function savingOf(log) {
  const refused = log.refused.length;
  const waiting = log.waiting.length;
  if (refused > 0) {
    return inWords("refused", refused, said("%(count)s not accepted, look", { count: refused }));
  }
  if (waiting > 0) {
    return inWords("here", waiting, said("on this device: %(count)s", { count: waiting }));
  }
  return inWords("all", 0, said("all with the club"));
}

const TROUBLES = {
  offline: said("The club does not answer. What is written stays on this device and will be sent."),
  "signed-out": said("Sign in again. What is written stays on this device and will be sent."),
  "link-ended": said(
    "The link of this table holds no longer. What is written stays on this device and will be sent once it is let in again.",
  ),
  "no-right": said("The club does not take entries from this log-in. What is written stays on this device."),
  "slow-down": said("The club asks for a pause. What is written stays on this device and will be sent."),
  "pen-elsewhere": said("This match is being written on another device. Read along, or take the pen."),
  "no-storage": said("This device cannot keep entries. Leave this page open until all is with the club."),
};

/** Return null, or {code, words} of what a person may want to know. */
export function troubleOf(sending, pen, log) {
  if (pen.elsewhere) {
    return inWords("pen-elsewhere", 0, TROUBLES["pen-elsewhere"]);
  }
  if (!log.keeps && log.waiting.length > 0) {
    return inWords("no-storage", 0, TROUBLES["no-storage"]);
  }
  return sending === null ? null : inWords(sending, 0, TROUBLES[sending]);
}

function inWords(code, count, sentence) {
  return { code, count, words: words(sentence) };
}
