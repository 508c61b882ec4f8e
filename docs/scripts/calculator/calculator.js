// @ts-check
/**
 * Forms ↔ runtime. A result stands only as long as nothing it came from has changed: any input clears it at once,
 * and a new one is worked out after a short rest. Focus never moves to a result; live regions announce it.
 */
import { element, inWords } from "../lib/elements.js";
import { evaluate, forget, onState, retry, start } from "../python/runtime.js";
import { answer, echo } from "./answer.js";

/** @typedef {import("../python/runtime.js").State} State */
/** @typedef {import("../python/runtime.js").Problem} Problem */
/** @typedef {import("../python/runtime.js").Candidate} Candidate */
/** @typedef {import("./answer.js").Result} Result */
/** @typedef {HTMLInputElement | HTMLSelectElement} Control */

const REST = 300; // ms after the last input
const STILL_TYPING = 700; // ms more before a problem shows in the field being typed in
const NOTICEABLE = 500; // ms after which a calculation is said to be under way
const STILL_SERVES = "The formula and the worked example below still serve.";

/** @type {State} */
let runtime = { phase: "idle" };

/** Wire every calculator form of the page; load Python when the page is idle or a form is first touched. */
export function startCalculators() {
  const forms = /** @type {NodeListOf<HTMLFormElement>} */ (document.querySelectorAll("form.calculator"));
  if (!forms.length) return;
  const calculators = Array.from(forms, (form) => new Calculator(form));
  onState((state) => {
    runtime = state;
    for (const calculator of calculators) calculator.showState();
  });
  document.addEventListener("handbook:system", () => {
    for (const calculator of calculators) calculator.changeSystem();
  });
  const whenIdle = self.requestIdleCallback ?? ((/** @type {() => void} */ run) => setTimeout(run, 1));
  const load = () => whenIdle(start, { timeout: 2000 });
  if (document.readyState === "complete") load();
  else addEventListener("load", load, { once: true });
}

const system = () => document.documentElement.dataset.system ?? "metric";

class Calculator {
  /** @param {HTMLFormElement} form */
  constructor(form) {
    this.form = form;
    this.name = form.dataset.calculator ?? "";
    this.labels = valueLabels(form);
    this.stateLine = part(form, "calculator__state");
    this.answerBox = part(form, "calculator__answer");
    this.shown = false;
    /** What the form itself waits for or found wrong. @type {{text: string, unseen?: string}} */
    this.message = { text: "" };
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
    form.addEventListener("focusin", start);
    form.addEventListener("input", () => {
      this.showUnits();
      this.changed(REST);
    });
    form.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" || !(event.target instanceof HTMLInputElement)) return;
      event.preventDefault();
      this.changed(0);
    });
    form.addEventListener("submit", (event) => event.preventDefault());
    this.stateLine.addEventListener("click", (event) => {
      if (!(event.target instanceof HTMLButtonElement)) return;
      // The button goes when the start begins again; the line keeps the reader's place.
      this.stateLine.tabIndex = -1;
      this.stateLine.focus();
      retry();
    });
    this.showUnits();
    // Values a browser restored, or the page came with.
    if (this.fields().some((field) => field.control.value !== "")) this.changed(0);
    else this.waitForEntries();
  }

  /** @returns {{name: string, label: string, box: HTMLElement, control: Control, required: boolean}[]} */
  fields() {
    return Array.from(/** @type {NodeListOf<HTMLElement>} */ (this.form.querySelectorAll(".field[data-input]")), (box) => {
      const name = box.dataset.input ?? "";
      const control = /** @type {Control} */ (box.querySelector("input, select"));
      const label = /** @type {Text | undefined} */ (box.querySelector("label")?.firstChild)?.textContent?.trim();
      return { name, label: label || inWords(name), box, control, required: "required" in box.dataset };
    });
  }

  /** Something the result came from changed. @param {number} rest ms until it is worked out anew */
  changed(rest) {
    clearTimeout(this.timer);
    // An answer still under way belongs to the old entries.
    forget(this);
    this.clear();
    if (this.waitForEntries()) return this.release();
    this.timer = setTimeout(() => this.work(rest === 0), rest);
  }

  changeSystem() {
    this.showUnits();
    this.changed(0);
  }

  showUnits() {
    // A calculator that reads several quantities has other units for each; the page of a step says which it is there.
    const chosen = JSON.parse(this.form.dataset.quantities ?? "{}")[this.control("quantity")?.value ?? ""] ?? {};
    for (const { name, box } of this.fields()) {
      const unit = /** @type {HTMLElement | null} */ (box.querySelector(".field__unit"));
      if (unit) unit.textContent = chosen[name]?.[system()] ?? unit.dataset[system()] ?? unit.textContent;
    }
  }

  /** Say which required entries are missing. @returns {boolean} whether any is */
  waitForEntries() {
    const missing = this.fields().filter((field) => field.required && field.control.value.trim() === "");
    this.say(missing.length ? `Enter: ${missing.map((field) => field.label).join("; ")}.` : "");
    return missing.length > 0;
  }

  /** @param {boolean} entered whether the reader asked, by Enter, rather than paused */
  async work(entered) {
    const given = Object.fromEntries(this.fields().map((field) => [field.name, field.control.value]));
    const request = { calculator: this.name, given, system: system() };
    const slow = setTimeout(() => this.say("Working it out."), NOTICEABLE);
    const response = await evaluate(request, this);
    clearTimeout(slow);
    if (!response) return; // Something changed meanwhile.
    if (response.result) {
      this.show(request, response.result);
    } else {
      const problem = response.problem ?? { input: null, message: "The calculator gave no answer." };
      const typing = !entered && this.control(problem.input) === document.activeElement;
      this.timer = setTimeout(() => this.showProblem(problem), typing ? STILL_TYPING : 0);
    }
  }

  /** @param {string | null} name */
  control(name) {
    return this.fields().find((field) => field.name === name)?.control;
  }

  /** @param {import("../python/runtime.js").Request} request @param {Result} result */
  show(request, result) {
    for (const { name, box } of this.fields()) part(box, "field__echo").textContent = echo(result.inputs?.[name]);
    this.answerBox.replaceChildren(...answer(result, this.labels));
    this.release();
    this.shown = true;
    this.say("");
    this.form.dispatchEvent(new CustomEvent("calculator:result", { bubbles: true, detail: { ...request, result } }));
  }

  /** @param {Problem} problem */
  showProblem(problem) {
    this.release();
    const field = this.fields().find(({ name }) => name === problem.input);
    if (!field) return this.say(problem.message);
    const { box, control, label } = field;
    const line = problemLine(box, control);
    line.append(problem.message, ...this.candidates(control, problem.candidates ?? []));
    control.setAttribute("aria-invalid", "true");
    box.closest("details")?.setAttribute("open", "");
    this.say(`Look at: ${label}.`, problem.message);
  }

  /** @param {Control} control @param {Candidate[]} candidates */
  candidates(control, candidates) {
    return candidates.map(({ entry, text }) => {
      const button = element("button", "field__candidate", text);
      button.type = "button";
      button.addEventListener("click", () => {
        control.value = entry;
        // The button goes with the problem, so the focus goes back to the field it answered for.
        control.focus();
        control.dispatchEvent(new Event("input", { bubbles: true }));
        this.changed(0);
      });
      return button;
    });
  }

  /** Take the result, the echoes and the problem away, at once. */
  clear() {
    // Keep its room until the next answer, so that the page does not jump at every key.
    if (this.shown) this.answerBox.style.minHeight = `${this.answerBox.offsetHeight}px`;
    this.answerBox.replaceChildren();
    for (const { box, control } of this.fields()) {
      part(box, "field__echo").textContent = "";
      box.querySelector(".field__problem")?.replaceChildren();
      control.removeAttribute("aria-invalid");
    }
    if (this.shown) {
      this.shown = false;
      this.form.dispatchEvent(new CustomEvent("calculator:cleared", { bubbles: true }));
    }
  }

  release() {
    this.answerBox.style.minHeight = "";
  }

  /** @param {string} text @param {string} [unseen] more for screen readers, which do not see the field's own line */
  say(text, unseen) {
    this.message = { text, unseen };
    this.showState();
  }

  /** The state line: what Python does, else what the form waits for. */
  showState() {
    const line = this.stateLine;
    // Only the form in use speaks; a page may hold a dozen.
    const inUse = this.form.contains(document.activeElement) || this.fields().some(({ control }) => control.value !== "");
    line.setAttribute("aria-live", inUse ? "polite" : "off");
    line.replaceChildren(...stateNodes(runtime, this.message));
  }
}

/** @param {State} state @param {{text: string, unseen?: string}} message @returns {(string | Node)[]} */
function stateNodes({ phase, reason, share = 0, megabytes = 0 }, { text, unseen }) {
  if (phase === "unsupported") {
    return [`This browser cannot calculate: it has no ${reason}. Open this page in a current Chromium or Firefox. ${STILL_SERVES}`];
  }
  if (phase === "failed") {
    const button = element("button", "", "Try again");
    button.type = "button";
    return [`The calculator did not start. ${reason} ${STILL_SERVES} `, button];
  }
  if (phase === "loading") {
    const amount = element("span", "", ` ${(share * megabytes).toFixed(1)} of ${megabytes.toFixed(1)} MB`);
    amount.ariaHidden = "true";
    return ["Loading the calculator.", amount];
  }
  if (phase === "starting") return ["Starting the calculator."];
  return unseen ? [text, element("span", "unseen", ` ${unseen}`)] : [text];
}

/** @param {Element} parent @param {string} kind @returns {HTMLElement} */
function part(parent, kind) {
  const found = /** @type {HTMLElement | null} */ (parent.querySelector(`.${kind}`));
  if (found) return found;
  const made = element("div", kind);
  parent.append(made);
  return made;
}

/** The line for what is wrong with an entry, tied to its field. @param {HTMLElement} box @param {Control} control */
function problemLine(box, control) {
  const line = part(box, "field__problem");
  line.id ||= `${control.id}-problem`;
  const described = (control.getAttribute("aria-describedby") ?? "").split(" ").filter(Boolean);
  if (!described.includes(line.id)) control.setAttribute("aria-describedby", [...described, line.id].join(" "));
  return line;
}

/** @param {HTMLFormElement} form @returns {Record<string, string>} labels of the values from the form's description */
function valueLabels(form) {
  const island = form.querySelector("script.calculator__description")?.textContent;
  const values = island ? (JSON.parse(island).values ?? []) : [];
  return Object.fromEntries(
    values.map((/** @type {{name: string, label?: string}} */ value) => [value.name, value.label ?? inWords(value.name)]),
  );
}
