// @ts-check
/** The decision's second look: parts that were tried, and found free or not, after the work on them. */
import { isOther } from "../layout/applies.js";
import { isWork, placesOf } from "./steps.js";

/** @typedef {import("./steps.js").Step} Step */

/**
 * How parts did when they were tried after the work on them: the step that tries them is done, or it ended in a stop.
 * @param {import("./steps.js").Progress} progress @param {Step[]} steps
 * @returns {import("../core/decision-case.js").Look[]} in the order of time
 */
export function looksOf(progress, steps) {
  const trying = steps.filter(({ checksFree, box }) => checksFree.length && !isOther(box));
  const looks = trying.flatMap((step) =>
    placesOf(step, progress.axle).flatMap((place) => {
      const entry = progress.counting(step, place).filter(isWork).at(-1);
      if (!entry || entry.kind === "not-applicable" || entry.kind === "override") return [];
      const failed = step.outcomes[entry.verdict?.code ?? ""] === "stop";
      if (!failed && !progress.isWorked(step, place, false)) return [];
      return step.checksFree.map((part) => ({ part, place, look: /** @type {"free" | "failed"} */ (failed ? "failed" : "free"), entry }));
    }),
  );
  return looks.sort((a, b) => (progress.order.get(a.entry.id) ?? 0) - (progress.order.get(b.entry.id) ?? 0));
}
