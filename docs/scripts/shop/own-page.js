// @ts-check
/**
 * A page that a shop wrote in the browser, shown by `own/page.html?FILE`. That page alone runs this, bundled into
 * assets/own-page.js, before assets/handbook.js looks for the page's elements.
 */

import { pageAsked, placeAsked } from "../lib/address.js";
import { cleaned } from "../lib/clean.js";
import { element } from "../lib/elements.js";
import { startParts } from "../lib/start.js";
import { metaContent } from "../store/handbook-data.js";
import { shopBuild, shopData } from "../store/shop-data.js";
import { bringUpToDate } from "./own-safety.js";

Object.assign(self, { ownPage: true }); // for handbook.js, which says so where this one is missing
startParts([["this shop’s own page", startOwnPage]]);

/** Show the page that the address names. */
function startOwnPage() {
  const holder = document.querySelector(".own-page");
  const wanted = pageAsked();
  const page = holder ? shopData().pages.find(({ file }) => file === wanted) : undefined;
  if (holder && page) mount(holder, page);
}

/** @param {Element} holder @param {import("../store/shop-data.js").OwnPage} page */
function mount(holder, page) {
  const { files } = shopData();
  const { content, foreign } = cleaned(page.html);
  for (const link of content.querySelectorAll("a[href]")) lead(/** @type {HTMLAnchorElement} */ (link), files);
  const since = bringUpToDate(content, files, shopBuild());
  const lines = [
    ...(since ? [since] : []),
    ...(foreign
      ? [
          element(
            "p",
            "shop-note",
            `${foreign} part${foreign === 1 ? "" : "s"} of this page did not come from the page “Write a page” and ${foreign === 1 ? "is" : "are"} shown as text.`,
          ),
        ]
      : []),
  ];
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
