// @ts-check
/**
 * What was read beyond its limit and still stands. It is settled by the same step read again within, by a later reading
 * of the same part within, by the part replaced and, where the page reads the new one, that reading within; or it is
 * left unrepaired, with the reason and with who was told. A later answer settles nothing. All follows from the entries.
 */
import { isOther } from "../layout/applies.js";
import { covers, placesOf } from "./steps.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("./steps.js").Step} Step */
/** @typedef {import("./steps.js").Progress} Progress */
/** @typedef {{step: Step, place: Place, entry: Entry, unrepaired: Entry | null}} Beyond unrepaired: the entry that leaves it so */
/** @typedef {{at: number, entry: Entry, actions: string[], source: "answer" | "finding" | "decision"}} Statement at: its place in the order of the job */

/** @param {Progress} progress @param {Step[]} steps @returns {Beyond[]} in the order of the page */
export function beyondsOf(progress, steps) {
  const reading = steps.filter(({ box, reads, needs }) => !isOther(box) && (reads ? !reads.derived : needs.includes("torque")));
  return reading.flatMap((step) =>
    placesOf(step, progress.axle).flatMap((place) => {
      const entry = progress.skippedBy(step, place) ? undefined : lastReading(progress, step, place);
      if (entry?.verdict?.code !== "beyond" || isSettled(progress, steps, { step, place, entry })) return [];
      return [{ step, place, entry, unrepaired: progress.unrepaired.get(entry.id) ?? null }];
    }),
  );
}

/** @param {Progress} progress @param {Step} step @param {Place} place */
function lastReading(progress, step, place) {
  return progress
    .at(step.address, place)
    .filter((entry) => isReading(entry) && !progress.isRepeated(entry, place))
    .at(-1);
}

/** A reading that was judged by a calculator. @param {Entry} entry */
export function isReading({ kind, typed, verdict }) {
  return verdict !== null && !typed.outcome && (kind === "torque" || (kind === "result" && typed.given !== undefined));
}

/** @param {Progress} progress @param {Step[]} steps @param {{step: Step, place: Place, entry: Entry}} beyond */
function isSettled(progress, steps, { step, place, entry }) {
  const { reads } = step;
  if (!reads?.judges.length || reads.apart) return false;
  const since = orderOf(progress, entry);
  const same = steps.filter(
    (other) =>
      other !== step && !isOther(other.box) && other.reads?.calculator === reads.calculator && !other.reads.apart && !other.reads.derived,
  );
  const within = (/** @type {Step} */ other) => {
    const last = lastReading(progress, other, place);
    return last?.verdict?.code === "within" && orderOf(progress, last) > since;
  };
  if (same.some((other) => other.reads?.of !== "new" && within(other))) return true;
  if (reads.of === "new") return false;
  if (reads.renewed) return reads.judges.some((part) => isRenewed(progress, steps, part, place, since));
  if (!reads.judges.some((part) => replacedAt(progress, steps, part, place) > since)) return false;
  return same.filter((other) => other.reads?.of === "new" && !progress.skippedBy(other, place)).every(within);
}

/** @param {Progress} progress @param {Entry} entry */
const orderOf = (progress, entry) => progress.order.get(entry.id) ?? -1;

/** Whether every place at which the page asks says, after this entry, that the part is new. @param {Progress} progress @param {Step[]} steps @param {string} part @param {Place} place @param {number} since */
function isRenewed(progress, steps, part, place, since) {
  return steps.some(
    (step) =>
      !isOther(step.box) &&
      Object.values(step.means).some((parts) => parts[part]?.includes("replace")) &&
      placesOf(step, progress.axle)
        .filter((each) => touches(each, place))
        .every((each) => {
          const last = progress
            .counting(step, each)
            .filter(({ typed }) => typed.choice !== undefined)
            .at(-1);
          return last !== undefined && orderOf(progress, last) > since && step.means[last.typed.choice]?.[part]?.includes("replace");
        }),
  );
}

/**
 * When a part was last fitted after it was said to be replaced; -1: never.
 * @param {Progress} progress @param {Step[]} steps @param {string} part @param {Place} place
 */
export function replacedAt(progress, steps, part, place) {
  const said = statements(progress, steps, part, place);
  const fitted = steps
    .filter(({ effects }) => effects.fits?.includes(part))
    .flatMap((step) =>
      placesOf(step, progress.axle)
        .filter((each) => touches(each, place) && progress.isWorked(step, each, false))
        .flatMap((each) =>
          progress
            .counting(step, each)
            .filter(({ kind }) => kind !== "not-applicable")
            .slice(-1)
            .map((entry) => orderOf(progress, entry)),
        ),
    );
  return Math.max(
    -1,
    ...fitted.filter((at) =>
      said
        .filter((each) => each.at < at)
        .at(-1)
        ?.actions.includes("replace"),
    ),
  );
}

/** Whether one of two places holds the other. @param {Place | null} a @param {Place} b */
export const touches = (a, b) => a !== null && (covers(a, b) || covers(b, a));

const LEFT = ["LF", "LR"];

/**
 * What was said to be done with a part at a place: by answers, findings and decisions, in their order.
 * @param {Progress} progress @param {Step[]} steps @param {string} part @param {Place} place
 * @returns {Statement[]}
 */
export function statements(progress, steps, part, place) {
  const means = new Map(steps.map((step) => [step.address, step.means]));
  return progress.standing.flatMap(
    /** @returns {Statement[]} */ (entry, at) => {
      if (!touches(entry.place, place)) return [];
      const { typed, understood } = entry;
      if (Array.isArray(understood.actions)) {
        const side = LEFT.includes(place) ? "left" : "right";
        const rows = understood.actions.filter((/** @type {any} */ row) => row?.part === part && (row.side === side || place.length > 2));
        return rows.length ? [{ at, entry, actions: rows.map((/** @type {any} */ row) => String(row.action)), source: "decision" }] : [];
      }
      if (entry.kind === "finding" && typed.part === part && Array.isArray(understood.findings)) {
        return [{ at, entry, actions: understood.findings.map((/** @type {any} */ each) => String(each?.action)), source: "finding" }];
      }
      const actions = typed.choice === undefined ? undefined : means.get(progress.addressOf(entry))?.[typed.choice]?.[part];
      return actions ? [{ at, entry, actions, source: "answer" }] : [];
    },
  );
}
