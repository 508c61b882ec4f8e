// @ts-check
/** How far each part of the page is: beside the contents, and as a map at the top of the procedure. */

import { isOther } from "../layout/applies.js";
import { element } from "../lib/elements.js";
import { openJob } from "./journal.js";

/** @typedef {import("../state/steps.js").Step} Step */
/** @typedef {import("../job-page.js").JobPage} JobPage */
/** @typedef {{steps: Step[], row: HTMLElement, links: HTMLElement[], counts: HTMLElement[], bar: HTMLElement, said: string}} Part */

/** @param {JobPage} page */
export function startOverview(page) {
  const parts = partsOf(page);
  if (parts.length < 2) return;
  const total = element("span", "overview__total");
  const box = element(
    "details",
    "overview screen-only",
    element("summary", "", "Overview", total),
    element("ol", "overview__parts", ...parts.map(({ row }) => row)),
  );
  const picker = page.article.querySelector(":scope > .layout-picker");
  if (picker) picker.after(box);
  else page.article.prepend(box);
  document.addEventListener("handbook:drawn", () => draw(page, parts, total));
}

/** @param {JobPage} page @returns {Part[]} */
function partsOf({ article, steps }) {
  return Array.from(/** @type {NodeListOf<HTMLElement>} */ (article.querySelectorAll(".part")), (section) => {
    const heading = section.querySelector("h2");
    const address = `#${heading?.id ?? ""}`;
    const beside = /** @type {HTMLElement | null} */ (
      document.querySelector(`.on-this-page a[href="${CSS.escape(address).replace("\\#", "#")}"]`)
    );
    const title = Array.from(heading?.childNodes ?? [])
      .filter((node) => !(node instanceof HTMLElement && node.matches(".headerlink")))
      .map((node) => node.textContent)
      .join("")
      .trim();
    const link = element("a", "overview__title", title);
    link.href = address;
    const bar = element("span", "overview__bar");
    const counts = [element("span", "overview__count")];
    const row = element("li", "", link, counts[0], bar);
    /** @type {HTMLElement[]} */
    const links = [link];
    if (beside) {
      counts.push(element("span", "on-this-page__count"));
      beside.append(" ", counts[1]);
      links.push(beside);
    }
    return { steps: steps.filter(({ box }) => section.contains(box)), row, links, counts, bar, said: "" };
  });
}

/** @param {JobPage} page @param {Part[]} parts @param {HTMLElement} total */
function draw(page, parts, total) {
  const open = page.open();
  const isOpen = new Set(open);
  const current = openJob() ? open[0] : null;
  let done = 0;
  let all = 0;
  for (const part of parts) {
    const applicable = part.steps.filter(({ box }) => !isOther(box));
    const closed = applicable.filter((step) => !isOpen.has(step)).length;
    done += closed;
    all += applicable.length;
    const here = current ? applicable.includes(current) : false;
    const said = `${closed}/${applicable.length}${here ? " here" : ""}`;
    if (said !== part.said) drawPart(part, closed, applicable.length, here);
    part.said = said;
  }
  total.textContent = ` – ${done} of ${all} steps done`;
}

/** @param {Part} part @param {number} closed @param {number} all @param {boolean} here */
function drawPart({ row, links, counts, bar }, closed, all, here) {
  row.hidden = !all;
  for (const count of counts) count.textContent = `${closed}/${all}${all && closed === all ? " done" : here ? " at work" : ""}`;
  for (const link of links) {
    if (here) link.setAttribute("aria-current", "location");
    else link.removeAttribute("aria-current");
  }
  bar.style.setProperty("--share", String(all ? closed / all : 0));
}
