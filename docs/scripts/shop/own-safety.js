// @ts-check
/**
 * The safety messages of a page that a shop saved. Its HTML is of the day it was saved, so each message is looked up by its
 * id in this build (`assets/safety.js`, build_tools/pages/safety_messages.py): today's words stand on the page, and what is new,
 * changed or gone is named at its top.
 */

import { isRecord } from "../core/entries.js";
import { cleaned } from "../lib/clean.js";
import { element } from "../lib/elements.js";
import { metaContent } from "../store/handbook-data.js";

/** @typedef {{cautions: string[], steps: Record<string, string[]>}} Place ids of the page's messages; of each step its hash and its messages */
/** @typedef {{build: string, messages: Record<string, [string, string]>, procedures: Record<string, Place>}} Now */

const GROUPS = /** @type {const} */ ([
  ["fresh", "New, added where they belong"],
  ["changed", "Changed, shown with today’s wording"],
  ["gone", "No longer in the handbook here, still shown"],
]);

/**
 * Bring a saved page's messages up to date, in place.
 * @param {DocumentFragment} content @param {Record<string, string>} files of the shop @param {string} build that the page was saved with
 * @returns {HTMLElement | null} what the reader is told; null where nothing differs
 */
export function bringUpToDate(content, files, build) {
  const now = /** @type {Now | undefined} */ (/** @type {any} */ (self).handbookSafety);
  const here = metaContent("build");
  if (!isRecord(now?.messages) || !isRecord(now?.procedures)) {
    return box(build, here, [
      element(
        "p",
        "",
        "Its safety messages cannot be compared with today’s: the file assets/safety.js is missing or damaged. Copy the handbook again.",
      ),
    ]);
  }
  const found = new Comparison(content, files, now);
  if (build === here && !found.differs()) return null;
  return box(build, here, found.said());
}

class Comparison {
  /** @param {DocumentFragment} content @param {Record<string, string>} files @param {Now} now */
  constructor(content, files, now) {
    this.content = content;
    this.files = files;
    this.now = now;
    /** Names by id. @type {Record<"fresh" | "changed" | "gone", Map<string, string>>} */
    this.found = { fresh: new Map(), changed: new Map(), gone: new Map() };
    /** Numbers of steps of the handbook that read otherwise. @type {string[]} */
    this.steps = [];
    /** How many steps the handbook has gained in the parts of this page. */
    this.more = 0;
    this.messages();
    this.places();
  }

  /** Each message with its words of today. */
  messages() {
    for (const shown of this.all()) {
      const id = shown.dataset.caution ?? "";
      if (this.isOwn("cautions", id)) continue;
      const known = this.now.messages[id];
      if (!known) this.mark(shown, id);
      else if (!saysTheSame(shown, known[1])) {
        shown.replaceWith(made(known[1]));
        this.found.changed.set(id, known[0]);
      }
    }
  }

  /** The messages that a step, or a part of the page, has today. */
  places() {
    /** @type {Map<string, Set<string>>} */
    const homes = new Map();
    for (const step of /** @type {NodeListOf<HTMLElement>} */ (this.content.querySelectorAll(".step[data-step]"))) {
      const [home, id] = (step.dataset.step ?? "").split("/");
      if (this.isOwn("procedures", home) || !this.now.procedures[home]) continue;
      homes.set(home, (homes.get(home) ?? new Set()).add(id));
      const [hash, ...wanted] = this.now.procedures[home].steps[id] ?? [];
      if (hash !== step.dataset.hash) this.steps.push(step.dataset.number ?? id);
      if (hash === undefined) continue;
      const shown = /** @type {HTMLElement[]} */ ([...step.querySelectorAll(":scope > [data-caution]")]);
      this.add(wanted, shown, (message) => (step.querySelector(":scope > .step__do") ?? step.firstChild)?.before(message));
      for (const each of shown) if (!wanted.includes(each.dataset.caution ?? "")) this.mark(each, each.dataset.caution ?? "");
    }
    const top = this.content.querySelector(".safety");
    for (const [home, had] of homes) {
      const { cautions, steps } = this.now.procedures[home];
      const missing = Object.keys(steps).filter((id) => !had.has(id));
      this.more += missing.length;
      const anywhere = new Set(this.all().map((each) => each.dataset.caution));
      const wanted = [...cautions, ...missing.flatMap((id) => steps[id].slice(1)).filter((id) => !anywhere.has(id))];
      this.add(wanted, top ? /** @type {HTMLElement[]} */ ([...top.querySelectorAll("[data-caution]")]) : this.all(), (message) =>
        (top ?? this.content).prepend(message),
      );
    }
  }

  /** @param {string[]} wanted @param {HTMLElement[]} shown @param {(message: Node) => void} put */
  add(wanted, shown, put) {
    const here = new Set(shown.map((each) => each.dataset.caution));
    for (const id of new Set(wanted)) {
      const known = this.now.messages[id];
      if (here.has(id) || !known) continue;
      put(made(known[1]));
      this.found.fresh.set(id, known[0]);
    }
  }

  /** A message that the handbook no longer has here. @param {HTMLElement} shown @param {string} id */
  mark(shown, id) {
    if (this.isOwn("cautions", id) || shown.querySelector(".own-safety__gone")) return;
    this.found.gone.set(
      id,
      ["word", "hazard"].map((part) => shown.querySelector(`.caution__${part}`)?.textContent?.trim() ?? "").join(": "),
    );
    shown.append(element("p", "shop-note own-safety__gone", "The handbook no longer has this message here."));
  }

  /** @returns {HTMLElement[]} */
  all() {
    return Array.from(this.content.querySelectorAll("[data-caution]"));
  }

  /** @param {"cautions" | "procedures"} kind @param {string} id */
  isOwn(kind, id) {
    return `${kind}/${id}.yml` in this.files;
  }

  differs() {
    return GROUPS.some(([kind]) => this.found[kind].size) || this.steps.length > 0 || this.more > 0;
  }

  /** @returns {HTMLElement[]} */
  said() {
    const lists = GROUPS.filter(([kind]) => this.found[kind].size).flatMap(([kind, title]) => [
      element("p", "own-safety__group", `${title}:`),
      element("ul", "", ...[...this.found[kind].values()].map((name) => element("li", "", name))),
    ]);
    const lines = [
      ...(lists.length ? [] : ["Its safety messages have not changed since."]),
      ...(this.steps.length ? [`Steps of the handbook whose content changed: ${this.steps.join(", ")}.`] : []),
      ...(this.more ? [`The handbook now has ${this.more} more step${this.more === 1 ? "" : "s"} in the parts used here.`] : []),
    ];
    return [...lists, ...lines.map((line) => element("p", "", line))];
  }
}

/** @param {string} html */
function made(html) {
  return cleaned(html).content;
}

/** Word by word: white space differs between the ways a page is made. @param {HTMLElement} shown @param {string} html */
function saysTheSame(shown, html) {
  const known = /** @type {HTMLElement} */ (made(html).firstElementChild);
  const words = (/** @type {HTMLElement} */ of) => `${of.className} ${of.dataset.when ?? ""} ${of.textContent}`.replace(/\s+/g, "");
  return words(shown) === words(known);
}

/** @param {string} build @param {string} here @param {HTMLElement[]} lines */
function box(build, here, lines) {
  const again = element("a", "", "Write a page");
  again.href = `${metaContent("root") || "."}/write-a-page.html`;
  const since =
    build === here
      ? "This page does not hold the safety messages of its own build."
      : `This page was saved with ${build ? `build ${build}` : "an earlier version"} of the handbook. This copy is build ${here}.`;
  const made = element(
    "section",
    "own-safety",
    element("p", "own-safety__since", since),
    ...lines,
    element("p", "", "To bring the page up to date, save it again on ", again, "."),
  );
  made.ariaLabel = "Safety messages since this page was saved";
  return made;
}
