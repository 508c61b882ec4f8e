// @ts-check
/**
 * The torque of a fastener in its step: target, what it got, with which wrench. Python holds the one against the other;
 * an angle, words, or a page without Python records all the same, and says that it was not judged.
 */

import { verdict } from "../calculator/answer.js";
import { asUsed, fillFields, sheetValue, typedText } from "../layout/sheet.js";
import { element } from "../lib/elements.js";
import { evaluate, forget, onState, start } from "../python/runtime.js";
import { keepSetting, setting } from "../store/job-store.js";
import { standingEntries } from "./journal.js";
import { empty, inputs, recordRow } from "./record-row.js";

/** @typedef {import("./record-row.js").Given} Given */
/** @typedef {import("./record-row.js").Context} Context */
/** @typedef {{of: string, result?: any, wrong?: string, unjudged?: string}} Judged what was found, of which entries */

const REST = 300; // ms after the last input
const MOST_WAIT = 700; // ms that a tap waits for the verdict on what was typed last
const WINDOW = /^([\d.,]+)\s*(?:–|—|-|to)\s*([\d.,]+)\s*([^\d\s].*)$/;

let ready = false;
onState(({ phase }) => (ready = phase === "ready"));

/** @param {Context} context @param {HTMLElement} box */
export function wireTorque(context, box) {
  const path = box.dataset.from ?? "";
  const prefix = `${context.step.box.id}-${box.dataset.fastener}-${box.dataset.stage}`;
  const target = field(prefix, "target", "Target", path ? "With its unit." : "The maker’s figure, with its unit.", path);
  const actual = field(prefix, "actual", "Torqued to", "What the wrench read or clicked at, with its unit.", "");
  const tool = field(prefix, "tool", "Wrench", "Its name or number in this shop.", "");
  const line = element("div", "torque__verdict");
  line.setAttribute("role", "status");
  const judge = new Judge(box, line);
  box.append(
    target,
    actual,
    tool,
    line,
    recordRow(
      context,
      (place) => `Record ${place}`,
      () => torqueEntry(box, path, judge),
      () => {
        keepSetting(wrenchOf(box), inputs(tool, "input")[0].value.trim());
        empty(inputs(actual, "input")[0]);
      },
    ),
  );
  box.addEventListener("input", () => judge.changed());
  box.addEventListener("focusin", start);
  document.addEventListener("handbook:system", () => judge.changed());
  const value = box.querySelector(".torque__value");
  const source = box.querySelector(".torque__source");
  const asWritten = [value?.textContent ?? "", source?.textContent ?? ""];
  const show = () => {
    const known = path ? sheetValue(path) : null;
    if (value) value.textContent = known ? typedText(known).replace(" ", "\u00a0") : asWritten[0];
    value?.classList.toggle("torque__value--asked", !known);
    if (source) source.textContent = known ? known.source : asWritten[1];
    if (source instanceof HTMLElement) source.hidden = path !== "" && !known; // the field below asks for it
    putWrench(box, tool);
  };
  document.addEventListener("handbook:drawn", show);
  show();
  fillFields(box);
}

/** @param {string} prefix @param {string} name @param {string} text @param {string} help @param {string} path */
function field(prefix, name, text, help, path) {
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

/** @param {HTMLElement} box */
const wrenchOf = (box) => `wrench-${box.dataset.fastener}`;

/** Put the wrench last used for the same fastener where none is typed: of this job, else of the one before. @param {HTMLElement} box @param {HTMLElement} tool */
async function putWrench(box, tool) {
  const input = inputs(tool, "input")[0];
  if (input.value || input === document.activeElement) return;
  const used = standingEntries()
    .filter(({ kind, typed }) => kind === "torque" && typed.fastener === box.dataset.fastener)
    .at(-1);
  const name = used ? String(used.typed.tool ?? "") : await setting(wrenchOf(box));
  if (!name || input.value || input === document.activeElement) return;
  input.value = input.dataset.sheet = name; // no draft: it comes back by itself
}

// ---------------------------------------------------------------- judging

/** Asks Python about what stands in the fields, after a short rest. */
class Judge {
  /** @param {HTMLElement} box @param {HTMLElement} line */
  constructor(box, line) {
    this.box = box;
    this.line = line;
    /** @type {Judged} */
    this.found = { of: "" };
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
  }

  /** @returns {string[]} target and actual as they stand */
  entries() {
    return ["target", "actual"].map((name) => inputs(this.box, `input[name=${name}]`)[0].value.trim());
  }

  changed() {
    const entries = this.entries();
    if (this.found.of === key(entries)) return;
    clearTimeout(this.timer);
    forget(this);
    this.found = { of: "" };
    this.line.replaceChildren();
    if (entries.every((text) => /\d/.test(text) || cannotBeJudged(text))) this.timer = setTimeout(() => this.ask(), REST);
  }

  /** What was found of the entries as they stand; waited for only where it is under way. @returns {Promise<Judged>} */
  async now() {
    clearTimeout(this.timer);
    const of = key(this.entries());
    if (this.found.of !== of && (ready || this.entries().some(cannotBeJudged))) {
      await Promise.race([this.ask(), new Promise((resolve) => setTimeout(resolve, MOST_WAIT))]);
    }
    return this.found.of === of ? this.found : { of, unjudged: "the calculator was not ready" };
  }

  async ask() {
    const entries = this.entries();
    const of = key(entries);
    if (entries.some(cannotBeJudged)) return this.show({ of, unjudged: "an angle or words; compare with the maker’s manual" });
    if (entries.some(isBare)) return; // its unit is asked for when it is recorded
    const [target, actual] = entries;
    const window = WINDOW.exec(target);
    /** @type {Record<string, string>} */
    const given = window ? { target: `${window[1]} ${window[3]}`, target_max: `${window[2]} ${window[3]}`, actual } : { target, actual };
    const system = document.documentElement.dataset.system ?? "metric";
    const response = await evaluate({ calculator: "torque-check", given, system }, this);
    if (!response || key(this.entries()) !== of) return;
    this.show(response.result ? { of, result: response.result } : { of, wrong: response.problem?.message ?? "The torque cannot be read." });
  }

  /** @param {Judged} found */
  show(found) {
    this.found = found;
    const judged = found.result?.verdict;
    this.line.replaceChildren(judged ? verdict(judged) : (found.wrong ?? `Not judged: ${found.unjudged}.`));
  }
}

/** @param {string[]} entries */
const key = (entries) => entries.join("\n");

/** An angle, or words without a number: nothing to compare. @param {string} text */
const cannotBeJudged = (text) => text !== "" && (!/\d/.test(text) || /°|\bdeg|\bturn/i.test(text));

/** @param {string} text */
const isBare = (text) => /^[^a-zA-Z·]*$/.test(text);

/** @param {HTMLElement} box @param {string} path @param {Judge} judge @returns {Promise<Given | string>} */
async function torqueEntry(box, path, judge) {
  const [target, actual] = judge.entries();
  const tool = inputs(box, "input[name=tool]")[0].value.trim();
  for (const [name, text] of [
    ["target", target],
    ["actual torque", actual],
  ]) {
    if (text === "" || (isBare(text) && !cannotBeJudged(text))) return `Enter the ${name} with its unit, for example: 110 N·m or 80 ft-lb.`;
  }
  if (!tool) return "Enter the wrench, for example: wrench 3.";
  const { result, wrong, unjudged } = await judge.now();
  if (wrong) return wrong;
  return {
    kind: "torque",
    typed: { fastener: box.dataset.fastener ?? "", stage: box.dataset.stage ?? "", target, actual, tool },
    understood: result
      ? { inputs: result.inputs, values: result.values, notes: result.notes, shown: inShort(result) }
      : { shown: `not judged: ${unjudged}` },
    limits: { target: { path, ...asUsed(path, target) } },
    verdict: result?.verdict ?? null,
  };
}

/** «within», or «beyond: 6.0 N·m low». @param {any} result */
function inShort({ verdict, values }) {
  const word = String(verdict?.code ?? "").replaceAll("-", " ");
  return verdict?.code === "within" ? word : `${word}: ${String(values.difference?.text ?? "").replace(/ \([^)]*\)/, "")}`;
}
