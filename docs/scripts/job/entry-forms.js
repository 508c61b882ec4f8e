// @ts-check
/** The forms inside steps: a calculator's result, torque, findings, a choice, a few words; one button a place records. */

import { asUsed } from "../layout/sheet.js";
import { labeled } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { recordedAgainst } from "../state/against.js";
import { says } from "../state/entry-text.js";
import { PLACE_NAMES, stepAt } from "../state/steps.js";
import { record } from "./journal.js";
import { empty, inputs, recordRow } from "./record-row.js";
import { markOutcomes } from "./signing.js";
import { wireTorque } from "./torque.js";

/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("../state/steps.js").Step} Step */
/** @typedef {import("./signing.js").Signing} Signing */
/** @typedef {import("./record-row.js").Given} Given */
/** @typedef {import("./record-row.js").Context} Context */

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

// ---------------------------------------------------------------- calculator

/** @param {Context} context @param {HTMLFormElement} form */
function wireCalculator(context, form) {
  const { step } = context;
  /** @type {any} */
  let latest = null;
  const row = recordRow(
    context,
    (place) => `Record for ${place}`,
    () => (latest ? resultEntry(form, latest) : "There is no result yet."),
    () => {
      // The next side is read anew; only what the sheet says stays.
      for (const control of inputs(form, ".field:not([data-from]) input")) if (control.value) empty(control);
    },
  );
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
  const { inputs: read, values, notes, verdict, decided } = result;
  const typed = Object.fromEntries(Object.entries(given).filter(([, text]) => text !== ""));
  return {
    kind: "result",
    typed: {
      calculator,
      system,
      given: typed,
      ...(form.dataset.apart !== undefined && { apart: true }),
      ...(form.dataset.of && { of: form.dataset.of }),
    },
    understood: {
      inputs: read ?? {},
      values: values ?? {},
      notes: notes ?? [],
      shown: reading(form, result),
      ...(decided?.length && { decided }),
    },
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
  return Object.fromEntries(
    boxes.flatMap((box) => {
      const name = box.dataset.input ?? "";
      const path = box.dataset.from ?? "";
      const text = typed[name];
      return text === undefined ? [] : [[name, { path, ...asUsed(path, text) }]];
    }),
  );
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
  const row = recordRow(
    context,
    (place) => `Record for ${place}`,
    () => findingEntry(box, checked()),
    () => {
      for (const input of checked()) {
        input.checked = false;
        input.dispatchEvent(new Event("input", { bubbles: true }));
      }
    },
  );
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
    id: input.value,
    action: input.dataset.action ?? "",
    says: textOf(input, ".finding__says"),
    follows: textOf(input, ".finding__action"),
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
  const { step, signing } = context;
  const chosen = () => inputs(box, "input[type=radio]:checked")[0];
  const against = reasonAgainst(`${step.box.id}-against`);
  const row = recordRow(
    context,
    (place) => `Record for ${place}`,
    (place) => {
      const input = chosen();
      if (!input) return "Mark what is found first.";
      const text = input.closest("label")?.textContent?.trim() ?? input.value;
      const { progress, steps } = signing();
      const entries = recordedAgainst(progress, steps, step, input.value, place);
      const note = against.reason(entries, steps);
      if (entries.length && !note) return "This answer allows less than what was recorded: write the reason, then record it again.";
      return {
        kind: "result",
        typed: { choice: input.value, ...(entries.length && { against: entries.map(({ id }) => id).slice(0, 100) }) },
        understood: { shown: text },
        verdict: { code: input.value, text },
        ...(entries.length && { note }),
      };
    },
    () => {
      const input = chosen();
      input.checked = false;
      input.dispatchEvent(new Event("input", { bubbles: true }));
      against.close();
    },
  );
  box.addEventListener("input", () => against.close());
  box.after(row, against.box);
}

/** What an answer is recorded against, and the reason for it; it opens when it is needed. @param {string} id */
function reasonAgainst(id) {
  const control = element("textarea");
  Object.assign(control, { id, name: "against", rows: 2 });
  const list = element("ul");
  const box = element(
    "div",
    "against",
    element("p", "", element("b", "", "Recorded, and asking for more:")),
    list,
    labeled("Reason for this answer", control),
  );
  box.hidden = true;
  return {
    box,
    /** @param {import("../core/entries.js").Entry[]} entries @param {Step[]} steps */
    reason(entries, steps) {
      box.hidden = !entries.length;
      list.replaceChildren(
        ...entries.map((entry) => {
          const step = stepAt(steps, entry.step);
          const link = element("a", "", `${step?.number ?? entry.step} ${entry.place ? PLACE_NAMES[entry.place] : ""}`);
          if (step) link.href = `#${step.box.id}`;
          return element("li", "", link, `: ${says(entry)}`);
        }),
      );
      return control.value.trim();
    },
    close() {
      box.hidden = true;
      if (control.value) empty(control);
    },
  };
}

/** @param {Context} context @param {HTMLElement} box */
function wireText(context, box) {
  const control = /** @type {HTMLTextAreaElement | null} */ (box.querySelector("textarea, input"));
  if (!control) return;
  control.name ||= "text";
  box.after(
    recordRow(
      context,
      (place) => `Record for ${place}`,
      () => {
        const text = control.value.trim();
        return text ? { kind: "text", typed: { text } } : "Write it down first, for example: outer pad worn at its leading end.";
      },
      () => empty(control),
    ),
  );
}

const VERDICTS = ["beyond", "too-close", "cannot-tell", "adjust", "within"];

/** An outcome that no calculator finds can be reported by hand. @param {Context} context @param {HTMLElement} line */
function wireOutcome(context, line) {
  const code = line.dataset.outcome ?? "";
  const { step } = context;
  const found = step.box.querySelector("form.calculator, .decision")
    ? VERDICTS
    : inputs(step.box, ".choice input").map(({ value }) => value);
  if (found.includes(code)) return;
  const text = (line.querySelector("b")?.textContent ?? code).replace(/:$/, "");
  line.append(
    recordRow(
      context,
      (place) => `${place}: this is so`,
      () => ({
        kind: "finding",
        typed: { outcome: code },
        understood: { shown: text },
        verdict: { code, text },
      }),
      () => {},
    ),
  );
}

/** A value that a reader has typed, kept as a value of the job's sheet. @param {string} path @param {import("../core/entries.js").Sourced} value @param {string} axle */
export function keepValue(path, value, axle) {
  const place = path.startsWith("end.") ? (axle === "front" || axle === "rear" ? axle : null) : "vehicle";
  return record({ kind: "vehicle", place, typed: { sheet: "", values: { [path]: value } } });
}
