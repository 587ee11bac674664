// Sentences in the language of the page: they are translated at the edge, where somebody reads them.

export { Malformed, said } from "../rules/said.js";

/** Return the sentence in the language of the page; nested sentences too. */
export function words(sentence, translate = translated) {
  const text = translate(sentence.template);
  const params = sentence.params ?? {};
  if (Object.keys(params).length === 0) {
    return text;
  }
  return text.replace(/%(?:%|\((\w+)\)[sd])/g, (whole, name) => {
    if (name === undefined) {
      return "%";
    }
    const value = params[name];
    return isSaid(value) ? words(value, translate) : String(value);
  });
}

/** Return the sentence in the language it was written in. */
export function untranslated(sentence) {
  return words(sentence, (template) => template);
}

function isSaid(value) {
  return value !== null && typeof value === "object" && typeof value.template === "string";
}

// Django's catalog of the page's language, where the page loaded it.
function translated(text) {
  return typeof globalThis.gettext === "function" ? globalThis.gettext(text) : text;
}
