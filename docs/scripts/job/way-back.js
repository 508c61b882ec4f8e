// @ts-check
/**
 * The way back to the step that was left for this page. An outcome of that step leads here and back again; which of
 * them was left follows from the job: its last answer still is that outcome.
 */
import { element } from "../lib/elements.js";
import { ledHere, leftFor, PLACE_NAMES } from "../state/steps.js";
import { standingEntries } from "./journal.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("../job-page.js").JobPage} JobPage */
/** @typedef {import("../state/steps.js").Left} Left */

/** @param {JobPage} page */
export function startWayBack({ article }) {
  const lines = /** @type {NodeListOf<HTMLElement>} */ (article.querySelectorAll(".way-back"));
  if (!lines.length) return;
  const without = lines[0].textContent ?? "";
  const left = leftFor(article);
  document.addEventListener("handbook:drawn", () => {
    const entry = leftNow(left, standingEntries(), article.dataset.procedure ?? "");
    for (const line of lines) line.replaceChildren(...(entry ? wayBack(entry, left) : [without]));
  });
}

/**
 * The newest answer, on another page, that led here and still stands.
 * @param {Left} left @param {Entry[]} standing in the order of their times @param {string} here id of this page's procedure
 * @returns {Entry | undefined}
 */
export function leftNow(left, standing, here) {
  /** @type {Map<string, Entry>} */
  const last = new Map();
  for (const entry of standing) {
    if (!entry.verdict || !left[entry.step ?? ""]) continue;
    const key = `${entry.procedure} ${entry.step} ${entry.place}`;
    last.delete(key); // so that the newest stands last
    last.set(key, entry);
  }
  return [...last.values()].filter((entry) => entry.procedure && entry.procedure !== here && ledHere(left, entry)).at(-1);
}

/** @param {Entry} entry @param {Left} left @returns {(string | Node)[]} */
function wayBack({ procedure, step, place }, left) {
  const title = /** @type {any} */ (self).handbook?.procedures?.[procedure ?? ""]?.title ?? procedure;
  const link = element("a", "step-link", "Go back to that step");
  link.href = `${procedure}.html#${(step ?? "").replace("/", ".")}`;
  const where = PLACE_NAMES[/** @type {Place} */ (place)];
  return [`You left “${title}” at “${left[step ?? ""].does}” (${where}). When this job is done: `, link, ", and answer it again."];
}
