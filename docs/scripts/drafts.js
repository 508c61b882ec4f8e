// @ts-check
/** What is typed and not yet recorded: kept field by field, and put back after a reload. */
import { drafts, keepDraft } from "./record.js";

/** @typedef {HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement} Control */

/** A reload ends a write under way, so until the store has a text it stands here too: this tab's, and written at once. */
const STASH = "wheel-end-handbook:drafts";

/** Of the open job, or "-" before one is started. */
let owner = "-";
let page = "";
/** Newest text of each field that the store does not have yet. @type {Map<string, string>} */
const waiting = new Map();
/** What the store refused. @type {Map<string, string>} */
const refused = new Map();
/** @type {Promise<void> | null} */
let writing = null;

/** Keep every entry of the page's steps as it is typed. @param {HTMLElement} article */
export function startDrafts(article) {
  page = article.dataset.procedure ?? "";
  for (const [key, text] of stashed()) waiting.set(key, text);
  article.addEventListener("input", ({ target }) => {
    const key = target instanceof HTMLElement ? keyOf(target) : "";
    if (!key) return;
    const control = /** @type {Control} */ (target);
    if (control instanceof HTMLInputElement && control.type === "radio") {
      for (const other of siblings(control)) waiting.set(`${owner}/${page}/${keyOf(other)}`, "");
    }
    waiting.set(`${owner}/${page}/${key}`, textOf(control));
    stash();
    write();
  });
}

/** @param {HTMLInputElement} radio @returns {HTMLInputElement[]} */
function siblings(radio) {
  return Array.from(radio.closest(".step")?.querySelectorAll("input[type=radio]") ?? []);
}

/** Keep what is no entry of a step, a tick or a running timer, so that a reload in the same moment loses none of it. @param {string} key @param {string} text */
export function keepAtOnce(key, text) {
  waiting.set(key, text);
  stash();
  write();
}

/** The drafts under a prefix, once what a reload cut off is written. @param {string} prefix */
export async function keptDrafts(prefix) {
  await write();
  return drafts(prefix);
}

/** One write at a time; what is typed meanwhile goes with the next. */
function write() {
  writing ??= writeAll().finally(() => (writing = null));
  return writing;
}

async function writeAll() {
  while (waiting.size) {
    const batch = [...waiting];
    await Promise.all(batch.map(async ([key, text]) => {
      if (await keepDraft(key, text)) refused.delete(key);
      else refused.set(key, text);
    }));
    for (const [key, text] of batch) if (waiting.get(key) === text) waiting.delete(key);
    stash();
  }
}

function stash() {
  try {
    const all = [...refused, ...waiting];
    if (all.length) sessionStorage.setItem(STASH, JSON.stringify(all));
    else sessionStorage.removeItem(STASH);
  } catch {
    // Refused or full: the store alone has to do.
  }
}

/** @returns {[string, string][]} */
function stashed() {
  try {
    const found = JSON.parse(sessionStorage.getItem(STASH) ?? "[]");
    return found.filter((/** @type {any} */ pair) => Array.isArray(pair) && pair.length === 2 && pair.every((text) => typeof text === "string"));
  } catch {
    return [];
  }
}

/**
 * Put back what was typed for a job; what was typed before the job was started goes along with it.
 * @param {HTMLElement} article @param {string} job id, or "-" for none
 */
export async function restoreDrafts(article, job) {
  const before = owner;
  owner = job;
  await write();
  if (before === "-" && job !== "-") await moveDrafts();
  const kept = await drafts(`${owner}/${page}/`);
  for (const control of controls(article)) {
    const text = kept.get(`${owner}/${page}/${keyOf(control)}`) ?? "";
    if (text) put(control, text);
  }
}

async function moveDrafts() {
  for (const [key, text] of await drafts(`-/${page}/`)) {
    if (!text) continue;
    await keepDraft(`${owner}/${key.slice(2)}`, text);
    await keepDraft(key, "");
  }
}

/** @param {HTMLElement} article @returns {Control[]} */
function controls(article) {
  return Array.from(article.querySelectorAll(".step :is(input, select, textarea)"));
}

/** A field's name within the page, stable when steps before it are added; "" for what is no entry. @param {HTMLElement} control */
function keyOf(control) {
  const step = /** @type {HTMLElement | null} */ (control.closest(".step[data-step]"));
  if (!step || control.closest(".keep, .decision__parts") || !control.matches("input, select, textarea")) return "";
  const { name, value, type } = /** @type {HTMLInputElement} */ (control);
  return `${step.dataset.step}#${type === "checkbox" || type === "radio" ? `=${value}` : name}`;
}

/** @param {Control} control */
function textOf(control) {
  if (control instanceof HTMLInputElement && ["checkbox", "radio"].includes(control.type)) return control.checked ? "on" : "";
  // What the sheet filled in comes from the sheet again.
  return control.value === control.dataset.sheet ? "" : control.value;
}

/** @param {Control} control @param {string} text */
function put(control, text) {
  if (control instanceof HTMLInputElement && ["checkbox", "radio"].includes(control.type)) control.checked = true;
  else control.value = text;
  control.dispatchEvent(new Event("input", { bubbles: true }));
}
