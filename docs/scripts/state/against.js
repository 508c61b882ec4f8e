// @ts-check
/** An answer against what was recorded: it lets a part do with less than a reading, a finding or a decision asks for. */
import { isReading, replacedAt, statements, touches } from "./beyond.js";
import { stepAt } from "./steps.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("./steps.js").Step} Step */
/** @typedef {import("./steps.js").Progress} Progress */

/** Least first. */
const ACTIONS = ["use again", "service", "measure again", "replace"];
const MM = /** @type {Record<string, number>} */ ({ mm: 1, in: 25.4, cm: 10, m: 1000 });

/** @param {string} action */
const rank = (action) => ACTIONS.indexOf(action === "machine" ? "service" : action);

/**
 * The entries that ask for more than an answer allows, each once, the newest of its kind.
 * @param {Progress} progress @param {Step[]} steps @param {Step} step a choice @param {string} value @param {Place} place
 * @returns {Entry[]}
 */
export function recordedAgainst(progress, steps, step, value, place) {
  /** @type {Set<Entry>} */
  const found = new Set();
  for (const [part, actions] of Object.entries(step.means[value] ?? {})) {
    const allowed = Math.max(...actions.map(rank));
    const fresh = replacedAt(progress, steps, part, place);
    const readings = latest(progress, steps, step.judged[part] ?? {}, place).filter(({ at }) => at > fresh);
    for (const { entry, derived } of readings) if (!derived && least(entry, step.judged[part]) > allowed) found.add(entry);
    if (actions.includes("machine") && !actions.includes("replace"))
      for (const { entry } of readings) if (cannotBeCut(entry)) found.add(entry);
    for (const { at, entry, actions: asked, source } of newest(statements(progress, steps, part, place))) {
      if (at > fresh && source !== "answer" && entry.step !== step.address && Math.max(...asked.map(rank)) > allowed) found.add(entry);
    }
  }
  return [...found];
}

/** The last reading of each calculator and place; that of the machined part takes the place of the old one's. @param {Progress} progress @param {Step[]} steps @param {Record<string, any>} judged @param {Place} place */
function latest(progress, steps, judged, place) {
  /** @type {Map<string, {entry: Entry, at: number, derived: boolean}>} */
  const found = new Map();
  for (const [at, entry] of progress.standing.entries()) {
    const { calculator, apart, of } = entry.typed;
    if (!isReading(entry) || !Object.hasOwn(judged, calculator) || apart || of === "new" || !touches(entry.place, place)) continue;
    const derived = stepAt(steps, entry.step)?.reads?.derived ?? false;
    found.set(`${calculator} ${entry.place} ${derived}`, { entry, at, derived });
  }
  return [...found.values()];
}

/** The last word of each step and place. @template {{entry: Entry}} T @param {T[]} said @returns {T[]} */
const newest = (said) => [...new Map(said.map((each) => [`${each.entry.step} ${each.entry.place}`, each])).values()];

/** What a reading asks for at least. @param {Entry} entry @param {Record<string, Record<string, string>>} judged */
function least({ typed, verdict, understood }, judged) {
  const code = verdict?.code ?? "";
  const of = judged[typed.calculator] ?? {};
  const decided = Array.isArray(understood.decided)
    ? understood.decided.map((/** @type {any} */ each) => of[`${code} ${each?.quantity}`]).filter(Boolean)
    : [];
  return Math.max(...[of[code], ...decided].map((action) => (action ? rank(action) : -1)));
}

/** Whether a reading leaves no metal to cut: under the machine-to thickness as it is, or after the cut. @param {Entry} entry */
function cannotBeCut({ understood: { values, inputs } }) {
  if (values?.may_be_machined?.value === false) return true;
  const [thinnest, limit] = [values?.thinnest, inputs?.machine_to].map((each) =>
    typeof each?.value === "number" ? each.value * (MM[each.unit] ?? NaN) : NaN,
  );
  return thinnest <= limit;
}
