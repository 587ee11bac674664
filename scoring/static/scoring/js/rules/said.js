// Sentences the rules say, kept apart from their language; the page translates them.

/** Mark `template` for translation and bind its parameters, `%(name)s`. */
export function said(template, params = {}) {
  return { template, params };
}

/** A value that cannot be read: which field, and what to do about it. */
export class Malformed extends Error {
  constructor(field, reason) {
    super(`${field}: ${reason.template}`);
    this.name = "Malformed";
    this.field = field;
    this.reason = reason;
  }
}
