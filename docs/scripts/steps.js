// @ts-check
/** The steps of a page as the record sees them: places to sign, what must be entered, what is done, what waits. */
import { isOther } from "./applies.js";

/** @typedef {import("./entries.js").Entry} Entry */
/** @typedef {import("./entries.js").Place} Place */
/** @typedef {{go?: string, again?: any, stop?: string, say?: string}} Outcome */
/**
 * @typedef {object} Step
 * @property {HTMLElement} box
 * @property {string} address
 * @property {string} hash
 * @property {string} number
 * @property {string} does
 * @property {string} per side, axle or vehicle
 * @property {string[]} hold addresses of steps to be done first
 * @property {Record<string, Outcome>} outcomes
 * @property {string[]} needs kinds of entries that the step asks for
 */

/** @type {Record<Place, string>} */
export const PLACE_NAMES = {
  LF: "LF", RF: "RF", LR: "LR", RR: "RR", front: "front axle", rear: "rear axle", vehicle: "vehicle",
};
const SIDES = /** @type {Record<string, Place[]>} */ ({ front: ["LF", "RF"], rear: ["LR", "RR"], "": ["LF", "RF", "LR", "RR"] });
const AXLES = /** @type {Record<string, Place[]>} */ ({ front: ["front"], rear: ["rear"], "": ["front", "rear"] });
const SETTLES = ["done", "override", "not-applicable"];

/** @param {HTMLElement} article @returns {Step[]} */
export function readSteps(article) {
  return Array.from(/** @type {NodeListOf<HTMLElement>} */ (article.querySelectorAll(".step[data-step]")), (box) => ({
    box,
    address: box.dataset.step ?? "",
    hash: box.dataset.hash ?? "",
    number: box.dataset.number ?? "",
    does: textOf(box),
    per: box.dataset.for ?? "side",
    hold: JSON.parse(box.dataset.hold ?? "[]"),
    outcomes: JSON.parse(box.dataset.outcomes ?? "{}"),
    needs: [
      ...(box.querySelector("form.calculator, .choice") ? ["result"] : []),
      ...(box.querySelector(".torque") ? ["torque"] : []),
      ...(box.querySelector(".findings") ? ["finding"] : []),
      ...(box.querySelector('[data-entry="text"]') ? ["text"] : []),
    ],
  }));
}

/** @param {HTMLElement} box */
function textOf(box) {
  const line = /** @type {HTMLElement | undefined} */ (box.querySelector(".step__do")?.cloneNode(true));
  line?.querySelector(".step__number")?.remove();
  return line?.textContent?.trim().replace(/\s+/g, " ") ?? "";
}

/** Where a step is signed. Without an axle both ends of the vehicle are. @param {Step} step @param {string} axle @returns {Place[]} */
export function placesOf(step, axle) {
  if (step.per === "vehicle") return ["vehicle"];
  return (step.per === "axle" ? AXLES : SIDES)[axle] ?? [];
}

/** What still stands of a job, by step and place. */
export class Progress {
  /** @param {Entry[]} standing entries in the order of their times @param {string} axle */
  constructor(standing, axle) {
    this.axle = axle;
    /** @type {Map<string, Entry[]>} */
    this.byPlace = new Map();
    for (const entry of standing) {
      const key = `${entry.step} ${entry.place}`;
      this.byPlace.set(key, [...(this.byPlace.get(key) ?? []), entry]);
    }
  }

  /** @param {string} address @param {Place} place */
  at(address, place) {
    return this.byPlace.get(`${address} ${place}`) ?? [];
  }

  /** Whether a place of a step is done, by entries made for the step as it reads now. @param {Step} step @param {Place} place */
  isDone(step, place) {
    const entries = this.at(step.address, place).filter((entry) => !isChanged(step, entry));
    return settled(step, entries);
  }

  /** @param {Step} step @param {Place[]} [places] */
  isAllDone(step, places = placesOf(step, this.axle)) {
    return places.every((place) => this.isDone(step, place));
  }

  /** Whether the step, at these places, was marked as not applicable. @param {Step} step */
  isNotApplicable(step) {
    const places = placesOf(step, this.axle);
    return places.length > 0 && places.every((place) => this.at(step.address, place).at(-1)?.kind === "not-applicable");
  }

  /**
   * The steps that a place waits for.
   * @param {Step} step @param {Place} place @param {Step[]} steps all of the page
   * @returns {string[]} their numbers, or their addresses where they stand on another page
   */
  waitsFor(step, place, steps) {
    return step.hold.filter((address) => {
      const other = steps.find((each) => each.address === address);
      if (!other) return !this.isDoneElsewhere(address);
      if (isOther(other.box)) return false;
      const places = placesOf(other, this.axle);
      return !this.isAllDone(other, places.includes(place) ? [place] : places);
    }).map((address) => steps.find((each) => each.address === address)?.number ?? address);
  }

  /** Whether a step of another page was done: what it asks for is not known here, so its last entry decides. @param {string} address */
  isDoneElsewhere(address) {
    const places = [...this.byPlace].filter(([key]) => key.startsWith(`${address} `));
    return places.some(([, entries]) => {
      const last = /** @type {Entry} */ (entries.at(-1));
      return !last.typed.outcome && (!last.verdict || last.verdict.code === "within");
    });
  }
}

/** Whether a step has changed since an entry was made for it. @param {Step} step @param {Entry} entry */
export function isChanged(step, entry) {
  return entry.hash !== null && step.hash !== "" && entry.hash !== step.hash;
}

/** @param {Step} step @param {Entry[]} entries of one place */
function settled(step, entries) {
  const counting = entries.filter(({ kind, typed }) => !typed.note && (SETTLES.includes(kind) || step.needs.includes(kind) || typed.outcome));
  const last = counting.at(-1);
  if (!last || last.typed.outcome) return false;
  if (SETTLES.includes(last.kind)) return true;
  return step.needs.every((kind) => {
    const entry = counting.filter((each) => each.kind === kind && !each.typed.outcome).at(-1);
    return entry !== undefined && isGood(step, entry);
  });
}

/** Whether an entry finishes its step: a reading beyond a limit, or too close to tell, does not. @param {Step} step @param {Entry} entry */
export function isGood(step, entry) {
  if (!entry.verdict || entry.kind !== "result") return true;
  if (entry.typed.choice === undefined) return entry.verdict.code === "within";
  const outcome = step.outcomes[entry.verdict.code];
  return !outcome?.again && outcome?.stop === undefined;
}
