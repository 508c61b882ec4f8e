// @ts-check
/**
 * The Python runtime, inside a classic Blob worker. Runs after Pyodide's loader and its module in
 * the same script, which also sets `pyodideInfo`, the versions Pyodide checks.
 *
 * In:  {start}                       names of the packs that are loaded beside the usual ones
 *      {pack, text}                  a pack's base64 text
 *      {evaluate, module, request}   number of the question, the module that answers it and its JSON text
 * Out: {progress: "…"}       start-up goes on
 *      {ready: true}
 *      {failed: "one line"}
 *      {answer, response}    number of the question and the JSON text of the answer
 */

import { decodeBase64 } from "../lib/base64.js";

/** @typedef {{writeFile(path: string, data: Uint8Array): void, mkdirTree(path: string): void}} Files */
/** @typedef {{FS: Files, pyimport(name: string): any}} Python */

const scope = /** @type {any} */ (self);
const NOWHERE = "http://pyodide.invalid/";
/** Pyodide wants the standard library as a zip: it gets an empty one, for plain files import faster. */
const EMPTY_ZIP = new Uint8Array([0x50, 0x4b, 5, 6, ...new Array(18).fill(0)]);

/** @type {Map<string, (text: string) => void>} */
const waiting = new Map();
/** @type {Python | undefined} */
let python;
/** @type {Map<string, (request: string) => string>} */
const modules = new Map();

/** @param {string} pack @returns {Error} */
const damaged = (pack) => new Error(`The file assets/packs/${pack}.js is damaged. Copy the handbook again.`);

/** @param {string} name @returns {Promise<string>} */
const received = (name) => new Promise((resolve) => waiting.set(name, resolve));

/** @param {string} text @param {string} type @returns {Response} */
function unpack(text, type) {
  const stream = new Blob([decodeBase64(text)]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream, { headers: { "Content-Type": type } });
}

/** @param {string} name @returns {Promise<Uint8Array>} */
async function packBytes(name) {
  const text = await received(name);
  try {
    return new Uint8Array(await unpack(text, "application/octet-stream").arrayBuffer());
  } catch {
    throw damaged(name);
  }
}

/** @returns {Promise<WebAssembly.Module>} */
async function compiledRuntime() {
  const text = await received("wasm");
  let code;
  try {
    code = unpack(text, "application/wasm");
  } catch {
    throw damaged("wasm");
  }
  try {
    return await WebAssembly.compileStreaming(code);
  } catch (error) {
    // The policy forbids WebAssembly, or the bytes are wrong: an empty module tells which.
    const allowed = WebAssembly.validate(new Uint8Array([0, 97, 115, 109, 1, 0, 0, 0])) && (await canCompile());
    if (allowed) throw damaged("wasm");
    throw new Error(`This page is not allowed to run WebAssembly (${/** @type {Error} */ (error).message}).`);
  }
}

async function canCompile() {
  return WebAssembly.compile(new Uint8Array([0, 97, 115, 109, 1, 0, 0, 0])).then(
    () => true,
    () => false,
  );
}

/** Write a pack's files: a line of JSON [[path, size], …], then the contents. @param {Files} FS */
function writeTree(FS, /** @type {Uint8Array} */ bytes, /** @type {string} */ top) {
  let offset = bytes.indexOf(10) + 1;
  /** @type {[string, number][]} */
  const index = JSON.parse(new TextDecoder().decode(bytes.subarray(0, offset)));
  const made = new Set();
  for (const [path, size] of index) {
    const folder = `${top}/${path}`.replace(/\/[^/]*$/, "");
    if (!made.has(folder)) FS.mkdirTree(folder);
    made.add(folder);
    FS.writeFile(`${top}/${path}`, bytes.subarray(offset, offset + size));
    offset += size;
  }
}

/** Pyodide fetches its parts by address: hand it ours. @param {WebAssembly.Module} module */
function answerFetches(module) {
  const stream = WebAssembly.instantiateStreaming;
  const fetched = scope.fetch;
  scope.fetch = async (/** @type {URL | string} */ address) =>
    String(address).endsWith(".zip") ? new Response(EMPTY_ZIP) : new Response();
  WebAssembly.instantiateStreaming = async (_, imports) => ({
    module,
    instance: await WebAssembly.instantiate(module, imports),
  });
  return () => {
    WebAssembly.instantiateStreaming = stream;
    scope.fetch = fetched;
  };
}

/** @param {string[]} more packs */
async function start(more) {
  const [module, stdlib, ...packages] = await Promise.all([
    compiledRuntime(),
    packBytes("stdlib"),
    ...["calculators", ...more].map(packBytes),
  ]);
  postMessage({ progress: "starting Python" });
  const restore = answerFetches(module);
  /** @type {Python} */
  const started = await scope.loadPyodide({
    indexURL: NOWHERE,
    stdLibURL: `${NOWHERE}stdlib.zip`,
    lockFileContents: { info: scope.pyodideInfo, packages: {} },
    createPyodideModule: scope._createPyodideModule,
    fsInit: async (/** @type {Files} */ FS, /** @type {{sitePackages: string}} */ { sitePackages }) => {
      // Its search path is fixed: the zip, lib-dynload, site-packages.
      writeTree(FS, stdlib, sitePackages.replace("site-packages", "lib-dynload"));
      for (const each of packages) writeTree(FS, each, sitePackages);
    },
  });
  restore();
  postMessage({ progress: "starting the calculators" });
  // Almost nothing that is made while importing is ever thrown away: looking for it would only take time.
  const collector = started.pyimport("gc");
  collector.disable();
  // What they need when they are first asked belongs to the start.
  started.pyimport("calculators.calls.browser").evaluate("{}");
  collector.enable();
  python = started;
  postMessage({ ready: true });
}

scope.onmessage = (/** @type {MessageEvent} */ { data }) => {
  if (data.start) {
    start(data.start).catch(fail);
  } else if (data.pack) {
    waiting.get(data.pack)?.(data.text);
  } else if (python) {
    answer(data);
  }
};

/** @param {{evaluate: number, module: string, request: string}} question */
function answer({ evaluate, module, request }) {
  try {
    const ask = modules.get(module) ?? python?.pyimport(module).evaluate;
    modules.set(module, ask);
    postMessage({ answer: evaluate, response: ask(request) });
  } catch (error) {
    fail(error);
  }
}

/** @param {any} error */
function fail(error) {
  const lines = String(error?.message ?? error)
    .trim()
    .split("\n");
  // Of a Python traceback the line that names the error: Pyodide adds advice after it.
  const reason = lines.findLast((line) => /^\w*(Error|Exception)\b/.test(line)) ?? lines[lines.length - 1];
  postMessage({ failed: reason });
}
