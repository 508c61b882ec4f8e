// @ts-check
/** The pages that a shop wrote in the browser: shown, in the contents, and in the search of this copy. */
import { element } from "./answer.js";
import { metaContent } from "./handbook.js";
import { addressOf, shopData } from "./shop-data.js";

/** Show the page that the address names, before anything else looks for its elements. */
export function startOwnPages() {
  const { pages } = shopData();
  const holder = document.querySelector(".own-page");
  const wanted = decodeURIComponent(location.search.slice(1));
  const page = holder ? pages.find(({ file }) => file === wanted) : undefined;
  if (holder && page) mount(holder, page);
  if (pages.length) addToContents(pages, page?.file ?? "");
}

/** @param {Element} holder @param {import("./shop-data.js").OwnPage} page */
function mount(holder, page) {
  // Our own Python made it out of the shop's text, escaped; the page's policy lets no script in it run.
  const parsed = new DOMParser().parseFromString(page.html, "text/html");
  document.querySelector("h1")?.remove();
  holder.replaceWith(...parsed.body.childNodes);
  document.title = document.title.replace(/^[^·]*/, `${page.title} `);
  document.documentElement.dataset.runningHead = `${page.title} · this shop’s own page · build ${metaContent("build")}`;
  const at = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  at?.scrollIntoView();
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
  list?.append(element("li", "", element("span", here ? "contents__here" : "", "Written by this shop"), element("ul", "contents__list", ...links)));
}
