// @ts-check
/** The controls of a page: a button, and a field with its caption. */
import { element } from "./elements.js";

/** @param {string} kind @param {string} text @param {() => void} act */
export function button(kind, text, act) {
  const made = element("button", kind, text);
  made.type = "button";
  made.addEventListener("click", act);
  return made;
}

/** @param {string} caption @param {HTMLElement} control with its id @param {Node[]} after what follows in the same box */
export function labeled(caption, control, ...after) {
  const label = element("label", "", caption);
  label.htmlFor = control.id;
  return element("div", "field", label, control, ...after);
}

/** A line of text. @param {string} id @param {string} caption @param {string} [value] @param {number} [longest] characters */
export function textField(id, caption, value = "", longest = 180) {
  const input = element("input");
  Object.assign(input, { id, type: "text", value, autocomplete: "off", maxLength: longest });
  return { box: labeled(caption, input), input };
}
