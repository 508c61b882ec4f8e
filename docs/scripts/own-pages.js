// @ts-check
/** The pages that a shop wrote in the browser: shown, in the contents, and in the search of this copy. */
import { pageAsked, placeAsked } from "./address.js";
import { element } from "./answer.js";
import { cleaned } from "./clean.js";
import { metaContent } from "./handbook.js";
import { bringUpToDate } from "./own-safety.js";
import { addressOf, held, saysOf, shopBuild, shopData } from "./shop-data.js";

/** Show the page that the address names, before anything else looks for its elements. */
export function startOwnPages() {
  const { pages } = shopData();
  const holder = document.querySelector(".own-page");
  const wanted = pageAsked();
  const page = holder ? pages.find(({ file }) => file === wanted) : undefined;
  if (holder && page) mount(holder, page);
  if (pages.length) addToContents(pages, page?.file ?? "");
}

/** @param {Element} holder @param {import("./shop-data.js").OwnPage} page */
function mount(holder, page) {
  const { files } = shopData();
  const { content, foreign } = cleaned(page.html);
  for (const link of content.querySelectorAll("a[href]")) lead(/** @type {HTMLAnchorElement} */ (link), files);
  const since = bringUpToDate(content, files, shopBuild());
  const lines = [...(since ? [since] : []), ...(foreign ? [element("p", "shop-note", `${foreign} part${foreign === 1 ? "" : "s"} of this page did not come from the page “Write a page” and ${foreign === 1 ? "is" : "are"} shown as text.`)] : [])];
  const title = content.querySelector("h1");
  if (title) title.after(...lines);
  else content.prepend(...lines);
  document.querySelector("h1")?.remove();
  holder.replaceWith(content);
  document.title = document.title.replace(/^[^·]*/, `${page.title} `);
  document.documentElement.dataset.runningHead = `${page.title} · this shop’s own page · build ${metaContent("build")}`;
  document.getElementById(placeAsked())?.scrollIntoView();
}

/** A procedure links to others as if it lay beside them. @param {HTMLAnchorElement} link @param {Record<string, string>} files */
function lead(link, files) {
  const [, name, place = ""] = /^([a-z0-9-]+)\.html(#.*)?$/.exec(link.getAttribute("href") ?? "") ?? [];
  if (!name || name === "page") return;
  const own = `procedures/${name}.yml`;
  link.setAttribute("href", own in files ? `page.html?${own}${place}` : `../procedures/${name}.html${place}`);
}

/** @param {import("./shop-data.js").OwnPage[]} pages @param {string} here */
function addToContents(pages, here) {
  const list = document.querySelector(".contents__panel > .contents__list");
  const root = metaContent("root") || ".";
  const links = [...pages].sort((a, b) => a.title.localeCompare(b.title)).map(({ file, title }) => {
    const link = element("a", "", title);
    link.href = `${root}/${addressOf(file)}`;
    if (file === here) link.setAttribute("aria-current", "page");
    return element("li", "", link);
  });
  const state = element("li", "contents__shop-data");
  list?.append(element("li", "", element("span", here ? "contents__here" : "", "Written by this shop"), element("ul", "contents__list", ...links, state)));
  // Worked out when somebody looks: it takes a moment, and every page has this list.
  const panel = /** @type {HTMLDetailsElement | null} */ (list?.closest("details.contents"));
  panel?.addEventListener("toggle", () => {
    const found = held();
    if (panel.open && found && !state.textContent) state.textContent = saysOf(found);
  });
}
