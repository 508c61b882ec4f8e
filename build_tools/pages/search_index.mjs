// Makes assets/search-index.js: entries and terms as JSON on standard input, the script on standard output.
import { readFileSync } from "node:fs";
import { makeIndex } from "../../docs/scripts/search/search-index.mjs";

const { entries, terms } = JSON.parse(readFileSync(0, "utf8"));
const text = JSON.stringify(makeIndex(entries, terms));
process.stdout.write(`searchIndex(${JSON.stringify(text)});\n`);
