// @ts-check
/**
 * Python for the page: one worker a page, started when it is first of use.
 *
 * `evaluate(request, owner)` answers with the calculator's response, or with null when the same owner asked
 * again meanwhile. `onState(listener)` reports how the start goes. Nothing here touches the page's forms.
 */

import { decodeBase64 } from "../lib/base64.js";

/** @typedef {{calculator: string, given: Record<string, string>, system: string}} Request of a calculator; another module has its own */
/** @typedef {{entry: string, text: string}} Candidate */
/** @typedef {{input: string | null, typed?: string, message: string, candidates?: Candidate[]}} Problem */
/** @typedef {{result?: any, problem?: Problem}} Response */
/** @typedef {{name: string, bytes: number, sha256: string, start: boolean}} PackEntry */
/**
 * @typedef {object} State
 * @property {"idle" | "loading" | "starting" | "ready" | "failed" | "unsupported"} phase
 * @property {number} [share] of the packs' bytes that have arrived, 0–1
 * @property {number} [megabytes] of all packs
 * @property {string} [reason] one line, when failed or unsupported
 */
/**
 * @typedef {object} Question
 * @property {object} owner
 * @property {any} request
 * @property {string} module that answers
 * @property {(response: any) => void} resolve
 */

const PATIENCE = 20_000; // ms without any progress
const CALCULATION = 5_000; // ms for one calculation
const CALCULATORS = "calculators.calls.browser";
/** What this page needs beyond the calculators: packs, the module that answers, and ms for one answer. */
const more = { packs: /** @type {string[]} */ ([]), patience: CALCULATION };

/** @type {State} */
let state = { phase: "idle" };
/** @type {Set<(state: State) => void>} */
const listeners = new Set();
/** @type {Worker | null} */
let worker = null;
/** @type {Question[]} newest question of each owner, oldest owner first */
let queue = [];
/** @type {(Question & {number: number}) | null} */
let asked = null;
let questions = 0;
let attempts = 0;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let patience;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let limit;
/** @type {Map<string, (text: string) => void>} */
const expected = new Map();

/** @param {State} next */
function enter(next) {
  state = next;
  clearTimeout(patience);
  if (next.phase === "loading" || next.phase === "starting") {
    patience = setTimeout(next.phase === "loading" ? stall : giveUp, PATIENCE);
  }
  for (const listener of listeners) listener(state);
}

/** A slow line: say so and offer the retry, but go on should the files arrive after all. */
function stall() {
  const late = [...expected.keys()].map((name) => `assets/packs/${name}.js`).join(", ");
  enter({ phase: "failed", reason: `No part of the calculator arrived for ${PATIENCE / 1000} seconds (${late}).` });
}

function giveUp() {
  fail(`Python did not start within ${PATIENCE / 1000} seconds.`);
}

/** @param {string} reason */
function fail(reason) {
  stopWorker();
  enter({ phase: "failed", reason });
}

/** End the attempt that runs; a question in work goes back to the queue. */
function stopWorker() {
  attempts += 1;
  worker?.terminate();
  worker = null;
  clearTimeout(limit);
  if (asked) queue.unshift(asked);
  asked = null;
  expected.clear();
}

/** What this browser lacks, or null. @returns {string | null} */
function lacking() {
  if (typeof WebAssembly !== "object") return "WebAssembly";
  if (typeof DecompressionStream !== "function") return "DecompressionStream";
  if (typeof Worker !== "function") return "Worker";
  return null;
}

/** @returns {PackEntry[]} */
function startPacks() {
  const packs = /** @type {any} */ (self).handbook?.packs ?? [];
  return packs.filter((/** @type {PackEntry} */ pack) => pack.start || more.packs.includes(pack.name));
}

/** Load another pack at the start; its module may take longer than a calculation. @param {string} pack @param {number} ms */
export function need(pack, ms) {
  more.packs.push(pack);
  more.patience = ms;
}

/** Load one pack by a script element: the only way that works by double click. @param {PackEntry} pack @returns {Promise<string>} */
function load({ name, sha256 }) {
  const root = document.querySelector('meta[name="handbook:root"]')?.getAttribute("content") || ".";
  const script = document.createElement("script");
  // Its checksum in the address, so that no browser takes the pack of another build for this one. Another address
  // on a retry, so that no cache hands out the same damaged file.
  script.src = `${root}/assets/packs/${name}.js?v=${sha256.slice(0, 12)}${attempts ? `&again=${attempts}` : ""}`;
  return new Promise((resolve, reject) => {
    expected.set(name, resolve);
    script.onload = () => {
      script.remove();
      if (expected.has(name)) reject(new Error(`The file assets/packs/${name}.js is damaged. Copy the handbook again.`));
    };
    script.onerror = () => {
      script.remove();
      reject(new Error(`The file assets/packs/${name}.js is missing or cannot be read. Copy the handbook again.`));
    };
    document.head.append(script);
  });
}

/** @param {string} text @returns {Promise<Blob>} the worker's script */
async function unpackScript(text) {
  const stream = new Blob([decodeBase64(text)]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Blob([await new Response(stream).arrayBuffer()], { type: "text/javascript" });
}

/** Start Python unless it runs or starts already. Safe to call often. */
export function start() {
  if (state.phase !== "idle") return;
  const missing = lacking();
  if (missing) return enter({ phase: "unsupported", reason: missing });
  const packs = startPacks();
  if (!packs.length)
    return enter({ phase: "failed", reason: "The file assets/handbook-data.js is missing or damaged. Copy the handbook again." });
  const attempt = attempts;
  begin(packs, attempt).catch((error) => attempt === attempts && fail(error.message));
}

/** @param {PackEntry[]} packs @param {number} attempt */
async function begin(packs, attempt) {
  const total = packs.reduce((sum, pack) => sum + pack.bytes, 0);
  let arrived = 0;
  const loading = () => enter({ phase: "loading", share: arrived / total, megabytes: total / 1e6 });
  loading();
  /** @type {(worker: Worker) => void} */
  let employ = () => {};
  const employed = new Promise((resolve) => (employ = resolve));
  const still = () => attempt === attempts;
  await Promise.all(
    packs.map(async (pack) => {
      const { name, bytes } = pack;
      const text = await load(pack);
      if (!still()) return;
      arrived += bytes;
      loading();
      if (name === "worker") {
        const script = await unpackScript(text).catch(() => {
          throw new Error("The file assets/packs/worker.js is damaged. Copy the handbook again.");
        });
        if (still()) employ((worker = hire(script)));
      } else {
        const started = await employed;
        if (still()) started.postMessage({ pack: name, text });
      }
    }),
  );
  // The worker may have been quicker than this line.
  if (still() && state.phase === "loading") enter({ phase: "starting" });
}

/** @param {Blob} script @returns {Worker} */
function hire(script) {
  const address = URL.createObjectURL(script);
  const started = new Worker(address);
  started.postMessage({ start: more.packs });
  started.onmessage = ({ data }) => {
    if (started === worker) fromWorker(data);
  };
  started.onerror = (event) => {
    event.preventDefault();
    if (started === worker) fail(event.message || "This browser refused to start the background worker.");
  };
  started.addEventListener("message", () => URL.revokeObjectURL(address), { once: true });
  return started;
}

/** @param {any} data */
function fromWorker(data) {
  if (data.progress) {
    enter({ phase: "starting" });
  } else if (data.failed) {
    fail(data.failed);
  } else if (data.ready) {
    enter({ phase: "ready" });
    ask();
  } else if (asked?.number === data.answer) {
    clearTimeout(limit);
    const answered = asked;
    asked = null;
    answered?.resolve(newer(answered.owner) ? null : JSON.parse(data.response));
    ask();
  }
}

/** @param {object} owner */
const newer = (owner) => queue.some((question) => question.owner === owner);

/** Send the next question, if Python is ready and free. */
function ask() {
  if (state.phase !== "ready" || asked || !worker) return;
  const next = queue.shift();
  if (!next) return;
  asked = { ...next, number: ++questions };
  limit = setTimeout(stopCalculation, asked.module === CALCULATORS ? CALCULATION : more.patience);
  worker.postMessage({ evaluate: asked.number, module: asked.module, request: JSON.stringify(asked.request) });
}

/** One calculation took too long: end the worker, answer, start a new one for the others. */
function stopCalculation() {
  const stopped = asked;
  asked = null;
  stopWorker();
  stopped?.resolve({
    problem: {
      input: null,
      message: `The calculation took more than ${CALCULATION / 1000} seconds and was stopped. Check the entries for one that is far too long.`,
      candidates: [],
    },
  });
  enter({ phase: "idle" });
  start();
}

/**
 * Work a calculator out. Starts Python if need be, and waits for it.
 * @param {Request} request
 * @param {object} owner whose newest question counts; its older ones resolve to null
 * @returns {Promise<Response | null>}
 */
export function evaluate(request, owner) {
  return askModule(CALCULATORS, request, owner);
}

/**
 * Ask another module of the page's Python, whose pack was named by `need`.
 * @param {string} module with a function `evaluate`, JSON text in and out
 * @param {any} request @param {object} owner as for `evaluate` @returns {Promise<any>}
 */
export function askModule(module, request, owner) {
  forget(owner);
  start();
  return new Promise((resolve) => {
    queue.push({ owner, request, module, resolve });
    ask();
  });
}

/** Drop an owner's question: what it asked no longer holds. @param {object} owner */
export function forget(owner) {
  for (const question of queue) if (question.owner === owner) question.resolve(null);
  queue = queue.filter((question) => question.owner !== owner);
  if (asked?.owner === owner) {
    asked.resolve(null);
    // The answer still comes and the time limit still runs; only nobody listens any more.
    asked = { ...asked, resolve: () => {} };
  }
}

/** Start afresh after a failure. */
export function retry() {
  if (state.phase !== "failed") return;
  stopWorker();
  enter({ phase: "idle" });
  start();
}

/** @param {(state: State) => void} listener called at once and at every change */
export function onState(listener) {
  listeners.add(listener);
  listener(state);
}

/** Take a pack in: called by the pack's own script. @param {string} name @param {string} text */
function receive(name, text) {
  const take = expected.get(name);
  expected.delete(name);
  take?.(text);
}
/** @type {any} */ (self).pack = receive;
