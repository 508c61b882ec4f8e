// @ts-check
/** What is typed and not yet recorded: kept field by field, and put back after a reload. */
import { drafts, keepDraft } from "./job-store.js";

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
/** Fields typed in since the last restoring began: what was kept of them is older. @type {Set<string>} */
const touched = new Set();
/** Whether the fields are being filled in from what is kept, which is no typing. */
let restoring = false;

/** Keep every entry of the page's steps as it is typed. @param {HTMLElement} article */
export function startDrafts(article) {
  page = article.dataset.procedure ?? "";
  takeStash();
  article.addEventListener("input", ({ target }) => {
    const key = target instanceof HTMLElement ? keyOf(target) : "";
    if (!key) return;
    if (restoring) return;
    const control = /** @type {Control} */ (target);
    if (control instanceof HTMLInputElement && control.type === "radio") {
      for (const other of siblings(control)) {
        touched.add(keyOf(other));
        waiting.set(`${owner}/${page}/${keyOf(other)}`, "");
      }
    }
    touched.add(key);
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
  takeStash();
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
    await Promise.all(
      batch.map(async ([key, text]) => {
        if (await keepDraft(key, text)) refused.delete(key);
        else refused.set(key, text);
      }),
    );
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

let stashTaken = false;

/** What a reload cut off goes first; what was typed since is newer. */
function takeStash() {
  if (stashTaken) return;
  stashTaken = true;
  for (const [key, text] of stashed()) if (!waiting.has(key)) waiting.set(key, text);
}

/** @returns {[string, string][]} */
function stashed() {
  try {
    const found = JSON.parse(sessionStorage.getItem(STASH) ?? "[]");
    return found.filter(
      (/** @type {any} */ pair) => Array.isArray(pair) && pair.length === 2 && pair.every((text) => typeof text === "string"),
    );
  } catch {
    return [];
  }
}

/**
 * Put back what was typed for a job; what was typed before the job was started goes along with it. What was typed for
 * another job leaves the fields, and stays kept with that job.
 * @param {HTMLElement} article @param {string} job id, or "-" for none
 */
export async function restoreDrafts(article, job) {
  const before = owner;
  touched.clear();
  owner = job;
  if (before !== "-" && before !== job) fillIn(controls(article), new Map());
  await write();
  if (before === "-" && job !== "-") await moveDrafts();
  await restore(article);
}

/** Put back what was typed into fields that came to the page since, such as those of a form that is unfolded. @param {HTMLElement} box */
export async function restoreInto(box) {
  await write();
  await restore(box, true);
}

/** @param {HTMLElement} within @param {boolean} [all] also the fields of which nothing is kept, which then are empty */
async function restore(within, all = false) {
  const of = owner;
  const kept = await drafts(`${of}/${page}/`);
  if (of !== owner) return; // another job was taken up meanwhile
  const given = new Map([...kept].map(([key, text]) => [key.slice(`${of}/${page}/`.length), text]));
  const fields = () => controls(within).filter((control) => all || given.get(keyOf(control)));
  const first = fields();
  fillIn(first, given);
  // A value that was typed in brings a field for where it is from.
  fillIn(
    fields().filter((control) => !first.includes(control)),
    given,
  );
}

/** @param {Control[]} fields @param {Map<string, string>} given by key; what is not in it becomes empty */
function fillIn(fields, given) {
  restoring = true;
  for (const control of fields) if (!touched.has(keyOf(control))) put(control, given.get(keyOf(control)) ?? "");
  restoring = false;
}

async function moveDrafts() {
  for (const [key, text] of await drafts(`-/${page}/`)) {
    if (!text) continue;
    if (!touched.has(key.slice(`-/${page}/`.length))) await keepDraft(`${owner}/${key.slice(2)}`, text);
    await keepDraft(key, "");
  }
}

/** @param {HTMLElement} article @returns {Control[]} */
function controls(article) {
  const all = /** @type {Control[]} */ (Array.from(article.querySelectorAll(":is(input, select, textarea)")));
  return all.filter((control) => keyOf(control));
}

/**
 * A field's name within the page, stable when steps before it are added; "" for what is no entry. A value that a step only
 * shows has no name of its own, and is known by where it is from.
 * @param {HTMLElement} control
 */
function keyOf(control) {
  const step = /** @type {HTMLElement | null} */ (control.closest(".step[data-step]"));
  if (!step || control.closest(".decision__parts") || !control.matches("input:not([type=file]), select, textarea")) return "";
  const { name, value, type } = /** @type {HTMLInputElement} */ (control);
  if (type === "checkbox" || type === "radio") return `${step.dataset.step}#=${value}`;
  const known = name || /** @type {HTMLElement | null} */ (control.closest("[data-from]"))?.dataset.from;
  return known ? `${step.dataset.step}#${known}` : "";
}

/** @param {Control} control */
function textOf(control) {
  if (control instanceof HTMLInputElement && ["checkbox", "radio"].includes(control.type)) return control.checked ? "on" : "";
  // What the sheet filled in comes from the sheet again.
  return control.value === control.dataset.sheet ? "" : control.value;
}

/** @param {Control} control @param {string} text */
function put(control, text) {
  if (control instanceof HTMLInputElement && ["checkbox", "radio"].includes(control.type)) {
    if (control.checked === (text !== "")) return;
    control.checked = text !== "";
  } else {
    // An empty field goes back to what the sheet says; its own script fills in what it says of the job.
    const first = control instanceof HTMLSelectElement ? (control.options[0]?.value ?? "") : control.defaultValue;
    const next = text || control.dataset.sheet || first;
    if (control.value === next) return;
    control.value = next;
    if (control instanceof HTMLSelectElement && control.value !== next) control.dataset.draft = next; // not offered yet
  }
  control.dispatchEvent(new Event("input", { bubbles: true }));
}
