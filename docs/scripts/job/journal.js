// @ts-check
/** The open job: its entries, who writes them, and the one way to append. Other tabs and the store stay in step with it. */
import { entryProblem, newEntry, newId, now, standing } from "../core/entries.js";
import { metaContent } from "../store/handbook-data.js";
import { addJob, append, entriesOf, jobs, keepSetting, merge, onKeeping, onOtherTab, setting, tellOtherTabs } from "../store/job-store.js";

/** @typedef {import("../core/entries.js").Job} Job */
/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../state/steps.js").Step} Step */
/** @typedef {import("../core/entries.js").Place} Place */

/** @type {Job | null} */
let job = null;
/** @type {Entry[]} */
let entries = [];
let technician = "";
/** Whether another tab has the same job open. */
let twice = false;
/** Ids of entries that only the memory of this page holds. @type {Set<string>} */
const unsaved = new Set();
/** What is on its way to the disk, by step and place. @type {Set<string>} */
const underWay = new Set();
/** @type {Set<() => void>} */
const listeners = new Set();

export const openJob = () => job;
export const allEntries = () => entries;
export const standingEntries = () => standing(entries);
export const technicianName = () => technician;
export const isOpenTwice = () => twice;
/** @param {Entry} entry */
export const isUnsaved = (entry) => unsaved.has(entry.id);
/** @param {string | null} step @param {string | null} place */
export const isUnderWay = (step, place) => underWay.has(`${step} ${place}`);

/** @param {() => void} listener called after every change */
export function onJournal(listener) {
  listeners.add(listener);
}

function changed() {
  for (const listener of listeners) listener();
}

/** Take up the job that was open last. */
export async function resume() {
  onOtherTab(async (id, said) => {
    if (id !== job?.id) return;
    if (said) twice = true;
    if (said === "opened") tellOtherTabs(id, "here");
    if (said) changed();
    else await reload();
  });
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible" && job) reload();
  });
  let away = false; // whether the store was
  onKeeping(({ disk }) => {
    if (disk && unsaved.size) unsaved.clear();
    changed();
    if (disk && away && !job) takeLast();
    away = !disk;
  });
  await takeLast();
}

async function takeLast() {
  technician ||= await setting("technician");
  const id = await setting("job");
  const last = (await jobs()).find((each) => each.id === id);
  if (last && !job) await take(last);
}

async function reload() {
  if (!job) return;
  const found = new Map((await entriesOf(job.id)).map((entry) => [entry.id, entry]));
  for (const entry of entries) if (!found.has(entry.id)) found.set(entry.id, entry);
  if (found.size !== entries.length) {
    entries = [...found.values()];
    changed();
  }
}

/** @param {Job} next */
export async function take(next) {
  job = next;
  entries = await entriesOf(next.id);
  keepSetting("job", next.id);
  twice = false;
  tellOtherTabs(next.id, "opened");
  changed();
}

/** @param {string} vehicle as the shop calls it */
export async function newJob(vehicle) {
  const started = now();
  const name = `${vehicle || "Job"} ${started.slice(0, 10)}${vehicle ? "" : ` ${started.slice(11, 16)}`}`;
  const made = { id: newId(), name, vehicle, started };
  await addJob(made);
  await take(made);
}

/** @param {Job} given @param {Entry[]} all @returns {Promise<number>} how many entries were new */
export async function takeFile(given, all) {
  const fresh = await merge(given, all);
  await take((await jobs()).find((each) => each.id === given.id) ?? given);
  return fresh;
}

/** @param {string} name */
export function setTechnician(name) {
  technician = name;
  keepSetting("technician", name);
  changed();
}

/**
 * Append an entry to the open job.
 * @param {Partial<Entry> & {kind: string}} given
 * @returns {Promise<string>} what is wrong with it, in one line, or ""
 */
export async function record(given) {
  if (!job) return "Start a job first: entries are kept in it.";
  const article = /** @type {HTMLElement | null} */ (document.querySelector("article.procedure"));
  const revision = Number(article?.dataset.revision);
  const entry = newEntry({
    procedure: article?.dataset.procedure ?? null,
    revision: Number.isInteger(revision) && revision > 0 ? revision : null,
    build: metaContent("build").slice(0, 200),
    by: technician,
    ...given,
    job: job.id,
  });
  const problem = entryProblem(entry);
  if (problem) return `Not recorded: ${problem}. A text may hold 4000 characters.`;
  const key = `${entry.step} ${entry.place}`;
  underWay.add(key);
  changed();
  const kept = await append(entry);
  underWay.delete(key);
  if (entry.job === job?.id && !entries.some(({ id }) => id === entry.id)) entries = [...entries, entry];
  if (!kept) unsaved.add(entry.id);
  changed();
  return "";
}

/** @param {Step} step @param {Place} place @param {Partial<Entry> & {kind: string}} given */
export function recordAt(step, place, given) {
  const earlier = entries.filter((entry) => entry.step === step.address && entry.place === place && entry.kind === given.kind);
  return record({ step: step.address, hash: step.hash || null, place, try: Math.min(earlier.length + 1, 1000), ...given });
}

/** Withdraw an entry: it stays in the job, and no longer counts. @param {Entry} entry */
export function withdraw(entry) {
  return record({ kind: "withdrawn", step: entry.step, hash: entry.hash, place: entry.place, typed: { withdraws: entry.id } });
}
