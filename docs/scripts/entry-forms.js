// @ts-check
/** The forms inside steps: a calculator's result, torque, findings, a choice, a few words; one button a place records. */
import { element } from "./answer.js";
import { record, recordAt } from "./journal.js";
import { button } from "./picker.js";
import { fillFields, sheetValue, typedText } from "./sheet.js";
import { markOutcomes } from "./signing.js";
import { PLACE_NAMES, placesOf } from "./steps.js";

/** @typedef {import("./entries.js").Entry} Entry */
/** @typedef {import("./entries.js").Place} Place */
/** @typedef {import("./steps.js").Step} Step */
/** @typedef {import("./signing.js").Signing} Signing */
/** @typedef {Partial<Entry> & {kind: string}} Given */
/** @typedef {{step: Step, signing: () => Signing}} Context */

/** Wire the forms of a step. @param {Step} step @param {() => Signing} signing */
export function wireForms(step, signing) {
  const context = { step, signing };
  for (const form of step.box.querySelectorAll("form.calculator")) wireCalculator(context, /** @type {HTMLFormElement} */ (form));
  for (const box of step.box.querySelectorAll(".torque")) wireTorque(context, /** @type {HTMLElement} */ (box));
  for (const box of step.box.querySelectorAll(".findings")) wireFindings(context, /** @type {HTMLElement} */ (box));
  for (const box of step.box.querySelectorAll('[data-entry="choice"]')) wireChoice(context, /** @type {HTMLElement} */ (box));
  for (const box of step.box.querySelectorAll('[data-entry="text"]')) wireText(context, /** @type {HTMLElement} */ (box));
  for (const line of step.box.querySelectorAll("li[data-outcome]")) wireOutcome(context, /** @type {HTMLElement} */ (line));
}

/**
 * A row of buttons, one a place.
 * @param {Context} context
 * @param {(place: string) => string} caption
 * @param {() => Given | string} make the entry, or what is missing in one line
 * @param {() => void} kept
 */
export function recordRow({ step, signing }, caption, make, kept) {
  const line = element("p", "step__problem");
  line.setAttribute("role", "status");
  const row = element("div", "record__row");
  let busy = false;
  /** @param {Place} place */
  const keep = async (place) => {
    if (busy) return;
    if (!signing().job) return signing().needJob();
    const given = make();
    if (typeof given === "string") return void (line.textContent = given);
    busy = true;
    line.textContent = await recordAt(step, place, given);
    busy = false;
    if (line.textContent) return;
    kept();
    signing().signed(step);
  };
  let drawn = "";
  const draw = () => {
    const { progress, steps } = signing();
    const places = placesOf(step, progress.axle);
    const waits = places.map((place) => progress.waitsFor(step, place, steps).length > 0);
    if (drawn === `${places} ${waits}`) return;
    drawn = `${places} ${waits}`;
    row.replaceChildren(...places.map((place, index) => {
      const made = button("sign", caption(PLACE_NAMES[place]), () => keep(place));
      made.dataset.place = place;
      made.ariaLabel = `${made.textContent}, step ${step.number}`;
      made.disabled = waits[index];
      return made;
    }));
  };
  draw();
  document.addEventListener("handbook:drawn", draw);
  return element("div", "record", row, line);
}

/** @param {Element} box @param {string} selector @returns {HTMLInputElement[]} */
function inputs(box, selector) {
  return Array.from(box.querySelectorAll(selector));
}

/** @param {HTMLInputElement | HTMLTextAreaElement} control */
function empty(control) {
  control.value = "";
  control.dispatchEvent(new Event("input", { bubbles: true }));
}

// ---------------------------------------------------------------- calculator

/** @param {Context} context @param {HTMLFormElement} form */
function wireCalculator(context, form) {
  const { step } = context;
  /** @type {any} */
  let latest = null;
  const row = recordRow(context, (place) => `Record for ${place}`, () => latest ? resultEntry(form, latest) : "There is no result yet.", () => {
    // The next side is read anew; only what the sheet says stays.
    for (const control of inputs(form, ".field:not([data-from]) input")) if (control.value) empty(control);
  });
  row.hidden = true;
  form.after(row);
  form.addEventListener("calculator:result", (event) => {
    latest = /** @type {CustomEvent} */ (event).detail;
    row.hidden = false;
    const code = latest.result?.verdict?.code;
    if (code) markOutcomes(step, new Set([code]));
  });
  form.addEventListener("calculator:cleared", () => {
    latest = null;
    row.hidden = true;
    markOutcomes(step, new Set());
  });
}

/** @param {HTMLFormElement} form @param {{calculator: string, given: Record<string, string>, system: string, result: any}} detail @returns {Given} */
function resultEntry(form, { calculator, given, system, result }) {
  const { inputs: read, values, notes, verdict } = result;
  const typed = Object.fromEntries(Object.entries(given).filter(([, text]) => text !== ""));
  return {
    kind: "result",
    typed: { calculator, system, given: typed },
    understood: { inputs: read ?? {}, values: values ?? {}, notes: notes ?? [], shown: reading(form, result) },
    limits: limitsOf(form, typed),
    verdict: verdict ? { code: verdict.code, text: verdict.text } : null,
  };
}

/** The reading to show for a result: what was asked for, or what was made of a list of readings. @param {HTMLFormElement} form @param {any} result */
function reading(form, result) {
  const asked = /** @type {HTMLElement | null} */ (form.querySelector(".field[data-required]:not([data-from])"))?.dataset.input ?? "";
  const input = result.inputs?.[asked];
  if (input && !Array.isArray(input)) return String(input.text ?? "");
  const first = Object.values(result.values ?? {}).find((value) => value?.value !== null);
  return String(/** @type {any} */ (first)?.text ?? "");
}

/** What an entry was judged by: every value the sheet was asked for, as it was used. @param {HTMLElement} form @param {Record<string, string>} typed */
function limitsOf(form, typed) {
  const boxes = Array.from(/** @type {NodeListOf<HTMLElement>} */ (form.querySelectorAll(".field[data-from]")));
  return Object.fromEntries(boxes.flatMap((box) => {
    const name = box.dataset.input ?? "";
    const path = box.dataset.from ?? "";
    const text = typed[name];
    return text === undefined ? [] : [[name, { path, ...asUsed(path, text) }]];
  }));
}

/** @param {string} path @param {string} text */
function asUsed(path, text) {
  const value = sheetValue(path);
  return value && typedText(value) === text ? value : { value: text, unit: null, source: "typed in at the step, source not said" };
}

// ---------------------------------------------------------------- torque

/** @param {Context} context @param {HTMLElement} box */
function wireTorque(context, box) {
  const path = box.dataset.from ?? "";
  const prefix = `${context.step.box.id}-${box.dataset.fastener}-${box.dataset.stage}`;
  const target = torqueField(prefix, "target", "Target", path ? "With its unit." : "The maker’s figure, with its unit.", path);
  const actual = torqueField(prefix, "actual", "Torqued to", "What the wrench read or clicked at, with its unit.", "");
  const tool = torqueField(prefix, "tool", "Wrench", "Its name or number in this shop.", "");
  box.append(target, actual, tool, recordRow(context, (place) => `Record ${place}`, () => torqueEntry(box, path), () => empty(inputs(actual, "input")[0])));
  const value = box.querySelector(".torque__value");
  const source = box.querySelector(".torque__source");
  const asWritten = [value?.textContent ?? "", source?.textContent ?? ""];
  const show = () => {
    const known = path ? sheetValue(path) : null;
    if (value) value.textContent = known ? typedText(known).replace(" ", "\u00a0") : asWritten[0];
    value?.classList.toggle("torque__value--asked", !known);
    if (source) source.textContent = known ? known.source : asWritten[1];
    if (source instanceof HTMLElement) source.hidden = path !== "" && !known; // the field below asks for it
  };
  document.addEventListener("handbook:drawn", show);
  show();
  fillFields(box);
}

/** @param {string} prefix @param {string} name @param {string} text @param {string} help @param {string} path */
function torqueField(prefix, name, text, help, path) {
  const box = element("div", "field");
  const id = `${prefix}-${name}`;
  const caption = element("label", "", text);
  caption.htmlFor = id;
  const line = element("p", "field__help", help);
  line.id = `${id}-help`;
  const input = element("input");
  Object.assign(input, { id, name, type: "text", autocomplete: "off" });
  input.setAttribute("aria-describedby", line.id);
  box.append(caption, line, input);
  if (path) box.dataset.from = path;
  return box;
}

/** @param {HTMLElement} box @param {string} path @returns {Given | string} */
function torqueEntry(box, path) {
  const [target, actual, tool] = ["target", "actual", "tool"].map((name) => inputs(box, `input[name=${name}]`)[0].value.trim());
  for (const [name, text] of [["target", target], ["actual torque", actual]]) {
    if (!/\d/.test(text) || !/[a-zA-Z·]{2}/.test(text)) return `Enter the ${name} with its unit, for example: 110 N·m or 80 ft-lb.`;
  }
  if (!tool) return "Enter the wrench, for example: wrench 3.";
  return {
    kind: "torque",
    typed: { fastener: box.dataset.fastener ?? "", stage: box.dataset.stage ?? "", target, actual, tool },
    limits: { target: { path, ...asUsed(path, target) } },
  };
}

// ---------------------------------------------------------------- findings, choice, text

const GRAVITY = ["use again", "service", "measure again", "replace"];

/** @param {Context} context @param {HTMLElement} box */
function wireFindings(context, box) {
  const said = element("p", "findings__action");
  said.setAttribute("role", "status");
  const checked = () => inputs(box, "input[type=checkbox]:checked").filter((input) => !input.closest(".other-layout"));
  const show = () => {
    const worst = checked().sort((a, b) => gravity(b) - gravity(a))[0];
    said.textContent = worst ? textOf(worst, ".finding__action") : "";
  };
  box.addEventListener("input", show);
  const row = recordRow(context, (place) => `Record for ${place}`, () => findingEntry(box, checked()), () => {
    for (const input of checked()) {
      input.checked = false;
      input.dispatchEvent(new Event("input", { bubbles: true }));
    }
  });
  box.append(said);
  box.after(row);
}

/** @param {HTMLInputElement} input */
const gravity = (input) => GRAVITY.indexOf(input.dataset.action ?? "");

/** @param {HTMLInputElement} input @param {string} selector */
function textOf(input, selector) {
  return input.closest("label, li")?.querySelector(selector)?.textContent?.trim().replace(/\s+/g, " ") ?? "";
}

/** @param {HTMLElement} box @param {HTMLInputElement[]} checked @returns {Given | string} */
function findingEntry(box, checked) {
  if (!checked.length) return "Mark what is found first.";
  const findings = checked.map((input) => ({
    id: input.value, action: input.dataset.action ?? "", says: textOf(input, ".finding__says"), follows: textOf(input, ".finding__action"),
  }));
  const worst = [...findings].sort((a, b) => GRAVITY.indexOf(b.action) - GRAVITY.indexOf(a.action))[0];
  return {
    kind: "finding",
    typed: { part: box.dataset.findings ?? "", findings: findings.map(({ id }) => id) },
    understood: { findings, shown: `${findings.map(({ says }) => says).join("; ")}: ${worst.action}` },
  };
}

/** @param {Context} context @param {HTMLElement} box */
function wireChoice(context, box) {
  const chosen = () => inputs(box, "input[type=radio]:checked")[0];
  box.after(recordRow(context, (place) => `Record for ${place}`, () => {
    const input = chosen();
    if (!input) return "Mark what is found first.";
    const text = input.closest("label")?.textContent?.trim() ?? input.value;
    return { kind: "result", typed: { choice: input.value }, understood: { shown: text }, verdict: { code: input.value, text } };
  }, () => {
    const input = chosen();
    input.checked = false;
    input.dispatchEvent(new Event("input", { bubbles: true }));
  }));
}

/** @param {Context} context @param {HTMLElement} box */
function wireText(context, box) {
  const control = /** @type {HTMLTextAreaElement | null} */ (box.querySelector("textarea, input"));
  if (!control) return;
  control.name ||= "text";
  box.after(recordRow(context, (place) => `Record for ${place}`, () => {
    const text = control.value.trim();
    return text ? { kind: "text", typed: { text } } : "Write it down first, for example: outer pad worn at its leading end.";
  }, () => empty(control)));
}

const VERDICTS = ["beyond", "too-close", "cannot-tell", "adjust", "within"];

/** An outcome that no calculator finds can be reported by hand. @param {Context} context @param {HTMLElement} line */
function wireOutcome(context, line) {
  const code = line.dataset.outcome ?? "";
  const { step } = context;
  const found = step.box.querySelector("form.calculator") ? VERDICTS : inputs(step.box, ".choice input").map(({ value }) => value);
  if (found.includes(code)) return;
  const text = (line.querySelector("b")?.textContent ?? code).replace(/:$/, "");
  line.append(recordRow(context, (place) => `${place}: this is so`, () => ({
    kind: "finding", typed: { outcome: code }, understood: { shown: text }, verdict: { code, text },
  }), () => {}));
}

/** A value that a reader has typed, kept as a value of the job's sheet. @param {string} path @param {import("./entries.js").Sourced} value @param {string} axle */
export function keepValue(path, value, axle) {
  const place = path.startsWith("end.") ? (axle === "front" || axle === "rear" ? axle : null) : "vehicle";
  return record({ kind: "vehicle", place, typed: { sheet: "", values: { [path]: value } } });
}
