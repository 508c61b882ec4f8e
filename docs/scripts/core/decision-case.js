// @ts-check
/**
 * The case of one axle, read out of a job's entries, and a decision as the record keeps it. Nothing here touches the
 * page. What Python asks for and answers with is said in calculators/decision.py.
 */
import { holds } from "./when.js";

/** @typedef {import("./entries.js").Entry} Entry */
/** @typedef {import("./entries.js").Verdict} Verdict */
/** @typedef {"left" | "right" | "axle" | "vehicle"} At */
/** @typedef {{finding: string, step: string} | {second_look: "free" | "failed", step: string}} Found */
/** @typedef {{part: string, place: string | null, look: "free" | "failed", entry: Entry}} Look how a part did when it was tried after the work on it */
/** @typedef {{verdict: Verdict | null, values: Record<string, any>, inputs: Record<string, any>, step: string}} Reading */
/** @typedef {{layout: Record<string, string>, findings: Record<string, Record<string, Found[]>>, readings: Record<string, Record<string, Reading>>}} Given */
/** @typedef {{given: Given, used: string[], left: {entry: Entry, why: string}[]}} Case used: ids of the entries looked at; left: out, and why */
/** @typedef {{action: string, finding: string, reason: string, how: string, source: string, rules: string[], steps: string[]}} Ground */
/** @typedef {{action: string, label: string, reason: string, source: string, how: string, findings: string[], rule: string, steps: string[], grounds: Ground[], second_look?: string | null}} Decided */
/** @typedef {{item: string, per: string, quantity: number, why: string, kind: string, amount: string, note: string}} Listed */
/** @typedef {{actions: Record<string, Record<string, Decided>>, parts_list: Listed[], notes: string[]}} Decision */
/** @typedef {{part: string, side: string, action: string, note: string, by: string, stands: boolean, entry: Entry}} Otherwise stands: false once other findings have come in */
/** @typedef {{part: string, label: string, side: string, action: string, reason: string, how: string}} Row */

export const DECISION = "wheel-end-decision";
export const ACTIONS = ["replace", "measure again", "service", "use again"]; // worst first, as in calculators/decision/rules.py
export const SIDES = ["left", "right"];
const CODES = ["within", "adjust", "cannot-tell", "too-close", "beyond"];
const AXLES = /** @type {Record<string, Record<string, At>>} */ ({
  front: { LF: "left", RF: "right", front: "axle", vehicle: "vehicle" },
  rear: { LR: "left", RR: "right", rear: "axle", vehicle: "vehicle" },
});
/** Pads that are held until the cause of their wear is cured: decided, and not to be looked at before. */
const HELD = "cause-not-cured";
const LONGEST = 1500; // characters of a reason in the record

/**
 * What was found and read on one axle.
 * @param {object} job
 * @param {Entry[]} job.standing in the order of their times, of all pages
 * @param {string} job.axle front or rear
 * @param {Record<string, string>} job.layout
 * @param {any} [job.rules] of the site; with them what this layout does not have is left out, and said
 * @param {(entry: Entry) => string} [job.superseded] why an entry no longer counts; empty: it does
 * @param {Look[]} [job.looks]
 * @returns {Case}
 */
export function decisionCase({ standing, axle, layout, rules, superseded = () => "", looks = [] }) {
  const given = /** @type {Given} */ ({ layout: { ...layout, axle }, findings: {}, readings: {} });
  const left = /** @type {Case["left"]} */ ([]);
  const places = AXLES[axle] ?? {};
  const latest = latestOf(standing.filter(({ place }) => place && Object.hasOwn(places, place)));
  for (const entry of latest) {
    const at = places[entry.place ?? ""];
    const why = superseded(entry) || (entry.kind === "finding" ? foreign(entry, given.layout, rules) : unreadable(entry));
    if (why) left.push({ entry, why });
    else if (entry.kind === "finding") addFindings(given, at, entry);
    else addReading(given, at, entry);
  }
  const tried = looks.filter((look) => addLook(given, places[look.place ?? ""], look));
  return { given, used: [...latest, ...tried.map(({ entry }) => entry)].map(({ id }) => id).sort(), left };
}

/** The last finding of each step and place, and the last result of each calculator and place. @param {Entry[]} entries */
function latestOf(entries) {
  /** @type {Map<string, Entry>} */
  const latest = new Map();
  for (const entry of entries) {
    const { kind, typed, step, place } = entry;
    const key =
      kind === "finding" && typeof typed.part === "string" && isTexts(typed.findings)
        ? `${step} ${typed.part}`
        : kind === "result" && typeof typed.calculator === "string" && typed.calculator !== DECISION && !typed.apart && !typed.of
          ? `= ${typed.calculator}`
          : "";
    if (key) latest.set(`${place} ${key}`, entry);
  }
  const kept = new Set(latest.values());
  return entries.filter((entry) => kept.has(entry));
}

/** @param {any} value */
const isTexts = (value) => Array.isArray(value) && value.length > 0 && value.every((item) => typeof item === "string");

/** Why a finding has no place in this layout. @param {Entry} entry @param {Record<string, string>} layout @param {any} rules */
function foreign({ typed }, layout, rules) {
  if (!rules) return "";
  const settled = { ...layout };
  for (const [axis, { when }] of Object.entries(rules.axes)) if (!(axis in settled) && holds(when, settled) === false) settled[axis] = "";
  const part = partOf(rules, typed.part);
  if (!part) return "this handbook does not judge this part";
  if (holds(part.when, settled) === false) return "this layout has no such part";
  const known = /** @type {Map<string, any>} */ (new Map(part.findings.map((/** @type {any} */ finding) => [finding.id, finding])));
  for (const id of typed.findings) {
    if (id === "cannot-tell") continue;
    if (!known.has(id)) return "this handbook no longer has this finding";
    if (holds(known.get(id).when, settled) === false) return "it does not belong to this layout";
  }
  return "";
}

/** @param {any} rules @param {string} name */
export function partOf(rules, name) {
  return rules?.parts.find((/** @type {any} */ part) => part.part === name);
}

/** @param {Entry} entry */
function unreadable({ verdict, understood }) {
  const isMap = (/** @type {any} */ value) => typeof (value ?? {}) === "object" && !Array.isArray(value);
  return (verdict && !CODES.includes(verdict.code)) || !isMap(understood.values) || !isMap(understood.inputs)
    ? "its result cannot be read"
    : "";
}

/** @param {Given} given @param {At} at @param {Entry} entry */
function addFindings(given, at, { typed, step }) {
  const parts = (given.findings[at] ??= {});
  parts[typed.part] = [
    ...(parts[typed.part] ?? []),
    ...typed.findings.map((/** @type {string} */ finding) => ({ finding, step: step ?? "" })),
  ];
}

/** A second look needs a first one; the last counts. @param {Given} given @param {At | undefined} at @param {Look} look @returns {boolean} whether it was taken in */
function addLook(given, at, { part, look, entry }) {
  const sides = (at === "axle" || at === "vehicle" ? SIDES : at ? [at] : []).filter((side) => given.findings[side]?.[part]);
  for (const side of sides) given.findings[side][part].push({ second_look: look, step: entry.step ?? "" });
  return sides.length > 0;
}

/** What holds for the axle or the vehicle holds for both sides; the newer one counts. @param {Given} given @param {At} at @param {Entry} entry */
function addReading(given, at, { typed, verdict, understood, step }) {
  const reading = { verdict, values: understood.values ?? {}, inputs: understood.inputs ?? {}, step: step ?? "" };
  for (const side of SIDES.includes(at) ? [at] : SIDES) (given.readings[side] ??= {})[typed.calculator] = reading;
}

// ---------------------------------------------------------------- the decision

/**
 * What a technician has decided otherwise, the last for each part and side.
 * @param {Entry[]} standing @param {string} axle @param {Decision | null} decision as it is worked out now
 * @returns {Otherwise[]}
 */
export function decidedOtherwise(standing, axle, decision) {
  /** @type {Map<string, Otherwise>} */
  const found = new Map();
  for (const entry of standing) {
    const { part, side, action, note, instead, findings } = entry.typed;
    if (entry.kind !== "text" || entry.place !== axle || !ACTIONS.includes(action) || !SIDES.includes(side) || typeof part !== "string")
      continue;
    const now = decision?.actions[side]?.[part];
    if (decision && !now) continue;
    const stands = !now || (now.action === instead && String(now.findings) === String(findings));
    found.set(`${side} ${part}`, { part, side, action, note: String(note), by: entry.by, stands, entry });
  }
  return [...found.values()];
}

/** Whether a part is still to be looked at or measured; pads that wait for a cause are not. @param {Decided} item */
export function isOpen({ action, grounds }) {
  return action === "measure again" && grounds.some((ground) => ground.action === action && ground.finding !== HELD);
}

/** @typedef {Decided & {part: string, side: string, open: boolean, otherwise: Otherwise | null, final: string}} Item final: the action that counts */

/** Every part and side of a decision, with what a technician decided otherwise. @param {Decision} decision @param {Otherwise[]} otherwise @returns {Item[]} */
export function itemsOf(decision, otherwise) {
  return Object.keys(decision.actions.left).flatMap((part) =>
    SIDES.map((side) => {
      const decided = decision.actions[side][part];
      const own = otherwise.find((each) => each.part === part && each.side === side) ?? null;
      const counts = own?.stands === true;
      return { ...decided, part, side, open: !counts && isOpen(decided), otherwise: own, final: counts ? own.action : decided.action };
    }),
  );
}

/**
 * The decision as the record keeps it; others read it: a page for the customer, a sheet.
 * @param {Decision} decision @param {Item[]} items @param {string[]} from ids of the entries it rests on
 */
export function decisionEntry(decision, items, from) {
  const own = items.flatMap(({ otherwise, label, side, action }) =>
    otherwise?.stands
      ? [
          `Decided otherwise, ${side} ${label}: ${otherwise.action} in place of ${action}. ${otherwise.note} The parts list is as it was worked out.`,
        ]
      : [],
  );
  const open = items.filter((item) => item.open).map(({ side, label }) => `${side} ${label}`);
  return {
    kind: "result",
    typed: { calculator: DECISION, from: from.slice(0, 1000) },
    understood: {
      shown: open.length ? `${open.length} still to be looked at; ${countLine(items)}` : `decided: ${countLine(items)}`,
      actions: items.map(rowOf),
      parts_list: decision.parts_list.map(({ item, quantity, per, why }) => ({ item, quantity, per, why: cut(why) })),
      notes: [...own, ...decision.notes].map(cut),
    },
    verdict: open.length
      ? { code: "cannot-tell", text: cut(`Still to be looked at or measured again: ${open.join(", ")}`) }
      : { code: "within", text: "decided" },
  };
}

/** @param {Item} item @returns {Row} */
function rowOf({ part, label, side, action, reason, how, otherwise }) {
  if (!otherwise?.stands) return { part, label, side, action, reason: cut(reason), how };
  const own = `${otherwise.note} (Decided by ${otherwise.by || "the technician"}; worked out: ${action}. ${reason})`;
  return { part, label, side, action: otherwise.action, reason: cut(own), how: "" };
}

/** «2 replace, 1 service». @param {{final?: string, action: string, open?: boolean}[]} items */
function countLine(items) {
  return ACTIONS.flatMap((action) => {
    const count = items.filter((item) => !item.open && (item.final ?? item.action) === action).length;
    return count ? [`${count} ${action === "measure again" ? "held" : action}`] : [];
  }).join(", ");
}

/** @param {string} text */
function cut(text) {
  const signs = Array.from(text);
  return signs.length > LONGEST ? `${signs.slice(0, LONGEST).join("")} …` : text;
}

/** Whether a recorded decision says the same as this one. @param {Entry} recorded @param {{understood: Record<string, any>}} now */
export function saysTheSame({ understood }, now) {
  return ["actions", "parts_list", "notes"].every(
    (key) => JSON.stringify(sorted(understood[key])) === JSON.stringify(sorted(now.understood[key])),
  );
}

/** A file may bring keys in another order. @param {any} value @returns {any} */
function sorted(value) {
  if (Array.isArray(value)) return value.map(sorted);
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(
    Object.keys(value)
      .sort()
      .map((key) => [key, sorted(value[key])]),
  );
}
