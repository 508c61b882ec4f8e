// @ts-check
/** The search box and its list. The index is a classic script, since nothing else loads over file://, read on first use. */
import { decoded } from "../lib/address.js";
import { addressOf, shopData } from "../store/shop-data.js";
import { SearchIndex } from "./search-index.mjs";
import { excerpt, marks } from "./search-words.mjs";

/** @typedef {import("./search-index.mjs").Hit} Hit */
/** @typedef {import("./search-index.mjs").Answer} Answer */
/** @typedef {import("./search-words.mjs").Range} Range */

const ROWS = 20; // shown at a time
const REST = 120; // ms after the last key
const KEY = "wheel-end-handbook:search-key"; // «off»: the / key is left alone
const KINDS = /** @type {Record<string, string>} */ ({ calculator: "Calculator", shop: "This shop’s page" });
const BROKEN = "The search cannot read its index (assets/search-index.js). Copy the whole handbook folder again; until then, use Contents.";

/** Takes up the search box of the page, if it has one. */
export function startSearch() {
  const box = /** @type {HTMLElement | null} */ (document.querySelector(".search"));
  if (box) new SearchBox(box);
}

class SearchBox {
  /** @param {HTMLElement} element */
  constructor(element) {
    this.element = element;
    this.input = /** @type {HTMLInputElement} */ (part(element, ".search__box"));
    this.panel = part(element, ".search__panel");
    this.said = part(element, ".search__said");
    this.state = part(element, ".search__state");
    this.also = part(element, ".search__also");
    this.list = part(element, ".search__list");
    this.root = document.querySelector('meta[name="handbook:root"]')?.getAttribute("content") || ".";
    this.here = pageAddress(this.root);
    /** @type {Promise<SearchIndex> | null} */
    this.index = null;
    /** @type {Answer | null} */
    this.answer = null;
    this.active = -1;
    this.timer = 0;
    this.asked = 0;
    this.listen();
    element.hidden = false;
  }

  listen() {
    this.input.addEventListener("focus", () => {
      this.load().catch(() => {});
      if (this.input.value.trim()) this.show();
    });
    this.input.addEventListener("input", () => {
      clearTimeout(this.timer);
      this.timer = window.setTimeout(() => this.show(), REST);
    });
    this.input.addEventListener("keydown", (event) => this.onKey(event));
    this.list.addEventListener("click", (event) => this.onPick(event));
    this.element.addEventListener("focusout", ({ relatedTarget }) => {
      if (relatedTarget && !this.element.contains(/** @type {Node} */ (relatedTarget))) this.close();
    });
    document.addEventListener("pointerdown", ({ target }) => {
      if (!this.element.contains(/** @type {Node} */ (target))) this.close();
    });
    this.listenForShortcut(/** @type {HTMLInputElement} */ (part(this.element, ".search__key input")));
  }

  /** A single letter that acts must be possible to switch off (WCAG 2.1.4): speech input types letters anywhere.
   * @param {HTMLInputElement} tick */
  listenForShortcut(tick) {
    tick.checked = preference() !== "off";
    tick.addEventListener("change", () => preference(tick.checked ? "on" : "off"));
    document.addEventListener("keydown", (event) => {
      const typing = event.target instanceof Element && event.target.closest("input, textarea, select, [contenteditable]");
      if (event.key !== "/" || event.ctrlKey || event.altKey || event.metaKey || event.defaultPrevented || typing || !tick.checked) return;
      if (document.querySelector("dialog[open]")) return;
      event.preventDefault();
      this.input.focus();
      this.input.select();
    });
  }

  /** @returns {Promise<SearchIndex>} asked for again after a failure */
  load() {
    this.index ??= readScript(`${this.root}/assets/search-index.js`).catch((error) => {
      this.index = null;
      throw error;
    });
    return this.index;
  }

  async show() {
    clearTimeout(this.timer);
    const query = this.input.value;
    const turn = ++this.asked;
    if (query.trim().length < 2) return this.close();
    try {
      if (!this.answer) this.say("Reading the index …");
      const answer = (await this.load()).search(query, this.here);
      if (turn === this.asked) this.showAnswer(answer);
    } catch {
      if (turn === this.asked) this.showNothing(BROKEN);
    }
  }

  /** @param {Answer} answer */
  showAnswer(answer) {
    this.answer = answer;
    const { hits, every, also } = answer;
    if (!hits.length)
      return this.showNothing(`Nothing found for “${this.input.value.trim()}”. Try one word, another name for it, or its first letters.`);
    const count = `${hits.length} ${hits.length === 1 ? "result" : "results"}`;
    this.list.replaceChildren();
    this.list.scrollTop = 0;
    this.list.hidden = false;
    this.addRows();
    this.also.textContent = `Also searched: ${also.map(({ names, typed, meanings }) => `${names.slice(0, 4).join(", ")} (for ${typed}${meanings > 1 ? ", which has more than one meaning" : ""})`).join("; ")}`;
    this.also.hidden = !also.length;
    this.say(every ? count : `No place has all these words. ${count} with some of them`, also.length ? this.also.textContent : "");
    this.input.setAttribute("aria-expanded", "true");
    this.point(-1);
  }

  /** @param {string} line */
  showNothing(line) {
    this.answer = null;
    this.list.replaceChildren();
    this.list.hidden = this.also.hidden = true;
    this.input.setAttribute("aria-expanded", "false");
    this.point(-1);
    this.say(line);
  }

  /** Shown in the panel and announced. @param {string} line @param {string} [more] */
  say(line, more = "") {
    this.panel.hidden = false;
    this.state.textContent = line;
    this.said.textContent = `${line}${more ? `. ${more}` : ""}`;
  }

  /** The next rows of the answer, and a last one that asks for more. */
  addRows() {
    const { hits, patterns } = /** @type {Answer} */ (this.answer);
    this.list.querySelector(".search__more")?.remove();
    const from = this.list.children.length;
    const rows = hits.slice(from, from + ROWS).map((hit, i) => makeRow(hit, patterns, `search-hit-${from + i}`, this.root));
    this.list.append(...rows);
    const left = hits.length - from - rows.length;
    if (left > 0) {
      const more = make("div", "search__more", `Show ${Math.min(left, ROWS)} more of ${hits.length}`);
      setOption(more, "search-more");
      this.list.append(more);
    }
  }

  close() {
    clearTimeout(this.timer);
    this.asked++;
    this.panel.hidden = true;
    this.said.textContent = "";
    this.input.setAttribute("aria-expanded", "false");
    this.point(-1);
  }

  /** @param {KeyboardEvent} event */
  onKey(event) {
    if (event.isComposing) return;
    const open = !this.panel.hidden;
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      event.preventDefault();
      if (!open) this.show();
      else this.point(this.active + (event.key === "ArrowDown" ? 1 : -1));
    } else if (event.key === "Enter") {
      event.preventDefault();
      this.enter();
    } else if (event.key === "Escape") {
      event.preventDefault();
      if (!open) this.input.value = "";
      this.close();
    }
  }

  /** Opens the row pointed at, else the first, of what the box says now. */
  async enter() {
    const chosen = this.list.children[this.active];
    if (!chosen) await this.show();
    if (this.panel.hidden || this.list.hidden) return;
    /** @type {HTMLElement} */ (chosen ?? this.list.children[0]).click();
  }

  /** @param {Event} event */
  onPick(event) {
    const row = event.target instanceof Element && event.target.closest("[role=option]");
    if (!row) return;
    if (!row.classList.contains("search__more")) return this.close(); // the link itself opens the place
    const place = this.list.children.length - 1;
    this.addRows();
    this.input.focus();
    this.point(place);
  }

  /** Points at a row; before the first is the box itself, after the last too. @param {number} place */
  point(place) {
    const rows = /** @type {HTMLElement[]} */ ([...this.list.children]);
    this.active = place < -1 ? rows.length - 1 : place >= rows.length ? -1 : place;
    for (const [i, row] of rows.entries()) row.setAttribute("aria-selected", String(i === this.active));
    const row = rows[this.active];
    if (row) {
      this.input.setAttribute("aria-activedescendant", row.id);
      row.scrollIntoView({ block: "nearest" });
    } else this.input.removeAttribute("aria-activedescendant");
  }
}

/** @param {string} address @returns {Promise<SearchIndex>} */
function readScript(address) {
  return new Promise((resolve, reject) => {
    /** @type {string | undefined} */
    let text;
    const script = document.createElement("script");
    Object.assign(self, {
      searchIndex: (/** @type {string} */ given) => {
        text = given;
      },
    });
    script.charset = "utf-8";
    script.src = address;
    script.onerror = () => reject(new Error("missing"));
    script.onload = () => {
      script.remove();
      SearchIndex.read(/** @type {string} */ (text))
        .then((index) =>
          index.add(
            shopData().pages.flatMap(({ file, entries }) => entries.filter((each) => isEntry(each) && each.uri === addressOf(file))),
          ),
        )
        .then(resolve, reject);
    };
    document.head.append(script);
  });
}

const NAMED = 3; // other pages with the same step

/** @param {string[]} pages */
function alsoIn(pages) {
  const more = pages.length - NAMED;
  return `Also in ${pages.slice(0, NAMED).join(", ")}${more > 0 ? ` and ${more} more` : ""}`;
}

/** @param {any} entry */
const isEntry = (entry) => ["uri", "page", "kind", "anchor", "title", "within", "text"].every((key) => typeof entry?.[key] === "string");

/** @param {Hit} hit @param {import("./search-words.mjs").Pattern[]} patterns @param {string} id @param {string} root */
function makeRow({ entry, elsewhere }, patterns, id, root) {
  const row = document.createElement("a");
  row.className = "search__hit";
  row.href = `${root}/${hrefOf(entry)}`;
  setOption(row, id);
  const where = [KINDS[entry.kind], entry.page !== entry.title && entry.page, entry.within]
    .filter(Boolean)
    .join(" · ")
    .replace(/step (?=\S+$)/, "step\u00a0");
  const lines = [make("span", "search__title", ...marked(entry.title, marks(entry.title, patterns)))];
  if (where) lines.push(make("span", "search__where", where));
  if (entry.text) {
    const { text, ranges } = excerpt(entry.text, patterns);
    lines.push(make("span", "search__text", ...marked(text, ranges)));
  }
  if (elsewhere.length) lines.push(make("span", "search__where", alsoIn([...new Set(elsewhere)])));
  row.append(...lines);
  return row;
}

/** @param {{uri: string, anchor: string}} entry */
function hrefOf({ uri, anchor }) {
  const [path, query] = uri.split("?");
  const file =
    path
      .replace(/(^|\/)$/, "$1index.html")
      .split("/")
      .map(encodeURIComponent)
      .join("/") + (query ? `?${query}` : "");
  return anchor ? `${file}#${encodeURIComponent(anchor)}` : file;
}

/** @param {HTMLElement} row @param {string} id */
function setOption(row, id) {
  row.id = id;
  row.setAttribute("role", "option");
  row.setAttribute("aria-selected", "false");
  row.tabIndex = -1;
}

/** @param {string} text @param {Range[]} ranges @returns {(string | HTMLElement)[]} */
function marked(text, ranges) {
  const pieces = /** @type {(string | HTMLElement)[]} */ ([]);
  let done = 0;
  for (const [start, end] of ranges) {
    pieces.push(text.slice(done, start), make("mark", "", text.slice(start, end)));
    done = end;
  }
  return [...pieces, text.slice(done)];
}

/** @param {string} tag @param {string} name @param {...(string | Node)} content */
function make(tag, name, ...content) {
  const element = document.createElement(tag);
  if (name) element.className = name;
  element.append(...content);
  return element;
}

/** @param {Element} element @param {string} selector */
function part(element, selector) {
  return /** @type {HTMLElement} */ (element.querySelector(selector));
}

/** The open page as the index calls it. @param {string} root */
function pageAddress(root) {
  const top = new URL(`${root}/`, location.href).pathname;
  const path = decoded(location.pathname.slice(top.length));
  return path.replace(/(^|\/)$/, "$1index.html");
}

/** Reads, or writes, whether the / key is used. A browser that keeps nothing asks again on each page. @param {string} [value] */
function preference(value) {
  try {
    if (value) localStorage.setItem(KEY, value);
    return localStorage.getItem(KEY);
  } catch {
    return null;
  }
}
