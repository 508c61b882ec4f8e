// @ts-check
/**
 * What the job has off, loose or open now: the steps' declared effects, played in the order in which the steps were
 * done. In doubt a thing counts as open: any entry of a step may have undone something, but only a step that was done,
 * and need not be done again, has put it right.
 */
import { covers, isWork, PLACE_NAMES, stepAt } from "./steps.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("./steps.js").Step} Step */
/** @typedef {import("./steps.js").Progress} Progress */
/** @typedef {{name: string, place: Place, step: Step}} Left name: of the part, fastener or joint, in words */
/** @typedef {Record<"off" | "loose" | "open" | "unbled" | "unchecked", Left[]>} State unbled, unchecked: opened since they were last bled, checked for leaks */
/** @typedef {{step: Step, place: Place, at: number, undoes: boolean, settles: boolean}} Work */

/** The lists of a state, in words. */
export const STATE_NAMES = /** @type {const} */ ([
  ["off", "Off the vehicle"],
  ["loose", "Loosened, not torqued"],
  ["open", "Open, not closed"],
  ["unbled", "Opened, not bled since"],
  ["unchecked", "Opened, not checked for leaks since"],
]);

/**
 * The effects of another page's steps are not known here, so work that was recorded there is named.
 * @param {{article: HTMLElement, steps: Step[]}} page @param {Entry[]} standing @returns {string[]} a line a page
 */
export function otherPages({ article, steps }, standing) {
  /** @type {Map<string, {count: number, complete: boolean}>} */
  const pages = new Map();
  for (const entry of standing) {
    if (
      !entry.procedure ||
      entry.procedure === article.dataset.procedure ||
      (entry.step ? stepAt(steps, entry.step) : entry.kind !== "complete")
    )
      continue;
    const count = pages.get(entry.procedure)?.count ?? 0;
    pages.set(entry.procedure, entry.kind === "complete" ? { count, complete: true } : { count: count + 1, complete: false });
  }
  const titles = /** @type {any} */ (self).handbook?.procedures ?? {};
  return [...pages]
    .filter(([, { count }]) => count)
    .map(
      ([id, { count, complete }]) =>
        `Also in this job, on the page «${titles[id]?.title ?? id}»: ${count} entries, ${complete ? "complete" : "not complete; what is off, loose or open there is listed there only"}.`,
    );
}

/** @param {Progress} progress @param {Step[]} steps @returns {State} */
export function stateOf(progress, steps) {
  /** @type {State} */
  const state = { off: [], loose: [], open: [], unbled: [], unchecked: [] };
  for (const work of worked(progress, steps)) play(state, work);
  return state;
}

/** @param {Progress} progress @param {Step[]} steps @returns {Work[]} in the order of time */
function worked(progress, steps) {
  const places = /** @type {Place[]} */ (Object.keys(PLACE_NAMES));
  /** @type {Work[]} */
  const found = [];
  for (const step of steps.filter(({ effects }) => Object.keys(effects).length)) {
    for (const place of places) {
      const entries = progress.at(step.asAt || step.address, place).filter(isWork);
      const last = entries.at(-1);
      if (!last) continue;
      // «Does not apply» settles a step, and neither undoes anything nor puts it right.
      const done = last.kind !== "not-applicable" && progress.isWorked(step, place, false);
      for (const entry of entries) {
        if (entry.kind === "not-applicable") continue;
        found.push({ step, place, at: progress.order.get(entry.id) ?? 0, undoes: true, settles: done && entry === last });
      }
    }
  }
  return found.sort((a, b) => a.at - b.at || steps.indexOf(a.step) - steps.indexOf(b.step));
}

/** The order within a step is that of the walk over every layout (build_tools/checks/layout_walk.py). @param {State} state @param {Work} work */
function play(state, { step, place, settles }) {
  const names = (/** @type {string} */ effect) => (step.effects[effect] ?? []).map((id) => id.replaceAll("-", " "));
  /** @param {keyof State} list @param {string} name */
  const begin = (list, name) => {
    end(state, list, name, place);
    state[list].push({ name, place, step });
  };
  for (const name of names("takes_off")) begin("off", name);
  if (settles) for (const name of names("fits")) end(state, "off", name, place);
  for (const name of names("loosens")) begin("loose", name);
  if (settles) for (const name of names("torques")) end(state, "loose", name, place);
  for (const name of names("opens")) for (const list of /** @type {const} */ (["open", "unbled", "unchecked"])) begin(list, name);
  if (!settles) return;
  for (const name of names("closes")) end(state, "open", name, place);
  for (const [effect, list] of /** @type {const} */ ([
    ["bleeds", "unbled"],
    ["leak_checks", "unchecked"],
  ])) {
    for (const name of names(effect))
      end(
        state,
        list,
        name,
        place,
        state.open.filter((each) => each.name === name),
      );
  }
}

/**
 * Strike a thing off a list at a place. Of an axle or the vehicle that was worked as a whole, the other sides stay.
 * @param {State} state @param {keyof State} list @param {string} name @param {Place} place @param {Left[]} [stillOpen] joints that cannot be bled or checked yet
 */
function end(state, list, name, place, stillOpen = []) {
  state[list] = state[list].flatMap((left) => {
    if (left.name !== name || stillOpen.some((each) => covers(each.place, left.place) || covers(left.place, each.place))) return [left];
    if (covers(place, left.place)) return [];
    return covers(left.place, place)
      ? sidesOf(left.place)
          .filter((side) => !covers(place, side))
          .map((side) => ({ ...left, place: side }))
      : [left];
  });
}

/** @param {Place} whole @returns {Place[]} */
function sidesOf(whole) {
  return /** @type {Place[]} */ (["LF", "RF", "LR", "RR"]).filter((side) => covers(whole, side));
}
