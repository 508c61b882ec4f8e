// @ts-check
/** What an entry says in one line, on the page and on the bench sheet. */
import { sheetField } from "./handbook.js";
import { PLACE_NAMES } from "./steps.js";

/** @typedef {import("./entries.js").Entry} Entry */

/** @type {Record<string, (entry: Entry) => string>} */
const SAYS = {
  done: () => "signed",
  result: ({ typed, understood, verdict }) =>
    typed.choice === undefined && typed.calculator !== "wheel-end-decision"
      ? [understood.shown, verdict && verdict.code.replaceAll("-", " ")].filter(Boolean).join(", ")
      : String(understood.shown ?? typed.choice ?? ""),
  torque: ({ typed, understood }) => [typed.actual, understood.shown, typed.tool].filter(Boolean).join(", "),
  finding: ({ typed, understood }) => String(understood.shown ?? typed.outcome ?? ""),
  text: ({ typed, understood }) =>
    String(typed.text ?? [understood.shown ?? "note", typed.note].filter(Boolean).join(": ")) + (typed.picture ? `, picture ${typed.picture}` : ""),
  "not-applicable": ({ note }) => `does not apply: ${note}`,
  override: ({ note }) => `signed with a reason: ${note}`,
  verified: ({ typed }) => `looked at again, ${typed.look ?? ""}`,
  timed: ({ typed }) => `timed ${typed.shown ?? ""}`,
  "called-away": () => "called away",
  back: () => "back at the job",
  complete: ({ typed }) => `complete: ${typed.shown ?? ""}`,
  layout: ({ typed }) => `layout: ${Object.values(typed.layout).join(", ")}`,
  vehicle: ({ typed }) => bySource(Object.entries(typed.values).map(([path, value]) => [sheetField(path)?.label ?? path, value])),
};

/** An outcome in the words of the step's page. @param {import("./steps.js").Step} step @param {string} code */
export function outcomeWords({ box }, code) {
  const name = CSS.escape(code);
  const found = box.querySelector(`.choice input[value="${name}"]`)?.closest("label") ?? box.querySelector(`[data-outcome="${name}"] > b`);
  return found?.textContent?.trim().replace(/^If |:$/g, "") || code.replaceAll("-", " ");
}

/** Values by name, each with its unit; a source that gave several is said once. @param {[string, import("./entries.js").Sourced][]} named */
export function bySource(named) {
  /** @type {Map<string, string[]>} */
  const found = new Map();
  for (const [name, { value, unit, source }] of named) found.set(source, [...(found.get(source) ?? []), `${name} ${value}${unit ? `\u00a0${unit}` : ""}`]);
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
