// @ts-check
/**
 * The layout in the bay: picked by hand or taken from a vehicle's sheet, carried in the address, and turned into the
 * steps that apply. The choice is announced as `handbook:layout` on `document`; job.js keeps it.
 */

import { axesOf, holds } from "../core/when.js";
import { readHash, writeHash } from "../lib/address.js";
import { button } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { bringIntoView } from "../lib/scroll.js";
import { axes, contradictions, knownLayout, label, layoutOf, valuesOf, vehicles } from "../store/handbook-data.js";
import { applyLayout, reveal } from "./applies.js";
import { axisGroup, hiddenCount, sheetChooser, summaryLine } from "./picker.js";
import { startKeeping, useSheet } from "./sheet.js";

/** @typedef {import("../core/when.js").Layout} Layout */
/** @typedef {import("./sheet.js").Values} Values */
/** @typedef {{layout: Layout, vehicle: string, by: "reader" | "job" | "address"}} Choice */

/** As in build_tools/checks/layout_walk.py. */
const NOT_ASKED = "not asked";
/** What the page itself settles: the axle of a front brake procedure. @type {Layout} */
let fixed = {};
/** The reader's answers, also those to questions that fell away. @type {Layout} */
let answers = {};
let vehicle = "";
/** Sheet values kept with the job, by axle. @type {Record<string, Values>} */
let kept = {};
let showAll = false;
/** One line for the reader, with what can be done about it. @type {(string | Node)[]} */
let message = [];

/** Fill the picker, take the layout from the address, and show the steps that apply. */
export function startLayout() {
  const article = procedure();
  if (!article) return;
  fixed = fixedBy(article);
  startKeeping();
  follow("address");
  addEventListener("hashchange", () => follow("address"));
  document.addEventListener("click", carryLayout, true);
}

/** @returns {HTMLElement | null} */
function procedure() {
  return document.querySelector("article.procedure");
}

/** The layout as it counts: without answers to questions that fell away. @returns {Layout} */
export function layout() {
  const counted = { ...answers, ...fixed };
  // An answer can make another question fall away, so ask until nothing changes.
  for (let before = -1; before !== Object.keys(counted).length; ) {
    before = Object.keys(counted).length;
    for (const axis of axes()) if (!(axis.id in fixed) && holds(axis.when, counted) === false) delete counted[axis.id];
  }
  return counted;
}

/** The layout as conditions see it: a question that fell away is answered, by no value that a condition names. @returns {Layout} */
function wholeLayout() {
  const counted = layout();
  for (const axis of axes()) if (!(axis.id in counted) && holds(axis.when, counted) === false) counted[axis.id] = NOT_ASKED;
  return counted;
}

export const axle = () => layout().axle ?? "";

/** What the address or a sheet settled. @returns {{layout: Layout, vehicle: string}} */
export const choice = () => ({ layout: layout(), vehicle });

/** The copy of the chosen sheet that a job keeps. @returns {Record<string, Values>} by front, rear, vehicle */
export function chosenValues() {
  const chosen = vehicles().find(({ id }) => id === vehicle);
  return chosen ? valuesOf(chosen) : {};
}

/** Show a job's layout, and use the values it has kept. @param {Layout} given @param {string} ofVehicle @param {Record<string, Values>} values */
export function showJobLayout(given, ofVehicle, values) {
  answers = knownLayout(given);
  vehicle = ofVehicle;
  kept = values;
  message = [];
  changed("job");
}

/** Use the values kept with the job, after one was added. @param {Record<string, Values>} values */
export function useKeptValues(values) {
  kept = values;
  useValues();
}

/** @param {string | (string | Node)[]} text */
export function sayInPicker(text) {
  message = typeof text === "string" ? [text] : text;
  draw();
}

/** @param {HTMLElement} article @returns {Layout} */
function fixedBy(article) {
  // Only the axle: whatever else the procedure is limited to is asked, so that another vehicle is refused.
  const axles = JSON.parse(article.dataset.covers ?? "[{}]").map((/** @type {any} */ alternative) => alternative.axle?.join() ?? "");
  const only = article.dataset.axle || (new Set(axles).size === 1 ? axles[0] : "");
  return only === "front" || only === "rear" ? { axle: only } : {};
}

/** The questions this page asks now. */
function asked() {
  const article = procedure();
  const named = JSON.parse(/** @type {HTMLElement | null} */ (article?.querySelector(".layout-picker"))?.dataset.axes ?? "[]");
  const pickable = axes().filter((axis) => named.includes(axis.id) && !(axis.id in fixed));
  const now = layout();
  return pickable.filter((axis) => {
    const wanted = holds(axis.when, now);
    // A question that waits for another one on this page comes after its answer.
    return (
      wanted === true ||
      (wanted === null && ![...axesOf(axis.when)].some((other) => !(other in now) && pickable.some(({ id }) => id === other)))
    );
  });
}

// ---------------------------------------------------------------- choosing

/** @param {string} axis @param {string} value */
function choose(axis, value) {
  message = [];
  if (answers[axis] === value) delete answers[axis];
  else {
    const reason = contradictions().find(({ when }) => holds(when, { ...layout(), [axis]: value }) === true);
    if (reason) return refuse(axis, value, reason);
    answers[axis] = value;
  }
  changed("reader");
}

/** @param {string} axis @param {string} value @param {import("../store/handbook-data.js").Contradiction} reason */
function refuse(axis, value, { when, say }) {
  const others = [...axesOf(when)].filter((other) => other !== axis && other in answers);
  const names = others.map((other) => `${label(other)}: ${label(other, answers[other])}`).join(", ");
  message = [`Not ${label(axis, value)}${names ? ` with ${names}` : ""}. ${say} `];
  if (others.length) {
    message.push(
      button(
        "layout-picker__instead",
        `Choose ${label(axis, value)}, and ask ${others.map((other) => label(other)).join(", ")} again`,
        () => {
          for (const other of others) delete answers[other];
          choose(axis, value);
        },
      ),
    );
  }
  draw();
}

/** @param {string} id of a sheet, or empty for none */
function chooseSheet(id) {
  message = [];
  const chosen = vehicles().find((each) => each.id === id);
  if (chosen) {
    const taken = layoutOf(chosen, fixed.axle ?? answers.axle);
    const reason = contradictions().find(({ when }) => holds(when, { ...taken, ...fixed }) === true);
    if (reason) {
      message = [`The sheet of ${chosen.name} was not taken: ${reason.say} Correct its layout.`];
      return draw();
    }
    answers = { ...(answers.axle ? { axle: answers.axle } : {}), ...taken };
  }
  vehicle = chosen ? id : "";
  changed("reader");
}

/** Bring everything in line with the choice, and announce it. @param {Choice["by"]} by */
function changed(by) {
  const at = readHash(location.hash).at;
  const hash = writeHash({ layout: pickedLayout(), vehicle, at });
  if (hash !== location.hash) history.replaceState(history.state, "", hash || location.pathname + location.search);
  useValues();
  draw();
  document.dispatchEvent(new CustomEvent("handbook:layout", { detail: /** @type {Choice} */ ({ ...choice(), by }) }));
}

/** The layout without what the page settles by itself. */
function pickedLayout() {
  return Object.fromEntries(Object.entries(layout()).filter(([axis]) => !(axis in fixed)));
}

function useValues() {
  const chosen = vehicles().find(({ id }) => id === vehicle);
  const own = chosenValues();
  const places = ["front", "rear", "vehicle", ""];
  useSheet(Object.fromEntries(places.map((place) => [place, { ...own[place], ...kept[place] }])), axle(), chosen?.name ?? "");
}

// ---------------------------------------------------------------- address

/** Take layout, vehicle and anchor from the address. @param {Choice["by"]} by */
function follow(by) {
  const { layout: given, vehicle: named, at } = readHash(location.hash);
  if (given) {
    message = [];
    const known = knownLayout(given);
    const unknown = Object.keys(given).filter((axis) => known[axis] !== given[axis]);
    const chosen = vehicles().find(({ id }) => id === named);
    answers = known;
    vehicle = chosen ? named : "";
    if (unknown.length)
      message = [`The address names ${unknown.map((axis) => `${axis}: ${given[axis]}`).join(", ")}, which this handbook does not know.`];
    if (named && !chosen) message = [`The address names the vehicle sheet ${named}, which is not in this handbook.`];
    const reason = contradictions().find(({ when }) => holds(when, layout()) === true);
    if (reason) {
      message = [`The layout in the address does not exist. ${reason.say}`];
      answers = {};
    }
  }
  changed(by);
  const target = at ? document.getElementById(at) : null;
  if (!target) return;
  reveal(target);
  bringIntoView(target, "start");
}

/** A link to another page of the handbook takes the layout along. @param {MouseEvent} event */
function carryLayout(event) {
  const link = event.target instanceof Element ? event.target.closest("a") : null;
  if (!link?.href || link.origin !== location.origin || link.protocol !== location.protocol) return;
  if (link.pathname === location.pathname || !/(\.html|\/)$/.test(link.pathname)) return;
  const { layout: own, at } = readHash(link.hash);
  if (!own) link.hash = writeHash({ layout: pickedLayout(), vehicle, at });
}

// ---------------------------------------------------------------- drawing

function draw() {
  const article = procedure();
  if (!article) return;
  // A layout that the procedure does not cover gets none of its steps: they would be guesses there.
  article.toggleAttribute("data-refused", isRefused(article));
  const shown = applyLayout(article, wholeLayout(), showAll);
  const picker = /** @type {HTMLElement | null} */ (article.querySelector(".layout-picker"));
  if (picker) drawPicker(picker, article, shown);
}

/** @param {HTMLElement} picker @param {HTMLElement} article @param {import("./applies.js").Shown} shown */
function drawPicker(picker, article, shown) {
  const questions = asked();
  const sheets = vehicles();
  if (!picker.firstElementChild)
    layOut(
      picker,
      questions.some(({ id }) => !(id in answers)),
    );
  const focused = focusKey(picker);
  const [, chooser, , details, line, count] = /** @type {HTMLElement[]} */ ([...picker.children]);
  const [summary] = details.children;
  chooser.replaceChildren(...(sheets.length ? [sheetChooser(sheets, vehicle, chooseSheet)] : []));
  summary.textContent = summaryLine(layout(), questions);
  details.replaceChildren(summary, ...questions.map((axis) => axisGroup(axis, answers[axis.id], (value) => choose(axis.id, value))));
  line.replaceChildren(...coverLine(article), ...message);
  const listed = count.querySelector("details")?.open ?? false;
  count.replaceChildren(
    ...hiddenCount(shown, showAll, listed, () => {
      showAll = !showAll;
      draw();
    }),
  );
  picker.hidden = !questions.length && !sheets.length && !shown.hidden.length;
  if (focused) /** @type {HTMLElement | null} */ (picker.querySelector(focused))?.focus();
}

/** The picker's places, made once, so that its message is announced when it changes. @param {HTMLElement} picker @param {boolean} open */
function layOut(picker, open) {
  const details = element("details", "layout-picker__questions", element("summary"));
  details.open = open;
  const line = element("p", "layout-picker__message");
  line.setAttribute("role", "status");
  picker.append(
    element("h2", "layout-picker__title", "Layout in the bay"),
    element("div"),
    element("div", "sheet-file"),
    details,
    line,
    element("div", "other-steps"),
  );
}

/** @param {HTMLElement} article */
function isRefused(article) {
  return holds(article.dataset.covers ? JSON.parse(article.dataset.covers) : null, wholeLayout()) === false;
}

/** @param {HTMLElement} article @returns {string[]} */
function coverLine(article) {
  return isRefused(article)
    ? ["Stop. This procedure does not cover the layout chosen here, so its steps are not shown. Use the maker’s manual for this vehicle. "]
    : [];
}

/** How to find again what had the focus, since the picker is drawn anew. @param {HTMLElement} picker */
function focusKey(picker) {
  const focused = document.activeElement;
  if (!(focused instanceof HTMLElement) || !picker.contains(focused)) return "";
  const key = ["#vehicle-sheet", ".other-steps__toggle", ".other-steps summary"].find(
    (selector) => focused === picker.querySelector(selector),
  );
  const group = /** @type {HTMLElement | null} */ (focused.closest("[data-axis]"));
  if (key || !group) return key ?? ".layout-picker__questions > summary";
  return `[data-axis="${CSS.escape(group.dataset.axis ?? "")}"] [data-value="${CSS.escape(focused.dataset.value ?? "")}"]`;
}
