// @ts-check
/** Words as the search compares them: in the index, in a query, in the text of a hit. */

/** @typedef {{word: string, start: number, end: number}} Token */
/** @typedef {{words: string[], prefix: boolean}} Pattern words in a row; `prefix`: the last one may go on */
/** @typedef {[start: number, end: number]} Range */

// A number keeps its point, comma or stroke (0.003, 3/8) and parts from a unit written close up (24mm, DOT4).
const WORD = /\p{N}+(?:[.,/]\p{N}+)*|[\p{L}\p{M}]+(?:['’]\p{L}+)?/gu;

/** One form for rotor, Rotors and rotor's; the same folding on both sides, so it need not be right English.
 * @param {string} raw */
function fold(raw) {
  const word = raw
    .normalize("NFKD")
    .replace(/[\p{M}'’]/gu, "")
    .toLowerCase();
  if (word.length <= 3 || /(?:ss|us|is)$/.test(word)) return word;
  if (word.length > 4 && word.endsWith("ies")) return `${word.slice(0, -3)}y`;
  if (/(?:sh|ch|ss|x)es$/.test(word)) return word.slice(0, -2);
  return word.replace(/s$/, "");
}

/** The words of a text with their places in it.
 * @param {string} text @returns {Token[]} */
export function tokens(text) {
  return Array.from(text.matchAll(WORD), (match) => ({ word: fold(match[0]), start: match.index, end: match.index + match[0].length }));
}

/** @param {string} text */
export const words = (text) => tokens(text).map((token) => token.word);

/** How many single-letter slips part two words; two neighbors swapped count as one (optimal string alignment).
 * @param {string} a @param {string} b */
export function slips(a, b) {
  let before = /** @type {number[]} */ ([]);
  let above = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1];
      row[j] = Math.min(above[j] + 1, row[j - 1] + 1, above[j - 1] + (same ? 0 : 1));
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) row[j] = Math.min(row[j], before[j - 2] + 1);
    }
    [before, above] = [above, row];
  }
  return above[b.length];
}

/** Where the patterns stand in a text, in order and without overlap.
 * @param {string} text @param {Pattern[]} patterns @returns {Range[]} */
export function marks(text, patterns) {
  const found = tokens(text);
  const ranges = /** @type {Range[]} */ ([]);
  for (let i = 0; i < found.length; ) {
    const length = Math.max(0, ...patterns.filter((pattern) => standsAt(pattern, found, i)).map(({ words }) => words.length));
    if (length) ranges.push([found[i].start, found[i + length - 1].end]);
    i += length || 1;
  }
  return ranges;
}

/** @param {Pattern} pattern @param {Token[]} found @param {number} place */
function standsAt({ words, prefix }, found, place) {
  return words.every((word, i) => {
    const token = found[place + i]?.word;
    return token === word || (prefix && i === words.length - 1 && token?.startsWith(word));
  });
}

/** The stretch of a text with most of the patterns in it, cut at words, with the ranges to mark.
 * @param {string} text @param {Pattern[]} patterns @param {number} length in characters
 * @returns {{text: string, ranges: Range[]}} */
export function excerpt(text, patterns, length = 160) {
  const ranges = marks(text, patterns);
  const within = (/** @type {number} */ from) => ranges.filter(([start, end]) => start >= from && end <= from + length * 0.75).length;
  const best = ranges.reduce((most, [start]) => (within(start) > within(most) ? start : most), ranges[0]?.[0] ?? 0);
  const from = best + length * 0.75 < length ? 0 : wordStart(text, best - length / 4);
  const to = from + length >= text.length ? text.length : wordEnd(text, from + length);
  const [before, after] = [from > 0 ? "… " : "", to < text.length ? " …" : ""];
  const shift = before.length - from;
  return {
    text: before + text.slice(from, to) + after,
    ranges: ranges.filter(([start, end]) => start >= from && end <= to).map(([start, end]) => [start + shift, end + shift]),
  };
}

/** @param {string} text @param {number} place */
function wordStart(text, place) {
  const space = text.indexOf(" ", Math.max(0, Math.floor(place)));
  return place <= 0 || space < 0 ? 0 : space + 1;
}

/** @param {string} text @param {number} place */
function wordEnd(text, place) {
  const space = text.lastIndexOf(" ", place);
  return space < 0 ? text.length : space;
}
