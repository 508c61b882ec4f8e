// @ts-check
/** What a calculator answers, as elements: verdict, values, notes, figure; and the echo of an entry. */
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

/** The first line of a verdict, worst first; its shape comes from the style sheet. @type {Record<string, string>} */
const WORDS = {
  beyond: "Beyond the limit",
  "too-close": "Too close to call",
  "cannot-tell": "Cannot tell",
  adjust: "Adjust",
  within: "Within the limits",
};

/**
 * @template {keyof HTMLElementTagNameMap} Tag
 * @param {Tag} tag @param {string} [kind] class @param {...(string | Node)} content
 * @returns {HTMLElementTagNameMap[Tag]}
 */
export function element(tag, kind, ...content) {
  const made = document.createElement(tag);
  if (kind) made.className = kind;
  made.append(...content);
  return made;
}

/**
 * @param {Result} result
 * @param {Record<string, string>} labels of the values, by name
 * @returns {Node[]}
 */
export function answer(result, labels) {
  const nodes = [];
  if (result.verdict) nodes.push(verdict(result.verdict));
  nodes.push(valuesTable(result.values, labels));
  if (result.notes?.length) {
    nodes.push(element("ul", "calculator__notes", ...result.notes.map((note) => element("li", "", note))));
  }
  const drawing = result.figure ? figure(result.figure) : null;
  if (drawing) nodes.push(element("div", "calculator__figure", drawing));
  return nodes;
}

/** @param {Verdict} verdict */
function verdict({ code, text }) {
  const known = Object.hasOwn(WORDS, code) ? code : "cannot-tell";
  return element("div", `verdict verdict--${known}`, element("p", "verdict__word", WORDS[known]), element("p", "verdict__text", text));
}

/** @param {Record<string, Value>} values @param {Record<string, string>} labels */
function valuesTable(values, labels) {
  const rows = Object.entries(values).map(([name, { value, text }]) => {
    const head = element("th", "", labels[name] ?? inWords(name));
    head.scope = "row";
    return element("tr", value === null ? "values__missing" : "", head, element("td", "", text));
  });
  const table = element("table", "values", element("tbody", "", ...rows));
  table.createCaption().append("Worked out");
  return table;
}

/** @param {string} name */
export function inWords(name) {
  const words = name.replace(/[_-]/g, " ");
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/**
 * Typed → understood → in the other system; nothing where that would only repeat the entry.
 * @param {Entry | Entry[] | undefined} entry
 * @returns {string}
 */
export function echo(entry) {
  if (!entry) return "";
  const entries = Array.isArray(entry) ? entry : [entry];
  const join = (/** @type {(entry: Entry) => string | null | undefined} */ part) => entries.map(part).filter(Boolean).join("; ");
  const understood = join((one) => one.text);
  const other = join((one) => one.other);
  if (entries.some((one) => one.default)) return `Taken as ${understood}${other ? ` → ${other}` : ""}`;
  const typed = join((one) => one.typed);
  const parts = [typed, understood, other].filter(Boolean);
  return parts.length < 3 && typed === understood ? "" : parts.join(" → ");
}
