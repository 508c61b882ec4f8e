// Compile Python sources to .pyc with the very Python the page runs, so that the magic number fits.
// Called by bundle.py: node compile_python.mjs PYODIDE_FOLDER JOB_FILE
// JOB_FILE is JSON: [{source, target, name, optimise}], paths on this machine; `name` is what a traceback shows.
import fs from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";

const [, , pyodideFolder, jobFile] = process.argv;
const { loadPyodide } = await import(pathToFileURL(path.join(pyodideFolder, "pyodide.mjs")).href);
// A fixed hash seed: the same sources must give the same bytes on every machine.
const python = await loadPyodide({ env: { PYTHONHASHSEED: "0" } });
const compile = python.runPython(`
import importlib.util, marshal

def compile_source(source, name, optimise):
    code = compile(source.to_bytes(), name, "exec", dont_inherit=True, optimize=optimise)
    # Flag 1 with a zero hash: «unchecked», so no time stamp gets into the file.
    # Loading and dumping again settles which objects are shared, which else depends on what ran before.
    body = marshal.dumps(marshal.loads(marshal.dumps(code)))
    return importlib.util.MAGIC_NUMBER + (1).to_bytes(4, "little") + bytes(8) + body

compile_source
`);
let name = "";
try {
  for (const entry of JSON.parse(fs.readFileSync(jobFile, "utf8"))) {
    name = entry.name;
    const answer = compile(new Uint8Array(fs.readFileSync(entry.source)), name, entry.optimise);
    fs.writeFileSync(entry.target, answer.toJs());
    answer.destroy();
  }
} catch (error) {
  // One line: the caller passes it on.
  console.error(`${name}: ${String(error.message).trim().split("\n").at(-1)}`);
  process.exitCode = 1;
}
