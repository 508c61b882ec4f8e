// @ts-check
/**
 * Entries of a job: how one is made, what makes it sound, and which of them still stand.
 *
 * build_tools/jobs/job_record.py owns the schema; the checks here are the same (tests/jobs/test_job_record.py tries both). They
 * are needed because other pages opened from disk can write into the same store, and a file can come from anywhere.
 */

/** @typedef {"LF" | "RF" | "LR" | "RR" | "front" | "rear" | "vehicle"} Place */
/** @typedef {{code: string, text: string}} Verdict */
/** @typedef {{value: string, unit: string | null, source: string}} Sourced */
/** @typedef {{id: string, name: string, vehicle: string, started: string}} Job */
/**
 * @typedef {object} Entry
 * @property {string} id
 * @property {string} job
 * @property {string} time
 * @property {string | null} procedure
 * @property {number | null} revision
 * @property {string} build
 * @property {string | null} step
 * @property {string | null} hash
 * @property {Place | null} place
 * @property {number} try
 * @property {string} kind
 * @property {Record<string, any>} typed
 * @property {Record<string, any>} understood
 * @property {Record<string, any>} limits
 * @property {Verdict | null} verdict
 * @property {string} by
 * @property {string} note
 */

export const PLACES = ["LF", "RF", "LR", "RR", "front", "rear", "vehicle"];
export const KINDS = [
  "done",
  "result",
  "torque",
  "finding",
  "text",
  "not-applicable",
  "override",
  "verified",
  "timed",
  "called-away",
  "back",
  "complete",
  "withdrawn",
  "layout",
  "vehicle",
];
const WITH_STEP = ["done", "result", "torque", "finding", "text", "not-applicable", "override", "verified", "timed"];
/** Kinds that name another entry, and under which key of `typed`. @type {Record<string, string>} */
const OF_ANOTHER = { withdrawn: "withdraws", verified: "verifies" };
const LONGEST_TEXT = 4000;
const LONGEST_LINE = 200;
const DEEPEST = 8;
const KEY = /^[A-Za-z0-9_.:-]{1,80}$/;
const HEX32 = /^[0-9a-f]{32}$/;
const SLUG = /^[a-z0-9]+(-[a-z0-9]+)*$/;
const TIME = /^(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d):(\d\d)(\.\d{1,3})?([+-]\d\d:\d\d|Z)$/;

/** Two hex digits a byte. @param {Uint8Array} bytes */
export const hex = (bytes) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");

/** 16 random bytes in hex; `randomUUID` is missing over plain http. */
export function newId() {
  return hex(crypto.getRandomValues(new Uint8Array(16)));
}

/** Now, in ISO 8601 with the offset of this machine's clock. */
export function now(date = new Date()) {
  const offset = -date.getTimezoneOffset();
  const local = new Date(date.getTime() + offset * 60_000).toISOString().slice(0, -1);
  const two = (/** @type {number} */ n) => String(n).padStart(2, "0");
  const minutes = Math.abs(offset);
  return `${local}${offset < 0 ? "-" : "+"}${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
}

/**
 * A fresh entry. What is left out is empty.
 * @param {Partial<Entry> & {job: string, kind: string, build: string}} given
 * @returns {Entry}
 */
export function newEntry(given) {
  const empty = {
    procedure: null,
    revision: null,
    step: null,
    hash: null,
    place: null,
    try: 1,
    typed: {},
    understood: {},
    limits: {},
    verdict: null,
    by: "",
    note: "",
  };
  return { ...empty, ...given, id: newId(), time: now() };
}

/**
 * What is wrong with an entry, in one line; null if it is sound.
 * @param {any} entry
 * @returns {string | null}
 */
export function entryProblem(entry) {
  if (!isRecord(entry)) return "an entry is a mapping";
  const checks = entryChecks();
  for (const key of Object.keys(entry)) if (!Object.hasOwn(checks, key)) return `unknown key ${key.slice(0, 40)}`;
  for (const [key, sound] of Object.entries(checks)) {
    if (!Object.hasOwn(entry, key)) return `${key} is missing`;
    if (!sound(entry[key])) return `${key} is not as expected`;
  }
  return kindProblem(/** @type {Entry} */ (entry));
}

/** @returns {Record<string, (value: any) => boolean>} */
function entryChecks() {
  return {
    id: (v) => isText(v) && HEX32.test(v),
    job: (v) => isText(v) && HEX32.test(v),
    time: isTime,
    procedure: (v) => v === null || isSlug(v),
    revision: (v) => v === null || isCount(v, 1_000_000),
    build: isLine,
    step: (v) => v === null || (isText(v, 160) && /^[a-z0-9-]+\/[a-z0-9-]+$/.test(v)),
    hash: (v) => v === null || (isText(v) && /^[0-9a-f]{12}$/.test(v)),
    place: (v) => v === null || PLACES.includes(v),
    try: (v) => isCount(v, 1000),
    kind: (v) => KINDS.includes(v),
    typed: isPlainRecord,
    understood: isPlainRecord,
    limits: isPlainRecord,
    verdict: (v) => v === null || (hasOnly(v, ["code", "text"]) && isSlug(v.code) && isText(v.text)),
    by: isLine,
    note: (v) => isText(v),
  };
}

/** @param {Entry} entry */
function kindProblem(entry) {
  const { kind, typed } = entry;
  if (WITH_STEP.includes(kind) && (entry.step === null || entry.place === null)) {
    return `an entry of kind ${kind} names its step and its place`;
  }
  if ((kind === "override" || kind === "not-applicable") && !entry.note.trim()) {
    return `an entry of kind ${kind} gives its reason in note`;
  }
  const other = OF_ANOTHER[kind];
  if (other && !(isText(typed[other]) && HEX32.test(typed[other]))) return `an entry of kind ${kind} names the entry in typed.${other}`;
  if (kind === "layout" && !(isRecord(typed.layout) && Object.values(typed.layout).every((v) => isText(v)))) {
    return "an entry of kind layout holds axis: value in typed.layout";
  }
  if (kind === "vehicle" && !(isRecord(typed.values) && Object.values(typed.values).every(isSourced))) {
    return "an entry of kind vehicle holds path: {value, unit, source} in typed.values";
  }
  return null;
}

/** @param {any} job @returns {string | null} */
export function jobProblem(job) {
  if (!hasOnly(job, ["id", "name", "vehicle", "started"])) return "a job holds id, name, vehicle and started";
  if (!isText(job.id) || !HEX32.test(job.id)) return "job.id is not as expected";
  if (!isLine(job.name) || !job.name) return "job.name is not as expected";
  if (!isLine(job.vehicle)) return "job.vehicle is not as expected";
  return isTime(job.started) ? null : "job.started is not a time with its offset";
}

/** @param {any} value */
export function isSourced(value) {
  return (
    hasOnly(value, ["value", "unit", "source"]) &&
    isText(value.value) &&
    isText(value.source) &&
    (value.unit === null || isText(value.unit))
  );
}

/** @param {any} value @returns {value is Record<string, any>} */
export function isRecord(value) {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/** @param {any} value @param {string[]} keys */
export function hasOnly(value, keys) {
  return isRecord(value) && Object.keys(value).length === keys.length && keys.every((key) => Object.hasOwn(value, key));
}

/** @param {any} value */
function isPlainRecord(value) {
  return isRecord(value) && isPlain(value, 1);
}

/** @param {any} value @param {number} depth @returns {boolean} */
function isPlain(value, depth) {
  if (depth > DEEPEST) return false;
  if (Array.isArray(value)) return value.length <= 1000 && value.every((item) => isPlain(item, depth + 1));
  if (isRecord(value)) return Object.entries(value).every(([key, item]) => KEY.test(key) && isPlain(item, depth + 1));
  if (typeof value === "string") return isText(value);
  if (typeof value === "number") return Number.isSafeInteger(value) || (Number.isFinite(value) && !Number.isInteger(value));
  return value === null || typeof value === "boolean";
}

/** @param {any} value @param {number} [longest] characters */
function isText(value, longest = LONGEST_TEXT) {
  if (typeof value !== "string" || /\p{Surrogate}/u.test(value)) return false;
  return value.length <= longest || Array.from(value).length <= longest;
}

/** @param {any} value */
function isLine(value) {
  return isText(value, LONGEST_LINE);
}

/** @param {any} value */
function isSlug(value) {
  return isText(value, 80) && SLUG.test(value);
}

/** @param {any} value @param {number} most */
function isCount(value, most) {
  return Number.isInteger(value) && value >= 1 && value <= most;
}

/** @param {any} value */
function isTime(value) {
  const parts = typeof value === "string" ? TIME.exec(value) : null;
  if (!parts || Number.isNaN(Date.parse(value))) return false;
  const [year, month, day] = parts.slice(1, 4).map(Number);
  const date = new Date(Date.UTC(year, month - 1, day));
  return year >= 1 && date.getUTCMonth() === month - 1 && date.getUTCDate() === day && Number(parts[4]) < 24;
}

/**
 * Entries in the order of their times, without those that were withdrawn and the withdrawals themselves.
 * @param {Entry[]} entries
 * @returns {Entry[]}
 */
export function standing(entries) {
  const withdrawn = new Set(entries.filter((entry) => entry.kind === "withdrawn").map((entry) => entry.typed.withdraws));
  return inOrder(entries).filter((entry) => entry.kind !== "withdrawn" && !withdrawn.has(entry.id));
}

/** @param {Entry[]} entries @returns {Entry[]} */
export function inOrder(entries) {
  return [...entries].sort((a, b) => Date.parse(a.time) - Date.parse(b.time) || (a.id < b.id ? -1 : 1));
}
