// @ts-check
/**
 * The index and how it answers a query. It needs no page: the build makes the index with it, the tests ask it.
 *
 * A query is cut into clauses: a name from the glossary («bleed nipple») is one clause, any other word another. A clause
 * is looked up as typed and under the glossary's other names. Sections with all clauses come first; where there is none,
 * those with some. A word that neither the handbook nor the glossary has is taken for the nearest one they have.
 */
import MiniSearch from "minisearch";
import { slips, tokens, words } from "./search-words.mjs";

/** @typedef {import("./search-words.mjs").Pattern} Pattern */
/** @typedef {{uri: string, page: string, kind: string, anchor: string, title: string, within: string, text: string, also?: string[]}} Entry
 *   one section: the page's address, title and kind; the place in it; heading; the heading above; the text; other pages with it */
/** @typedef {string[]} Names names of one thing, the preferred one first */
/** @typedef {{words: string[], weight: number, together: boolean, prefix: boolean, name: string}} Alternative
 *   `together`: the words must stand in a row; `name` is empty for what was typed */
/** @typedef {{typed: string, alternatives: Alternative[], meanings: number}} Clause */
/** @typedef {{entry: Entry, score: number, elsewhere: string[]}} Hit `elsewhere`: other pages with the same words */
/** @typedef {{names: string[], typed: string, meanings: number}} Also */
/** @typedef {{pages: [string, string, string][], sections: [number[], string, string, string, string][], names: Names[],
 *   engine: import("minisearch").AsPlainObject}} Stored the index as it is kept: fields of a page and of an entry in order, its own page first */
/** @typedef {{hits: Hit[], also: Also[], every: boolean, patterns: Pattern[]}} Answer `every`: all clauses were found */

const FIELDS = ["title", "text", "within", "page"];
const BOOST = { title: 3, text: 1, within: 0.6, page: 1 };
const PREFERRED = 0.9; // the handbook's own word for what was typed
const OTHER = 0.5; // another synonym, as a shop's page may have it
const STOP = new Set(words("a an and at by do for how i in is it my of on or the to with"));
const LEAST_CORRECTED = 3; // letters; of so short a word only a swap of neighbors is mended

const makeEngine = () => new MiniSearch(engineOptions());
/** @returns {import("minisearch").Options} */
function engineOptions() {
  return {
    fields: FIELDS,
    tokenize: words,
    processTerm: (term) => term,
    searchOptions: { boost: BOOST, tokenize: (text) => [text], combineWith: "AND" },
  };
}

/** The index as plain data, the same for the same input.
 * @param {Entry[]} entries
 * @param {{term: string, american: string[], british: string[]}[]} terms */
export function makeIndex(entries, terms) {
  const pages = [...new Map(entries.map(({ uri, page, kind }) => [uri, [uri, page, kind]])).values()];
  const number = new Map(pages.map(([uri], i) => [uri, i]));
  const engine = makeEngine();
  const sections = once(entries);
  engine.addAll(sections.map((entry, id) => ({ id, ...entry })));
  return {
    pages,
    sections: sections.map(({ uri, anchor, title, within, text, also }) => [
      [uri, ...also].map((each) => number.get(each)),
      anchor,
      title,
      within,
      text,
    ]),
    names: terms.map(({ term, american, british }) => namesOf([term, ...american, ...british])),
    engine: engine.toJSON(),
  };
}

/**
 * A step stands on every page that includes it, and is kept once, at its own procedure; so are the head of an included
 * part and the safety messages that a page gathers from its steps. @param {Entry[]} entries
 */
function once(entries) {
  const kept = /** @type {Map<string, Entry[]>} */ (new Map());
  const pages = new Set(entries.map(({ uri }) => uri));
  for (const [place, entry] of entries.entries()) {
    if (entry.uri.startsWith("procedures/") && (entry.anchor === "safety" || pages.has(`procedures/${entry.anchor}.html`))) continue;
    const same = entry.anchor.includes(".") ? `${entry.anchor}\n${entry.title}` : String(place);
    kept.set(same, [...(kept.get(same) ?? []), entry]);
  }
  return [...kept.values()].map((all) => {
    const home = all.find(({ uri, anchor }) => uri.endsWith(`/${anchor.split(".")[0]}.html`)) ?? all[0];
    return { ...home, also: all.filter((each) => each !== home).map(({ uri }) => uri) };
  });
}

/** Without the remarks in brackets, each once. @param {string[]} raw @returns {Names} */
function namesOf(raw) {
  const plain = raw.map((name) => name.replace(/\s*\([^)]*\)/g, ""));
  return [...new Map(plain.reverse().map((name) => [words(name).join(" "), name])).values()].reverse();
}

export class SearchIndex {
  /** In slices, so that the page stays free to answer. @param {string} text JSON made by `makeIndex`; rejects where it is damaged */
  static async read(text) {
    const data = /** @type {Stored} */ (JSON.parse(text));
    await new Promise((resolve) => setTimeout(resolve));
    return new SearchIndex(data, await MiniSearch.loadJSAsync(data.engine, engineOptions()));
  }

  /** @param {Stored} data @param {MiniSearch} loaded */
  constructor({ pages, sections, names, engine }, loaded) {
    /** @type {Entry[]} */
    this.entries = sections.map(([[number, ...others], anchor, title, within, text]) => {
      const [uri, page, kind] = pages[number];
      return { uri, page, kind, anchor, title, within, text, also: others.map((each) => pages[each][0]) };
    });
    this.titles = new Map(pages.map(([uri, page]) => [uri, page]));
    this.engine = loaded;
    /** @type {Map<string, Names[]>} every name of the glossary, folded, with the things it may mean */
    this.glossary = new Map();
    for (const group of names)
      for (const name of group) {
        const key = words(name).join(" ");
        this.glossary.set(key, [...(this.glossary.get(key) ?? []), group]);
      }
    this.longest = Math.max(1, ...[...this.glossary.keys()].map((key) => key.split(" ").length));
    /** @type {Map<string, number>} every word there is, with how often it is used */
    this.vocabulary = new Map([...this.glossary.keys()].flatMap((key) => key.split(" ")).map((word) => [word, 0]));
    for (const [word, fields] of engine.index) {
      const uses = Object.values(/** @type {object} */ (fields)).reduce((sum, places) => sum + Object.keys(places).length, 0);
      this.vocabulary.set(word, uses);
    }
    /** @type {Map<number, string>} */
    this.folded = new Map();
  }

  /** Sections that are not in the handbook's own index. @param {Entry[]} entries */
  add(entries) {
    this.engine.addAll(entries.map((entry, index) => ({ id: this.entries.length + index, ...entry })));
    this.entries.push(...entries);
    for (const word of entries.flatMap(({ title, text, within, page }) => words([title, text, within, page].join(" ")))) {
      this.vocabulary.set(word, (this.vocabulary.get(word) ?? 0) + 1);
    }
    return this;
  }

  /** @param {string} query @param {string} [here] address of the open page, preferred among equal hits @returns {Answer} */
  search(query, here = "") {
    const clauses = this.clauses(query);
    const found = clauses.map((clause) => this.find(clause));
    let scores = found.length ? found.map((clause) => clause.scores).reduce(both) : new Map();
    const every = scores.size > 0;
    if (!every && found.length > 1) scores = found.map((clause) => clause.scores).reduce(either);
    const hits = this.distinct(
      [...scores].sort(([a, x], [b, y]) => y - x || a - b),
      here,
    );
    return { hits, every, also: alsoSearched(found, scores), patterns: found.flatMap(({ clause }) => patternsOf(clause)) };
  }

  /** @param {string} query @returns {Clause[]} */
  clauses(query) {
    const typed = tokens(query);
    const unfinished = !/\s$/.test(query);
    const known = typed.map(({ word }, i) => this.corrected(word, unfinished && i === typed.length - 1));
    const raw = (/** @type {number} */ from, /** @type {number} */ to) => query.slice(typed[from].start, typed[to].end);
    const clauses = [];
    for (let i = 0; i < known.length; ) {
      const { length, things, last } = this.nameAt(known, i, unfinished);
      const slipped = typed.slice(i, i + length).some(({ word }, j) => word !== known[i + j]);
      const stop = length === 1 && !things.length && STOP.has(known[i]) && !last;
      if (!stop) clauses.push(clauseOf(raw(i, i + length - 1), known.slice(i, i + length), things, last, slipped));
      i += length;
    }
    return clauses.length ? clauses : known.map((word, i) => clauseOf(raw(i, i), [word], [], true, false));
  }

  /** The longest name of the glossary that starts at a word; at the end of the query also one not yet typed out.
   * @param {string[]} list @param {number} place @param {boolean} unfinished */
  nameAt(list, place, unfinished) {
    for (let length = Math.min(this.longest, list.length - place); length > 0; length--) {
      const last = unfinished && place + length === list.length;
      const key = list.slice(place, place + length).join(" ");
      const things = this.glossary.get(key) ?? (last ? this.completions(key) : []);
      if (things.length || length === 1) return { length, things, last };
    }
    return { length: 1, things: [], last: false };
  }

  /** What a name may be that is still being typed; nothing while it may still be many things. @param {string} key */
  completions(key) {
    const tail = key.slice(key.lastIndexOf(" ") + 1);
    if (key.length < 4 || tail.length < 2) return [];
    const names = [...this.glossary.keys()].filter((name) => name.startsWith(key) && !name.slice(key.length).includes(" "));
    const things = [...new Set(names.flatMap((name) => this.glossary.get(name) ?? []))];
    return things.length <= 2 ? things : [];
  }

  /** The word itself where the handbook has it, else the nearest one it has. Numbers are never corrected.
   * @param {string} word @param {boolean} unfinished */
  corrected(word, unfinished) {
    if (word.length < LEAST_CORRECTED || /\p{N}/u.test(word) || this.vocabulary.has(word)) return word;
    const all = [...this.vocabulary.keys()];
    if (unfinished && all.some((other) => other.startsWith(word))) return word;
    const allowed = word.length < 6 ? 1 : 2;
    const near = all
      .filter((other) => Math.abs(other.length - word.length) <= allowed && other.length > 2 && !/\p{N}/u.test(other))
      .map((other) => ({ other, cost: slips(word, other) + (other[0] === word[0] ? 0 : 0.5), uses: this.vocabulary.get(other) ?? 0 }))
      .filter(({ other, cost }) => cost < allowed + 1 && (word.length > LEAST_CORRECTED || sameLetters(word, other)))
      .sort((a, b) => a.cost - b.cost || b.uses - a.uses || (a.other < b.other ? -1 : 1));
    return near[0]?.other ?? word;
  }

  /** @param {Clause} clause */
  find(clause) {
    const scores = /** @type {Map<number, number>} */ (new Map());
    const finds = clause.alternatives.map((alternative) => {
      const ids = new Set();
      for (const { id, score } of this.lookUp(alternative)) {
        ids.add(id);
        scores.set(id, Math.max(scores.get(id) ?? 0, score * alternative.weight));
      }
      return { alternative, ids };
    });
    return { clause, scores, finds };
  }

  /** @param {Alternative} alternative */
  lookUp({ words, together, prefix }) {
    const queries = words.map((word, i) => ({ queries: [word], prefix: prefix && i === words.length - 1 }));
    const results = this.engine.search({ combineWith: "AND", queries });
    return together && words.length > 1 ? results.filter(({ id }) => this.hasInARow(id, words)) : results;
  }

  /** @param {number} id @param {string[]} list */
  hasInARow(id, list) {
    let folded = this.folded.get(id);
    if (folded === undefined) {
      const { title, text, within, page } = this.entries[id];
      folded = [title, text, within, page].map((field) => ` ${words(field).join(" ")} `).join("|");
      this.folded.set(id, folded);
    }
    return folded.includes(` ${list.join(" ")} `);
  }

  /** One hit for a step that several procedures include: on the open page if it is there, else the best.
   * @param {[number, number][]} ranked @param {string} here @returns {Hit[]} */
  distinct(ranked, here) {
    const hits = /** @type {Map<string, Hit>} */ (new Map());
    for (const [id, score] of ranked) {
      const found = this.entries[id];
      const others = found.also ?? [];
      // On the open page it is another number, and nobody asks which.
      const entry = others.includes(here) ? { ...found, uri: here, page: this.titles.get(here) ?? "", within: "" } : found;
      const elsewhere = [found.uri, ...others].filter((uri) => uri !== entry.uri).map((uri) => this.titles.get(uri) ?? "");
      const same = `${entry.title}\n${entry.text || id}`;
      const first = hits.get(same);
      if (!first) hits.set(same, { entry, score, elsewhere });
      else if (entry.uri === here && first.entry.uri !== here) {
        first.elsewhere.push(first.entry.page);
        first.entry = entry;
      } else if (entry.uri !== first.entry.uri) first.elsewhere.push(entry.page);
    }
    return [...hits.values()];
  }
}

/** @param {string} typed @param {string[]} list @param {Names[]} things @param {boolean} unfinished @param {boolean} slipped
 * @returns {Clause} */
function clauseOf(typed, list, things, unfinished, slipped) {
  const alternatives = [{ words: list, weight: 1, together: false, prefix: unfinished, name: slipped ? list.join(" ") : "" }];
  for (const names of things)
    names.forEach((name, i) => {
      const other = words(name);
      if (alternatives.some((alternative) => alternative.words.join(" ") === other.join(" "))) return;
      alternatives.push({ words: other, weight: i ? OTHER : PREFERRED, together: true, prefix: false, name });
    });
  return { typed, alternatives, meanings: things.length };
}

/** @param {Map<number, number>} a @param {Map<number, number>} b */
const both = (a, b) => new Map([...a].filter(([id]) => b.has(id)).map(([id, score]) => [id, score + /** @type {number} */ (b.get(id))]));

/** @param {Map<number, number>} a @param {Map<number, number>} b */
function either(a, b) {
  const sum = new Map(a);
  // More clauses found outrank any score of one alone.
  for (const [id, score] of b) sum.set(id, sum.has(id) ? /** @type {number} */ (sum.get(id)) + score + 1000 : score);
  return sum;
}

/** @param {string} a @param {string} b */
const sameLetters = (a, b) => [...a].sort().join("") === [...b].sort().join("");

/** Names that were searched without having been typed, and that found something shown.
 * @param {{clause: Clause, finds: {alternative: Alternative, ids: Set<number>}[]}[]} found @param {Map<number, number>} shown
 * @returns {Also[]} */
function alsoSearched(found, shown) {
  return found.flatMap(({ clause, finds }) => {
    const used = finds
      .filter(({ alternative, ids }) => alternative.name && [...ids].some((id) => shown.has(id)))
      .map(({ alternative }) => alternative)
      .sort((a, b) => b.weight - a.weight);
    const names = /** @type {string[]} */ ([]);
    for (const { name } of used) if (!names.some((other) => overlap(name, other))) names.push(name);
    return names.length ? [{ names, typed: clause.typed, meanings: clause.meanings }] : [];
  });
}

/** «brake rotor» adds nothing to «rotor». @param {string} a @param {string} b */
function overlap(a, b) {
  const [x, y] = [a, b].map((name) => ` ${words(name).join(" ")} `);
  return x.includes(y) || y.includes(x);
}

/** @param {Clause} clause @returns {Pattern[]} */
function patternsOf({ alternatives }) {
  return alternatives.flatMap(({ words, together, prefix }) =>
    together
      ? [{ words, prefix }]
      : [{ words, prefix }, ...words.map((word, i) => ({ words: [word], prefix: prefix && i === words.length - 1 }))],
  );
}
