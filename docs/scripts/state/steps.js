// @ts-check
/** The steps of a page as the record sees them: places to sign, what must be entered, what is done, what waits. */
import { isOther } from "../layout/applies.js";
import { absencesOf, branchesOf } from "./branches.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("./branches.js").Skip} Skip */
/** @typedef {Record<string, {does: string, outcomes: string[]}>} Left by the address of a step: its line, and the outcomes that lead here */
/**
 * @typedef {object} Step
 * @property {HTMLElement} box
 * @property {string} address
 * @property {string} hash
 * @property {string} number
 * @property {string} does
 * @property {string} hashBefore the hash of an earlier version that asked for the same work; empty for most
 * @property {string} per side, axle, lift (an axle while it is raised) or vehicle
 * @property {string[]} was its earlier addresses
 * @property {string[]} hold addresses of steps to be done first
 * @property {Record<string, string>} outcomes where each leads: the address of a step, `again` or `stop`
 * @property {string[]} needs kinds of entries that the step asks for
 * @property {string[]} returns outcomes that lead to another job, after which the step is answered again
 * @property {string} page id of the procedure whose page it stands on
 * @property {Left} leftFrom the steps that lead to this job and back again; the same for all steps of a page
 * @property {Set<string>} onward outcomes that lead to a later step of the page, past those between
 * @property {Set<string>} back outcomes that lead to an earlier step, from which the work is done again
 * @property {string} asAt address of the step that it comes out as, without being asked; empty for most
 * @property {string[]} checksFree parts that count as cured once the step is done
 * @property {boolean} secondLook whether it counts only once it was looked at again
 * @property {number} seconds of its timer; 0 without one
 * @property {Record<string, string[]>} effects what it does to parts, fasteners and joints
 * @property {boolean} mustBeWorked critical, or a final torque: «does not apply» does not settle it
 * @property {boolean} endsLift the axle stands on its wheels again
 * @property {Reads | null} reads
 * @property {Record<string, Record<string, string[]>>} means answer of the choice → part → what is done with it
 * @property {Record<string, Record<string, Record<string, string>>>} judged part → calculator → verdict → the least that is done
 * @property {string} completes the page whose work it signs as complete; empty for most
 */

/**
 * @typedef {object} Reads what the calculator of a step is about
 * @property {string} calculator
 * @property {string[]} judges parts
 * @property {boolean} apart something else than the part itself
 * @property {string} of `new` or `machined`; empty: the part as it was found
 * @property {boolean} derived works on the readings of an earlier step
 * @property {boolean} renewed what it judges is never fitted: an answer says that it is new
 */

/** @type {Record<Place, string>} */
export const PLACE_NAMES = {
  LF: "LF",
  RF: "RF",
  LR: "LR",
  RR: "RR",
  front: "front axle",
  rear: "rear axle",
  vehicle: "vehicle",
};
const SIDES = /** @type {Record<string, Place[]>} */ ({ front: ["LF", "RF"], rear: ["LR", "RR"], "": ["LF", "RF", "LR", "RR"] });
const AXLES = /** @type {Record<string, Place[]>} */ ({ front: ["front"], rear: ["rear"], "": ["front", "rear"] });
/** The look of somebody back at the job: it says that the work still stands so, and is no second look. */
export const AFTER_INTERRUPTION = "after an interruption";
const SETTLES = ["done", "override", "not-applicable"];

/** @param {HTMLElement} article @returns {Step[]} */
export function readSteps(article) {
  const leftFrom = leftFor(article);
  const steps = Array.from(/** @type {NodeListOf<HTMLElement>} */ (article.querySelectorAll(".step[data-step]")), (box) => ({
    box,
    hashBefore: box.dataset.hashBefore ?? "",
    address: box.dataset.step ?? "",
    hash: box.dataset.hash ?? "",
    number: box.dataset.number ?? "",
    does: textOf(box),
    per: box.dataset.for ?? "side",
    was: JSON.parse(box.dataset.was ?? "[]").map((/** @type {string} */ id) =>
      id.includes("/") ? id : `${box.dataset.step?.split("/")[0]}/${id}`,
    ),
    hold: JSON.parse(box.dataset.hold ?? "[]"),
    outcomes: JSON.parse(box.dataset.outcomes ?? "{}"),
    returns: JSON.parse(box.dataset.returns ?? "[]"),
    page: article.dataset.procedure ?? "",
    leftFrom,
    onward: new Set(""),
    back: new Set(""),
    asAt: box.dataset.asAt ?? "",
    checksFree: JSON.parse(box.dataset.checksFree ?? "[]"),
    secondLook: box.dataset.secondLook !== undefined,
    seconds: Number(box.dataset.timer ?? 0),
    effects: JSON.parse(box.dataset.effects ?? "{}"),
    mustBeWorked: box.classList.contains("step--critical") || box.querySelector('.torque[data-stage="final"]') !== null,
    reads: readsOf(box),
    means: ofChoice(box, "means"),
    judged: ofChoice(box, "judged"),
    endsLift: box.dataset.endsLift !== undefined,
    completes: box.dataset.completes === undefined ? "" : (article.dataset.procedure ?? ""),
    needs: [
      ...(box.querySelector("form.calculator, .choice, .decision") ? ["result"] : []),
      ...(box.querySelector(".torque") ? ["torque"] : []),
      ...(box.querySelector(".findings") ? ["finding"] : []),
      ...(box.querySelector('[data-entry="text"]') ? ["text"] : []),
    ],
  }));
  const place = new Map(steps.map(({ address }, index) => [address, index]));
  for (const [index, step] of steps.entries()) {
    for (const [code, way] of Object.entries(step.outcomes)) {
      const target = place.get(way);
      if (target !== undefined) (target > index ? step.onward : step.back).add(code);
    }
  }
  return steps;
}

/** The steps that lead to the job of this page and back again. @param {HTMLElement} article @returns {Left} */
export function leftFor(article) {
  const line = /** @type {HTMLElement | null} */ (article.querySelector(".way-back"));
  return JSON.parse(line?.dataset.leftFrom ?? "{}");
}

/** Whether an entry is an answer that led to this job. @param {Left} left @param {Entry} entry */
export const ledHere = (left, { step, verdict }) => left[step ?? ""]?.outcomes.includes(verdict?.code ?? "") ?? false;

/** @param {HTMLElement} box @param {"means" | "judged"} what */
function ofChoice(box, what) {
  return JSON.parse(/** @type {HTMLElement | null} */ (box.querySelector(".choice[data-means]"))?.dataset[what] ?? "{}");
}

/** @param {HTMLElement} box @returns {Reads | null} */
function readsOf(box) {
  const form = /** @type {HTMLElement | null} */ (box.querySelector("form.calculator"));
  if (!form) return null;
  const { calculator = "", judges = "[]", apart, of = "", renewed } = form.dataset;
  return {
    calculator,
    judges: JSON.parse(judges),
    apart: apart !== undefined,
    of,
    derived: form.querySelector('[data-found$="#readings"]') !== null,
    renewed: renewed !== undefined,
  };
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
  return (step.per === "side" ? SIDES : AXLES)[axle] ?? [];
}

/**
 * The axle of the job's layout when each entry was made: the last layout before it, else the first one after it.
 * @param {Entry[]} standing in their order @returns {string[]} front, rear, or empty for all four wheels
 */
export function axlesThen(standing) {
  const layouts = standing.flatMap(({ kind, place, typed }, index) =>
    kind === "layout" ? [{ index, axle: place ?? typed.layout.axle ?? "" }] : [],
  );
  return standing.map((_, index) => (layouts.filter((each) => each.index < index).at(-1) ?? layouts[0])?.axle ?? "");
}

/** Whether one place holds the other: the front axle its two sides, the vehicle all. @param {Place} whole @param {Place} part */
export function covers(whole, part) {
  return whole === part || whole === "vehicle" || (SIDES[whole] ?? []).includes(part);
}

/** The step that an entry was made at, under its address of today or an earlier one. @param {Step[]} steps @param {string | null} address @returns {Step | undefined} */
export function stepAt(steps, address) {
  return steps.find((step) => step.address === address || step.was.includes(address ?? ""));
}

/** Whether an entry says that a step was worked, and how; looks, times and notes stand beside it. @param {Entry} entry */
export function isWork({ kind, typed }) {
  return kind !== "verified" && kind !== "timed" && !typed.note;
}

/** What still stands of a job, by step and place. */
export class Progress {
  /** @param {Entry[]} standing entries in the order of their times @param {string} axle @param {Step[]} steps all of the page */
  constructor(standing, axle, steps) {
    this.axle = axle;
    this.steps = steps;
    this.standing = standing;
    /** What was left unrepaired, by the entry that was beyond its limit. */
    this.unrepaired = new Map(
      standing.filter(({ typed }) => typeof typed.unrepaired === "string").map((entry) => [entry.typed.unrepaired, entry]),
    );
    this.order = new Map(standing.map(({ id }, index) => [id, index]));
    /** Where the answer stands that led to this job; what its steps share with another page is done again after it. */
    this.begun = standing.findLastIndex((entry) => ledHere(steps[0]?.leftFrom ?? {}, entry));
    this.absences = absencesOf(standing, steps);
    /** Ids of the entries that somebody looked at a second time. */
    this.verified = new Set(
      standing.filter(({ kind, typed }) => kind === "verified" && typed.look !== AFTER_INTERRUPTION).map(({ typed }) => typed.verifies),
    );
    this.pers = new Map(steps.map(({ address, per }) => [address, per]));
    /** Addresses of today by the earlier ones. */
    this.renamed = new Map(steps.flatMap(({ was, address }) => was.map((old) => [old, address])));
    /** @type {Map<string, Entry[]>} */
    this.byPlace = new Map();
    const axles = axlesThen(standing);
    for (const [index, entry] of standing.entries()) {
      for (const key of this.keysOf(entry, axles[index])) this.byPlace.set(key, [...(this.byPlace.get(key) ?? []), entry]);
    }
    const branches = branchesOf(this, steps);
    this.skips = branches.skips;
    this.repeats = branches.repeats;
  }

  /** The address that the step of an entry has today; empty where the entry belongs to no step. @param {Entry} entry */
  addressOf({ step }) {
    return this.renamed.get(step ?? "") ?? step ?? "";
  }

  /**
   * Step and places of an entry, under the step's address of today. What an earlier version signed for the vehicle, and
   * belongs to an axle or its lift, counts for the axle of the job's layout.
   * @param {Entry} entry @param {string} axleThen
   */
  keysOf(entry, axleThen) {
    const address = this.addressOf(entry);
    const per = entry.place === "vehicle" ? this.pers.get(address) : undefined;
    const places = per === "axle" || per === "lift" ? (AXLES[axleThen] ?? AXLES[""]) : [entry.place];
    return places.map((each) => `${address} ${each}`);
  }

  /** The step whose outcome leads past this one, where one does. @param {Step} step @param {Place} place @returns {Skip | null} */
  skippedBy(step, place) {
    return this.skips.get(`${step.address} ${place}`) ?? null;
  }

  /** Whether an entry was made before an outcome led back over its step, so that the step is to be done again there. @param {Entry} entry @param {Place | null} [place] */
  isRepeated(entry, place = entry.place) {
    if (this.isOfOtherWork(entry)) return true;
    const since = this.repeats.get(`${this.addressOf(entry)} ${place}`);
    return since !== undefined && (this.order.get(entry.id) ?? 0) < since;
  }

  /**
   * Whether an entry belongs to another job that shares its step: made before the answer that led to this job, or on
   * the job that a step of this page led to, where the work here goes on only afterwards.
   * @param {Entry} entry
   */
  isOfOtherWork(entry) {
    const at = this.order.get(entry.id) ?? 0;
    if (at < this.begun) return true;
    const today = this.addressOf(entry);
    const position = this.absences.length ? this.steps.findIndex(({ address }) => address === today) : -1;
    return this.absences.some(
      ({ from, left, back }) => entry.procedure !== this.steps[0].page && position >= from && at > left && at < back,
    );
  }

  /** The entry that says how a place came out. Signed with a reason or marked as not applicable, it leads nowhere. @param {Step} step @param {Place} place */
  lastJudged(step, place) {
    const entries = this.at(step.asAt || step.address, place).filter(
      (entry) => !this.isOfOtherWork(entry) && (step.asAt || !isChanged(step, entry)),
    );
    return entries.filter(({ verdict, kind }) => verdict || kind === "override" || kind === "not-applicable").at(-1);
  }

  /** @param {string} address @param {Place} place */
  at(address, place) {
    return this.byPlace.get(`${address} ${place}`) ?? [];
  }

  /** The entries of a place that count: made for the step as it reads now, and not to be done again. @param {Step} step @param {Place} place */
  counting(step, place) {
    return this.at(step.address, place).filter(
      (entry) => !isChanged(step, entry) && !this.isRepeated(entry, place) && (!step.completes || entry.procedure === step.completes),
    ); // completion is of the page
  }

  /** Whether a place of a step is settled: done, or led past. @param {Step} step @param {Place} place */
  isDone(step, place) {
    return this.isWorked(step, place, true) || this.skippedBy(step, place) !== null;
  }

  /**
   * Whether a place was worked.
   * @param {Step} step @param {Place} place
   * @param {boolean} onward whether an outcome that leads on elsewhere settles it too; a hold is not lifted by one
   */
  isWorked(step, place, onward) {
    if (step.asAt) return this.lastJudged(step, place) !== undefined;
    const entries = this.counting(step, place);
    const by = settledBy(step, entries, onward);
    return by !== null && (!step.secondLook || by.kind === "not-applicable" || this.verified.has(by.id));
  }

  /** The entry that waits for a second look. @param {Step} step @param {Place} place @returns {Entry | null} */
  waitsForLook(step, place) {
    if (!step.secondLook || this.isDone(step, place)) return null;
    return settledBy(step, this.counting(step, place), true);
  }

  /** @param {Step} step @param {Place[]} [places] */
  isAllDone(step, places = placesOf(step, this.axle)) {
    return places.every((place) => this.isDone(step, place));
  }

  /**
   * The entry that let the axle down after the lift for which a place was signed; null while it stands raised, or where
   * the step comes after the lowering.
   * @param {Step} step @param {Place} place @returns {{by: Step, entry: Entry} | null}
   */
  loweredSince(step, place) {
    const signed = step.per === "lift" ? this.counting(step, place).filter(isWork).at(-1) : undefined;
    if (!signed) return null;
    const since = this.order.get(signed.id) ?? 0;
    const found = this.steps
      .slice(this.steps.indexOf(step) + 1)
      .filter(({ endsLift }) => endsLift)
      .flatMap((by) => {
        const entry = this.counting(by, place)
          .filter(({ kind }) => kind === "done" || kind === "override")
          .at(-1);
        return entry && (this.order.get(entry.id) ?? 0) > since ? [{ by, entry }] : [];
      });
    return found.sort((a, b) => (this.order.get(a.entry.id) ?? 0) - (this.order.get(b.entry.id) ?? 0)).at(-1) ?? null;
  }

  /** Whether the step, at these places, was marked as not applicable. @param {Step} step */
  isNotApplicable(step) {
    if (step.mustBeWorked) return false;
    const places = placesOf(step, this.axle);
    return places.length > 0 && places.every((place) => this.at(step.address, place).at(-1)?.kind === "not-applicable");
  }

  /**
   * The steps that a place waits for.
   * @param {Step} step @param {Place} place
   * @returns {string[]} their numbers, or their addresses where they stand on another page
   */
  waitsFor(step, place) {
    return step.hold
      .filter((address) => {
        const other = stepAt(this.steps, address);
        if (!other) return !this.isDoneElsewhere(address);
        if (isOther(other.box)) return false;
        const places = placesOf(other, this.axle);
        const awaited = places.includes(place) ? [place] : places.filter((each) => covers(place, each) || covers(each, place));
        return !awaited.every((each) => this.isWorked(other, each, false) || this.skippedBy(other, each) !== null);
      })
      .map((address) => stepAt(this.steps, address)?.number ?? address);
  }

  /** Whether a step of another page was done: what it asks for is not known here, so its last entry decides. @param {string} address */
  isDoneElsewhere(address) {
    const places = [...this.byPlace].filter(([key]) => key.startsWith(`${address} `));
    return places.some(([, entries]) => {
      const last = entries.filter(isWork).at(-1);
      return last !== undefined && !last.typed.outcome && (!last.verdict || last.verdict.code === "within");
    });
  }
}

/** Whether a step has changed since an entry was made for it. @param {Step} step @param {Entry} entry */
export function isChanged(step, entry) {
  return entry.hash !== null && step.hash !== "" && entry.hash !== step.hash && entry.hash !== step.hashBefore;
}

/**
 * The entry by which a place is settled; null while it is open.
 * @param {Step} step @param {Entry[]} entries of one place @param {boolean} onward as for `isWorked`
 * @returns {Entry | null}
 */
function settledBy(step, entries, onward) {
  const counting = entries.filter(
    ({ kind, typed }) => !typed.note && (SETTLES.includes(kind) || step.needs.includes(kind) || typed.outcome),
  );
  const last = counting.at(-1);
  if (!last || (last.kind === "not-applicable" && step.mustBeWorked)) return null;
  if (SETTLES.includes(last.kind)) return last;
  /** @param {Entry} entry */
  const leadsOn = (entry) => onward && step.onward.has(entry.verdict?.code ?? "");
  if (last.typed.outcome) return leadsOn(last) ? last : null;
  const whole = step.needs.every((kind) => {
    const entry = counting.filter((each) => each.kind === kind && !each.typed.outcome).at(-1);
    return entry !== undefined && (isGood(step, entry) || leadsOn(entry));
  });
  return whole ? last : null;
}

/** Whether an entry finishes its step: a reading beyond a limit, or too close to tell, does not. @param {Step} step @param {Entry} entry */
export function isGood(step, entry) {
  if (!entry.verdict || !["result", "torque"].includes(entry.kind)) return true;
  if (entry.typed.choice === undefined) return entry.verdict.code === "within";
  return !["again", "stop"].includes(step.outcomes[entry.verdict.code]) && !step.returns.includes(entry.verdict.code);
}
