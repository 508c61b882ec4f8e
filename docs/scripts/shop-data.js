// @ts-check
/** What a shop saved into `shop-data.js` beside index.html, read with care: anybody may have edited it. */
import { isRecord } from "./entries.js";

/** @typedef {import("./search-index.mjs").Entry} Entry */
/** @typedef {{file: string, kind: string, title: string, html: string, entries: Entry[]}} OwnPage */
/** @typedef {{files: Record<string, string>, pages: OwnPage[], vehicles: any[]}} ShopData */

const FILE = /^(shop\.yml|(procedures|pages|vehicles|cautions)\/[a-z0-9]+(-[a-z0-9]+)*\.(yml|md|json))$/;

/** @returns {ShopData} */
export function shopData() {
  const data = /** @type {any} */ (self).shopData;
  if (!isRecord(data)) return { files: {}, pages: [], vehicles: [] };
  return {
    files: isRecord(data.files) ? Object.fromEntries(Object.entries(data.files).filter(([name, text]) => FILE.test(name) && typeof text === "string")) : {},
    pages: (Array.isArray(data.pages) ? data.pages : []).filter(isPage),
    vehicles: Array.isArray(data.vehicles) ? data.vehicles : [],
  };
}

/** @param {any} page @returns {page is OwnPage} */
function isPage(page) {
  return isRecord(page) && ["file", "kind", "title", "html"].every((key) => typeof page[key] === "string") && FILE.test(page.file) && Array.isArray(page.entries);
}

/** The text of the file. @param {ShopData} data */
export function written(data) {
  return `// Pages and vehicle sheets of this shop, saved by the handbook’s page «Write a page». It stays beside index.html.\nself.shopData = ${JSON.stringify({ format: "wheel-end-shop/1", ...data }, null, 1)};\n`;
}

/** Where a page of the shop opens, from the site's top. @param {string} file */
export const addressOf = (file) => `own/page.html?${file}`;
