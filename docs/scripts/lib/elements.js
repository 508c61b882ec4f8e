// @ts-check
/** Elements of a page: any, a button, and a name as words. */

/**
 * @template {keyof HTMLElementTagNameMap} Tag
 * @param {Tag} tag @param {string} [kind] class @param {...(string | Node)} content
 * @returns {HTMLElementTagNameMap[Tag]}
 */
export function element(tag, kind, ...content) {
  const made = document.createElement(tag);
  if (kind) made.className = kind;
  made.append(...content);
  return made;
}

/** @param {string} kind @param {string} text @param {() => void} act */
export function button(kind, text, act) {
  const made = element("button", kind, text);
  made.type = "button";
  made.addEventListener("click", act);
  return made;
}

/** @param {string} text */
export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** @param {string} name */
export function inWords(name) {
  return capital(name.replace(/[_-]/g, " "));
}
