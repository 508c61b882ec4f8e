// @ts-check
/**
 * What an earlier step found, filled into a later one: a field with `data-found="procedure/step#value"` takes the last
 * standing result of that step for the side worked on, and says where it is from. What is typed wins.
 */

import { now } from "../core/entries.js";
import { controlOf, fillIn } from "../layout/sheet.js";
import { button } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { clock } from "../state/entry-text.js";
import { covers, PLACE_NAMES, stepAt } from "../state/steps.js";
import { standingEntries } from "./journal.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("../job-page.js").JobPage} JobPage */
/** @typedef {{text: string, entry: Entry}} Found */

/** @param {JobPage} page */
export function startFound(page) {
  const boxes = /** @type {NodeListOf<HTMLElement>} */ (page.article.querySelectorAll(".field[data-found]"));
  if (!boxes.length) return;
  document.addEventListener("handbook:drawn", () => {
    for (const box of boxes) fill(page, box);
  });
  page.article.addEventListener("input", ({ target }) => {
    const box = target instanceof Element ? /** @type {HTMLElement | null} */ (target.closest(".field[data-found]")) : null;
    if (box) say(page, box, foundFor(page, box));
  });
}

/** What was found, of the side worked on; of each side where none is chosen and they differ. @param {JobPage} page @param {HTMLElement} box @returns {Found[]} */
function foundFor(page, box) {
  const [address, name] = (box.dataset.found ?? "").split("#");
  const step = page.steps.find((each) => each.address === address);
  const names = [address, ...(step?.was ?? [])];
  /** @type {Map<string, Found>} */
  const byPlace = new Map();
  for (const entry of standingEntries()) {
    if (entry.kind !== "result" || !entry.place || !names.includes(entry.step ?? "") || !isHere(page, entry.place)) continue;
    const text = textOf(entry.understood.values?.[name] ?? entry.understood.inputs?.[name]);
    if (text) byPlace.set(entry.place, { text, entry });
    else byPlace.delete(entry.place);
  }
  const all = [...byPlace.values()];
  return new Set(all.map(({ text }) => text)).size > 1 ? all : all.slice(-1);
}

/** @param {JobPage} page @param {Place} place */
function isHere(page, place) {
  const side = page.side();
  if (side) return covers(place, side);
  const axle = page.signing().progress.axle;
  return (axle !== "front" && axle !== "rear") || covers(axle, place) || covers(place, axle);
}

/** A value or an entry as a reader would type it; "" where it was not given or not found. @param {any} found @returns {string} */
function textOf(found) {
  if (Array.isArray(found)) return found.map(textOf).join("; ");
  if (!found || found.default || found.value === null || found.value === undefined) return "";
  const text = String(found.text ?? "").replace(/ \([^)]*\)/g, "");
  const plain = /^[-−]?[\d.,/ ]+(\s?[^\d\s].*)?$/.test(text) && !/;.*[a-z]{3}/.test(text);
  if (plain) return text;
  return typeof found.value === "number" ? `${found.value} ${found.unit ?? ""}`.trim() : "";
}

/** @param {JobPage} page @param {HTMLElement} box */
function fill(page, box) {
  const control = controlOf(box);
  if (!control) return;
  const found = foundFor(page, box);
  const text = found.length === 1 ? found[0].text : "";
  if (text || control.dataset.sheet !== undefined) fillIn(control, text);
  say(page, box, found);
}

/** @param {JobPage} page @param {HTMLElement} box @param {Found[]} found */
function say(page, box, found) {
  const line = /** @type {HTMLElement | null} */ (box.querySelector(":scope > .field__source"));
  const control = controlOf(box);
  if (!line || !control) return;
  const state = JSON.stringify([found.map(({ text, entry }) => [text, entry.id]), control.value]);
  if (line.dataset.state === state) return;
  line.dataset.state = state;
  line.hidden = !found.length;
  const used = found.find(({ text }) => text === control.value);
  if (used) line.textContent = `From ${origin(page, used.entry)}`;
  else if (found.length === 1) line.textContent = `${origin(page, found[0].entry)}: ${found[0].text}`;
  else line.replaceChildren("Of which side? ", ...found.flatMap((each) => [sideButton(box, each), " "]));
}

/** @param {HTMLElement} box @param {Found} found */
function sideButton(box, { text, entry }) {
  const made = button("field__candidate", `${PLACE_NAMES[/** @type {Place} */ (entry.place)]}: ${text}`, () => {
    const control = controlOf(box);
    if (!control) return;
    control.value = text;
    control.focus();
    control.dispatchEvent(new Event("input", { bubbles: true }));
  });
  return element("span", "", made);
}

/** «6.4 LF, 14:05». @param {JobPage} page @param {Entry} entry */
function origin(page, entry) {
  const own = stepAt(page.steps, entry.step);
  const home = (entry.step ?? "").split("/")[0];
  const title = /** @type {any} */ (self).handbook?.procedures?.[home]?.title ?? home;
  return `${own?.number ?? `«${title}»`} ${PLACE_NAMES[/** @type {Place} */ (entry.place)]}, ${clock(entry, now().slice(0, 10))}`;
}
