// @ts-check
/**
 * Shows what applies to the layout and hides the rest: steps, cautions, list items, whole parts with `data-when`.
 * What hangs on an unanswered question stays, labeled «applies if …».
 */

import { holds, inWords } from "../core/when.js";
import { element } from "../lib/elements.js";
import { label } from "../store/handbook-data.js";

/** @typedef {import("../core/when.js").Layout} Layout */
/** @typedef {{hidden: HTMLElement[], unsure: HTMLElement[]}} Shown steps of other layouts, and steps that may not apply */

/**
 * @param {HTMLElement} article
 * @param {Layout} layout
 * @param {boolean} showAll show also what does not apply, marked
 * @returns {Shown}
 */
export function applyLayout(article, layout, showAll) {
  for (const box of boxes(article, "[data-when]")) {
    const answer = holds(conditionOf(box), layout);
    box.classList.toggle("other-layout", answer === false);
    box.hidden = answer === false && !showAll;
    appliesLine(box, answer);
  }
  const steps = boxes(article, ".step");
  const hidden = steps.filter((step) => isOther(step));
  hideEmptyParts(article, showAll);
  listParts(article);
  return { hidden, unsure: steps.filter((step) => !hidden.includes(step) && holds(conditionOf(step), layout) === null) };
}

/** Whether a step belongs to another layout. @param {Element} step */
export function isOther(step) {
  return step.closest(".other-layout") !== null;
}

/** Show one thing of another layout, because a link leads to it. @param {HTMLElement} target */
export function reveal(target) {
  for (let box = /** @type {HTMLElement | null} */ (target); box && box.tagName !== "ARTICLE"; box = box.parentElement) box.hidden = false;
}

/** @param {ParentNode} parent @param {string} selector @returns {HTMLElement[]} */
function boxes(parent, selector) {
  return Array.from(/** @type {NodeListOf<HTMLElement>} */ (parent.querySelectorAll(selector)));
}

/** @param {HTMLElement} box @returns {import("../core/when.js").Condition | null} */
export function conditionOf(box) {
  return box.dataset.when === undefined ? null : JSON.parse(box.dataset.when);
}

/** @param {HTMLElement} box @param {boolean | null} answer */
function appliesLine(box, answer) {
  let line = /** @type {HTMLElement | null} */ (box.querySelector(":scope > .step__applies, :scope > .applies"));
  if (!line && answer !== true && !box.matches(".part")) {
    line = element(box.matches("li, label") ? "span" : "p", "applies", ` Applies if ${inWords(conditionOf(box), label)}.`);
    box.append(line);
  }
  if (line) line.hidden = answer === true;
}

/** The contents beside the page list the parts that are shown. @param {HTMLElement} article */
function listParts(article) {
  for (const link of boxes(document, '.on-this-page a[href^="#"]')) {
    const part = /** @type {HTMLElement | null} */ (
      article.querySelector(`.part[data-part="${CSS.escape(link.getAttribute("href")?.slice(1) ?? "")}"]`)
    );
    if (part && link.parentElement) link.parentElement.hidden = part.hidden;
  }
}

/** A part goes with its heading once none of its steps applies. @param {HTMLElement} article @param {boolean} showAll */
function hideEmptyParts(article, showAll) {
  for (const list of boxes(article, "ol.steps")) {
    const empty = !showAll && boxes(list, ".step").every((step) => isOther(step));
    const part = /** @type {HTMLElement | null} */ (list.closest(".part"));
    if (part) {
      if (empty) part.hidden = true;
      else if (!part.classList.contains("other-layout")) part.hidden = false;
      continue;
    }
    list.hidden = empty;
    for (let before = list.previousElementSibling; before instanceof HTMLElement; before = before.previousElementSibling) {
      if (before.matches("ol.steps, section")) break;
      if (before.dataset.when === undefined) before.hidden = empty;
      if (before.matches("h2, h3")) break;
    }
  }
}
