// @ts-check
/**
 * Plain data as YAML, at once and without Python: what is typed into a form is a file's text before anything else looks at
 * it. Every scalar is quoted, as the build reads every scalar as text.
 */
import { isRecord } from "./entries.js";

/** @param {any} data an object */
export function plainYaml(data) {
  return `${block(data, "").slice(1)}\n`;
}

/** What follows a key or a hyphen. @param {any} value @param {string} pad @returns {string} */
function block(value, pad) {
  if (Array.isArray(value)) return value.length ? value.map((each) => `\n${pad}- ${block(each, `${pad}  `).trimStart()}`).join("") : " []";
  if (!isRecord(value)) return ` ${quoted(String(value ?? ""))}`;
  const entries = Object.entries(value);
  return entries.length
    ? entries.map(([key, each]) => `\n${pad}${/^[a-z][a-z0-9_-]*$/.test(key) ? key : quoted(key)}:${block(each, `${pad}  `)}`).join("")
    : " {}";
}

/** JSON's quoting is YAML's too, but for what YAML takes for the end of a line or does not print. @param {string} text */
function quoted(text) {
  return JSON.stringify(text).replace(
    /[\u007f-\u009f\u2028\u2029\ufeff]/g,
    (letter) => `\\u${letter.charCodeAt(0).toString(16).padStart(4, "0")}`,
  );
}
