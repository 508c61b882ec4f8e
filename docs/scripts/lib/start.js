// @ts-check
/**
 * Starts the parts of a page, each by itself: one that fails takes none of the others along, and the page says which.
 * The line for it stands in the HTML (build_tools/publishing/theme/main.html), so that it is there too where no script starts at all.
 */

import { isRecord } from "../core/entries.js";
import { element } from "./elements.js";

/** @typedef {[name: string, start: () => any]} Part what it is called on the page, and how it starts, at once or in its own time */

const AGAIN = "Reload the page. If it stays so, copy the handbook again.";
const shared = /** @type {{partsThatFailed?: Set<string>}} */ (/** @type {any} */ (self));
shared.partsThatFailed ??= new Set();
/** Names of the parts that failed, of all scripts of the page. */
const failed = shared.partsThatFailed;

/** @param {Part[]} parts */
export function startParts(parts) {
  for (const [name, start] of parts) {
    try {
      Promise.resolve(start()).catch((error) => fail(name, error));
    } catch (error) {
      fail(name, error);
    }
  }
}

/** The scripts are here: take the line away, or say which file is missing for them. */
export function sayStarted() {
  const { handbook } = /** @type {any} */ (self);
  if (isRecord(handbook) && !failed.size) line()?.remove();
  if (!isRecord(handbook))
    say(
      "The file assets/handbook-data.js is missing or cut: layouts, vehicle sheets and calculators do not work on this page. Copy the handbook again.",
    );
}

/** A second script of this page, once all are read: it says that it came by a property of the window. @param {string} file @param {string} property */
export function sayWhereMissing(file, property) {
  if (document.querySelector(`script[src$="${file}"]`) && !(property in self))
    say(`The file ${file} is missing or cut: what this page is for does not work. Copy the handbook again.`);
}

/** @param {string} name @param {unknown} error */
function fail(name, error) {
  console.error(error);
  failed.add(name);
  if (isRecord(/** @type {any} */ (self).handbook))
    say(`Not working on this page: ${[...failed].join(", ")}. Everything else works. ${AGAIN}`);
}

const line = () => document.querySelector(".not-started");

/** @param {string} text */
function say(text) {
  const here = line() ?? element("p", "not-started");
  here.classList.add("not-started--said");
  here.setAttribute("role", "status");
  here.textContent = text;
  if (!here.isConnected) (document.getElementById("content") ?? document.body).prepend(here);
}
