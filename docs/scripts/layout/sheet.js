// @ts-check
/**
 * The values of the vehicle in the bay, each with its source: from its sheet, or typed in and kept with the job.
 * A field that names a value (`data-from`) is filled from here; what the sheet lacks is asked for there, never guessed.
 */

import { sheetFaults } from "../core/sheet-bands.js";
import { element } from "../lib/elements.js";
import { sheetField } from "../store/handbook-data.js";

/** @typedef {import("../core/entries.js").Sourced} Sourced */
/** @typedef {Record<string, Sourced>} Values by path */
/** @typedef {HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement} Control */

/** By axle, since the ends of a vehicle differ; "" holds what belongs to no axle. @type {Record<string, Values>} */
let sheets = {};
/** What is odd about them, by axle as they are. @type {Record<string, Map<string, import("../core/sheet-bands.js").Fault>>} */
let faults = {};
let axle = "";
let name = "";
/** @type {(path: string, value: Sourced) => Promise<string>} keeps a value with the job; answers with what is wrong, or "" */
let keeper = async () => "Start a job first: the value is kept in it.";

/** @param {Record<string, Values>} values by front, rear, vehicle or "" @param {string} ofAxle @param {string} sheetName */
export function useSheet(values, ofAxle, sheetName) {
  sheets = values;
  faults = Object.fromEntries(Object.entries(values).map(([place, of]) => [place, sheetFaults(of, sheetField)]));
  axle = ofAxle;
  name = sheetName;
  fillFields(document);
}

/** @param {typeof keeper} keep */
export function onKeepValue(keep) {
  keeper = keep;
}

/** The value of the sheet, where it may be used: a figure that cannot be is none. @param {string} path @returns {Sourced | null} */
export function sheetValue(path) {
  return oddness(path)?.kind === "cannot" ? null : written(path);
}

/** @param {string} path @returns {Sourced | null} */
function written(path) {
  return sheets[placeOf(path)]?.[path] ?? null;
}

/** Where the value of a path stands: at the axle or the vehicle, else at neither. @param {string} path */
function placeOf(path) {
  const place = path.startsWith("end.") ? axle : "vehicle";
  return sheets[place]?.[path] ? place : "";
}

/** What is odd about the sheet's value. @param {string} path */
function oddness(path) {
  return faults[placeOf(path)]?.get(path);
}

/** What the reader is told of a value that the sheet has and that is not used, or is unusual; "" where it is in order. @param {string} path */
export function warning(path) {
  const [value, odd] = [written(path), oddness(path)];
  if (!value || !odd) return "";
  return odd.kind === "cannot"
    ? `The sheet says ${typedText(value)} (${value.source}): ${odd.say}. Read it again at its source, and type it here.`
    : `Check it at its source: ${odd.say}.`;
}

/** A value as a reader would type it. @param {Sourced} value */
export function typedText({ value, unit }) {
  return unit ? `${value} ${unit}` : value;
}

/** The value that an entry was judged by: the sheet's where it was used as it stands. @param {string} path @param {string} text */
export function asUsed(path, text) {
  const value = sheetValue(path);
  return value && typedText(value) === text ? value : { value: text, unit: null, source: "typed in at the step, source not said" };
}

/** Fill every field that names a sheet value, or ask for it. @param {ParentNode} within */
export function fillFields(within) {
  for (const box of /** @type {NodeListOf<HTMLElement>} */ (within.querySelectorAll(".field[data-from]"))) fill(box);
}

/** @param {HTMLElement} box */
function fill(box) {
  const control = controlOf(box);
  if (!control) return;
  const path = box.dataset.from ?? "";
  const value = sheetValue(path);
  const lacksUnit = value !== null && value.unit === null && (sheetField(path)?.units.length ?? 0) > 0 && /^[\d.,/ ]+$/.test(value.value);
  fillIn(control, value && !lacksUnit ? typedText(value) : "");
  say(box, value, lacksUnit);
}

/** Fill a field, only over what was filled in before: what was typed stays. @param {Control} control @param {string} text */
export function fillIn(control, text) {
  const untouched = control.value === "" || control.value === (control.dataset.sheet ?? "");
  control.dataset.sheet = text; // no draft is kept of what was filled in
  if (!untouched || control.value === text) return;
  control.value = text;
  control.dispatchEvent(new Event("input", { bubbles: true }));
}

/** @param {HTMLElement} box @param {Sourced | null} value @param {boolean} lacksUnit */
function say(box, value, lacksUnit) {
  const control = controlOf(box);
  const line = sourceLine(box);
  const question = sheetField(box.dataset.from ?? "")?.question ?? "";
  const odd = warning(box.dataset.from ?? "");
  if (!value && odd) line.textContent = odd;
  else if (value && lacksUnit) line.textContent = `The sheet says ${value.value} without a unit (${value.source}). Type it with its unit.`;
  else if (!value) line.textContent = `Not on the vehicle’s sheet. ${question}`;
  else if (control && control.value === control.dataset.sheet)
    line.textContent = `From the sheet${name ? ` of ${name}` : ""}: ${value.source}${odd ? `. ${odd}` : ""}`;
  else line.textContent = `The sheet says ${typedText(value)}: ${value.source}`;
  line.hidden = false;
}

/** @param {HTMLElement} box @returns {Control | null} */
export function controlOf(box) {
  return box.querySelector("input:not([type=checkbox], [type=radio]), select, textarea");
}

/** @param {HTMLElement} box @returns {HTMLElement} */
function sourceLine(box) {
  const found = /** @type {HTMLElement | null} */ (box.querySelector(":scope > .field__source"));
  if (found) return found;
  const made = element("p", "field__source");
  (box.querySelector(":scope > .field__echo") ?? box.lastElementChild)?.before(made);
  if (!made.isConnected) box.append(made);
  return made;
}

// ---------------------------------------------------------------- a value typed in, kept with the job

/** Offer to keep what is typed into a field that names a sheet value. */
export function startKeeping() {
  document.addEventListener("input", ({ target }) => {
    const box = target instanceof Element ? /** @type {HTMLElement | null} */ (target.closest(".field[data-from]")) : null;
    const control = box && controlOf(box);
    if (!box || !control || target !== control) return;
    say(box, sheetValue(box.dataset.from ?? ""), false);
    const differs = control.value.trim() !== "" && control.value !== control.dataset.sheet;
    const form = /** @type {HTMLElement | null} */ (box.querySelector(".keep"));
    if (!differs) close(form);
    else if (!form) box.append(keepForm(box, control));
  });
}

/** @param {HTMLElement} box @param {Control} control */
function keepForm(box, control) {
  const form = element("div", "keep");
  const id = `${control.id}-from`;
  const caption = element("label", "keep__label", "Keep it on this job’s sheet. Where is it from?");
  caption.htmlFor = id;
  const from = element("input", "keep__from");
  // Its name is under what it is kept until it is taken: that of the value.
  Object.assign(from, { id, type: "text", autocomplete: "off", name: `from ${box.dataset.from}` });
  const line = element("p", "keep__line");
  line.setAttribute("role", "status");
  const keep = button("keep__keep", "Keep", async () => {
    const text = from.value.trim();
    if (!text) {
      line.textContent = "Say where it is from, for example: stamped on the rotor.";
      return from.focus();
    }
    const path = box.dataset.from ?? "";
    const value = { ...takenApart(control.value, box), source: text };
    const odd = sheetFaults({ ...sheets[path.startsWith("end.") ? axle : "vehicle"], [path]: value }, sheetField).get(path);
    if (odd) {
      line.textContent =
        odd.kind === "cannot"
          ? `Not kept: ${odd.say}. Read figure and unit again.`
          : `Not kept yet: ${odd.say}. If it is right, add why after the source, for example: ${text}; sure: heavy truck, read twice.`;
      return from.focus();
    }
    const before = control.dataset.sheet ?? "";
    control.dataset.sheet = control.value; // what was typed is the sheet's from now on
    const problem = await keeper(path, value);
    if (problem) {
      control.dataset.sheet = before;
      line.textContent = problem;
    } else {
      close(form);
      control.focus();
    }
  });
  const quick = ["stamped on the part", "maker’s manual, page "].map((text) =>
    button("keep__quick", text.trim(), () => {
      from.value = text;
      from.dispatchEvent(new Event("input", { bubbles: true }));
      from.focus();
    }),
  );
  const row = element("div", "keep__row", ...quick, keep);
  form.append(caption, from, row, line);
  return form;
}

/** Take the form away, and with it what was kept of its text. @param {HTMLElement | null} form */
function close(form) {
  const from = /** @type {HTMLInputElement | null} */ (form?.querySelector(".keep__from"));
  if (!form || !from) return;
  if (from.value) {
    from.value = "";
    from.dispatchEvent(new Event("input", { bubbles: true }));
  }
  form.remove();
}

/** @param {string} kind @param {string} text @param {() => void} act */
function button(kind, text, act) {
  const made = element("button", kind, text);
  made.type = "button";
  made.addEventListener("click", act);
  return made;
}

/**
 * Number and unit of an entry. A bare number carries the unit that stands beside the field, so that it stays what it
 * was when the units are switched.
 * @param {string} entry @param {HTMLElement} box
 * @returns {{value: string, unit: string | null}}
 */
function takenApart(entry, box) {
  const text = entry.trim();
  const parts = /^([-−]?[\d.,/ ½¼¾⅛⅜⅝⅞]*[\d½¼¾⅛⅜⅝⅞])\s*(\D.*)?$/u.exec(text);
  if (!parts) return { value: text, unit: null };
  return { value: parts[1], unit: parts[2]?.trim() || box.querySelector(".field__unit")?.textContent?.trim() || null };
}
