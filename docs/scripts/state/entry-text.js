// @ts-check
/** What an entry says in one line, on the page and on the bench sheet. */
import { sheetField } from "../store/handbook-data.js";
import { PLACE_NAMES } from "./steps.js";

/** @typedef {import("../core/entries.js").Entry} Entry */

/** @type {Record<string, (entry: Entry) => string>} */
const SAYS = {
  done: () => "signed",
  result: (entry) => {
    const { typed, understood, note } = entry;
    if (typed.choice === undefined && typed.calculator !== "wheel-end-decision") return judgedWords(entry);
    return [String(understood.shown ?? typed.choice ?? ""), typed.against && `against what was recorded: ${note}`]
      .filter(Boolean)
      .join("; ");
  },
  torque: ({ typed, understood }) => [torqueWords(typed, understood.shown), typed.tool].filter(Boolean).join(", "),
  finding: ({ typed, understood }) => String(understood.shown ?? typed.outcome ?? ""),
  text: ({ typed, understood }) =>
    String(typed.text ?? [understood.shown ?? "note", typed.note].filter(Boolean).join(": ")) +
    (typed.picture ? `, picture ${typed.picture}` : ""),
  "not-applicable": ({ note }) => `does not apply: ${note}`,
  override: ({ note }) => `signed with a reason: ${note}`,
  verified: ({ typed }) => `looked at again, ${typed.look ?? ""}`,
  timed: ({ typed }) => `timed ${typed.shown ?? ""}`,
  "called-away": () => "called away",
  back: () => "back at the job",
  complete: ({ typed }) => `${typed.not_repaired ? "closed, not repaired" : "complete"}: ${typed.shown ?? ""}`,
  layout: ({ typed }) => `layout: ${Object.values(typed.layout).join(", ")}`,
  vehicle: ({ typed }) => bySource(Object.entries(typed.values).map(([path, value]) => [sheetField(path)?.label ?? path, value])),
};

/** A verdict in the words of the shop. @type {Record<string, string>} */
const VERDICTS = {
  within: "within",
  adjust: "adjust",
  "cannot-tell": "cannot tell",
  "too-close": "too close to tell",
  beyond: "beyond the limit",
};

/** @typedef {{quantity: string, label: string, text: string, limits: {name: string, label: string, text: string}[]}} Decided */

/**
 * What decided a verdict: each quantity with its reading and the limit it was held against. Empty where the verdict
 * rests on no limit, and in records that do not say.
 * @param {Entry} entry @returns {string[]}
 */
export function decidedBy({ understood }) {
  const decided = /** @type {Decided[]} */ (Array.isArray(understood.decided) ? understood.decided : []);
  return decided
    .filter((each) => each && Array.isArray(each.limits))
    .map(
      ({ label, text, limits }) => `${small(label)} ${text}, ${limits.map((limit) => `${small(limit.label)} ${limit.text}`).join(" to ")}`,
    );
}

/** A label inside a sentence; «VIN» stays. @param {string} label */
const small = (label) => (/^[A-Z][a-z]/.test(label) ? label.charAt(0).toLowerCase() + label.slice(1) : label);

/** «wheel nut 104 N·m, target 110 N·m: beyond: 6.0 N·m low». @param {Record<string, any>} typed @param {string} judged */
export function torqueWords({ fastener, stage, actual, target }, judged) {
  const what = [String(fastener ?? "").replaceAll("-", " "), stage && stage !== "final" ? String(stage).replaceAll("-", " ") : ""]
    .filter(Boolean)
    .join(", ");
  return `${[what, actual].filter(Boolean).join(" ")}${target ? `, target ${target}` : ""}${judged ? `: ${judged}` : ""}`;
}

/**
 * A judged reading in one line: the quantity that decided, its reading, the limit, the verdict. An older record does
 * not name what decided: its own sentence stands, which names every limit.
 * @param {Entry} entry @param {Record<string, string>} [words] of the verdicts @param {string} [joint] between an older reading and its verdict
 */
export function judgedWords(entry, words = VERDICTS, joint = ", ") {
  const { understood, verdict } = entry;
  const shown = String(understood.shown ?? "");
  if (!verdict) return shown;
  const code = words[verdict.code] ?? verdict.code.replaceAll("-", " ");
  const decided = decidedBy(entry);
  // The reading that everybody looks for first stays in front, unless it is the one that decided.
  const reading = !shown || decided.some((line) => line.includes(shown)) ? "" : shown;
  if (decided.length) return [reading, `${decided.join("; ")}: ${code}`].filter(Boolean).join("; ");
  return [shown, verdict.code === "within" ? code : verdict.text.replace(/\.$/, "") || code].filter(Boolean).join(joint);
}

/** An outcome in the words of the step's page. @param {import("./steps.js").Step} step @param {string} code */
export function outcomeWords({ box }, code) {
  const name = CSS.escape(code);
  const found = box.querySelector(`.choice input[value="${name}"]`)?.closest("label") ?? box.querySelector(`[data-outcome="${name}"] > b`);
  return found?.textContent?.trim().replace(/^If |:$/g, "") || code.replaceAll("-", " ");
}

/** Values by name, each with its unit; a source that gave several is said once. @param {[string, import("../core/entries.js").Sourced][]} named */
export function bySource(named) {
  /** @type {Map<string, string[]>} */
  const found = new Map();
  for (const [name, { value, unit, source }] of named)
    found.set(source, [...(found.get(source) ?? []), `${name} ${value}${unit ? `\u00a0${unit}` : ""}`]);
  return [...found].map(([source, values]) => `${values.join(", ")} (${source})`).join("; ");
}

const NUMBERS = ["result", "torque", "vehicle"];

/** @param {Entry} entry */
export function says(entry) {
  const text = SAYS[entry.kind]?.(entry) || entry.kind;
  return NUMBERS.includes(entry.kind) ? withMinus(text) : text;
}

/** Negative numbers with a real minus; a hyphen between figures («p. 7-4») stays. @param {string} text */
export function withMinus(text) {
  return text.replace(/(^|[\s(;,:])-(?=[\d.])/g, "$1\u2212");
}

/** Clock of the entry, with its date unless it is today's. @param {{time: string}} entry @param {string} today as 2026-11-25 */
export function clock({ time }, today) {
  const [date, rest] = time.split("T");
  return date === today ? rest.slice(0, 5) : `${date} ${rest.slice(0, 5)}`;
}

/** @param {Entry["place"]} place */
export function placeName(place) {
  return place ? PLACE_NAMES[place] : "";
}
