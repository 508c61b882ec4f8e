// @ts-check
/**
 * Where jobs are kept: IndexedDB of this browser, one record an entry, append-only, written through to the disk.
 *
 * Where the store is refused, full or absent, entries stay in memory, the state says so at once, and the job can be
 * saved to a file. Pages opened from disk may share the store with strangers, so everything read is checked.
 */
import { entryProblem, jobProblem } from "../core/entries.js";
import { canonical, JobFileError } from "../core/job-file.js";

/** @typedef {import("../core/entries.js").Job} Job */
/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {"jobs" | "entries" | "drafts" | "settings"} Name */
/**
 * @typedef {object} Keeping
 * @property {boolean} disk whether what was appended last reached the disk
 * @property {string} reason one line, when it did not
 * @property {number} unsaved how many entries and jobs are only in memory
 */

const DATABASE = "wheel-end-handbook";
/** @type {Name[]} */
const STORES = ["jobs", "entries", "drafts", "settings"];
const PATIENCE = 4000; // ms until a store that does not answer counts as refused
const SILENT = new Error("no answer");
SILENT.name = "Silent";

/** @type {Keeping} */
let keeping = { disk: true, reason: "", unsaved: 0 };
/** @type {Set<(keeping: Keeping) => void>} */
const watchers = new Set();
/** @type {Set<(job: string, said: string) => void>} */
const listeners = new Set();
/** @type {Promise<IDBDatabase> | null} */
let opening = null;
/** What is waited for no longer. While there is any, nothing else is asked of the store: each question would cost the same wait. @type {Set<object>} */
const unanswered = new Set();
/** What the disk does not hold, by store and key. @type {Record<Name, Map<string, any>>} */
const memory = { jobs: new Map(), entries: new Map(), drafts: new Map(), settings: new Map() };
/** @type {BroadcastChannel | null} */
let channel = null;

/** @param {(keeping: Keeping) => void} watcher called at once and at every change */
export function onKeeping(watcher) {
  watchers.add(watcher);
  watcher(keeping);
}

/** @param {(job: string, said: string) => void} listener called when another tab changed a job, took it up (`opened`), or answers that it has it too (`here`) */
export function onOtherTab(listener) {
  listeners.add(listener);
  try {
    channel ??= new BroadcastChannel(DATABASE);
    channel.onmessage = ({ data }) => {
      if (typeof data?.job === "string") for (const each of listeners) each(data.job, String(data.said ?? ""));
    };
  } catch {
    // Without it the other tab's entries show when this one is looked at again.
  }
}

/** Tell the other tabs something about a job. @param {string} job @param {"opened" | "here"} said */
export function tellOtherTabs(job, said) {
  channel?.postMessage({ job, said });
}

/** Open the store now, so that a refusal is said before anything is typed. @returns {Promise<boolean>} */
export async function openStore() {
  try {
    await database();
    return true;
  } catch (error) {
    report(error);
    return false;
  }
}

/** A question that was given up has its answer after all: the store serves again. @param {object} question */
function answered(question) {
  if (!unanswered.delete(question) || unanswered.size) return;
  flush().then(announceKept, report);
}

function database() {
  if (unanswered.size) return Promise.reject(SILENT);
  opening ??= connect().catch((error) => {
    opening = null; // the next write tries again
    throw error;
  });
  return opening;
}

/** @returns {Promise<IDBDatabase>} */
function connect() {
  return new Promise((resolve, reject) => {
    const request = self.indexedDB.open(DATABASE, 1);
    const timer = setTimeout(() => {
      unanswered.add(request);
      reject(SILENT);
    }, PATIENCE);
    const settle = (/** @type {() => void} */ how) => {
      clearTimeout(timer);
      how();
      answered(request);
    };
    request.onupgradeneeded = () => {
      for (const name of STORES) {
        const store = request.result.createObjectStore(name, { keyPath: name === "drafts" || name === "settings" ? "key" : "id" });
        if (name === "entries") store.createIndex("job", "job");
      }
    };
    request.onerror = () => settle(() => reject(request.error));
    request.onsuccess = () =>
      settle(() => {
        const opened = request.result;
        opened.onversionchange = () => opened.close();
        opened.onclose = () => (opening = null);
        if (STORES.every((name) => opened.objectStoreNames.contains(name))) resolve(opened);
        else reject(new Error("another page uses its name for something else"));
      });
  });
}

/**
 * Run `work` in one transaction; done when the disk has it.
 * @template T
 * @param {Name[]} names @param {IDBTransactionMode} mode @param {IDBTransactionDurability} durability
 * @param {(transaction: IDBTransaction) => IDBRequest<T> | void} work
 * @returns {Promise<T | undefined>}
 */
async function transact(names, mode, durability, work) {
  const opened = await database();
  return new Promise((resolve, reject) => {
    let transaction;
    try {
      transaction = opened.transaction(names, mode, { durability });
    } catch (error) {
      opening = null; // closed under us
      return reject(error);
    }
    const request = work(transaction);
    const timer = setTimeout(() => {
      unanswered.add(transaction);
      reject(SILENT);
    }, PATIENCE);
    const settle = (/** @type {() => void} */ how) => {
      clearTimeout(timer);
      how();
      answered(transaction);
    };
    transaction.oncomplete = () => settle(() => resolve(request ? request.result : undefined));
    transaction.onabort = () => settle(() => reject(transaction.error ?? request?.error ?? new Error("the write was given up")));
  });
}

/**
 * Keep one record. When the disk refuses, it stays in memory and goes with the next write that succeeds.
 * @param {Name} name @param {any} value
 * @returns {Promise<boolean>} whether the disk has it
 */
async function keep(name, value) {
  memory[name].set(value.id ?? value.key, value);
  try {
    await flush();
    announceKept();
    return true;
  } catch (error) {
    report(error);
    return false;
  }
}

/** Write all that is only in memory, in one transaction. */
async function flush() {
  const waiting = STORES.flatMap((name) => [...memory[name]].map(([key, value]) => ({ name, key, value })));
  const durability = memory.jobs.size || memory.entries.size ? "strict" : "relaxed"; // drafts need no wait for the disk
  // put, not add: a record that another write in flight has taken along is the same record.
  await transact(STORES, "readwrite", durability, (transaction) => {
    for (const { name, key, value } of waiting) {
      const store = transaction.objectStore(name);
      if (name === "drafts" && !value.text) store.delete(key);
      else store.put(value);
    }
  });
  for (const { name, key, value } of waiting) if (memory[name].get(key) === value) memory[name].delete(key);
}

/** @param {any} error */
function report(error) {
  const reasons = /** @type {Record<string, string>} */ ({
    QuotaExceededError: "this browser’s storage is full",
    SecurityError: "this browser refuses storage to this page",
    InvalidStateError: "this browser refuses storage to this page",
    VersionError: "a newer handbook has used this browser’s storage",
    TypeError: "this browser has no storage for this page",
    NotFoundError: "another page uses the storage’s name for something else",
    Silent: "this browser’s storage does not answer",
  });
  const why = reasons[error?.name] ?? `the storage failed: ${error?.message || error?.name || "no reason given"}`;
  setKeeping({ disk: false, reason: why, unsaved: memory.jobs.size + memory.entries.size });
}

function announceKept() {
  setKeeping({ disk: true, reason: "", unsaved: 0 });
}

/** @param {Keeping} next */
function setKeeping(next) {
  if (next.disk === keeping.disk && next.reason === keeping.reason && next.unsaved === keeping.unsaved) return;
  keeping = next;
  for (const watcher of watchers) watcher(keeping);
}

/** @template T @param {Name} name @param {(store: IDBObjectStore) => IDBRequest<T>} ask @param {T} otherwise */
async function read(name, ask, otherwise) {
  try {
    return (await transact([name], "readonly", "relaxed", (transaction) => ask(transaction.objectStore(name)))) ?? otherwise;
  } catch (error) {
    report(error);
    return otherwise;
  }
}

// ---------------------------------------------------------------- jobs and entries

/** All jobs kept here, newest first. @returns {Promise<Job[]>} */
export async function jobs() {
  const found = new Map((await read("jobs", (store) => store.getAll(), [])).map((job) => [job?.id, job]));
  for (const [id, job] of memory.jobs) found.set(id, job);
  return [...found.values()].filter((job) => !jobProblem(job)).sort((a, b) => Date.parse(b.started) - Date.parse(a.started));
}

/** @param {Job} job @returns {Promise<boolean>} whether the disk has it */
export function addJob(job) {
  return keep("jobs", job);
}

/** The sound entries of a job, from disk and memory. @param {string} job @returns {Promise<Entry[]>} */
export async function entriesOf(job) {
  const found = new Map((await read("entries", (store) => store.index("job").getAll(job), [])).map((entry) => [entry.id, entry]));
  for (const [id, entry] of memory.entries) if (entry.job === job) found.set(id, entry);
  return [...found.values()].filter((entry) => !entryProblem(entry));
}

/** Append an entry. @param {Entry} entry @returns {Promise<boolean>} whether the disk has it */
export async function append(entry) {
  const kept = await keep("entries", entry);
  channel?.postMessage({ job: entry.job });
  return kept;
}

/**
 * Add what a file holds and is not here yet; all of it or nothing.
 * @param {Job} job @param {Entry[]} entries
 * @returns {Promise<number>} how many entries were new
 */
export async function merge(job, entries) {
  const here = new Map((await entriesOf(job.id)).map((entry) => [entry.id, entry]));
  for (const entry of entries) {
    const own = here.get(entry.id);
    if (own && canonical(own) !== canonical(entry)) {
      throw new JobFileError("The file was refused: it holds another version of an entry that is already kept here.");
    }
  }
  const fresh = entries.filter((entry) => !here.has(entry.id));
  const known = (await jobs()).some((own) => own.id === job.id);
  if (!known) memory.jobs.set(job.id, job);
  for (const entry of fresh) memory.entries.set(entry.id, entry);
  try {
    await flush();
    announceKept();
  } catch (error) {
    report(error);
  }
  channel?.postMessage({ job: job.id });
  return fresh.length;
}

// ---------------------------------------------------------------- drafts and settings

/** @param {string} prefix @returns {Promise<Map<string, string>>} unsent text by key */
export async function drafts(prefix) {
  const found = await read("drafts", (store) => store.getAll(IDBKeyRange.bound(prefix, `${prefix}\uffff`)), []);
  const all = [...found, ...memory.drafts.values()].filter((draft) => typeof draft?.text === "string" && draft.key.startsWith(prefix));
  return new Map(all.map(({ key, text }) => [key, text]));
}

/** @param {string} key @param {string} text empty: forget it */
export function keepDraft(key, text) {
  return keep("drafts", { key, text });
}

/** @param {string} key @returns {Promise<string>} empty if never set */
export async function setting(key) {
  const found = memory.settings.get(key) ?? (await read("settings", (store) => store.get(key), null));
  return typeof found?.text === "string" ? found.text : "";
}

/** @param {string} key @param {string} text */
export function keepSetting(key, text) {
  return keep("settings", { key, text });
}
