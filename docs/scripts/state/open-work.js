// @ts-check
/** What is done of a page over all sides, and what keeps its job from being complete: steps open, parts off or loose, readings beyond their limit. */
import { isOther } from "../layout/applies.js";
import { beyondsOf } from "./beyond.js";
import { STATE_NAMES, stateOf } from "./effects.js";
import { says } from "./entry-text.js";
import { isWork, PLACE_NAMES, placesOf } from "./steps.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("./steps.js").Step} Step */
/** @typedef {import("./steps.js").Progress} Progress */
/** @typedef {import("./beyond.js").Beyond} Beyond */
/** @typedef {{done: number, not_needed: number, with_reason: number, open: number}} Counts places of steps, over all sides */
/** @typedef {{step: Step, text: string, beyond?: Beyond}} Left something that keeps the job from being complete */
/** @typedef {{counts: Counts, left: Map<string, Left[]>, beyonds: Beyond[]}} Stock beyonds: all that stand, those left unrepaired too */

/** Whether the page repairs nothing, and closes with what is beyond a limit listed. @param {HTMLElement | null} article */
export const endsInEstimate = (article) => article?.dataset.endsIn === "estimate";

/** @param {Step[]} steps @param {Progress} progress @param {{without?: Step, estimate?: boolean}} [how] without: the step that is signed now @returns {Stock} */
export function takeStock(steps, progress, { without, estimate = false } = {}) {
  const counts = { done: 0, not_needed: 0, with_reason: 0, open: 0 };
  /** @type {Map<string, Left[]>} */
  const left = new Map();
  /** @type {Left[]} */
  const opened = [];
  for (const step of steps) {
    if (isOther(step.box) || step === without) continue;
    const open = placesOf(step, progress.axle).filter((place) => {
      const how = cameOut(progress, step, place);
      counts[how] += 1;
      return how === "open";
    });
    if (open.length) opened.push({ step, text: `${open.map((place) => PLACE_NAMES[place]).join(", ")}: ${step.does}` });
  }
  const beyonds = beyondsOf(progress, steps);
  if (!estimate)
    left.set(
      "Beyond the limit, not put right",
      beyonds.filter(({ unrepaired }) => !unrepaired).map((beyond) => ({ step: beyond.step, text: beyondWords(beyond), beyond })),
    );
  const state = stateOf(progress, steps);
  for (const [list, title] of STATE_NAMES)
    left.set(
      title,
      state[list].map(({ name, place, step }) => ({ step, text: `${PLACE_NAMES[place]}: ${name}` })),
    );
  // Those that cannot be done without come first: a list may be cut.
  left.set("Steps open", [...opened.filter(({ step }) => step.mustBeWorked), ...opened.filter(({ step }) => !step.mustBeWorked)]);
  return { counts, left, beyonds };
}

/** @param {Beyond} beyond */
export const beyondWords = ({ place, entry }) => `${PLACE_NAMES[place]}: ${says(entry)}`;

/** @param {Progress} progress @param {Step} step @param {Place} place @returns {keyof Counts} */
function cameOut(progress, step, place) {
  if (!progress.isDone(step, place)) return "open";
  if (!progress.isWorked(step, place, true)) return "not_needed";
  const last = progress.counting(step, place).filter(isWork).at(-1);
  return last?.kind === "override" || last?.kind === "not-applicable" ? "with_reason" : "done";
}

/** Groups that hold something. @param {Stock} stock @returns {[string, Left[]][]} */
export const lacking = ({ left }) => [...left].filter(([, items]) => items.length);

/** Whether a job was closed by another build of the handbook and not worked on since: it stays as that build judged it. @param {Progress} progress @param {Entry | undefined} complete @param {string} build of this handbook */
export function isClosedBefore(progress, complete, build) {
  if (!complete || complete.build === build) return false;
  return !progress.standing.slice((progress.order.get(complete.id) ?? 0) + 1).some(({ step }) => step !== null);
}
