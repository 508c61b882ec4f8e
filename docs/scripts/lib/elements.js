// @ts-check
/** An element of a page, and a name as words. */

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

/** @param {string} text */
export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** @param {string} name */
export function inWords(name) {
  return capital(name.replace(/[_-]/g, " "));
}
