// @ts-check
/** What a calculator answers, as elements: verdict, values, notes, figure; and the echo of an entry. */
import { capital, element, inWords } from "../lib/elements.js";
import { figure } from "./figure.js";

/** @typedef {{typed?: string, value: any, unit?: string, text: string, other?: string | null, default?: boolean}} Entry */
/** @typedef {{value: any, unit: string, text: string}} Value */
/** @typedef {{code: string, text: string}} Verdict */
/**
 * @typedef {object} Result
 * @property {string} calculator
 * @property {Record<string, Entry | Entry[]>} inputs
 * @property {Record<string, Value>} values
 * @property {Verdict | null} verdict
 * @property {string[]} notes
 * @property {string | null} figure
 */

/** A verdict's headline where its text has none, worst first; its shape comes from the style sheet. @type {Record<string, string>} */
const HEADLINES = {
  beyond: "Beyond the limit",
  "too-close": "Too close to tell",
  "cannot-tell": "Cannot tell",
  adjust: "Adjust",
  within: "Within limits",
};

/**
 * @param {Result} result
 * @param {Record<string, string>} labels of the values, by name
 * @returns {Node[]}
 */
export function answer(result, labels) {
  const nodes = [];
  if (result.verdict) nodes.push(verdict(result.verdict));
  nodes.push(...valueTables(result.values, labels));
  if (result.notes?.length) {
    nodes.push(element("ul", "calculator__notes", ...result.notes.map((note) => element("li", "", note))));
  }
  const drawing = result.figure ? figure(result.figure) : null;
  if (drawing) nodes.push(element("div", "calculator__figure", drawing));
  return nodes;
}

/** «Within limits: thinnest …» has its own headline. @param {Verdict} verdict */
export function verdict({ code, text }) {
  const known = Object.hasOwn(HEADLINES, code) ? code : "cannot-tell";
  const [, own, rest] = text.match(/^([^:]{1,40}): (.+)$/s) ?? [];
  const headline = element("p", "verdict__word", own ?? HEADLINES[known]);
  return element("div", `verdict verdict--${known}`, headline, element("p", "verdict__text", capital(rest ?? text)));
}

/** What was worked out; then, folded away, what still needs an entry. @param {Record<string, Value>} values @param {Record<string, string>} labels */
function valueTables(values, labels) {
  const rows = Object.entries(values).map(([name, { value, text }]) => {
    const head = element("th", "", labels[name] ?? inWords(name));
    head.scope = "row";
    return { known: value !== null, row: element("tr", "", head, element("td", "", text)) };
  });
  const known = rows.filter((row) => row.known).map(({ row }) => row);
  const open = rows.filter((row) => !row.known).map(({ row }) => row);
  const nodes = [];
  if (known.length) nodes.push(element("table", "values", element("tbody", "", ...known)));
  if (open.length) {
    const summary = element("summary", "", `Not worked out: ${open.length}`);
    const table = element("table", "values values--open", element("tbody", "", ...open));
    nodes.push(element("details", "calculator__open", summary, table));
  }
  return nodes;
}

/**
 * Typed → understood → in the other system; nothing where that would only repeat the entry.
 * @param {Entry | Entry[] | undefined} entry
 * @returns {string}
 */
export function echo(entry) {
  if (!entry) return "";
  const entries = Array.isArray(entry) ? entry : [entry];
  const understood = list(entries.map((one) => one.text));
  const other = list(entries.map((one) => one.other ?? ""));
  if (entries.some((one) => one.default)) return `Taken as ${understood}${other ? ` → ${other}` : ""}`;
  const typed = list(entries.map((one) => one.typed ?? ""));
  // Eight readings are not said twice where only the unit was added.
  const same = entries.every((one) => bare(one.typed ?? "") === bare(one.text)) || (entries.length > 1 && understood.startsWith(typed));
  const parts = [same ? "" : typed, understood, other].filter(Boolean);
  return parts.length > 1 || !same ? parts.join(" → ") : "";
}

/** Without its spaces: «3.0 mm» as typed has a plain one, as understood one that holds the unit. @param {string} text */
const bare = (text) => text.replace(/\s/g, "");

/** «24.1 mm; 24.0 mm» is said as «24.1; 24.0 mm», as it is written in a shop. @param {string[]} texts */
function list(texts) {
  const unit = texts[0]?.match(/\u00a0\D+$/)?.[0];
  const shared = unit && texts.every((text) => text.endsWith(unit));
  return texts
    .map((text, at) => (shared && at < texts.length - 1 ? text.slice(0, -unit.length) : text))
    .filter(Boolean)
    .join("; ");
}
