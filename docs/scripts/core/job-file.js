// @ts-check
/**
 * A job as a file: `{format, checksum, job, entries}`. The checksum is SHA-256 over the canonical JSON (RFC 8785) of
 * everything but itself. `crypto.subtle` is missing over plain http, hence the library.
 */
import { sha256 } from "@noble/hashes/sha2.js";
import { entryProblem, hasOnly, hex, inOrder, jobProblem } from "./entries.js";

/** @typedef {import("./entries.js").Job} Job */
/** @typedef {import("./entries.js").Entry} Entry */

export const FORMAT = "wheel-end-job/1";
const LARGEST_FILE = 20_000_000;
const MOST_ENTRIES = 20_000;
const EXPECTED = "Open a file that the handbook saved, such as job-2026-11-25-demo-a.json.";

/** Why a file was refused, in one line. */
export class JobFileError extends Error {}

/**
 * Canonical JSON by RFC 8785.
 * @param {any} value
 * @returns {string}
 */
export function canonical(value) {
  if (Array.isArray(value)) return `[${value.map(canonical).join(",")}]`;
  if (typeof value === "object" && value !== null) {
    // The default order of sort() is by UTF-16 units, as the RFC wants it.
    const keys = Object.keys(value).sort();
    return `{${keys.map((key) => `${JSON.stringify(key)}:${canonical(value[key])}`).join(",")}}`;
  }
  return JSON.stringify(value);
}

/** @param {{format: string, job: any, entries: any}} content @returns {string} */
export function checksum({ format, job, entries }) {
  const digest = sha256(new TextEncoder().encode(canonical({ format, job, entries })));
  return `sha256:${hex(digest)}`;
}

/**
 * The text of a job's file.
 * @param {Job} job
 * @param {Entry[]} entries
 */
export function writeJob(job, entries) {
  const content = { format: FORMAT, job, entries: inOrder(entries) };
  return `${JSON.stringify({ ...content, checksum: checksum(content) }, null, 1)}\n`;
}

/** @param {Job} job */
export function fileName(job) {
  const words = job.vehicle
    .normalize("NFKD")
    .replace(/\p{M}/gu, "")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 40);
  return `job-${job.started.slice(0, 10)}-${words ? `${words}-` : ""}${job.id.slice(0, 6)}.json`;
}

/**
 * The job in a file. Everything is checked before anything is handed back.
 * @param {string} text
 * @returns {{job: Job, entries: Entry[]}}
 */
export function readJob(text) {
  if (text.length > LARGEST_FILE) throw new JobFileError(`The file is larger than 20 MB. ${EXPECTED}`);
  let content;
  try {
    content = JSON.parse(text);
  } catch {
    throw new JobFileError(`The file is not whole JSON: it was cut off, or is something else. ${EXPECTED}`);
  }
  const other = otherMake(content?.format);
  if (other) throw new JobFileError(other);
  if (content?.format !== FORMAT) throw new JobFileError(`The file is no job file: it does not say "format": "${FORMAT}". ${EXPECTED}`);
  if (!hasOnly(content, ["format", "checksum", "job", "entries"])) {
    throw new JobFileError(`The file does not hold exactly format, checksum, job and entries. ${EXPECTED}`);
  }
  const problem = jobProblem(content.job) ?? entriesProblem(content.entries, content.job.id);
  if (problem) throw new JobFileError(`The file was refused: ${problem}. ${EXPECTED}`);
  if (checksum(content) !== content.checksum) {
    throw new JobFileError(
      "The file was refused: its checksum does not match, so it was changed or damaged after it was saved. Save the job to a file again.",
    );
  }
  return { job: content.job, entries: content.entries };
}

/** The job in a file that was chosen; what is wrong names the file. @param {File} file */
export async function readJobFile(file) {
  if (file.size > LARGEST_FILE) throw new JobFileError(`${file.name}: The file is larger than 20 MB. Open a file that the handbook saved.`);
  try {
    return readJob(await file.text());
  } catch (error) {
    throw error instanceof JobFileError ? new JobFileError(`${file.name}: ${error.message}`) : error;
  }
}

/** That a job file is of a newer or an older make than this handbook reads; "" where it is of this one, or no job file. @param {any} said */
function otherMake(said) {
  const [kind, ours] = FORMAT.split("/");
  const theirs = typeof said === "string" && said !== FORMAT ? said.match(new RegExp(`^${kind}/([0-9]{1,6})$`))?.[1] : undefined;
  if (theirs === undefined) return "";
  return Number(theirs) > Number(ours)
    ? `The file is of a newer make (${said}) than this handbook reads (${FORMAT}). Open it with the handbook that saved it, or use that version here.`
    : `The file is of an older make (${said}) than this handbook reads (${FORMAT}). Open it with the handbook that saved it, and save it again with one in between.`;
}

/** @param {any} entries @param {string} job */
function entriesProblem(entries, job) {
  if (!Array.isArray(entries) || entries.length > MOST_ENTRIES) return `entries is not a list of at most ${MOST_ENTRIES}`;
  const seen = new Set();
  for (const [number, entry] of entries.entries()) {
    const problem = entryProblem(entry);
    if (problem) return `entries[${number}]: ${problem}`;
    if (entry.job !== job) return `entries[${number}] belongs to another job`;
    if (seen.has(entry.id)) return `entries[${number}] repeats an id`;
    seen.add(entry.id);
  }
  return null;
}
