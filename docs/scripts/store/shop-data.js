// @ts-check
/**
 * What a shop saved into `shop-data.js` beside index.html, read with care: anybody may have edited it, and no build makes
 * it, so it may be missing. build_tools/exchange/shop_data.py reads the same form.
 */
import { sha256 } from "@noble/hashes/sha2.js";
import { hex, isRecord } from "../core/entries.js";

/** @typedef {import("../search/search-index.mjs").Entry} Entry */
/** @typedef {{file: string, kind: string, title: string, html: string, entries: Entry[]}} OwnPage */
/** @typedef {{files: Record<string, string>, pages: OwnPage[], vehicles: any[]}} ShopData */
/** @typedef {{pages: number, vehicles: number, now: string, then: string | null}} Held how much it holds, its fingerprint, and the one that it was saved with */

export const SHOP_DATA = "shop-data.js";
const FILE = /^(shop\.yml|(procedures|pages|vehicles|cautions)\/[a-z0-9]+(-[a-z0-9]+)*\.(yml|md|json))$/;
const FORMAT = "wheel-end-shop/1";
const SHOWN = 16; // digits of a fingerprint: enough that nobody can make another file of the same ones
/** Lines of comment, then the value; JavaScript ends a comment at each of these four. */
const WHOLE = /^(?:\/\/[^\n\r\u2028\u2029]*\n)*self\.shopData = ([\s\S]*);\s*$/;
const KEYS = ["format", "build", "files", "pages", "vehicles", "fingerprint"];

const raw = () => /** @type {any} */ (self).shopData;

/** @returns {ShopData} */
export function shopData() {
  const data = raw();
  if (!isRecord(data)) return { files: {}, pages: [], vehicles: [] };
  return {
    files: isRecord(data.files)
      ? Object.fromEntries(Object.entries(data.files).filter(([name, text]) => FILE.test(name) && typeof text === "string"))
      : {},
    pages: (Array.isArray(data.pages) ? data.pages : []).filter(isPage),
    vehicles: Array.isArray(data.vehicles) ? data.vehicles : [],
  };
}

/** The build that the pages were saved with; "" where the file does not say. */
export function shopBuild() {
  const build = raw()?.build;
  return typeof build === "string" && /^[0-9a-f]{12}$/.test(build) ? build : "";
}

/** @param {any} page @returns {page is OwnPage} */
function isPage(page) {
  return (
    isRecord(page) &&
    ["file", "kind", "title", "html"].every((key) => typeof page[key] === "string") &&
    FILE.test(page.file) &&
    Array.isArray(page.entries)
  );
}

/** The text of the file. @param {ShopData} data @param {string} build that made its pages */
export function written({ files, pages, vehicles }, build) {
  const data = { format: FORMAT, build, files, pages, vehicles };
  return `// Pages and vehicle sheets of this shop, saved by the handbook’s page “Write a page”. It stays beside index.html.\nself.shopData = ${JSON.stringify({ ...data, fingerprint: fingerprintOf(data) }, null, 1)};\n`;
}

/** 64 hex digits over the data without its fingerprint, in the order of the file. @param {Record<string, any>} data */
function fingerprintOf({ fingerprint, ...rest }) {
  return hex(sha256(new TextEncoder().encode(JSON.stringify(rest))));
}

/** What the page's own file holds; null where there is none, or it is no data. @returns {Held | null} */
export function held() {
  return isRecord(raw()) ? heldIn(raw()) : null;
}

/** What a file's text holds; null where it is more or other than the handbook saves. @param {string} text @returns {Held | null} */
export function heldInText(text) {
  try {
    const data = JSON.parse(WHOLE.exec(text)?.[1] ?? "");
    if (data === null) return { pages: 0, vehicles: 0, now: "", then: null };
    const { pages = [], vehicles = [], files } = data;
    const sound =
      isRecord(files) &&
      Object.entries(files).every(([name, each]) => FILE.test(name) && typeof each === "string") &&
      Object.keys(data).every((key) => KEYS.includes(key)) &&
      (data.format ?? FORMAT) === FORMAT &&
      Array.isArray(vehicles) &&
      Array.isArray(pages) &&
      pages.every(isPage);
    return sound ? heldIn(data) : null;
  } catch {
    return null;
  }
}

/** @param {Record<string, any>} data @returns {Held} */
function heldIn(data) {
  const many = (/** @type {any} */ list) => (Array.isArray(list) ? list.length : 0);
  return {
    pages: many(data.pages),
    vehicles: many(data.vehicles),
    now: fingerprintOf(data),
    then: typeof data.fingerprint === "string" ? data.fingerprint : null,
  };
}

/** Whether it is no longer what was saved. @param {Held} found */
export const isChangedSince = ({ now, then }) => then !== null && then !== now;

/** One line about what the file holds. @param {Held} found */
export function saysOf(found) {
  const count = (/** @type {number} */ number, /** @type {string} */ what) => `${number} ${what}${number === 1 ? "" : "s"}`;
  const held = `${SHOP_DATA}: ${count(found.pages, "page")}, ${count(found.vehicles, "vehicle sheet")}`;
  if (isChangedSince(found))
    return `${held}. Changed or damaged since it was saved: check every page before use, and save it again on the page “Write a page”.`;
  return `${held}, ${found.then ? "as they were saved" : "saved by an earlier version without a fingerprint, so a change does not show"}. Fingerprint ${found.now.slice(0, SHOWN)}.`;
}

/** Where a page of the shop opens, from the site's top. @param {string} file */
export const addressOf = (file) => `own/page.html?${file}`;
