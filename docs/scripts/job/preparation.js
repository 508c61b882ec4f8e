// @ts-check
/** The lists before a procedure as ticks: conditions met, tools and supplies at hand. Kept with the job, not recorded. */

import { isOther } from "../layout/applies.js";
import { element } from "../lib/elements.js";
import { keepAtOnce, keptDrafts } from "../store/drafts.js";
import { openJob } from "./journal.js";

/** @typedef {import("../job-page.js").JobPage} JobPage */
/** @typedef {{key: string, line: HTMLElement, tick: HTMLInputElement}} Item */

/** @param {JobPage} page */
export function startPreparation({ article }) {
  const lists = Array.from(/** @type {NodeListOf<HTMLElement>} */ (article.querySelectorAll("ul.ticks")));
  const groups = lists.map((list) => {
    const heading = list.previousElementSibling;
    const count = element("span", "gather__count screen-only");
    if (heading?.matches("h2, h3")) heading.append(count);
    return { list, count, items: itemsOf(list) };
  });
  const items = groups.flatMap((group) => group.items);
  if (!items.length) return;
  const total = element("p", "gather__total screen-only");
  total.setAttribute("role", "status");
  (lists[0].closest(".before") ?? lists[0]).before(total);
  /** Of the open job, or "-" before one is started; empty before anything was read. */
  let owner = "";
  const before = `-/${article.dataset.procedure}/gather#`;
  const prefix = () => `${owner || "-"}/${article.dataset.procedure}/gather#`;
  /** Ticked by hand since what is kept was asked for: it is newer. @type {Set<string>} */
  const touched = new Set();

  const count = () => {
    for (const group of groups) group.count.textContent = ` ${countOf(group.items).join(" of ")}`;
    const [got, all] = countOf(items);
    total.textContent = `${got} of ${all} gathered`;
  };
  const follow = async () => {
    const next = openJob()?.id ?? "-";
    if (next !== owner) {
      const carried = owner === "-" || owner === "" ? items.filter(({ tick }) => tick.checked).map(({ key }) => key) : [];
      owner = next;
      touched.clear();
      const kept = new Map([...(await keptDrafts(prefix())), ...(await keptDrafts(before))]);
      if (next !== owner) return;
      for (const { key, tick } of items) {
        const loose = carried.includes(key) || kept.get(before + key) === "on";
        if (!touched.has(key)) tick.checked = loose || kept.get(prefix() + key) === "on";
        if (next === "-" || !loose) continue;
        // What was gathered before the job was started goes along with it, and with no other one after it.
        keepAtOnce(prefix() + key, tick.checked ? "on" : "");
        keepAtOnce(before + key, "");
      }
    }
    count();
  };
  for (const { key, tick } of items) {
    tick.addEventListener("change", () => {
      touched.add(key);
      keepAtOnce(prefix() + key, tick.checked ? "on" : "");
      count();
    });
  }
  document.addEventListener("handbook:drawn", follow);
}

/** @param {HTMLElement} list @returns {Item[]} */
function itemsOf(list) {
  const group = list.previousElementSibling?.textContent?.trim() ?? "";
  return Array.from(/** @type {NodeListOf<HTMLElement>} */ (list.querySelectorAll(":scope > li")), (line) => {
    line.querySelector(":scope > .tick")?.remove();
    const words = Array.from(line.childNodes).filter((node) => !(node instanceof HTMLElement && node.matches(".applies")));
    const text = words
      .map((node) => node.textContent)
      .join("")
      .trim()
      .replace(/\s+/g, " ");
    const tick = element("input");
    tick.type = "checkbox";
    line.prepend(element("label", "gather", tick, element("span", "", ...words)));
    return { key: `${group}/${text}`.slice(0, 200), line, tick };
  });
}

/** @param {Item[]} items @returns {[number, number]} ticked, and all that apply */
function countOf(items) {
  const asked = items.filter(({ line }) => !isOther(line));
  return [asked.filter(({ tick }) => tick.checked).length, asked.length];
}
