// @ts-check
/**
 * What the outcomes of a job lead past, and what they lead back over. A reading that says «go to 7.16» leaves the steps
 * between not needed; one that says «go back to 7.9» has the steps from there on done again. Nothing of this is stored:
 * it follows from the entries.
 */
import { covers, placesOf } from "./steps.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("./steps.js").Step} Step */
/** @typedef {import("./steps.js").Progress} Progress */
/** @typedef {{by: Step, code: string, place: Place}} Skip */
/** @typedef {{from: number, left: number, back: number}} Absence from: place of the step in the list; left and back: of the entries */
/** @typedef {{from: number, to: number, place: Place, step: Step, last: Entry}} Jump from and to: places in the list of steps */

/**
 * @param {Progress} progress @param {Step[]} steps
 * @returns {{skips: Map<string, Skip>, repeats: Map<string, number>}} by step and place; repeats: the entry before which all is done again
 */
export function branchesOf(progress, steps) {
  /** @type {Map<string, Skip>} */
  const skips = new Map();
  /** @type {Map<string, number>} */
  const repeats = new Map();
  const number = new Map(steps.map(({ address }, index) => [address, index]));
  for (const [at, step] of steps.entries()) {
    if (!step.onward.size && !step.back.size) continue;
    const jumps = placesOf(step, progress.axle).flatMap((place) => {
      const last = skips.has(`${step.address} ${place}`) ? undefined : progress.lastJudged(step, place);
      const to = number.get(step.outcomes[last?.verdict?.code ?? ""] ?? "");
      return last && to !== undefined ? [{ from: at, to, place, step, last }] : [];
    });
    for (const jump of jumps) if (jump.to < at) markRepeats(progress, steps, jump, repeats);
    markSkips(
      progress,
      steps,
      at,
      jumps.filter(({ to }) => to > at),
      skips,
    );
  }
  return { skips, repeats };
}

/** @param {Progress} progress @param {Step[]} steps @param {number} at @param {Jump[]} jumps onward @param {Map<string, Skip>} skips */
function markSkips(progress, steps, at, jumps, skips) {
  if (!jumps.length) return;
  const all = placesOf(jumps[0].step, progress.axle);
  for (let index = at + 1; index < Math.max(...jumps.map(({ to }) => to)); index += 1) {
    for (const place of placesOf(steps[index], progress.axle)) {
      // A step for the axle is led past only when both sides are.
      const decide = all.filter((each) => covers(place, each) || covers(each, place));
      const past = jumps.filter((jump) => jump.to > index && decide.includes(jump.place));
      if (decide.length && past.length === decide.length) {
        const { step, last, place: from } = past[0];
        skips.set(`${steps[index].address} ${place}`, { by: step, code: last.verdict?.code ?? "", place: from });
      }
    }
  }
}

/** @param {Progress} progress @param {Step[]} steps @param {Jump} jump back @param {Map<string, number>} repeats */
function markRepeats(progress, steps, { from, to, place, last }, repeats) {
  const since = progress.order.get(last.id) ?? 0;
  for (const step of steps.slice(to, from)) {
    for (const each of placesOf(step, progress.axle)) {
      if (covers(place, each)) repeats.set(`${step.address} ${each}`, since);
    }
  }
}

/**
 * When the work of this page was left for another job, from an answer that leads there until the step is answered again.
 * @param {Entry[]} standing in the order of their times @param {Step[]} steps @returns {Absence[]}
 */
export function absencesOf(standing, steps) {
  const here = new Set(steps.map(({ address }) => address));
  return steps.flatMap((step, from) => {
    if (!step.returns?.some((code) => !here.has(step.outcomes[code]))) return [];
    /** @param {Entry} entry */
    const isAnswer = (entry) => entry.step === step.address && entry.procedure === step.page && Boolean(entry.verdict);
    return standing.flatMap((entry, left) => {
      const code = entry.verdict?.code ?? "";
      if (!isAnswer(entry) || !step.returns.includes(code) || here.has(step.outcomes[code])) return [];
      const back = standing.findIndex((other, at) => at > left && isAnswer(other) && other.place === entry.place);
      return [{ from, left, back: back < 0 ? Infinity : back }];
    });
  });
}
