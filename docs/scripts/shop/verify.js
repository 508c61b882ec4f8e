// @ts-check
/**
 * The page «Check this copy»: the files of a folder that is picked, against its `SHA256SUMS`. A page opened from a disk
 * may read nothing beside it, hence the picking. The page carries the checksum of the list's other lines, so that an
 * exchanged list is noticed; build_tools/exchange/checksums.py owns the form of the list.
 */

import { sha256 } from "@noble/hashes/sha2.js";
import { hex } from "../core/entries.js";
import { button } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { metaContent } from "../store/handbook-data.js";
import { heldInText, isChangedSince, SHOP_DATA, saysOf } from "../store/shop-data.js";

/** @typedef {{build: string, list: string}} Page its build, and the checksum of the list's lines without the page's own */
/** @typedef {{verdict: string, says: string, groups: [string, string[]][], digest?: string, shop?: string}} Found shop: one line about the shop's own pages */

const LIST = "SHA256SUMS";
const PAGE = "verify.html";
const LARGEST_FILE = 100_000_000; // bytes; the largest of the handbook, the search index, has 20 MB
const MOST_NAMED = 50; // files in one list, so that the verdict stays in sight
const LINE = /^([0-9a-f]{64}) {2}([^/\\:][^\\:]*)$/;
const LARGEST_SHOP_DATA = 5_000_000; // bytes, as in build_tools/exchange/shop_data.py

export function startVerify() {
  const box = document.querySelector(".copy-check");
  if (!(box instanceof HTMLElement)) return;
  const page = { build: metaContent("build"), list: box.dataset.list ?? "" };
  const picker = element("input", "unseen");
  Object.assign(picker, { type: "file", webkitdirectory: true, multiple: true, tabIndex: -1, ariaLabel: "Folder of this copy" });
  const line = element("p", "copy-check__progress");
  line.setAttribute("role", "status");
  const result = element("div", "copy-check__found");
  result.setAttribute("aria-live", "polite");
  const open = button("button--primary copy-check__open", "Choose the handbook’s folder", () => picker.click());
  picker.addEventListener("change", async () => {
    open.disabled = true;
    result.replaceChildren();
    const found = await check([...(picker.files ?? [])], page, (text) => void (line.textContent = text));
    line.textContent = "";
    result.replaceChildren(...drawn(found));
    open.disabled = false;
    picker.value = "";
  });
  box.replaceChildren(open, picker, line, result);
}

/** Compare the files that were picked with their list. @param {File[]} files @param {Page} page @param {(text: string) => void} tell @returns {Promise<Found>} */
async function check(files, page, tell) {
  const lists = files.filter(({ name }) => name === LIST).sort((a, b) => depth(a) - depth(b));
  if (!lists.length) return refusal("No handbook", `There is no ${LIST} in that folder. Choose the folder that holds index.html.`);
  if (lists.length > 1 && depth(lists[0]) === depth(lists[1])) return refusal("Two handbooks", "Choose the folder of one of them.");
  const top = pathOf(lists[0]).slice(0, -LIST.length);
  const here = new Map(files.filter((file) => pathOf(file).startsWith(top)).map((file) => [pathOf(file).slice(top.length), file]));
  const build = await buildOf(here.get("index.html"));
  const content = await bytesOf(lists[0]);
  if (!content) return refusal("List unreadable", `${LIST} cannot be read. Copy the handbook again.`);
  const text = new TextDecoder().decode(content);
  const exchanged = hex(sha256(new TextEncoder().encode(withoutPage(text)))) !== page.list;
  if (exchanged && build !== page.build) {
    return refusal(
      "Another build",
      `That folder holds ${build ? `build ${build}` : "no known build"}; this page belongs to build ${page.build}. Open ${PAGE} in that folder.`,
    );
  }
  const listed = readList(text);
  if (!listed)
    return refusal("List exchanged", `${LIST} is not a list that this handbook was built with, or is damaged. Do not rely on this copy.`);
  const groups = await compare(listed, here, tell);
  const shop = await shopState(here.get(SHOP_DATA));
  const found = verdictOf(exchanged, groups, listed.size, page.build);
  const verdict = found.verdict === "Whole" && shop.bad ? "Handbook whole, shop’s pages not" : found.verdict;
  return { ...found, verdict, groups, digest: hex(sha256(content)), shop: shop.says };
}

/** @param {string} verdict @param {string} says @returns {Found} */
const refusal = (verdict, says) => ({ verdict, says, groups: [] });

/** @param {boolean} exchanged @param {[string, string[]][]} groups @param {number} count @param {string} build */
function verdictOf(exchanged, groups, count, build) {
  const bad = groups.slice(0, 3).reduce((sum, [, names]) => sum + names.length, 0);
  const damage = `${bad} of ${count} files ${bad === 1 ? "is" : "are"} not as built. Copy the handbook again, and check it before use.`;
  if (exchanged)
    return {
      verdict: "List exchanged",
      says: `The list is not the one that build ${build} was made with. Do not rely on this copy.${bad ? ` By this list ${damage}` : ""}`,
    };
  if (bad) return { verdict: "Damaged", says: damage };
  return { verdict: "Whole", says: `${count} files are as they were built. Build ${build}.` };
}

/** @param {Map<string, string>} listed @param {Map<string, File>} here @param {(text: string) => void} tell @returns {Promise<[string, string[]][]>} */
async function compare(listed, here, tell) {
  /** @type {string[]} */
  const changed = [],
    missing = [],
    unread = [],
    own = [];
  let done = 0;
  for (const [name, digest] of listed) {
    const file = here.get(name);
    const content = file && file.size <= LARGEST_FILE ? await bytesOf(file) : file ? new Uint8Array() : undefined;
    if (!file) missing.push(name);
    else if (!content) unread.push(name);
    else if (hex(sha256(content)) !== digest) changed.push(name);
    if (++done % 10 === 0) tell(`Compared ${done} of ${listed.size} files`);
  }
  for (const name of here.keys()) if (!listed.has(name) && name !== LIST && name !== SHOP_DATA) own.push(name);
  return [
    ["Changed", changed],
    ["Missing", missing],
    ["Cannot be read", unread],
    ["This shop’s own, not compared", own.sort()],
  ];
}

/** What is said of the shop's own pages, which are in no list; nothing where there are none. @param {File | undefined} file */
async function shopState(file) {
  if (!file) return { says: "", bad: false };
  const content = file.size <= LARGEST_SHOP_DATA ? await bytesOf(file) : null;
  const found = content && heldInText(new TextDecoder().decode(content));
  if (!found)
    return {
      bad: true,
      says: `${SHOP_DATA} is not what the page “Write a page” saves, and it runs on every page. Move it away before you open the handbook, or take the shop’s own backup of it.`,
    };
  return { says: found.now ? `The shop’s own pages: ${saysOf(found)}` : "", bad: isChangedSince(found) };
}

/** @param {string} text @returns {Map<string, string> | null} name → digest; null where a line is none, or stands twice */
function readList(text) {
  const lines = text.split("\n");
  if (lines.pop() !== "") return null;
  const found = lines.map((line) => LINE.exec(line));
  const listed = new Map(found.flatMap((line) => (line ? [/** @type {[string, string]} */ ([line[2], line[1]])] : [])));
  return listed.size === lines.length && listed.size ? listed : null;
}

/** @param {string} text */
const withoutPage = (text) =>
  text
    .split("\n")
    .filter((line) => line.slice(66) !== PAGE)
    .join("\n");

/** The build that a copy's first page names. @param {File | undefined} file */
async function buildOf(file) {
  const head = file && (await bytesOf(file.slice(0, 100_000)));
  return /<meta name="?handbook:build"? content="?([0-9a-f]{12})"?>/.exec(head ? new TextDecoder().decode(head) : "")?.[1] ?? "";
}

/** @param {Blob} file @returns {Promise<Uint8Array | null>} null where the disk does not give it */
async function bytesOf(file) {
  try {
    return new Uint8Array(await file.arrayBuffer());
  } catch {
    return null;
  }
}

/** @param {File} file */
const pathOf = (file) => file.webkitRelativePath || file.name;

/** @param {File} file */
const depth = (file) => pathOf(file).split("/").length;

/** @param {Found} found @returns {HTMLElement[]} */
function drawn({ verdict, says, groups, digest, shop }) {
  /** @type {HTMLElement[]} */
  const made = [
    element("p", "copy-check__verdict", verdict),
    element("p", "copy-check__says", says),
    ...(shop ? [element("p", "copy-check__shop", shop)] : []),
  ];
  for (const [title, names] of groups.filter(([, all]) => all.length)) {
    const more = names.length > MOST_NAMED ? [element("li", "", `and ${names.length - MOST_NAMED} more`)] : [];
    made.push(
      element("h3", "", title),
      element("ul", "copy-check__files", ...names.slice(0, MOST_NAMED).map((name) => element("li", "", name)), ...more),
    );
  }
  if (digest) made.push(element("p", "copy-check__digest", "Checksum of the list: ", element("code", "", digest)));
  return made;
}
